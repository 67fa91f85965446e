from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from benchmarks.reel_film import (
    PAL,
    SOUND,
    click_offset,
    plan_of,
    slot,
    sound_of,
    write_clips,
    write_film,
    write_sound,
)
from kenburns.deliver.reel import make_reel
from kenburns.errors import OptionError, RenderError
from kenburns.plan.document import Plan


@pytest.fixture
def small(tmp_path: Path) -> tuple[Plan, Path]:
    plan = plan_of([slot("01", 0, 5)])
    write_clips(plan, tmp_path / "out")
    return plan, tmp_path / "out"


@pytest.mark.parametrize("rate", [Fraction(24), Fraction(30), Fraction(24000, 1001)])
def test_a_rate_without_an_exact_conversion_is_refused_with_those_that_would_work(
    small: tuple[Plan, Path], tmp_path: Path, rate: Fraction
) -> None:
    rough = write_film(tmp_path / "rough.mp4", range(10), rate=rate)
    with pytest.raises(OptionError, match=r"rough cut 'rough.mp4' runs at .* needs 25, or a whole multiple .* 50"):
        make_reel(*small, rough, tmp_path / "reel.mp4")
    assert not (tmp_path / "reel.mp4").exists()


def test_24_and_24000_1001_are_not_taken_for_each_other(tmp_path: Path) -> None:
    plan = plan_of([slot("01", 0, 5)], Fraction(24))
    write_clips(plan, tmp_path / "out")
    rough = write_film(tmp_path / "rough.mp4", range(240), rate=Fraction(24000, 1001))
    with pytest.raises(OptionError, match=r"23\.976 \(24000/1001\)"):
        make_reel(plan, tmp_path / "out", rough, tmp_path / "reel.mp4")


def test_what_is_no_film_is_refused(small: tuple[Plan, Path], tmp_path: Path) -> None:
    text = tmp_path / "rough.txt"
    text.write_text("three minutes of harbour")
    for path in (text, tmp_path / "nowhere.mp4", tmp_path):
        with pytest.raises(OptionError, match=r"rough cut '.*' cannot be read: .*; give an exported film file"):
            make_reel(*small, path, tmp_path / "reel.mp4")


def test_a_rough_cut_elsewhere_in_the_film_is_refused_with_both_stretches(
    small: tuple[Plan, Path], tmp_path: Path
) -> None:
    rough = write_film(tmp_path / "rough.mp4", range(25), timecode="10:00:00:00")
    with pytest.raises(OptionError, match=r"10:00:00:00 to 10:00:01:00; the slots run from 00:00:00:00 to 00:00:00:05"):
        make_reel(*small, rough, tmp_path / "reel.mp4")


@pytest.mark.parametrize(
    ("target", "words"),
    [
        ("reel.mov", "'reel.mp4' would be"),
        ("nowhere/reel.mp4", "there is no folder"),
        ("rough.mp4", "rough cut itself"),
    ],
)
def test_a_target_that_cannot_be_is_refused(small: tuple[Plan, Path], tmp_path: Path, target: str, words: str) -> None:
    rough = write_film(tmp_path / "rough.mp4", range(10))
    was = rough.read_bytes()
    with pytest.raises(OptionError, match=words):
        make_reel(*small, rough, tmp_path / target)
    assert rough.read_bytes() == was


def test_a_plan_without_clips_made_is_refused(tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    with pytest.raises(OptionError, match="make the clips first"):
        make_reel(plan_of([slot("01", 0, 5)]), tmp_path / "out", None, tmp_path / "reel.mp4")
    with pytest.raises(OptionError, match="the plan has no slot"):
        make_reel(plan_of([]), tmp_path / "out", None, tmp_path / "reel.mp4")


def test_a_clip_that_breaks_off_leaves_the_reel_there_was(tmp_path: Path) -> None:
    # Matroska does not say how many frames it holds, so a clip that is too short is found only on the way.
    plan = plan_of([slot("01", 0, 20, file="01.mkv")])
    out = tmp_path / "out"
    out.mkdir()
    write_film(out / "01.mkv", range(20))
    target = tmp_path / "reel.mp4"
    make_reel(plan, out, None, target)
    was = target.read_bytes()
    write_film(out / "01.mkv", range(12))
    with pytest.raises(RenderError, match=r"'01.mkv' ends 8 frames too early for slot '01'"):
        make_reel(plan, out, None, target)
    assert target.read_bytes() == was
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out", "reel.mp4"]


def test_a_label_that_is_no_timecode_is_refused(small: tuple[Plan, Path], tmp_path: Path) -> None:
    rough = write_film(tmp_path / "rough.mkv", range(10), timecode="five past ten")
    with pytest.raises(OptionError, match=r"rough cut 'rough.mkv': timecode 'five past ten' is not HH:MM:SS:FF"):
        make_reel(*small, rough, tmp_path / "reel.mp4")


def test_sound_alone_is_refused_as_a_picture_and_taken_as_sound(small: tuple[Plan, Path], tmp_path: Path) -> None:
    rough = write_sound(tmp_path / "rough.wav", [SOUND // 2], SOUND)
    with pytest.raises(OptionError, match=r"'rough.wav' has no picture, only sound"):
        make_reel(*small, rough, tmp_path / "reel.mp4")
    made = make_reel(*small, rough, tmp_path / "reel.mp4", picture_from_rough=False)
    assert made.frames == PAL
    assert abs(click_offset(sound_of(made.path), SOUND // 2)) < 100
