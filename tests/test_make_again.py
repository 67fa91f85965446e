"""Running again makes what changed, by content, and leaves all else as it stands."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from kenburns.deliver import manifest
from kenburns.errors import OptionError
from kenburns.job import Outcome, carry_out, make
from kenburns.prepare import Options, prepare
from kenburns.records import RECORDS_FILE, load_records

Photo = Callable[..., Path]
Listing = Callable[[Path], dict[str, str]]

SLOTS = ("01", "02", "03", "04")


def settings(folder: Path, more: str = "") -> None:
    (folder / "film.toml").write_text(f'[film]\nframe = "320x180"\ncodec = "edit"\n{more}')


def cut_list(folder: Path, starts: dict[str, int]) -> None:
    rows = ("01,{},5,,sea.png,push in", "02,{},4,,hill.png,tilt", "03,{},4,the quay,,", "04,{},4,,sea.png,hold")
    lines = [row.format(starts[row[:2]]) for row in rows]
    (folder / "cutlist.csv").write_text("\n".join(["slot,start,length,wanted,still,shot", *lines]) + "\n")


STARTS = {"01": 0, "02": 10, "03": 20, "04": 30}


@pytest.fixture(scope="session")
def made_once(tmp_path_factory: pytest.TempPathFactory, photograph: Photo) -> Path:
    folder = tmp_path_factory.mktemp("again") / "film"
    photograph(folder / "photographs" / "sea.png", 960, 640, 1)
    photograph(folder / "photographs" / "hill.png", 700, 900, 2)
    settings(folder)
    cut_list(folder, STARTS)
    assert sorted(make(folder).rendered) == list(SLOTS)
    return folder


@pytest.fixture
def film(made_once: Path, tmp_path: Path) -> Path:
    """Return a film that has been made, three clips and a card (03), for a test to change."""
    return shutil.copytree(made_once, tmp_path / "film")


def again(film: Path) -> tuple[str, ...]:
    """Make the film again; return the slots that were rendered, all others being unchanged."""
    outcome = make(film)
    assert outcome.failed == ()
    assert sorted((*outcome.rendered, *outcome.unchanged)) == list(SLOTS)
    return tuple(sorted(outcome.rendered))


def times(folder: Path) -> dict[str, int]:
    return {path.name: path.stat().st_mtime_ns for path in folder.rglob("*") if path.is_file()}


def test_a_second_run_renders_nothing_and_touches_no_file(film: Path, listing: Listing) -> None:
    before, when = listing(film), times(film)
    assert again(film) == ()
    assert listing(film) == before
    assert times(film) == when


def test_other_dates_on_the_files_render_nothing(film: Path) -> None:
    for number, path in enumerate(path for path in sorted(film.rglob("*")) if path.is_file()):
        os.utime(path, (1_000_000 + number, 2_000_000_000 - number))
    assert again(film) == ()


def test_another_photograph_under_the_same_name_renders_just_its_slots(film: Path, photograph: Photo) -> None:
    photograph(film / "photographs" / "sea.png", 960, 640, 7)
    assert again(film) == ("01", "04")
    photograph(film / "photographs" / "hill.png", 700, 900, 8)
    assert again(film) == ("02",)


def test_a_photograph_under_another_name_renders_nothing_and_the_manifest_has_the_new_name(film: Path) -> None:
    (film / "photographs" / "hill.png").rename(film / "photographs" / "hill at noon.png")
    rows = (film / "cutlist.csv").read_text().replace("hill.png", "hill at noon.png")
    (film / "cutlist.csv").write_text(rows)
    assert again(film) == ()
    manifest = json.loads((film / "out" / "manifest.json").read_bytes())
    assert [row["still"] for row in manifest["slots"]] == ["sea.png", "hill at noon.png", None, "sea.png"]


def test_moving_clips_in_time_renders_nothing_and_moving_a_card_renders_the_card(film: Path) -> None:
    cut_list(film, STARTS | {"01": 1000, "02": 500, "04": 2000})
    assert again(film) == ()
    cut_list(film, STARTS | {"03": 21})
    assert again(film) == ("03",)


def test_a_slot_put_in_before_the_others_renders_only_itself(film: Path) -> None:
    rows = (film / "cutlist.csv").read_text().splitlines()
    rows.insert(1, "00,0,4,,hill.png,pull out")
    (film / "cutlist.csv").write_text("\n".join(rows) + "\n")
    outcome = make(film)
    assert outcome.rendered == ("00",)
    assert [entry.slot for entry in outcome.manifest.slots] == ["00", *SLOTS]


@pytest.mark.parametrize(
    "change",
    ['codec = "archive"', 'frame = "256x144"', 'matte = "#202020"', "rate = 24", "handles = 2"],
)
def test_what_concerns_every_file_renders_all(film: Path, change: str) -> None:
    kept = [line for line in ('frame = "320x180"', 'codec = "edit"') if line.split()[0] != change.split(maxsplit=1)[0]]
    (film / "film.toml").write_text("\n".join(["[film]", *kept, change]) + "\n")
    assert again(film) == SLOTS


def test_clips_and_cards_that_an_earlier_renderer_made_are_made_anew(
    film: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(manifest, "RENDERER", manifest.RENDERER + 1)
    assert again(film) == SLOTS


@pytest.mark.parametrize("change", [{"version": 2}, {"made_by": "kenburns 0"}])
def test_what_an_earlier_release_knew_of_photographs_counts_for_nothing(film: Path, change: dict[str, Any]) -> None:
    file = film / "out" / RECORDS_FILE
    document = json.loads(file.read_text())
    assert document["looks"]
    assert all(load_records(film / "out").look(key) for key in document["looks"])
    file.write_text(json.dumps(document | change))
    assert not any(load_records(film / "out").look(key) for key in document["looks"])
    assert again(film) == ()


def test_another_move_for_one_slot_renders_that_slot(film: Path) -> None:
    settings(film, '[slots."02"]\nshot = "pan"\n')
    assert again(film) == ("02",)


def test_a_file_lost_or_cut_short_is_made_again_as_it_was(film: Path, listing: Listing) -> None:
    before = listing(film / "out")
    (film / "out" / "01.mov").unlink()
    content = (film / "out" / "03.mov").read_bytes()
    (film / "out" / "03.mov").write_bytes(content[: len(content) // 2])
    assert again(film) == ("01", "03")
    assert listing(film / "out") == before


@pytest.mark.parametrize("name", ["plan.json", "sheet.html", "sheet.png", "paths/01.csv"])
def test_a_document_that_was_lost_is_written_again_without_rendering(film: Path, listing: Listing, name: str) -> None:
    before = listing(film / "out")
    (film / "out" / name).unlink()
    assert again(film) == ()
    assert listing(film / "out") == before


def test_details_set_by_hand_for_a_held_still_are_drawn_on_the_sheet(film: Path) -> None:
    before = (film / "out" / "sheet.png").read_bytes()
    settings(film, '[stills."sea.png"]\ndetails = [[10, 10, 320, 180]]\n[slots."01"]\nshot = "hold"\n')
    make(film)
    drawn = (film / "out" / "sheet.png").read_bytes()
    assert drawn != before
    settings(film, '[stills."sea.png"]\ndetails = [[600, 400, 320, 180]]\n[slots."01"]\nshot = "hold"\n')
    assert again(film) == ()
    assert (film / "out" / "sheet.png").read_bytes() != drawn


def test_originals_keep_every_byte_and_their_dates(film: Path, listing: Listing) -> None:
    before, when = listing(film / "photographs"), times(film / "photographs")
    settings(film, "handles = 1\n")
    make(film)
    assert listing(film / "photographs") == before
    assert times(film / "photographs") == when


def swapped(film: Path, photograph: Photo) -> Outcome:
    """Make the film while somebody exchanges a photograph between planning and rendering."""
    (film / "out" / "02.mov").unlink()
    shutil.rmtree(film / "out")
    prepared = prepare(film, Options())
    photograph(film / "photographs" / "sea.png", 960, 640, 9)
    return carry_out(prepared)


def test_a_photograph_exchanged_while_the_film_is_made_fails_its_slots_alone(film: Path, photograph: Photo) -> None:
    outcome = swapped(film, photograph)
    why = "'sea.png' has changed since the plan was made; run again"
    assert outcome.failed == (f"slot '01': {why}", f"slot '04': {why}")
    assert outcome.attention[:2] == outcome.failed
    assert sorted(outcome.rendered) == ["02", "03"]
    assert [entry.slot for entry in outcome.manifest.slots] == ["02", "03"]
    assert not list((film / "out").rglob("*.part"))
    assert again(film) == ("01", "04")


def test_a_run_broken_off_goes_on_where_it_was(film: Path) -> None:
    shutil.rmtree(film / "out")

    def break_off(slot: str, done: int, _total: int) -> None:
        if (slot, done) == ("02", 2):
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        make(film, progress=break_off)
    finished = {path.name for path in (film / "out").glob("*.mov")}
    assert "02.mov" not in finished
    assert not list((film / "out").rglob("*.part"))
    assert {f"{slot}.mov" for slot in SLOTS} - {f"{slot}.mov" for slot in again(film)} <= finished


def test_a_strangers_file_is_never_replaced_whatever_its_name(film: Path, listing: Listing) -> None:
    for name in ("01.mov", "plan.json", "sheet.png", "paths/02.csv"):
        shutil.rmtree(film / "out")
        (film / "out" / "paths").mkdir(parents=True)
        (film / "out" / name).write_text("somebody's own")
        before = listing(film)
        with pytest.raises(OptionError, match=name.replace(".", r"\.")):
            make(film)
        assert listing(film) == before


def test_other_files_in_the_out_folder_stay(film: Path) -> None:
    (film / "out" / "notes.txt").write_text("do not lose")
    (film / "out" / "paths" / "mine.csv").write_text("1,2")
    settings(film, "handles = 1\n")
    assert again(film) == SLOTS
    assert (film / "out" / "notes.txt").read_text() == "do not lose"
    assert (film / "out" / "paths" / "mine.csv").read_text() == "1,2"


def test_slots_and_photographs_named_by_hand_that_are_not_there_are_told(film: Path) -> None:
    settings(film, '[stills."see.png"]\ncredit = "A. Name"\n[slots."1"]\nshot = "pan"\n')
    remarks = prepare(film, Options()).remarks
    assert "'film.toml', [slots.\"1\"]: no slot has that name" in remarks
    assert "'film.toml', [stills.\"see.png\"]: no photograph has that name" in remarks


def test_headers_read_leniently_are_reported(film: Path) -> None:
    rows = (film / "cutlist.csv").read_text().replace("start,length,wanted", "TC in,dur,picture")
    (film / "cutlist.csv").write_text(rows.replace("shot\n", "shot,colour\n"))
    remarks = [line for line in prepare(film, Options()).remarks if line.startswith("cut list")]
    assert remarks == [
        "cut list: column 'TC in' is read as start",
        "cut list: column 'dur' is read as length",
        "cut list: column 'picture' is read as wanted",
        "cut list: column 'colour' is not used",
    ]


def test_what_is_wrong_in_the_works_list_is_told(film: Path) -> None:
    (film / "works.csv").write_text("title,height cm,width cm,file\nThe Sea,tall,90,sea.png\n")
    problems = prepare(film, Options()).problems
    assert len(problems) == 1
    assert problems[0].startswith("works list, line 2, column 'height cm': 'tall'")
