"""After a recut every file has the name of its slot: whatever names change places, and wherever a run is killed."""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kenburns.deliver.manifest import Manifest, ManifestEntry, read_manifest, write_manifest
from kenburns.deliver.moving import ASIDE, MOVING_FILE, Moving, announce, as_brought_to_end, bring_to_end
from kenburns.deliver.refile import RETIRED, refiled
from kenburns.files import write_whole
from kenburns.plan.document import Plan, PlannedFrame, PlannedSlot
from kenburns.plan.last import PLAN_FILE

SLOTS = ("01", "02", "03", "04")


def entry(slot: str) -> ManifestEntry:
    return ManifestEntry(
        slot=slot,
        file=f"{slot}.mp4",
        kind="clip",
        frames=4,
        rate="25/1",
        width=320,
        height=180,
        still="sea.png",
        smallest_scale=1.0,
        handles=0,
        content_hash="0" * 64,
        bytes=2,
        fingerprint=f"made from {slot}",
    )


def planned(slot: str) -> PlannedSlot:
    return PlannedSlot(slot=slot, file=f"{slot}.mp4", kind="card", start=0, frames=4, wanted="")


def plan_of(slots: Iterable[str]) -> Plan:
    return Plan(
        title="Salt and Linen",
        frame=PlannedFrame(width=320, height=180),
        rate="25/1",
        drop=False,
        codec="small",
        card_look="plain",
        matte="#000000",
        kernel="crisp",
        handles=0,
        slots=tuple(map(planned, slots)),
    )


@pytest.fixture
def made(tmp_path: Path) -> Path:
    """Return an out folder of four slots: each has a clip and a table, the first and the last a caption too."""
    out = tmp_path / "out"
    for slot in SLOTS:
        for name in (f"{slot}.mp4", f"paths/{slot}.csv", *([f"captions/{slot}.png"] if slot in "01 04" else [])):
            (out / name).parent.mkdir(parents=True, exist_ok=True)
            (out / name).write_text(slot)
    (out / PLAN_FILE).write_text("the old plan")
    write_manifest(Manifest(slots=tuple(map(entry, SLOTS))), out)
    return out


def follow(out: Path, were: Mapping[str, str]) -> Manifest:
    """Let the files follow a cut whose slots were others before, as a run does; and as the next does after a kill."""
    new, manifest = f"the plan of {dict(were)}", bring_to_end(read_manifest(out), out)
    if (out / PLAN_FILE).read_text() != new:
        announce(refiled(manifest, plan_of(were), {slot: planned(was) for slot, was in were.items()}, out), new, out)
        write_whole(out / PLAN_FILE, new.encode())
    return bring_to_end(manifest, out)


@contextmanager
def killed_after(renames: int) -> Iterator[list[str]]:
    """Die after so many renames, of which each file that is written is one too; tell of them."""
    done: list[str] = []
    replace = Path.replace

    def replace_until_killed(source: Path, target: Path) -> Path:
        if len(done) == renames:
            raise KeyboardInterrupt
        done.append(str(target))
        return replace(source, target)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Path, "replace", replace_until_killed)
        yield done


RECUTS = {
    "numbered anew": {"01": "02", "02": "03", "03": "04"},
    "one put in front": {"01": "00", "02": "01", "03": "02", "04": "03", "05": "04"},
    "two change places": {"01": "02", "02": "01", "03": "03", "04": "04"},
    "a ring": {"01": "02", "02": "03", "03": "01"},
    "all gone": {},
    "all as they were": {slot: slot for slot in SLOTS},
}


@pytest.mark.parametrize("were", RECUTS.values(), ids=RECUTS)
def test_files_follow_their_slots(made: Path, were: dict[str, str]) -> None:
    manifest = follow(made, were)
    kept = {slot: was for slot, was in were.items() if was in SLOTS}
    assert {path.stem: path.read_text() for path in made.glob("*.mp4")} == kept
    assert {path.stem: path.read_text() for path in (made / "paths").iterdir()} == kept
    assert {path.stem: path.read_text() for path in (made / "captions").iterdir()} == {
        slot: was for slot, was in kept.items() if was in "01 04"
    }
    assert {each.slot: (each.file, each.fingerprint) for each in manifest.slots} == {
        slot: (f"{slot}.mp4", f"made from {was}") for slot, was in kept.items()
    }
    retired = {path.name for path in made.glob(f"{RETIRED}/*.mp4")}
    assert retired == {f"{slot}.mp4" for slot in SLOTS if slot not in kept.values()}
    assert read_manifest(made) == manifest
    assert {f"{slot}.mp4" for slot, was in kept.items() if slot != was} <= set(manifest.owned)
    assert [path.name for path in made.iterdir() if path.name.startswith(".")] == []


@pytest.mark.parametrize("were", RECUTS.values(), ids=RECUTS)
def test_a_run_killed_at_any_rename_is_brought_to_its_end_by_the_next(
    made: Path, were: dict[str, str], listing: Callable[[Path], dict[str, str]]
) -> None:
    whole = shutil.copytree(made, made.with_name("whole"))
    with killed_after(1_000) as renames:
        follow(whole, were)
    for count in range(len(renames)):
        out = shutil.copytree(made, made.with_name(f"killed {count}"))
        with killed_after(count), pytest.raises(KeyboardInterrupt):
            follow(out, were)
        before = listing(out)
        foreseen, elsewhere = as_brought_to_end(read_manifest(out), out)
        clips = {each.file: elsewhere.get(each.file, out / each.file).read_text() for each in foreseen.slots}
        assert listing(out) == before
        assert foreseen == bring_to_end(read_manifest(out), out)
        assert clips == {each.file: (out / each.file).read_text() for each in foreseen.slots}
        follow(out, were)
        assert listing(out) == listing(whole)


@given(
    cuts=st.lists(st.dictionaries(st.sampled_from("abcdef"), st.integers(0, 5)), min_size=1, max_size=4), at=st.data()
)
def test_any_cuts_after_each_other_lose_no_file_wherever_runs_are_killed(
    cuts: list[dict[str, int]], at: st.DataObject
) -> None:
    with tempfile.TemporaryDirectory() as name:
        out, films = Path(name), {slot: slot for slot in "abc"}
        for slot in films:
            (out / f"{slot}.mp4").write_text(slot)
        (out / PLAN_FILE).write_text("the old plan")
        write_manifest(Manifest(slots=tuple(map(entry, films))), out)
        for number, cut in enumerate(cuts):
            before = sorted(films)
            were = {slot: before[was] for slot, was in cut.items() if was < len(before)}
            were = {slot: was for slot, was in were.items() if list(were.values()).count(was) == 1}
            films = {slot: films[was] for slot, was in were.items()}
            with killed_after(at.draw(st.integers(0, 20))), suppress(KeyboardInterrupt):
                follow(out, {**were, "number": str(number)})  # no two cuts are the same
            follow(out, {**were, "number": str(number)})
            assert {path.stem: path.read_text() for path in out.glob("*.mp4")} == films
        assert {path.read_text() for path in out.rglob("*.mp4")} == {"a", "b", "c"}


def test_a_name_in_the_retired_is_never_taken_twice(made: Path) -> None:
    for content in ("first", "second"):
        write_manifest(Manifest(slots=(entry("01"),)), made)
        (made / "01.mp4").write_text(content)
        follow(made, {"new": content})
    assert (made / RETIRED / "01.mp4").read_text() == "first"
    assert (made / RETIRED / "01 (2).mp4").read_text() == "second"


def announced(made: Path, plan: str = "the old plan") -> dict[str, object]:
    moving = Moving((("01.mp4", f"{RETIRED}/01.mp4"),), (("02.mp4", "01.mp4"),), read_manifest(made))
    announce(moving, plan, made)
    document: dict[str, object] = json.loads((made / MOVING_FILE).read_bytes())
    return document


def test_nothing_moves_for_a_plan_that_never_took_its_place(
    made: Path, listing: Callable[[Path], dict[str, str]]
) -> None:
    (made / ASIDE).mkdir()
    (made / ASIDE / "note.txt").write_text("somebody else's")
    before = listing(made)
    announced(made, "a plan that was to come")
    manifest = read_manifest(made)
    assert bring_to_end(manifest, made) is manifest
    assert listing(made) == before


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("../letters.txt", "01.mp4"),
        ("01.mp4", "../letters.txt"),
        ("01.mp4", "/letters.txt"),
        ("01.mp4", "paths/../../letters.txt"),
        ("01.mp4", "..\\letters.txt"),
        ("01.mp4", "C:letters.txt"),
        ("01.mp4", "."),
        ("01.mp4", "a\0b"),
    ],
)
@pytest.mark.parametrize("moves", ["retired", "renamed"])
def test_nothing_moves_out_of_the_folder_or_into_it(
    made: Path, listing: Callable[[Path], dict[str, str]], moves: str, old: str, new: str
) -> None:
    (made.parent / "letters.txt").write_text("do not lose")
    before = listing(made.parent)
    (made / MOVING_FILE).write_text(json.dumps(announced(made) | {moves: [[old, new]]}))
    bring_to_end(read_manifest(made), made)
    assert listing(made.parent) == before


def test_what_is_damaged_moves_nothing(made: Path, listing: Callable[[Path], dict[str, str]]) -> None:
    before = listing(made)
    announced(made)
    whole = (made / MOVING_FILE).read_bytes()
    for cut in range(0, len(whole) - 1, 200):
        (made / MOVING_FILE).write_bytes(whole[:cut])
        bring_to_end(read_manifest(made), made)
        assert listing(made) == before


def test_a_file_of_somebody_elses_among_those_that_lie_aside_stays(made: Path) -> None:
    (made / ASIDE).mkdir()
    (made / ASIDE / "note.txt").write_text("mine")
    follow(made, RECUTS["a ring"])
    assert (made / ASIDE / "note.txt").read_text() == "mine"
    assert (made / "01.mp4").read_text() == "02"
