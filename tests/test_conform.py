"""Clips are found by timecode and reel: what PyAV reads in the files, what others read in list and timeline."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import av
import opentimelineio as otio
import pytest

from kenburns.job import make

Photo = Callable[..., Path]


def film(folder: Path, photograph: Photo, more: str = "") -> Path:
    photograph(folder / "photographs" / "sea.png", 400, 300)
    (folder / "film.toml").write_text(f'[film]\nframe = "256x144"\nhandles = 3\n{more}')
    return folder


def cut(folder: Path, start: str, name: str = "harbour-in-winter") -> None:
    rows = f"{name},{start},20,the sea,sea.png,hold\n2,02:00:00:00,20,the quay,,\n"
    (folder / "cutlist.csv").write_text(f"slot,start,length,wanted,still,shot\n{rows}")


def told(path: Path) -> tuple[str | None, str | None]:
    """Return timecode and reel as the file has them."""
    with av.open(str(path)) as clip:
        everything = {**clip.metadata}
        for stream in clip.streams:
            everything |= stream.metadata
    lower = {key.lower(): value for key, value in everything.items()}
    return lower.get("timecode"), lower.get("reel_name")


@pytest.mark.parametrize(("codec", "extension"), [("edit", "mov"), ("archive", "mkv"), ("review", "mp4")])
def test_a_clip_begins_at_its_slots_timecode_less_the_handles(
    tmp_path: Path, photograph: Photo, codec: str, extension: str
) -> None:
    """01:00:10:00 less three frames at 25 a second is 01:00:09:22 (SMPTE ST 12-1)."""
    cut(film(tmp_path, photograph), "01:00:10:00", "1")
    make(tmp_path, codec=codec)
    timecode, reel = told(tmp_path / "out" / f"1.{extension}")
    assert timecode == "01:00:09:22"
    assert reel == ("1" if extension != "mp4" else None)  # ISO base media has no field for a reel
    assert told(tmp_path / "out" / f"2.{extension}")[0] == "01:59:59:22"


def test_a_moved_slot_keeps_its_file_and_is_found_in_it_at_the_files_own_timecode(
    tmp_path: Path, photograph: Photo
) -> None:
    cut(film(tmp_path, photograph), "01:00:10:00")
    make(tmp_path)
    cut(tmp_path, "01:05:00:00")
    again = make(tmp_path)
    assert "harbour-in-winter" not in again.rendered
    out = tmp_path / "out"
    assert told(out / "harbour-in-winter.mov")[0] == "01:00:09:22"
    event = next(line for line in (out / "stills.edl").read_text().splitlines() if line.startswith("001"))
    number, reel, *_, source_in, source_out, record_in, record_out = event.split()
    assert (number, len(reel)) == ("001", 8)
    assert told(out / "harbour-in-winter.mov")[1] == reel
    assert (source_in, source_out) == ("01:00:10:00", "01:00:10:20")
    assert (record_in, record_out) == ("01:05:00:00", "01:05:00:20")
    timeline = otio.adapters.read_from_file(str(out / "film.otio"), "otio_json")
    clip = next(iter(timeline.find_clips()))
    assert clip.media_reference.available_range.start_time.to_timecode() == "01:00:09:22"
    assert clip.source_range.start_time.to_timecode() == "01:00:10:00"
    assert (out / clip.media_reference.target_url).is_file()


def test_an_edit_list_drives_a_film_and_every_event_is_accounted_for(tmp_path: Path, photograph: Photo) -> None:
    film(tmp_path, photograph, '[folders]\ncut_list = "cut.edl"\ntrack = "V2"\n')
    (tmp_path / "cut.edl").write_text(
        "TITLE: SEA\nFCM: NON-DROP FRAME\n\n"
        "001  TALK     V     C        00:00:00:00 00:01:00:00 01:00:00:00 01:01:00:00\n"
        "002  AX       V2    C        00:00:00:00 00:00:01:00 01:00:05:00 01:00:06:00\n* FROM CLIP NAME: sea.png\n"
        "a line that nobody understands\n"
        "003  AX       A     C        00:00:00:00 00:00:01:00 01:00:05:00 01:00:06:00\n"
    )
    outcome = make(tmp_path)
    (slot,) = outcome.plan.slots
    assert (slot.kind, slot.start, slot.frames) == ("clip", 90_125, 25)
    assert sum("line 4" in remark or "line 8" in remark for remark in outcome.remarks) == 2
    assert any("line 7" in line for line in outcome.attention)
