"""Files beside the clips after an edit: the same as all made anew, and only what the edit touches is worked out."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from kenburns.cards.look import Look
from kenburns.deliver import captions, keyframes, motion_table
from kenburns.deliver.captions import write_captions
from kenburns.deliver.keyframes import keyframes_json
from kenburns.deliver.motion_table import write_motion_tables
from kenburns.deliver.worked_out import WORKED_OUT_FILE, WorkedOut, load_worked_out
from kenburns.plan.document import Plan, PlannedScreen, PlannedText

Listing = Callable[[Path], dict[str, str]]


@pytest.fixture
def plan(small_plan: Plan) -> Plan:
    """Return a plan of three clips with captions; the first two are alike but for their captions."""
    clip = small_plan.slots[0]
    shot = clip.shots[0].model_copy(update={"easing": "sine"})

    def with_caption(slot: str, text: str, **more: Any) -> Any:
        screen = PlannedScreen(frames=5, texts=(PlannedText(text=text, role="small"),))
        return clip.model_copy(update={"slot": slot, "file": f"{slot}.mp4", "overlay": screen, **more})

    slots = with_caption("01", "Sea"), with_caption("02", "Hill"), with_caption("03", "Quay", shots=(shot,))
    return small_plan.model_copy(update={"slots": slots})


def written(plan: Plan, out: Path, known: WorkedOut, look: Look | None = None) -> None:
    """Write what stands beside the clips, and what was worked out for it."""
    out.mkdir(exist_ok=True)
    write_motion_tables(plan, out, (), known.contents)
    write_captions(plan, look or Look(), out, (), known.contents)
    (out / "keyframes.json").write_text(keyframes_json(plan, known.keyframes))
    known.keep(out)


@pytest.fixture
def work(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Return what is worked out, as it is."""
    done: list[str] = []

    def seen(room: Any, name: str) -> None:
        real = getattr(room, name)

        def told(*arguments: Any) -> Any:
            done.append(name)
            return real(*arguments)

        monkeypatch.setattr(room, name, told)

    for room, name in (
        (motion_table, "slot_path"),
        (captions, "overlay_picture"),
        (keyframes, "reduce_to_keyframes"),
    ):
        seen(room, name)
    return done


def edited(plan: Plan, **more: Any) -> Plan:
    return plan.model_copy(update={"slots": (*plan.slots[:2], plan.slots[2].model_copy(update=more))})


def test_what_has_not_changed_is_not_worked_out_again(plan: Plan, tmp_path: Path, work: list[str]) -> None:
    written(plan, tmp_path, WorkedOut())
    # Slots 01 and 02 share their move, and so their keyframes; a table and a caption each has of its own.
    assert sorted(work) == ["overlay_picture"] * 3 + ["reduce_to_keyframes"] * 2 + ["slot_path"] * 3
    work.clear()
    written(plan, tmp_path, load_worked_out(tmp_path))
    assert work == []


def test_after_one_edit_only_what_it_touches_is_worked_out_and_all_is_as_if_made_anew(
    plan: Plan, tmp_path: Path, work: list[str], listing: Listing
) -> None:
    shot = plan.slots[2].shots[0].model_copy(update={"easing": "cubic"})
    screen = PlannedScreen(frames=5, texts=(PlannedText(text="Ferry", role="small"),))
    for edit, wanted in (
        (edited(plan, shots=(shot,)), ["reduce_to_keyframes", "slot_path"]),
        (edited(plan, shots=(shot,), overlay=screen), ["overlay_picture"]),
        (edited(plan, shots=(shot,), overlay=screen, note="calm", start=900), []),
    ):
        written(plan, tmp_path / "out", load_worked_out(tmp_path / "out"))
        work.clear()
        written(edit, tmp_path / "out", load_worked_out(tmp_path / "out"))
        assert sorted(work) == wanted
        written(edit, tmp_path / "anew", WorkedOut())
        assert listing(tmp_path / "out") == listing(tmp_path / "anew")
        plan = edit


@pytest.mark.parametrize("name", ["paths/01.csv", "captions/02.png"])
@pytest.mark.parametrize("damage", [lambda path: path.unlink(), lambda path: path.write_bytes(b"edited")])
def test_a_file_that_is_not_as_it_was_is_made_again(
    plan: Plan, tmp_path: Path, listing: Listing, name: str, damage: Callable[[Path], object]
) -> None:
    written(plan, tmp_path, WorkedOut())
    before = listing(tmp_path)
    damage(tmp_path / name)
    written(plan, tmp_path, load_worked_out(tmp_path))
    assert listing(tmp_path) == before


def test_another_look_and_another_typeface_under_the_same_name_draw_captions_anew(
    plan: Plan, tmp_path: Path, work: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    written(plan, tmp_path, WorkedOut())
    work.clear()
    written(plan, tmp_path, load_worked_out(tmp_path), Look(ink="#ffffff"))
    assert work == ["overlay_picture"] * 3
    work.clear()
    monkeypatch.setattr(captions, "file_of", lambda _family: tmp_path / "paths" / "01.csv")
    written(plan, tmp_path, load_worked_out(tmp_path), Look(ink="#ffffff"))
    assert work == ["overlay_picture"] * 3


@pytest.mark.parametrize(
    "damage",
    [
        lambda document: document | {"version": 0},
        lambda document: document | {"made_with": {**document["made_with"], "pillow": "0"}},
        lambda document: document | {"keyframes": [3]},
        lambda _: [],
    ],
)
def test_what_other_releases_or_nobody_has_written_counts_for_nothing(
    plan: Plan, tmp_path: Path, work: list[str], damage: Callable[[Any], Any]
) -> None:
    written(plan, tmp_path, WorkedOut())
    file = tmp_path / WORKED_OUT_FILE
    document = json.dumps(damage(json.loads(file.read_text())))
    for text in (document, document[:-9], ""):
        file.write_text(text)
        work.clear()
        written(plan, tmp_path, load_worked_out(tmp_path))
        # The table of slot 02, which stands there, is known by then to be that of slot 01.
        assert sorted(work) == ["overlay_picture"] * 3 + ["reduce_to_keyframes"] * 2 + ["slot_path"] * 2
