"""Reels are read back picture by picture: every one carries a number, so that each is known by its looks alone."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from benchmarks.reel_film import (
    FRAME,
    PAL,
    SLOT,
    SOUND,
    click_offset,
    expected,
    lumas,
    numbers_in,
    plan_of,
    slot,
    sound_of,
    write_clips,
    write_film,
)
from kenburns.deliver.reel import ReelMade, make_reel
from kenburns.deliver.reel_file import samples_until
from kenburns.deliver.reel_sound import RATES
from kenburns.errors import OptionError
from kenburns.motion.geometry import Size
from kenburns.plan.document import Plan

HOUR = 90_000  # frames of 25 a second
NTSC = Fraction(30000, 1001)


@pytest.fixture(scope="module")
def minute(tmp_path_factory: pytest.TempPathFactory) -> tuple[Plan, Path, Path]:
    """Return a film of a minute with 8 slots, the second starting as the first ends; clips; and its rough cut."""
    folder = tmp_path_factory.mktemp("minute")
    starts = (0, 60, 250, 433, 650, 900, 1111, 1440)
    slots = [
        slot(f"{number:02}", HOUR + start, 60 if number < 8 else 30, kind="card" if number == 3 else "clip")
        for number, start in enumerate(starts, start=1)
    ]
    plan = plan_of(slots, handles=4)
    write_clips(plan, folder / "out")
    clicks = [second * SOUND for second in range(60)]
    rough = write_film(folder / "rough.mp4", range(1500), clicks=clicks, timecode="01:00:00:00")
    return plan, folder / "out", rough


@pytest.fixture(scope="module")
def over_rough(minute: tuple[Plan, Path, Path], tmp_path_factory: pytest.TempPathFactory) -> tuple[ReelMade, list[int]]:
    plan, out, rough = minute
    made = make_reel(plan, out, rough, tmp_path_factory.mktemp("over") / "reel.mp4")
    return made, numbers_in(made.path)


def test_every_slots_first_and_last_frame_stand_in_place_and_their_neighbours_are_the_rough_cuts(
    minute: tuple[Plan, Path, Path], over_rough: tuple[ReelMade, list[int]]
) -> None:
    plan, numbers = minute[0], over_rough[1]
    for place, each in enumerate(plan.slots, start=1):
        first, last = each.start - HOUR, each.start - HOUR + each.frames - 1
        assert numbers[first] == place * SLOT + plan.handles
        assert numbers[last] == place * SLOT + plan.handles + each.frames - 1
    assert numbers[120:250] == list(range(120, 250))


def test_all_pictures_are_right_and_none_is_lost_or_added(
    minute: tuple[Plan, Path, Path], over_rough: tuple[ReelMade, list[int]]
) -> None:
    made, numbers = over_rough
    assert numbers == expected(minute[0], range(1500), HOUR)
    assert (made.start, made.frames, made.sound, made.remarks) == (HOUR, 1500, True, ())
    assert made.shown == tuple(f"{number:02}" for number in range(1, 9))


def test_sound_is_in_step_at_start_and_end(over_rough: tuple[ReelMade, list[int]]) -> None:
    sound = sound_of(over_rough[0].path)
    frame = SOUND / PAL
    assert [abs(click_offset(sound, second * SOUND)) < frame / 10 for second in (0, 1, 30, 58, 59)] == [True] * 5
    assert abs(len(sound) - 60 * SOUND) < frame


@pytest.mark.parametrize("rate", [Fraction(24000, 1001), Fraction(25), NTSC, Fraction(60)], ids=str)
@pytest.mark.parametrize("samples_a_second", RATES)
def test_sound_is_within_half_a_sample_of_the_picture_over_an_hour(rate: Fraction, samples_a_second: int) -> None:
    # In exact fractions, at the end of pictures all through an hour; 97 is prime, so that every phase comes.
    last = int(3600 * rate)
    for pictures in (*range(100), *range(100, last, 97), last):
        ahead = Fraction(samples_until(pictures, rate, samples_a_second), samples_a_second) - pictures / rate
        assert abs(ahead) <= Fraction(1, 2 * samples_a_second)


def test_the_same_film_gives_the_same_bytes(
    minute: tuple[Plan, Path, Path], over_rough: tuple[ReelMade, list[int]], tmp_path: Path
) -> None:
    again = make_reel(*minute, tmp_path / "reel.mp4")
    assert again.path.read_bytes() == over_rough[0].path.read_bytes()


def test_the_file_is_h264_and_aac_and_says_where_the_film_begins(over_rough: tuple[ReelMade, list[int]]) -> None:
    with av.open(str(over_rough[0].path)) as file:
        video, sound = file.streams.video[0], file.streams.audio[0]
        context = video.codec_context
        # H.273, tables 2 to 4: code 1 is BT.709; range 1 is narrow.
        tags = (context.color_primaries, context.color_trc, context.colorspace, context.color_range)
        assert (context.name, context.pix_fmt, sound.codec_context.name) == ("h264", "yuv420p", "aac")
        assert (video.average_rate, video.frames, tags) == (PAL, 1500, (1, 1, 1, 1))
        assert video.metadata["timecode"] == "01:00:00:00"
        assert file.metadata["title"] == "Salt and Linen"


def test_black_with_the_rough_cuts_sound_alone(minute: tuple[Plan, Path, Path], tmp_path: Path) -> None:
    plan, out, rough = minute
    made = make_reel(plan, out, rough, tmp_path / "reel.mp4", picture_from_rough=False)
    pictures = list(lumas(made.path))
    assert len(pictures) == 1500
    assert max(float(pictures[at].max()) for at in (120, 249, 310, 1439, 1499)) <= 20  # 16 is black
    assert float(pictures[1440].max()) > 190
    assert abs(click_offset(sound_of(made.path), 59 * SOUND)) < SOUND / PAL


def test_without_a_rough_cut_the_reel_is_silent_and_ends_with_the_last_slot(
    minute: tuple[Plan, Path, Path], tmp_path: Path
) -> None:
    plan, out, _ = minute
    few = plan.model_copy(update={"slots": plan.slots[:2]})
    made = make_reel(few, out, None, tmp_path / "reel.mp4", start=HOUR - 10)
    assert (made.start, made.frames, made.sound) == (HOUR - 10, 130, False)
    numbers = numbers_in(made.path)
    assert numbers == [-1] * 10 + expected(few, [0] * 120, HOUR)
    with av.open(str(made.path)) as file:
        assert not file.streams.audio


def test_a_rough_cut_at_twice_the_rate_gives_every_second_picture(tmp_path: Path) -> None:
    plan = plan_of([slot("01", 10, 10)])
    write_clips(plan, tmp_path / "out")
    rough = write_film(tmp_path / "rough.mp4", range(80), rate=PAL * 2, timecode="00:00:00:00")
    made = make_reel(plan, tmp_path / "out", rough, tmp_path / "reel.mp4")
    assert numbers_in(made.path) == expected(plan, range(0, 80, 2), 0)


def test_a_rough_cut_at_half_the_rate_gives_every_picture_twice(tmp_path: Path) -> None:
    plan = plan_of([slot("01", 10, 10)], PAL * 2)
    write_clips(plan, tmp_path / "out")
    rough = write_film(tmp_path / "rough.mp4", range(30), timecode="00:00:00:00")
    made = make_reel(plan, tmp_path / "out", rough, tmp_path / "reel.mp4")
    assert numbers_in(made.path) == expected(plan, [number // 2 for number in range(60)], 0)


@pytest.mark.parametrize("suffix", ["mp4", "mkv", "mov"])
def test_a_rate_of_1001_and_drop_frame_timecode_keep_every_frame_in_place(tmp_path: Path, suffix: str) -> None:
    # 00:01:00;02 is frame 1800 (SMPTE ST 12-1: the labels ;00 and ;01 of that minute are left out).
    plan = plan_of([slot("01", 1810, 20), slot("02", 1835, 15)], NTSC, drop=True)
    write_clips(plan, tmp_path / "out")
    clicks = [round(second * SOUND) for second in (0.5, 1.5)]
    rough = write_film(
        tmp_path / f"rough.{suffix}", range(60), rate=NTSC, timecode="00:01:00;02", clicks=clicks, sound_rate=44100
    )
    made = make_reel(plan, tmp_path / "out", rough, tmp_path / "reel.mp4")
    assert made.start == 1800
    assert numbers_in(made.path) == expected(plan, range(60), 1800)
    assert [abs(click_offset(sound_of(made.path), click)) < 150 for click in clicks] == [True, True]


def test_a_rough_cut_of_another_size_is_shown_whole_in_the_middle_of_black(tmp_path: Path) -> None:
    plan = plan_of([slot("01", 5, 5)])
    write_clips(plan, tmp_path / "out")
    rough = write_film(tmp_path / "rough.mp4", range(20), size=Size(640, 480), timecode="00:00:00:00")
    made = make_reel(plan, tmp_path / "out", rough, tmp_path / "reel.mp4")
    assert numbers_in(made.path, (40, 0, 240, 180))[:5] == [0, 1, 2, 3, 4]  # 4:3 in 320x180 is 240x180
    first = next(lumas(made.path))
    assert max(int(first[:, :36].max()), int(first[:, -36:].max())) <= 20
    assert numbers_in(made.path)[5:10] == [SLOT + frame for frame in range(5)]


def test_oblong_pixels_of_a_rough_cut_are_shown_at_their_true_shape(tmp_path: Path) -> None:
    # 720x576 with pixels of 64:45 is 1024x576, which is 16:9 (Rec. ITU-R BT.601 rasters; ratio in common use).
    plan = plan_of([slot("01", 5, 5)])
    write_clips(plan, tmp_path / "out")
    rough = write_film(
        tmp_path / "rough.mp4", range(8), size=Size(720, 576), aspect=Fraction(64, 45), timecode="00:00:00:00"
    )
    made = make_reel(plan, tmp_path / "out", rough, tmp_path / "reel.mp4")
    first = next(lumas(made.path))
    assert first.shape == (FRAME.height, FRAME.width)
    assert float(first[120:, :4].mean()) > 90  # grey to the very edge
    assert numbers_in(made.path)[:5] == [0, 1, 2, 3, 4]


def test_the_timecode_in_the_rough_cut_comes_before_the_start_given_and_can_be_distrusted(tmp_path: Path) -> None:
    plan = plan_of([slot("01", HOUR + 5, 5)])
    write_clips(plan, tmp_path / "out")
    rough = write_film(tmp_path / "rough.mp4", range(20), timecode="00:59:59:20")
    trusted = make_reel(plan, tmp_path / "out", rough, tmp_path / "a.mp4", start=HOUR)
    told = make_reel(plan, tmp_path / "out", rough, tmp_path / "b.mp4", start=HOUR, trust_timecode=False)
    assert (trusted.start, told.start) == (HOUR - 5, HOUR)
    assert numbers_in(trusted.path)[10] == numbers_in(told.path)[5] == SLOT


def test_without_any_timecode_the_full_hour_is_taken_and_said(tmp_path: Path) -> None:
    plan = plan_of([slot("01", HOUR + 5, 5)])
    write_clips(plan, tmp_path / "out")
    rough = write_film(tmp_path / "rough.mp4", range(20))
    made = make_reel(plan, tmp_path / "out", rough, tmp_path / "reel.mp4")
    assert made.start == HOUR
    assert made.remarks == (
        "rough cut 'rough.mp4' carries no timecode; its first frame is taken to be at 01:00:00:00",
        "rough cut 'rough.mp4' has no sound; the reel is silent",
    )


def test_files_that_are_missing_or_not_as_planned_are_left_out_and_named(tmp_path: Path) -> None:
    plan = plan_of([slot("01", 0, 5), slot("02", 5, 5), slot("03", 10, 5)])
    out = tmp_path / "out"
    write_clips(plan, out)
    (out / "01.mp4").unlink()
    write_film(out / "02.mp4", range(4))
    rough = write_film(tmp_path / "rough.mp4", range(20), timecode="00:00:00:00", clicks=[])
    made = make_reel(plan, out, rough, tmp_path / "reel.mp4")
    assert made.shown == ("03",)
    assert made.remarks == (
        "slot '01': '01.mp4' is not there and is not shown; make it first",
        "slot '02': '02.mp4' has 320x180 px, 25 frames a second and 4 frames, the plan 320x180 px, 25 frames a second "
        "and 5 frames; it is not shown: make it again",
    )
    assert numbers_in(made.path)[:11] == [*range(10), 3 * SLOT]


def test_progress_counts_every_frame(tmp_path: Path) -> None:
    plan = plan_of([slot("01", 2, 5)])
    write_clips(plan, tmp_path / "out")
    told: list[tuple[int, int]] = []
    make_reel(plan, tmp_path / "out", None, tmp_path / "reel.mp4", progress=lambda *both: told.append(both))
    assert told == [(number, 7) for number in range(1, 8)]


def test_a_reel_is_replaced_and_nothing_else_is(tmp_path: Path) -> None:
    plan = plan_of([slot("01", 0, 5)])
    write_clips(plan, tmp_path / "out")
    target = tmp_path / "reel.mp4"
    make_reel(plan, tmp_path / "out", None, target)
    make_reel(plan, tmp_path / "out", None, target)
    clip = tmp_path / "out" / "01.mp4"
    was = clip.read_bytes()
    with pytest.raises(OptionError, match=r"01.mp4' is there and is no reel made by this tool"):
        make_reel(plan, tmp_path / "out", None, clip)
    assert clip.read_bytes() == was


def test_the_levels_of_a_rough_cut_without_a_clip_on_it_are_kept(
    minute: tuple[Plan, Path, Path], tmp_path: Path
) -> None:
    plan, out, rough = minute
    made = make_reel(plan, out, rough, tmp_path / "reel.mp4")
    pictures = zip(lumas(rough), lumas(made.path), strict=True)
    apart = [float(np.abs(a.astype(int) - b).mean()) for at, (a, b) in enumerate(pictures) if 120 <= at < 250]
    assert max(apart) < 1.5
