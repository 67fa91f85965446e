"""One film on the desk: every change kept in film.toml, nobody's work lost, and all of it taken back again."""

from __future__ import annotations

import json
import os
import shutil
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kenburns.desk.changes import ConflictError
from kenburns.desk.session import Session
from kenburns.desk.snapshot import Snapshot
from kenburns.errors import KenburnsError
from kenburns.job import make

Listing = Callable[[Path], dict[str, str]]


def change(key: str, value: object, name: str = "01", table: str = "slots") -> dict[str, object]:
    return {"table": table, "name": name, "key": key, "value": value}


def state(snapshot: Snapshot) -> dict[str, Any]:
    document: dict[str, Any] = json.loads(snapshot.body)
    return document


def text(folder: Path) -> str:
    return (folder / "film.toml").read_text(encoding="utf-8")


@pytest.fixture
def session(film_folder: Path) -> Session:
    desk = Session(film_folder)
    desk.refresh()
    return desk


def test_a_change_is_in_the_film_file_at_once_with_comments_kept_and_in_the_plan(
    session: Session, film_folder: Path
) -> None:
    before = text(film_folder)
    now = session.edit(session.now.version, [change("shot", "tilt"), change("note", "calm")])
    assert text(film_folder) == before + '\n[slots."01"]\nshot = "tilt"\nnote = "calm"\n'
    slot = state(now)["slots"][0]
    assert (slot["shots"][0]["kind"], slot["by_hand"]["shot"], slot["note"]) == ("tilt", "tilt", "calm")


def test_stops_set_by_hand_are_the_views_planned(session: Session) -> None:
    stops = [[0, 0, 1600, 900], [300.123456789, 200.25, 640.5, 360.28125]]
    shot = state(session.edit(session.now.version, [change("stops", stops)]))["slots"][0]["shots"][0]
    planned = [[stop["x"], stop["y"], stop["width"], stop["height"]] for stop in shot["stops"]]
    assert planned == [pytest.approx(stop, abs=1e-6) for stop in stops]


@pytest.mark.parametrize(
    "asked",
    [
        change("shot", "somersault"),
        change("head", -1),
        change("stops", [[0, 0, 1]]),
        change("easing", "cubic-bezier(0, 2, 1, 1)"),
        change("pacing", "frantic"),
        change("cue", [3, 2]),
        change("outline", [[0, 0], [10, 10], [10, 0], [0, 10]], "quay.png", "stills"),
        change("note", "x" * 5_000_000),
    ],
)
def test_what_breaks_a_rule_is_refused_and_nothing_is_written(
    session: Session, film_folder: Path, listing: Listing, asked: dict[str, object]
) -> None:
    before = listing(film_folder)
    with pytest.raises(KenburnsError, match=r"'film\.toml'"):
        session.edit(session.now.version, [change("head", 1), asked])
    assert listing(film_folder) == before
    assert not state(session.refresh())["can_undo"]


def test_a_film_file_that_cannot_be_planned_by_is_put_back(
    session: Session, film_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, plan = text(film_folder), session._plan
    monkeypatch.setattr(session, "_plan", lambda: (_ for _ in ()).throw(ValueError("cannot be planned")))
    with pytest.raises(ValueError, match="cannot be planned"):
        session.edit(session.now.version, [change("shot", "tilt")])
    assert text(film_folder) == before
    monkeypatch.setattr(session, "_plan", plan)
    assert state(session.refresh())["slots"][0]["by_hand"]["shot"] is None


def test_keys_that_someone_else_has_set_meanwhile_are_kept(session: Session, film_folder: Path) -> None:
    seen = session.now.version
    theirs = text(film_folder) + '\n[slots."02"] # theirs\nhead = 1.5\n'
    (film_folder / "film.toml").write_text(theirs, encoding="utf-8")
    now = session.edit(seen, [change("shot", "tilt")])
    assert text(film_folder) == theirs + '\n[slots."01"]\nshot = "tilt"\n'
    assert [slot["by_hand"]["head"] for slot in state(now)["slots"]] == [None, 1.5, None, None]


def test_the_same_key_set_by_two_is_a_conflict_and_neither_is_lost(session: Session, film_folder: Path) -> None:
    seen = session.now.version
    theirs = text(film_folder) + '\n[slots."01"]\nshot = "hold"\n'
    (film_folder / "film.toml").write_text(theirs, encoding="utf-8")
    with pytest.raises(ConflictError, match=r"in the same place: \[slots\.\"01\"\] shot"):
        session.edit(seen, [change("shot", "tilt")])
    assert text(film_folder) == theirs
    again = session.refresh()
    assert state(again)["slots"][0]["by_hand"]["shot"] == "hold"
    session.edit(again.version, [change("shot", "tilt")])
    assert tomllib.loads(text(film_folder))["slots"]["01"]["shot"] == "tilt"


def test_two_pages_that_show_the_same_state_conflict_only_in_the_same_key(session: Session) -> None:
    seen = session.now.version
    session.edit(seen, [change("shot", "tilt")])
    session.edit(seen, [change("head", 1)])
    session.edit(seen, [change("shot", "tilt")])  # asked for already
    with pytest.raises(ConflictError):
        session.edit(seen, [change("shot", "pan")])


def test_a_state_that_nobody_remembers_cannot_be_edited_from(session: Session, film_folder: Path) -> None:
    before = text(film_folder)
    with pytest.raises(ConflictError, match="older state"):
        session.edit("0" * 24, [change("shot", "tilt")])
    with pytest.raises(ConflictError, match="older state"):
        session.edit(session.now.version, [change("shot", "tilt")]) and session.undo("0" * 24)
    assert text(film_folder) != before


def test_undo_and_redo_give_the_very_texts_back(session: Session, film_folder: Path) -> None:
    texts = [text(film_folder)]
    for value in ("tilt", None, "pan"):
        session.edit(session.now.version, [change("shot", value)])
        texts.append(text(film_folder))
    for earlier in reversed(texts[:-1]):
        now = session.undo(session.now.version)
        assert text(film_folder) == earlier
    assert (state(now)["can_undo"], state(now)["can_redo"]) == (False, True)
    for later in texts[1:]:
        session.redo(session.now.version)
        assert text(film_folder) == later
    session.undo(session.now.version)
    now = session.edit(session.now.version, [change("head", 1)])
    assert not state(now)["can_redo"]


def test_undo_leaves_what_someone_else_has_written_since(session: Session, film_folder: Path) -> None:
    first = text(film_folder)
    session.edit(session.now.version, [change("shot", "tilt")])
    theirs = text(film_folder).replace("rate = 25\n", "rate = 25 # theirs\n") + "head = 2\n"
    (film_folder / "film.toml").write_text(theirs, encoding="utf-8")
    session.undo(session.now.version)
    assert text(film_folder) == theirs.replace('shot = "tilt"\n', "")
    assert "# theirs" in text(film_folder)
    assert "# theirs" not in first


def test_undo_of_a_key_that_someone_else_has_set_since_is_a_conflict(session: Session, film_folder: Path) -> None:
    session.edit(session.now.version, [change("shot", "tilt")])
    theirs = text(film_folder).replace("tilt", "pan")
    (film_folder / "film.toml").write_text(theirs, encoding="utf-8")
    with pytest.raises(ConflictError):
        session.undo(session.now.version)
    assert text(film_folder) == theirs


def test_a_film_file_broken_by_someone_else_is_told_and_never_written_over(session: Session, film_folder: Path) -> None:
    (film_folder / "film.toml").write_text("[film\n", encoding="utf-8")
    now = session.refresh()
    assert state(now)["problems"][0].startswith("'film.toml': must be TOML")
    assert len(state(now)["slots"]) == 4
    with pytest.raises(KenburnsError, match="must be TOML"):
        session.edit(now.version, [change("shot", "tilt")])
    assert text(film_folder) == "[film\n"


def test_a_bare_folder_gets_a_film_file_by_the_first_change_that_reads_as_before(
    film_folder: Path, tmp_path: Path
) -> None:
    bare = tmp_path / "bare"
    (film_folder / "photographs").rename(bare)
    session = Session(bare)
    before = session.refresh()
    assert not (bare / "film.toml").exists()
    slot = state(before)["slots"][0]["slot"]
    now = session.edit(before.version, [change("note", "calm", slot)])
    assert tomllib.loads(text(bare)) == {"folders": {"photographs": "."}, "slots": {slot: {"note": "calm"}}}
    assert [slot["shots"] for slot in state(now)["slots"]] == [slot["shots"] for slot in state(before)["slots"]]
    session.undo(now.version)
    assert tomllib.loads(text(bare)) == {"folders": {"photographs": "."}}


def test_a_change_of_a_slot_with_another_id_in_a_new_cut_follows_it(film_folder: Path) -> None:
    (film_folder / "film.toml").write_text(text(film_folder) + '\n[slots."01"]\nhead = 1\n', encoding="utf-8")
    make(film_folder)
    cut_list = (film_folder / "cutlist.csv").read_text(encoding="utf-8")
    (film_folder / "cutlist.csv").write_text(cut_list.replace("\n01,", "\n07,"), encoding="utf-8")
    session = Session(film_folder)
    session.refresh()
    now = session.edit(session.now.version, [change("tail", 0.5, "07")])
    hand = state(now)["slots"][0]["by_hand"]
    assert (state(now)["slots"][0]["slot"], hand["head"], hand["tail"]) == ("07", 1.0, 0.5)
    make(film_folder)
    assert tomllib.loads(text(film_folder))["slots"] == {"07": {"head": 1, "tail": 0.5}}


def test_versions_change_with_the_film_and_are_told_once_each(
    film_folder: Path, photograph: Callable[..., Path]
) -> None:
    told: list[str] = []
    session = Session(film_folder, told.append)
    first = session.refresh()
    assert session.refresh().version == first.version
    photograph(film_folder / "photographs" / "late.png", 700, 500)
    second = session.refresh()
    assert [photo["name"] for photo in state(second)["photographs"]].count("late.png") == 1
    assert told == [first.version, second.version]


def test_only_the_film_file_with_its_last_version_and_the_desk_s_own_folder_are_written(
    session: Session, film_folder: Path, listing: Listing
) -> None:
    before = listing(film_folder)
    session.edit(session.now.version, [change("shot", "tilt"), change("title", "Salt", "quay.png", "stills")])
    session.refresh()
    after = listing(film_folder)
    assert {name for name in before | after if before.get(name) != after.get(name)} <= {
        "film.toml",
        ".earlier",
        ".earlier/film.1.toml",
        "out/.desk/records.json",
    }


def versions(folder: Path) -> list[str]:
    """Return the texts of film.toml that are kept, the newest first."""
    kept = sorted((folder / ".earlier").glob("film.*.toml"))
    return [path.read_text(encoding="utf-8") for path in kept]


def test_a_spell_of_editing_keeps_one_earlier_version_however_many_changes_it_has(
    session: Session, film_folder: Path
) -> None:
    first = text(film_folder)
    for number in range(7):
        session.edit(session.now.version, [change("stops", [[number, 0, 640, 360]])])
    assert versions(film_folder) == [first]
    kept, third = film_folder / ".earlier" / "film.1.toml", text(film_folder)
    os.utime(kept, (kept.stat().st_mtime - 601,) * 2)
    session.edit(session.now.version, [change("head", 1)])
    assert versions(film_folder) == [third, first]


def test_a_text_that_someone_else_wrote_is_always_kept_before_the_desk_writes(
    session: Session, film_folder: Path
) -> None:
    first = text(film_folder)
    session.edit(session.now.version, [change("head", 1)])
    theirs = text(film_folder) + "# theirs\n"
    (film_folder / "film.toml").write_text(theirs, encoding="utf-8")
    session.edit(session.now.version, [change("head", 2)])
    assert versions(film_folder) == [theirs, first]


KEYS: list[tuple[str, str, str, list[object]]] = [
    ("slots", "01", "shot", ["pan", "tilt", "hold", None]),
    ("slots", "02", "note", ["calm", 'a "b" # c', "[slots.01]", "", None]),
    ("slots", "02", "head", [0.5, 2, None]),
    ("slots", "04", "stops", [[[0, 0, 640, 360]], None]),
    ("stills", "quay.png", "credit", ["Photograph: A. Name", None]),
    ("stills", "spare.png", "square_up", [True, False, None]),
]
moves = st.lists(
    st.sampled_from(KEYS).flatmap(lambda key: st.tuples(st.just(key[:3]), st.sampled_from(key[3]))), max_size=5
)

STARTS = (
    "",
    '[film] # a film\ncodec = "review"\nframe = "640x360"\n\n[slots."02"]\nhead = 1 # calm\n# after\n',
    'slots.02.note = "x"\n[film]\nframe = "640x360"\r\n',
    '[slots]\n01 = { shot = "pan" }',
)


@pytest.fixture(scope="module")
def one_session(film_template: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Session, Path]:
    folder = Path(shutil.copytree(film_template, tmp_path_factory.mktemp("edits") / "film"))
    return Session(folder), folder


@settings(max_examples=15)
@given(start=st.sampled_from(STARTS), asked=moves)
def test_any_edits_all_taken_back_give_the_first_text(
    one_session: tuple[Session, Path], start: str, asked: list[tuple[tuple[str, str, str], object]]
) -> None:
    session, folder = one_session
    (folder / "film.toml").write_bytes(start.encode())
    session.replaced(folder)
    for (table, name, key), value in asked:
        session.edit(session.now.version, [change(key, value, name, table)])
    last = (folder / "film.toml").read_bytes()
    undone = 0
    while state(session.now)["can_undo"]:
        session.undo(session.now.version)
        undone += 1
    assert (folder / "film.toml").read_bytes() == start.encode()
    for _ in range(undone):
        session.redo(session.now.version)
    assert (folder / "film.toml").read_bytes() == last


def test_looking_ends_when_the_desk_closes_and_what_was_known_before_stays_known(
    film_folder: Path, photograph: Callable[..., Path], listing: Listing
) -> None:
    before = listing(film_folder)["out/.desk/records.json"]
    photograph(film_folder / "photographs" / "new.png", 700, 500)
    session = Session(film_folder)
    session.close()
    assert "closing" in state(session.refresh())["hint"]
    session.close()
    assert listing(film_folder)["out/.desk/records.json"] == before
    assert len(state(Session(film_folder).refresh())["photographs"]) == 5


def test_an_empty_folder_looked_at_stays_empty(tmp_path: Path, listing: Listing) -> None:
    session = Session(tmp_path)
    assert state(session.refresh())["hint"].startswith("Bring a folder of photographs")
    session.close()
    assert listing(tmp_path) == {}


def test_what_was_seen_in_a_first_looking_that_was_ended_is_kept(
    tmp_path: Path, photograph: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    photograph(tmp_path / "sea.png", 700, 500)
    session = Session(tmp_path)

    def closing(*_: object) -> None:
        session.close()
        raise KeyError("ended")

    monkeypatch.setattr("kenburns.prepare.plan_film", closing)
    assert "by a fault of this program: KeyError('ended')" in state(session.refresh())["hint"]
    assert (tmp_path / "out" / ".desk" / "records.json").is_file()
