"""Photographs exchanged and lost at random moments while a film is made: no clip is of two of them."""

from __future__ import annotations

import hashlib
import json
import os
import random
import shutil
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from kenburns.job import make

Draw = Callable[..., Path]

NAMES = ("0.tif", "1.tif")


def exchange(folder: Path, others: list[Path], done: threading.Event, chance: random.Random) -> None:
    """Put one or another picture in a photograph's place, or none, until it is enough."""
    while not done.is_set():
        place = folder / chance.choice(NAMES)
        if chance.random() < 0.2:
            place.unlink(missing_ok=True)
        else:
            fresh = shutil.copyfile(chance.choice(others), folder / f".{place.name}")
            os.replace(fresh, place)
        time.sleep(chance.uniform(0, 0.6))


def by_making(out: Path) -> dict[tuple[str, str], bytes]:
    """Return the clips of an out folder by slot, whose timecode is in them, and by what they are made from."""
    manifest = json.loads((out / "manifest.json").read_bytes()) if (out / "manifest.json").is_file() else {"slots": []}
    clips = (row for row in manifest["slots"] if row["kind"] == "clip")
    return {(row["slot"], row["fingerprint"]): (out / row["file"]).read_bytes() for row in clips}


@pytest.mark.xdist_group("endurance")
def test_photographs_exchanged_at_any_moment_never_give_a_clip_of_two(
    tmp_path: Path, photograph: Draw, chance: random.Random, full: bool
) -> None:
    folder = tmp_path / "photographs"
    others = [photograph(tmp_path / "others" / f"{n}.tif", 1600, 1000, n) for n in range(3)]
    folder.mkdir()
    rows = [f"{n:02d},{20 * n},3,,{NAMES[n % 2]},hold" for n in range(6)]
    (tmp_path / "cutlist.csv").write_text("\n".join(["slot,start,length,wanted,still,shot", *rows]) + "\n")
    (tmp_path / "film.toml").write_text('[film]\nframe = "320x180"\ncodec = "review"\n')
    truth: dict[tuple[str, str], bytes] = {}
    for number, picture in enumerate(others):  # what each of them gives when nobody touches it
        for name in NAMES:
            shutil.copyfile(picture, folder / name)
        make(tmp_path, out=tmp_path / f"truth-{number}")
        truth |= by_making(tmp_path / f"truth-{number}")
    made, failed = 0, 0
    for number in range(40 if full else 2):
        out, done = tmp_path / f"out-{number}", threading.Event()
        hand = threading.Thread(target=exchange, args=(folder, others, done, chance))
        hand.start()
        try:
            failed += len(make(tmp_path, out=out).failed)
        finally:
            done.set()
            hand.join()
        clips = by_making(out)
        assert {mark: hashlib.sha256(clip).hexdigest() for mark, clip in clips.items()} == {
            mark: hashlib.sha256(truth[mark]).hexdigest() for mark in clips
        }
        made += len(clips)
        shutil.rmtree(out, ignore_errors=True)
    print(f"{made} clips made, {failed} slots told of a photograph that had changed")
    assert made + failed
