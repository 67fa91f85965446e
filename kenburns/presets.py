"""Presets: frames, codecs, pacing and card looks, each a commented TOML file in the folder of its family.

A preset's name is its file's name without the ending. A film folder may hold a presets/ folder of its own, laid out
the same way; every function searches it first when it is given as `extra`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from pathlib import Path
from typing import Literal, TypeVar

from .cards.look import Look
from .errors import OptionError, PresetError
from .motion.geometry import Size
from .resources import resource_folder
from .toml_file import Table, checked, read_toml
from .values import (
    LARGEST_SIDE,
    LEAST_SIDE,
    Angle,
    Closeness,
    Colour,
    Easing,
    FilledText,
    Seconds,
    Share,
    Side,
    SomeSeconds,
    Word,
)

Family = Literal["frames", "codecs", "pacing", "cards"]

DEFAULTS: Mapping[Family, str] = {"frames": "hd", "codecs": "edit", "pacing": "steady", "cards": "plain"}

_ONE: Mapping[Family, str] = {"frames": "frame", "codecs": "codec", "pacing": "pacing", "cards": "card look"}
_SIDES = re.compile(r"([0-9]{1,6})\s*[x×*]\s*([0-9]{1,6})", re.IGNORECASE)


class Preset(Table):
    """What every preset has."""

    name: str
    """The file's name without the ending; the file itself need not say it."""
    summary: FilledText
    """One line for lists."""


class Frame(Preset):
    """The raster of the finished clips, in square pixels."""

    width: Side
    height: Side


class Codec(Preset):
    """How clips are written. Encoder, container and pixel format are libavcodec's and libavformat's names."""

    encoder: Word
    container: Word
    extension: Word
    pixel_format: Word
    options: Mapping[str, str] = {}
    dither: bool
    """Half a step of noise before rounding, against bands in soft grounds."""
    kernel: Literal["crisp", "gentle"] = "crisp"
    """How views are filtered: crisp keeps the most detail, gentle rings less at hard edges."""
    intent: Literal["relative", "perceptual"] = "relative"
    """Of colours that BT.709 cannot show: relative changes only those, perceptual makes room so that they differ."""
    smallest: tuple[int, int] = (LEAST_SIDE, LEAST_SIDE)
    """Width and height of the smallest frame the encoder takes, px."""


class Pacing(Preset):
    """How things move. Times are in seconds."""

    easing: Easing
    head: Seconds
    """The view stands still before the first move."""
    tail: Seconds
    """The view stands still after the last move."""
    rest: Seconds
    """The view stands still at each stop in between."""
    speed_seconds: Seconds
    """The fastest point takes at least this long to cross one frame width; 0: no limit."""
    shutter: Angle = 0.0
    """Degrees of the frame's time that the shutter is open, so that moves blur as filmed ones do; 0: none."""
    depth: Closeness
    """A push in without a detail ends this many times closer."""
    length: SomeSeconds
    """Of a slot where there is no cut list."""
    zoom: Closeness
    """The closeness that the resolution check asks for."""


class CardLook(Preset):
    """The file of a card look; Look itself holds the rules of contrast and size."""

    ground: Colour
    ink: Colour
    quiet: Colour
    title: Share
    body: Share
    small: Share
    typeface: FilledText
    align: Literal["left", "centre"] = "left"
    language: str = ""
    soft: float = 0.0
    drift: float = 1.0


Model = TypeVar("Model", bound=Preset)


def names(family: Family, extra: Path | None = None) -> tuple[str, ...]:
    """Return the names of all presets of a family, sorted."""
    return tuple(sorted(_files(family, extra)))


def frame_size(text: str, extra: Path | None = None) -> Size:
    """Return the frame of a preset's name, or of its sides: "hd", "1920x1080", "1920×1080".

    Raises OptionError for any other text and for sides that are odd or outside 64 to 16384 px; PresetError for a
    preset file that breaks a rule.
    """
    if sides := _SIDES.fullmatch(text.strip()):
        return _size(text, int(sides[1]), int(sides[2]))
    files = _files("frames", extra)
    if text.strip().lower() not in files:
        raise OptionError(
            f"frame '{text}' is neither a preset nor WIDTHxHEIGHT; {_choice(text, files)}, or sides such as 1920x1080"
        )
    frame = _load(Frame, "frames", text, extra)
    return Size(frame.width, frame.height)


def _size(text: str, width: int, height: int) -> Size:
    near = Size(_nearest_side(width), _nearest_side(height))
    if (near.width, near.height) != (width, height):
        raise OptionError(
            f"frame '{text}': sides are even and from {LEAST_SIDE} to {LARGEST_SIDE} px; {near} would work"
        )
    return near


def _nearest_side(side: int) -> int:
    return min(max(side + side % 2, LEAST_SIDE), LARGEST_SIDE)


def codec(name: str, extra: Path | None = None) -> Codec:
    """Return how clips are written; PresetError for an unknown name or a file that breaks a rule."""
    return _load(Codec, "codecs", name, extra)


def require_frame(chosen: Codec, frame: Size) -> None:
    """Raise OptionError where the codec's encoder takes no frame as small as this."""
    width, height = chosen.smallest
    if frame.width < width or frame.height < height:
        raise OptionError(f"frame {frame}: codec '{chosen.name}' needs at least {Size(width, height)} px")


def pacing(name: str, extra: Path | None = None) -> Pacing:
    """Return how things move; PresetError for an unknown name or a file that breaks a rule."""
    return _load(Pacing, "pacing", name, extra)


def card_look(name: str, extra: Path | None = None) -> Look:
    """Return how cards look; PresetError for an unknown name, or a file that breaks a rule of contrast or size."""
    card = _load(CardLook, "cards", name, extra)
    try:
        return Look(**card.model_dump(exclude={"name", "summary"}))
    except ValueError as wrong:
        raise PresetError(f"'{card.name}.toml': {wrong}") from None


def _load(model: type[Model], family: Family, name: str, extra: Path | None) -> Model:
    files = _files(family, extra)
    path = files.get(name.strip().lower())
    if path is None:
        raise PresetError(f"no {_ONE[family]} preset is named '{name}'; {_choice(name, files)}")
    table = read_toml(path, PresetError)
    if table.setdefault("name", path.stem) != path.stem:
        raise PresetError(f"'{path.name}', name: must be the file's own, '{path.stem}', or left out")
    return checked(model, table, path.name, PresetError)


def _files(family: Family, extra: Path | None) -> dict[str, Path]:
    # later folders win: the film's own come last
    folders = [folder / family for folder in (resource_folder("presets"), extra) if folder is not None]
    return {path.stem.lower(): path for folder in folders for path in sorted(folder.glob("*.toml"))}


def _choice(name: str, known: Iterable[str]) -> str:
    near = get_close_matches(name.strip().lower(), known, n=2, cutoff=0.5)
    meant = f"perhaps {' or '.join(near)} was meant; " if near else ""
    return f"{meant}there are {', '.join(sorted(known))}"
