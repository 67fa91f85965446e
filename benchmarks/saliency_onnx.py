"""Write the learned map's network as an ONNX file that OpenCV's dnn reads.

Large weights are kept as 8-bit integers with a scale for each output channel (DequantizeLinear of ONNX operator
set 13), which OpenCV unfolds once when it loads the file; the arithmetic stays in single precision.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import onnx
from numpy.typing import NDArray
from onnx import TensorProto, helper, numpy_helper
from typing_extensions import override

from .saliency_net import CELL, Operations, Weights, early, late

_SMALL = 2000  # weights in a tensor below which 8 bits save nothing
_OPERATORS = 13


class OnnxOperations(Operations):
    """Note every operation as a node; a value is the name of a node's output."""

    def __init__(self, weights: Weights) -> None:
        self._weights = weights
        self.nodes: list[Any] = []
        self.constants: list[Any] = []

    @override
    def conv(self, x: str, name: str, stride: int = 1, *, grouped: bool = False) -> str:
        weight = np.asarray(self._weights[f"{name}.weight"], np.float32)
        bias = np.asarray(self._weights[f"{name}.bias"], np.float32)
        side = weight.shape[-1]
        spare = max(side - stride, 0)
        return self._node(
            "Conv",
            (x, self._weight(weight), self._constant(bias)),
            kernel_shape=[side, side],
            strides=[stride, stride],
            pads=[spare // 2] * 2 + [spare - spare // 2] * 2,
            group=len(weight) if grouped else 1,
        )

    @override
    def relu6(self, x: str) -> str:
        low, high = (self._constant(np.asarray(value, np.float32)) for value in (0, 6))
        return self._node("Clip", (x, low, high))

    @override
    def add(self, x: str, y: str) -> str:
        return self._node("Add", (x, y))

    @override
    def pool(self, x: str) -> str:
        return self._node("AveragePool", (x,), kernel_shape=[2, 2], strides=[2, 2])

    @override
    def up(self, x: str) -> str:
        scales = self._constant(np.array([1, 1, 2, 2], np.float32))
        return self._node("Resize", (x, "", scales), mode="linear", coordinate_transformation_mode="half_pixel")

    @override
    def drop(self, x: str) -> str:
        return x

    def _weight(self, weight: NDArray[np.float32]) -> str:
        if weight.size < _SMALL:
            return self._constant(weight)
        scale, steps = quantised(weight)
        zero = np.zeros(len(weight), np.int8)
        return self._node("DequantizeLinear", tuple(self._constant(part) for part in (steps, scale, zero)), axis=0)

    def _constant(self, values: NDArray[Any]) -> str:
        name = f"c{len(self.constants)}"
        self.constants.append(numpy_helper.from_array(np.ascontiguousarray(values), name))
        return name

    def _node(self, kind: str, inputs: tuple[str, ...], **attributes: Any) -> str:
        name = f"n{len(self.nodes)}"
        self.nodes.append(helper.make_node(kind, inputs, [name], **attributes))
        return name


def quantised(weight: NDArray[np.float32]) -> tuple[NDArray[np.float32], NDArray[np.int8]]:
    """Return each output channel's scale and its weights in steps of it, -127 to 127."""
    most = np.abs(weight).reshape(len(weight), -1).max(axis=1)
    scale = np.asarray(np.where(most > 0, most, 1) / 127, np.float32)
    return scale, np.round(weight / scale[:, None, None, None]).astype(np.int8)


def save(weights: Weights, path: Path, shape: tuple[int, int] = (288, 384)) -> None:
    """Write the file; `shape` is only what a reader assumes until it is given another picture."""
    ops = OnnxOperations(weights)
    output = late(ops, early(ops, "picture"), "places")
    height, width = shape
    cells = [height // CELL, width // CELL]
    values = [("picture", [1, 3, *shape]), ("places", [1, 4, *cells]), (output, [1, 1, *cells])]
    picture, places, looked = (helper.make_tensor_value_info(name, TensorProto.FLOAT, dims) for name, dims in values)
    graph = helper.make_graph(ops.nodes, "saliency", [picture, places], [looked], ops.constants)
    model = helper.make_model(graph, opset_imports=[helper.make_opsetid("", _OPERATORS)], ir_version=8)
    onnx.checker.check_model(model)
    path.write_bytes(model.SerializeToString(deterministic=True))
