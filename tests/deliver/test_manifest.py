"""manifest.json, and what makes a file be made again."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from kenburns.cards.look import Look
from kenburns.deliver.manifest import (
    Manifest,
    describe,
    fingerprint,
    is_current,
    read_manifest,
    refuse_strangers,
    write_manifest,
)
from kenburns.errors import OptionError
from kenburns.plan.document import Plan
from kenburns.presets import codec


def marks(plan: Plan, preset: str = "review", look: Look | None = None) -> list[str]:
    return [fingerprint(slot, plan, codec(preset), look or Look()) for slot in plan.slots]


def changed(plan: Plan, slot: int, **update: Any) -> Plan:
    slots = list(plan.slots)
    slots[slot] = slots[slot].model_copy(update=update)
    return plan.model_copy(update={"slots": tuple(slots)})


@pytest.mark.parametrize(
    "update",
    [
        {"rate": "24/1"},
        {"matte": "#202020"},
        {"kernel": "gentle"},
        {"handles": 5},
        {"frame": {"width": 640, "height": 360}},
    ],
)
def test_what_holds_for_all_slots_marks_all_as_changed(small_plan: Plan, update: dict[str, Any]) -> None:
    other = Plan.model_validate(small_plan.model_dump() | update)
    assert all(new != old for new, old in zip(marks(other), marks(small_plan), strict=True))


def test_another_codec_marks_all_as_changed(small_plan: Plan) -> None:
    assert all(a != b for a, b in zip(marks(small_plan, "edit"), marks(small_plan, "review"), strict=True))


@pytest.mark.parametrize(
    "update", [{"start": 9_000}, {"wanted": "x"}, {"caption": "x"}, {"note": "x"}, {"flags": ("x",)}]
)
def test_a_clip_stays_when_only_its_time_or_its_words_change(small_plan: Plan, update: dict[str, Any]) -> None:
    assert marks(changed(small_plan, 0, **update)) == marks(small_plan)


def test_a_clip_changes_with_its_photographs_content_and_not_with_its_name(small_plan: Plan) -> None:
    still = small_plan.slots[0].still
    assert still is not None
    renamed = changed(small_plan, 0, still=replace(still, file="seas.png", score=91.0))
    assert marks(renamed) == marks(small_plan)
    painted_over = changed(small_plan, 0, still=replace(still, sha256="cd" * 32))
    assert [a == b for a, b in zip(marks(painted_over), marks(small_plan), strict=True)] == [False, True]


def test_a_clip_changes_with_its_move_and_not_with_the_notes_on_it(small_plan: Plan) -> None:
    (shot,) = small_plan.slots[0].shots
    assert marks(changed(small_plan, 0, shots=(shot.model_copy(update={"notes": ("x",)}),))) == marks(small_plan)
    for update in ({"easing": "sine"}, {"stops": shot.stops[::-1]}):
        assert marks(changed(small_plan, 0, shots=(shot.model_copy(update=update),)))[0] != marks(small_plan)[0]


@pytest.mark.parametrize("field", ["wanted", "start_timecode", "end_timecode", "length", "reason", "note"])
def test_a_card_changes_with_every_word_that_stands_on_it(small_plan: Plan, field: str) -> None:
    card = small_plan.slots[1].card
    assert card is not None
    other = changed(small_plan, 1, card=card.model_copy(update={field: "x"}))
    assert [a == b for a, b in zip(marks(other), marks(small_plan), strict=True)] == [True, False]


def test_only_cards_change_with_the_look_of_cards(small_plan: Plan) -> None:
    other = marks(small_plan, look=Look(ground="#000000"))
    assert [a == b for a, b in zip(other, marks(small_plan), strict=True)] == [True, False]


def test_an_entry_describes_the_file_that_stands_there(small_plan: Plan, tmp_path: Path) -> None:
    for slot in small_plan.slots:
        (tmp_path / slot.file).write_bytes(slot.file.encode())
    plan = small_plan.model_copy(update={"handles": 3})
    clip, card = (describe(slot, plan, "mark", tmp_path) for slot in plan.slots)
    assert (clip.slot, clip.file, clip.kind, clip.frames, clip.rate) == ("01", "01.mp4", "clip", 11, "25/1")
    assert (clip.width, clip.height, clip.still, clip.smallest_scale) == (320, 180, "sea.png", 1.0)
    assert clip.content_hash == hashlib.sha256(b"01.mp4").hexdigest()
    assert (card.kind, card.frames, card.still, card.smallest_scale) == ("card", 10, None, None)


def test_a_file_is_current_until_it_is_lost_cut_short_renamed_or_made_of_something_else(
    small_plan: Plan, tmp_path: Path
) -> None:
    slot = small_plan.slots[0]
    file = tmp_path / slot.file
    file.write_bytes(b"frames")
    entry = describe(slot, small_plan, "mark", tmp_path)
    assert is_current(entry, slot, "mark", tmp_path)
    assert not is_current(entry, slot, "other mark", tmp_path)
    assert not is_current(entry, slot.model_copy(update={"file": "01.mov"}), "mark", tmp_path)
    file.write_bytes(b"frame")
    assert not is_current(entry, slot, "mark", tmp_path)
    file.unlink()
    assert not is_current(entry, slot, "mark", tmp_path)


def test_a_manifest_reads_back_as_it_was_written(small_plan: Plan, tmp_path: Path) -> None:
    (tmp_path / "01.mp4").write_bytes(b"frames")
    entry = describe(small_plan.slots[0], small_plan, "mark", tmp_path)
    manifest = Manifest(owned=("01.mp4", "plan.json"), sheet="mark", slots=(entry,))
    write_manifest(manifest, tmp_path)
    assert read_manifest(tmp_path) == manifest
    assert manifest.entry("01") == entry
    assert manifest.entry("02") is None


def test_a_folder_without_a_manifest_has_an_empty_one(tmp_path: Path) -> None:
    assert read_manifest(tmp_path) == read_manifest(tmp_path / "not there") == Manifest()


@pytest.mark.parametrize(
    "content",
    [
        *(b"", b"{", b"[]", b"{}", b"\xff", b'{"name": "an app", "icons": []}', b'{"version": 1}'),
        *(
            b'{"version": 2, "made_by": "kenburns"}',
            b'{"made_by": "somebody"}',
            b'{"made_by": "kenburns", "slots": [{}]}',
        ),
    ],
)
def test_a_manifest_of_somebody_elses_is_refused_by_its_path(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "manifest.json").write_bytes(content)
    with pytest.raises(OptionError, match=r"manifest\.json' is no manifest of this tool's"):
        read_manifest(tmp_path)


@pytest.mark.parametrize(
    "file", ["../01.mp4", "/01.mp4", "..\\01.mp4", "C:01.mp4", "..", ".", "", "retired/01.mp4", "a\0b"]
)
def test_a_manifest_that_names_files_elsewhere_is_refused(tmp_path: Path, small_plan: Plan, file: str) -> None:
    (tmp_path / "01.mp4").write_bytes(b"frames")
    entry = describe(small_plan.slots[0], small_plan, "mark", tmp_path)
    write_manifest(Manifest(slots=(entry,)), tmp_path)
    assert read_manifest(tmp_path).slots == (entry,)
    text = (tmp_path / "manifest.json").read_text()
    (tmp_path / "manifest.json").write_text(text.replace('"01.mp4"', json.dumps(file)))
    with pytest.raises(OptionError, match="nothing there is touched"):
        read_manifest(tmp_path)


def test_only_files_that_are_there_and_not_ours_are_strangers(tmp_path: Path) -> None:
    for name in ("01.mp4", "02.mp4", "other.txt"):
        (tmp_path / name).touch()
    write_manifest(Manifest(owned=("01.mp4", "02.mp4")), tmp_path)
    assert refuse_strangers(["01.mp4", "02.mp4", "03.mp4"], tmp_path).owned == ("01.mp4", "02.mp4")
    write_manifest(Manifest(owned=("01.mp4",)), tmp_path)
    with pytest.raises(OptionError, match=r"02\.mp4' is there and was not made by this tool \(1 such in all\)"):
        refuse_strangers(["01.mp4", "02.mp4", "03.mp4"], tmp_path)


def test_the_manifest_names_its_version_and_its_maker(tmp_path: Path) -> None:
    write_manifest(Manifest(), tmp_path)
    document = json.loads((tmp_path / "manifest.json").read_bytes())
    assert (document["version"], document["made_by"]) == (1, "kenburns")
