"""The review reel of a 20-minute film of 80 slots: every edge in place, sound in step; memory; and against moviepy.

Run alone: `python -m benchmarks reel_ratio`, or one part of it: `python -c "from benchmarks.reel_ratio import ..."`.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from moviepy import CompositeVideoClip, VideoFileClip

from benchmarks.reel_film import (
    PAL,
    SLOT,
    SOUND,
    click_offset,
    numbers_in,
    plan_of,
    slot,
    sound_of,
    write_clips,
    write_film,
)
from benchmarks.render_ratio import seconds
from benchmarks.table import Row
from kenburns.deliver.reel import make_reel
from kenburns.deliver.reel_file import ENCODING
from kenburns.motion.geometry import Size
from kenburns.plan.document import Plan

HOUR = 90_000  # frames of 25 a second
MINUTE = 1500
TINY, SMALL, LARGE = Size(128, 72), Size(320, 180), Size(1280, 720)
HANDLES = 5
ROUNDS = 2

_CHILD = """
import sys
from pathlib import Path
from benchmarks.reel_ratio import LARGE, film
from kenburns.deliver.reel import make_reel
folder, minutes = Path(sys.argv[1]), int(sys.argv[2])
plan = film(folder, minutes, LARGE, made=True).plan
make_reel(plan, folder / "out", folder / "rough.mp4", folder / "reel.mp4", burn_in=True)
# Not getrusage: its peak begins with that of the process that started this one.
peak = next(line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM"))
print(int(peak.split()[1]) * 1024 / 1e9)
"""


@dataclass(frozen=True, slots=True)
class Made:
    """A film's plan, the folder of its clips, and its rough cut."""

    plan: Plan
    out: Path
    rough: Path


def measure() -> Iterator[Row]:
    yield from whole_film()
    yield from long_film()
    yield from against_moviepy()
    yield from memory()


def film(folder: Path, minutes: int, frame: Size, *, made: bool = False, timecode: str = "01:00:00:00") -> Made:
    """Write a film with four slots a minute, clips with handles, clicks every second; or name one that is there."""
    starts = (start + minute * MINUTE for minute in range(minutes) for start in (50, 450, 833, 1211))
    slots = [slot(f"{i:03}", HOUR + start, 100 + i % 37) for i, start in enumerate(starts, start=1)]
    plan = plan_of(slots, frame=frame, handles=HANDLES)
    rough = folder / "rough.mp4"
    if not made:
        write_clips(plan, folder / "out")
        clicks = [second * SOUND for second in range(minutes * 60)]
        write_film(rough, range(minutes * MINUTE), size=frame, clicks=clicks, timecode=timecode)
    return Made(plan, folder / "out", rough)


def whole_film(minutes: int = 20) -> Iterator[Row]:
    with tempfile.TemporaryDirectory() as name:
        made = film(Path(name), minutes, SMALL)
        reel = Path(name) / "reel.mp4"
        took = seconds(lambda: reel_of(made, reel))
        count = f"{minutes} minutes of {len(made.plan.slots)} slots"
        yield Row(f"{count}: edges of slots out of place", [wrong_edges(made.plan, numbers_in(reel))], "<= 0")
        sound, last = sound_of(reel), minutes * 60 - 1
        late = [abs(click_offset(sound, second * SOUND)) / float(SOUND / PAL) for second in (0, 1, last - 1, last)]
        yield Row(f"{count}: sound's offset at start and end, frames", late, "<= 1")
        yield Row(f"{count}, {SMALL}: film time / time taken", [minutes * 60 / took], ">= 1")


def long_film(minutes: int = 60) -> Iterator[Row]:
    """Measure the sound alone: an hour has more pictures than their numbers count."""
    with tempfile.TemporaryDirectory() as name:
        made = film(Path(name), minutes, TINY)
        reel = Path(name) / "reel.mp4"
        reel_of(made, reel)
        sound, last = sound_of(reel), minutes * 60 - 1
        late = [abs(click_offset(sound, second * SOUND)) / float(SOUND / PAL) for second in (0, last // 2, last)]
        yield Row(f"{minutes} minutes, {TINY}: sound's offset at start, middle and end, frames", late, "<= 1")


def reel_of(made: Made, reel: Path) -> None:
    make_reel(made.plan, made.out, made.rough, reel, start=HOUR)


def wrong_edges(plan: Plan, numbers: list[int]) -> int:
    """Return how many slots' first and last frames, and rough cut's frames beside them, are not where they belong."""
    wrong = 0
    for place, each in enumerate(plan.slots, start=1):
        first, last = each.start - HOUR, each.start - HOUR + each.frames - 1
        own = place * SLOT + plan.handles
        due = {first - 1: first - 1, first: own, last: own + each.frames - 1, last + 1: last + 1}
        wrong += sum(numbers[at] != number for at, number in due.items())
    return wrong


def against_moviepy(rounds: int = ROUNDS) -> Iterator[Row]:
    with tempfile.TemporaryDirectory() as name:
        made = film(Path(name), 1, LARGE, timecode="")  # moviepy 2.1 opens no file with a timecode track
        reel, composed = Path(name) / "reel.mp4", Path(name) / "composed.mp4"
        values = [
            seconds(lambda: moviepys(made, composed)) / seconds(lambda: reel_of(made, reel)) for _ in range(rounds)
        ]
        yield Row(f"reel composed in moviepy / reel, 1 minute, {LARGE}, same settings", values, ">= 1")
        yield Row("edges out of place in moviepy's", [wrong_edges(made.plan, numbers_in(composed))], ">= 0")


def moviepys(made: Made, out: Path) -> None:
    layers = [VideoFileClip(str(made.rough))]
    for each in made.plan.slots:
        whole = VideoFileClip(str(made.out / each.file))
        clip = whole.subclipped(HANDLES / 25, (HANDLES + each.frames) / 25)
        layers.append(clip.with_start((each.start - HOUR) / 25))
    options = dict(ENCODING.options)
    film_of_layers = CompositeVideoClip(layers)
    film_of_layers.write_videofile(
        str(out),
        fps=25,
        codec=ENCODING.encoder,
        preset=options["preset"],
        audio_codec="aac",
        audio_bitrate="96k",
        ffmpeg_params=["-crf", options["crf"], "-g", "50", "-pix_fmt", ENCODING.pixel_format],
        logger=None,
    )
    for layer in (film_of_layers, *layers):
        layer.close()


def memory() -> Iterator[Row]:
    with tempfile.TemporaryDirectory() as name:
        peaks = [peak(Path(name) / str(minutes), minutes) for minutes in (1, 4)]
        yield Row(f"peak memory of a 1-minute reel, {LARGE}, burn-in", peaks[:1], "", " GB")
        yield Row("memory of a 4-minute reel / of a 1-minute reel", [peaks[1] / peaks[0]], "<= 1.05")


def peak(folder: Path, minutes: int) -> float:
    folder.mkdir()
    film(folder, minutes, LARGE)
    words = [sys.executable, "-c", _CHILD, str(folder), str(minutes)]
    return float(subprocess.run(words, check=True, capture_output=True, text=True).stdout)
