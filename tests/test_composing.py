"""A planned slot as a moviepy clip: the same frames as the file that is written."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import av
import numpy as np
import pytest

from kenburns.composing import shot_clip
from kenburns.errors import OptionError, PhotographError
from kenburns.job import Outcome, make
from kenburns.render.as_moviepy import to_rgb
from kenburns.render.encode import planes

Photo = Callable[..., Path]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory, photograph: Photo) -> tuple[Path, Outcome]:
    folder = tmp_path_factory.mktemp("film")
    photograph(folder / "sea.png", 960, 640, 1)
    (folder / "cutlist.csv").write_text("slot,start,length,wanted,shot\n01,0,9,sea,push in\n02,20,4,the ferry,\n")
    return folder, make(folder, frame="320x180", codec="archive")


@pytest.mark.parametrize(("slot", "frames"), [("01", 9), ("02", 4)])
def test_frames_are_those_of_the_lossless_file_bit_for_bit(made: tuple[Path, Outcome], slot: str, frames: int) -> None:
    folder, outcome = made
    clip = shot_clip(outcome.plan, slot, folder)
    assert (clip.size, clip.fps, clip.duration) == ((320, 180), 25, frames / 25)
    with av.open(str(outcome.out / f"{slot}.mkv")) as container:
        written = [to_rgb([np.array(plane, np.uint16) for plane in planes(f)]) for f in container.decode(video=0)]
    shown = list(clip.iter_frames(fps=25))
    assert len(shown) == len(written) == frames
    for one, other in zip(shown, written, strict=True):
        assert np.array_equal(one, other)


def test_white_black_and_a_colour_come_back_as_they_are() -> None:
    """Rec. ITU-R BT.709-6, table 4: 10-bit white is Y' 940, black 64; pure red is Y' 250.2, Cb 409.3, Cr 960."""
    codes = [
        np.array([[940, 64, 250]], np.uint16),
        np.array([[512, 512, 409]], np.uint16),
        np.array([[512, 512, 960]], np.uint16),
    ]
    white, black, red = to_rgb(codes)[0].tolist()
    assert (white, black) == ([255] * 3, [0] * 3)
    assert np.abs(np.array(red) - (255, 0, 0)).max() <= 1


def test_a_slot_that_is_not_there_is_refused_with_those_that_are(made: tuple[Path, Outcome]) -> None:
    with pytest.raises(OptionError, match="no slot '09'; it has 01, 02"):
        shot_clip(made[1].plan, "09", made[0])


def test_another_photograph_than_the_plans_is_refused(
    made: tuple[Path, Outcome], tmp_path: Path, photograph: Photo
) -> None:
    photograph(tmp_path / "sea.png", 960, 640, 2)
    with pytest.raises(PhotographError, match=r"'sea.png' has changed"):
        shot_clip(made[1].plan, "01", tmp_path)
