"""A recut: what moved stays, what changed is made, what is gone is retired, and hand edits follow their slots."""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Callable, Sequence
from pathlib import Path
from types import ModuleType

import pytest

from kenburns.deliver import changeover, moving
from kenburns.errors import OptionError
from kenburns.foresight import foresee
from kenburns.job import Outcome, carry_out, make
from kenburns.plan.last import CHANGEOVER_FILE, last_plan
from kenburns.prepare import Options, prepare

Photo = Callable[..., Path]
Listing = Callable[[Path], dict[str, str]]
Row = tuple[str, int, str, str]  # slot, length, wanted, still

STILLS = ("sea.png", "hill.png", "quay.png")


def film(folder: Path, photograph: Photo, more: str = "") -> Path:
    for seed, name in enumerate(STILLS):
        photograph(folder / "photographs" / name, 400, 300, seed)
    (folder / "film.toml").write_text(f'[film]\nframe = "128x72"\ncodec = "review"\n{more}')
    return folder


def cut(folder: Path, rows: Sequence[Row], first: int = 0) -> None:
    lines, at = ["slot,start,length,wanted,still"], first
    for slot, length, wanted, still in rows:
        lines.append(f"{slot},{at},{length},{wanted},{still}")
        at += length + 3
    (folder / "cutlist.csv").write_text("\n".join(lines) + "\n")


def first_cut(count: int) -> list[Row]:
    return [(f"{n:03d}", 3, f"work {n}", STILLS[n % 3]) for n in range(count)]


def test_a_recut_of_200_slots_makes_only_the_15_that_changed_or_are_new(tmp_path: Path, photograph: Photo) -> None:
    folder, rows = film(tmp_path, photograph), first_cut(200)
    cut(folder, rows)
    assert len(make(folder).rendered) == 200
    retimed = {f"{n:03d}" for n in range(7, 200, 20)}
    gone = {f"{n:03d}" for n in range(11, 200, 40)}
    kept = [row for row in rows if row[0] not in gone]
    later = [(slot, length + 2 * (slot in retimed), wanted, still) for slot, length, wanted, still in kept]
    for n in range(5):
        later.insert(30 * n + 1, (f"new-{n}", 4, f"new work {n}", STILLS[n % 3]))
    cut(folder, later, first=1)
    foreseen = foresee(prepare(folder, Options()))
    outcome = make(folder)
    assert outcome.recut is not None
    assert set(outcome.recut.retimed) == retimed
    assert set(outcome.recut.new) == {f"new-{n}" for n in range(5)}
    assert set(outcome.recut.gone) == gone
    assert len(outcome.recut.moved) == 200 - 10 - 5
    assert set(outcome.rendered) == set(foreseen.due) == retimed | set(outcome.recut.new)
    assert len(outcome.rendered) == 15
    assert {path.stem for path in (folder / "out" / "retired").glob("*.mp4")} == gone
    assert outcome.attention == ()


def names(outcome: Outcome) -> dict[str, str]:
    return {entry.slot: entry.content_hash for entry in outcome.manifest.slots}


def test_slots_numbered_anew_keep_their_files_and_what_was_set_by_hand(tmp_path: Path, photograph: Photo) -> None:
    edits = '[slots.001] # the hill\nshot = "hold"\n[slots.002]\nnote = "slowly"\n[slots.000]\nnote = "out"\n'
    folder = film(tmp_path, photograph, edits)
    cut(folder, first_cut(4))
    before = make(folder)
    # slot 000 is taken out and all others are numbered anew: 001 is now 000, and so on
    cut(folder, [(f"{n - 1:03d}", 3, f"work {n}", STILLS[n % 3]) for n in range(1, 4)])
    after = make(folder)
    assert after.recut is not None
    assert after.recut.renamed == {"001": "000", "002": "001", "003": "002"}
    assert after.rendered == ()
    assert names(after) == {f"{n - 1:03d}": names(before)[f"{n:03d}"] for n in range(1, 4)}
    assert [path.name for path in sorted((folder / "out" / "retired").iterdir())] == ["000.csv", "000.mp4"]
    assert tomllib.loads((folder / "film.toml").read_text())["slots"] == {
        "000": {"shot": "hold"},
        "001": {"note": "slowly"},
        "000 (gone)": {"note": "out"},
    }
    assert "# the hill" in (folder / "film.toml").read_text()
    again = make(folder)
    assert (again.rendered, again.plan.slots[0].shots[0].kind) == ((), "hold")


def test_two_slots_that_change_places_change_names_and_nothing_is_made(tmp_path: Path, photograph: Photo) -> None:
    folder = film(tmp_path, photograph)
    cut(folder, [("a", 3, "work 1", "sea.png"), ("b", 3, "work 2", "hill.png")])
    before = names(make(folder))
    cut(folder, [("b", 3, "work 1", "sea.png"), ("a", 3, "work 2", "hill.png")])
    after = make(folder)
    assert after.rendered == ()
    assert names(after) == {"b": before["a"], "a": before["b"]}


def make_and_die(folder: Path, steps: int, module: ModuleType, names: Sequence[str]) -> None:
    """Make a film, and die where a module has taken so many of the steps of these names."""
    left = iter(range(steps))

    def or_die(step: Callable[..., None]) -> Callable[..., None]:
        def step_or_die(*said: object, **more: object) -> None:
            if next(left, None) is None:
                raise KeyboardInterrupt
            step(*said, **more)

        return step_or_die

    with pytest.MonkeyPatch.context() as patched:
        for name in names:
            patched.setattr(module, name, or_die(getattr(module, name)))
        with pytest.raises(KeyboardInterrupt):
            make(folder)


def test_a_run_killed_while_files_follow_their_slots_costs_no_file(tmp_path: Path, photograph: Photo) -> None:
    made = film(tmp_path / "made", photograph)
    cut(made, first_cut(4))
    make(made)
    clips = {path.name: path.read_bytes() for path in (made / "out").glob("*.mp4")}
    cut(made, [(f"{n - 1:03d}", 3, f"work {n}", STILLS[n % 3]) for n in range(1, 4)])
    for steps in range(6):  # what moves is told, one is retired, three go aside, that is told, to their names, manifest
        folder = shutil.copytree(made, tmp_path / f"killed after {steps}")
        make_and_die(folder, steps, moving, ("move_all", "write_whole", "write_manifest"))
        assert foresee(prepare(folder, Options())).due == ()
        assert make(folder).rendered == ()
        assert {path.name: path.read_bytes() for path in (folder / "out").glob("*.mp4")} == {
            f"{n - 1:03d}.mp4": clips[f"{n:03d}.mp4"] for n in range(1, 4)
        }


def test_a_changed_length_keeps_the_framing_and_the_move(tmp_path: Path, photograph: Photo) -> None:
    folder = film(tmp_path, photograph)
    cut(folder, [("a", 60, "work 1", "sea.png"), ("b", 60, "work 2", "hill.png")])
    before = make(folder)
    cut(folder, [("a", 240, "work 1", "sea.png"), ("b", 60, "work 2", "hill.png")])
    after = make(folder)
    assert after.rendered == ("a",)
    assert [shot.kind for shot in after.plan.slots[0].shots] == [shot.kind for shot in before.plan.slots[0].shots]


def test_a_dry_run_tells_all_and_writes_nothing(tmp_path: Path, photograph: Photo, listing: Listing) -> None:
    folder = film(tmp_path, photograph)
    cut(folder, first_cut(3))
    make(folder)
    cut(folder, [*first_cut(2), ("x", 5, "work 9", "sea.png")])
    before = listing(folder)
    foreseen = foresee(prepare(folder, Options()))
    assert foreseen.recut is not None
    assert (foreseen.due, foreseen.recut.gone, foreseen.recut.same) == (("x",), ("002",), ("000", "001"))
    assert listing(folder) == before


def test_a_retired_file_never_takes_the_place_of_an_earlier_one(tmp_path: Path, photograph: Photo) -> None:
    folder = film(tmp_path, photograph)
    for still in ("sea.png", "hill.png"):
        cut(folder, [("a", 3, f"work {still}", still), ("b", 3, "work", "quay.png")])
        make(folder)
        cut(folder, [("b", 3, "work", "quay.png")])
        make(folder)
    retired = {path.name for path in (folder / "out" / "retired").iterdir()}
    assert retired == {"a.mp4", "a (2).mp4", "a.csv", "a (2).csv"}


def test_another_codec_retires_the_clips_of_the_one_before(tmp_path: Path, photograph: Photo) -> None:
    folder = film(tmp_path, photograph)
    cut(folder, first_cut(1))
    make(folder)
    make(folder, codec="archive")
    assert (folder / "out" / "000.mkv").is_file()
    assert [path.name for path in (folder / "out" / "retired").iterdir()] == ["000.mp4"]


@pytest.mark.parametrize("length", [3, 60])
def test_another_delivery_has_the_same_moves_in_its_own_frame_and_folder(
    tmp_path: Path, photograph: Photo, length: int
) -> None:
    folder = film(tmp_path, photograph, '[deliveries.tall]\nframe = "72x128"\n')
    cut(folder, [(slot, length, wanted, still) for slot, _, wanted, still in first_cut(3)])
    main = make(folder)
    (tall,) = main.others
    assert tall.out == folder / "out" / "tall"
    assert (tall.plan.frame.width, tall.plan.frame.height) == (72, 128)
    assert [slot.move for slot in tall.plan.slots] == [slot.move for slot in main.plan.slots]
    assert sorted(path.name for path in tall.out.glob("*.mp4")) == ["000.mp4", "001.mp4", "002.mp4"]
    assert all(entry.smallest_scale is not None and entry.smallest_scale >= 1 for entry in tall.manifest.slots)
    assert make(folder).others[0].rendered == ()


def test_a_recut_broken_off_lets_hand_edits_follow_their_slots_once(tmp_path: Path, photograph: Photo) -> None:
    folder = film(tmp_path, photograph, '[slots.001]\nnote = "one"\n[slots.002]\nnote = "two"\n')
    cut(folder, first_cut(3))
    make(folder)
    cut(folder, [("000", 3, "work 1", STILLS[1]), ("001", 9, "work 2", STILLS[2])])

    def interrupt(_slot: str, _done: int, _total: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        make(folder, progress=interrupt)
    make(folder)
    slots = tomllib.loads((folder / "film.toml").read_text())["slots"]
    assert slots == {"000": {"note": "one"}, "001": {"note": "two"}}


def swapped(folder: Path, photograph: Photo) -> Path:
    """Make a film of three slots, two of which then change their ids; both have a note."""
    film(folder, photograph, '[slots.001]\nnote = "one"\n[slots.002]\nnote = "two"\n')
    cut(folder, first_cut(3))
    make(folder)
    cut(folder, [("000", 3, "work 0", STILLS[0]), ("001", 3, "work 2", STILLS[2]), ("002", 3, "work 1", STILLS[1])])
    return folder


SWAPPED = {"002": {"note": "one"}, "001": {"note": "two"}}


def by_hand(folder: Path) -> dict[str, dict[str, str]]:
    slots: dict[str, dict[str, str]] = tomllib.loads((folder / "film.toml").read_bytes().decode("utf-8-sig"))["slots"]
    return slots


def kill_between_writes(folder: Path, writes: int) -> None:
    """Make a film, and die where it and its plan have been changed over by so many writes, of three."""
    make_and_die(folder, writes, changeover, ("write_whole", "write_keeping_earlier", "_take_away"))


@pytest.mark.parametrize("writes", range(4))
def test_hand_edits_follow_their_slots_once_wherever_a_run_is_killed_between_film_and_plan(
    tmp_path: Path, photograph: Photo, writes: int
) -> None:
    folder = swapped(tmp_path, photograph)
    kill_between_writes(folder, writes)
    assert (folder / "out" / CHANGEOVER_FILE).exists() == (writes > 0)
    assert prepare(folder, Options()).plan.slots[1].note == "two"
    assert make(folder).failed == ()
    assert by_hand(folder) == SWAPPED
    assert not (folder / "out" / CHANGEOVER_FILE).exists()
    assert make(folder).rendered == ()
    assert by_hand(folder) == SWAPPED


def test_what_is_set_by_hand_between_a_killed_run_and_the_next_stays_with_its_slot(
    tmp_path: Path, photograph: Photo
) -> None:
    folder = swapped(tmp_path, photograph)
    kill_between_writes(folder, 2)
    text = (folder / "film.toml").read_text()
    (folder / "film.toml").write_text(text.replace('"one"', '"first"') + '[slots.000]\nnote = "zero"\n')
    make(folder)
    assert by_hand(folder) == {"002": {"note": "first"}, "001": {"note": "two"}, "000": {"note": "zero"}}


def test_hand_edits_follow_once_where_two_runs_were_prepared_from_one_cut(tmp_path: Path, photograph: Photo) -> None:
    folder = swapped(tmp_path, photograph)
    late = prepare(folder, Options())
    make(folder)
    assert carry_out(late).rendered == ()
    assert by_hand(folder) == SWAPPED


def test_a_run_prepared_from_a_cut_that_another_has_left_behind_is_refused(tmp_path: Path, photograph: Photo) -> None:
    folder = swapped(tmp_path, photograph)
    late = prepare(folder, Options())
    cut(folder, first_cut(2))
    make(folder)
    stands, text = last_plan(folder / "out"), (folder / "film.toml").read_text()
    with pytest.raises(OptionError, match="another run has followed another cut"):
        carry_out(late)
    assert (last_plan(folder / "out"), (folder / "film.toml").read_text()) == (stands, text)


@pytest.mark.parametrize(("mark", "end"), [("\ufeff", "\n"), ("", "\r\n"), ("\ufeff", "\r\n")])
def test_a_recut_keeps_how_an_editor_of_another_system_wrote_the_film_file(
    tmp_path: Path, photograph: Photo, mark: str, end: str
) -> None:
    folder = swapped(tmp_path, photograph)
    file = folder / "film.toml"
    file.write_bytes((mark + file.read_text().replace("\n", end)).encode())
    wanted = file.read_bytes().replace(b"001]", b"\0").replace(b"002]", b"001]").replace(b"\0", b"002]")
    make(folder)
    assert file.read_bytes() == wanted.replace(b"[slots.002]", b'[slots."002"]').replace(
        b"[slots.001]", b'[slots."001"]'
    )
