"""Any picture as a frame of the reel: its size, 8 bits, BT.709, with black where the picture's shape leaves room."""

from __future__ import annotations

from fractions import Fraction

from av.video.frame import VideoFrame
from av.video.reformatter import Interpolation, VideoReformatter

from ..motion.geometry import Size
from ..render.encode import BT709, NARROW, planes

PIXEL_FORMAT = "yuv420p"
"""The one layout that all players show."""

BLACK, NEUTRAL = 16, 128
"""Rec. ITU-R BT.709-6, table 4: the 8-bit codes of black and of no colour."""

# Rec. ITU-T H.273, table 4: code 2 says that nobody said; 5 and 6 are the two matrices of Rec. ITU-R BT.601.
_UNSAID, _BT601 = 2, 5
_FULL = 2  # libavutil's code of the full range
_SD_LINES = 576  # pictures with at most so many lines are BT.601 where nothing is said (common practice)

# The numbers by which libswscale knows matrices: those of H.273 but for BT.709, of which it has 1 as well.
_SCALING = Interpolation.BICUBIC | Interpolation.ACCURATE_RND


class Fitter:
    """Fits pictures of one source into the reel's frame; a picture that fits already is handed through untouched."""

    def __init__(self, frame: Size) -> None:
        """`frame` has even sides."""
        self._frame = frame
        self._reformatter = VideoReformatter()

    def fit(self, picture: VideoFrame, pixel_aspect: Fraction = Fraction(1)) -> VideoFrame:
        """Return the picture as large as the frame holds it whole, in the middle of black.

        `pixel_aspect` is the width of the source's pixels over their height.
        """
        inner = fitted_size(Size(picture.width, picture.height), pixel_aspect, self._frame)
        if inner == Size(picture.width, picture.height) and _is_ours(picture):
            scaled = picture
        else:
            scaled = self._scaled(picture, inner)
        return scaled if inner == self._frame else _in_the_middle(scaled, self._frame)

    def _scaled(self, picture: VideoFrame, size: Size) -> VideoFrame:
        return self._reformatter.reformat(
            picture,
            size.width,
            size.height,
            PIXEL_FORMAT,
            src_colorspace=_matrix(picture),
            dst_colorspace=BT709,
            interpolation=_SCALING,
            src_color_range=_range(picture),
            dst_color_range=NARROW,
        )


def fitted_size(picture: Size, pixel_aspect: Fraction, frame: Size) -> Size:
    """Return the largest size of the picture's shape in the frame, sides even so that chroma samples stay whole."""
    width = picture.width * pixel_aspect
    scale = min(frame.width / width, Fraction(frame.height, picture.height))
    return Size(_even(width * scale, frame.width), _even(picture.height * scale, frame.height))


def black(frame: Size) -> VideoFrame:
    """Return a black frame."""
    made = VideoFrame(frame.width, frame.height, PIXEL_FORMAT)
    for samples, code in zip(planes(made), (BLACK, NEUTRAL, NEUTRAL), strict=True):
        samples[:] = code
    return made


def copy_of(frame: VideoFrame) -> VideoFrame:
    """Return a frame of the reel with memory of its own, so that it can be drawn on."""
    made = VideoFrame(frame.width, frame.height, PIXEL_FORMAT)
    for samples, copied in zip(planes(frame), planes(made), strict=True):
        copied[:] = samples
    return made


def _even(side: Fraction, most: int) -> int:
    # A picture a pixel or two short of the frame fills it: a black line would be seen, a stretch of 2 px is not.
    even = max(2 * round(side / 2), 2)
    return most if most - even <= 2 else even


def _in_the_middle(picture: VideoFrame, frame: Size) -> VideoFrame:
    made = black(frame)
    for samples, ground in zip(planes(picture), planes(made), strict=True):
        rows, columns = samples.shape
        step = frame.width // ground.shape[1]
        top = (frame.height - picture.height) // 4 * 2 // step
        left = (frame.width - picture.width) // 4 * 2 // step
        ground[top : top + rows, left : left + columns] = samples
    return made


def _is_ours(picture: VideoFrame) -> bool:
    return picture.format.name == PIXEL_FORMAT and _matrix(picture) == BT709 and _range(picture) == NARROW


def _matrix(picture: VideoFrame) -> int:
    if picture.format.is_rgb:
        return BT709
    said = int(picture.colorspace)
    if said != _UNSAID:
        return said
    return _BT601 if picture.height <= _SD_LINES else BT709


def _range(picture: VideoFrame) -> int:
    full = picture.format.is_rgb or picture.format.name.startswith("yuvj")
    return _FULL if full or int(picture.color_range) == _FULL else NARROW
