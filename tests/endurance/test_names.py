"""Slots and photographs of any name are made, each to a file of its own, and nothing lies outside the out folder."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from kenburns.cutlist.ids import id_of
from kenburns.job import make

Draw = Callable[..., Path]

SLOTS = [
    *("../../outside", "/tmp/outside", ".", "..", "C:\\x", "a/b", "a\\b", "CON", "nul.txt", "12.", "~", "-rf", "50%"),
    *("%2F", 'say "so"', "it's", "two\nlines", "what?*<>|", "图版", "लेख", "می‌خواهم", "🖼", "é", "a b", "x" * 300),
]


@pytest.mark.xdist_group("endurance")
def test_slots_of_any_name_have_files_of_their_own_from_which_the_name_can_be_read(
    tmp_path: Path, photograph: Draw, decode: Callable[[Path], object]
) -> None:
    root = tmp_path / "one" / "two" / "film"
    stills = ['sea "one".png', "it's.png", "图版.png", "-rf.png", "a%2Fb.png"]
    for number, name in enumerate(stills):
        photograph(root / "photographs" / name, 200, 150, number)
    with (root / "cutlist.csv").open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file)
        table.writerow(["slot", "start", "length", "still"])
        table.writerows([slot, 10 * n, 3, stills[n % 7] if n % 7 < 5 else ""] for n, slot in enumerate(SLOTS))
    (root / "film.toml").write_text('[film]\nframe = "96x64"\ncodec = "review"\n')
    before = set(tmp_path.rglob("*"))
    outcome = make(root)
    assert outcome.failed == ()
    assert [entry.slot for entry in outcome.manifest.slots] == [" ".join(slot.split()) for slot in SLOTS]
    files = [entry.file for entry in outcome.manifest.slots]
    assert len({name.casefold() for name in files}) == len(SLOTS)
    for entry in outcome.manifest.slots:
        assert (root / "out" / entry.file).parent.samefile(root / "out")
        assert decode(root / "out" / entry.file)
        assert len(entry.slot) == 300 or id_of(entry.file.removesuffix(".mp4")) == entry.slot
    assert {path for path in tmp_path.rglob("*") if root / "out" not in path.parents} == before | {root / "out"}
    assert make(root).rendered == ()
    document = json.loads((root / "out" / "film.otio").read_bytes())
    assert document["OTIO_SCHEMA"] == "Timeline.1"
