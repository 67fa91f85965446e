"""All slots of a plan are written, each photograph opened once; what fails is told and keeps nothing else back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from kenburns.cards.look import Look
from kenburns.motion.geometry import Size
from kenburns.plan.document import Plan, PlannedSlot
from kenburns.render.clip import Recipe
from kenburns.render.encode import Encoding, raster_for
from kenburns.render.lanes import render
from kenburns.render.schedule import Job, Made, by_still
from kenburns.stills.littlecms import Intent
from kenburns.stills.open import Photograph, Pixels, inspect, open_pixels


def no_progress(_slot: str, _done: int, _total: int) -> None:
    """Tell nobody."""


@pytest.fixture
def job(small_plan: Plan, tmp_path: Path, photograph: Callable[..., Path]) -> Job:
    (tmp_path / "out").mkdir()
    encoding = Encoding("libx264", "mp4", "yuv420p", {"preset": "ultrafast"})
    raster = raster_for("yuv420p", small_plan.frame.size, dither=False)
    return Job(
        frame=small_plan.frame,
        recipe=Recipe(raster, encoding, Fraction(25), "crisp", (22, 22, 22)),
        look=Look(),
        handles=0,
        shutter=0,
        photographs={"sea.png": inspect(photograph(tmp_path / "sea.png", 640, 360))},
        out=tmp_path / "out",
    )


@pytest.fixture
def slots(small_plan: Plan, job: Job) -> list[PlannedSlot]:
    """Return the small plan's slots, planned with the photograph that is there."""
    clip, card = small_plan.slots
    assert clip.still is not None
    still = replace(clip.still, sha256=job.photographs["sea.png"].sha256)
    return [clip.model_copy(update={"still": still}), card]


def renamed(slot: PlannedSlot, name: str) -> PlannedSlot:
    return slot.model_copy(update={"slot": name, "file": f"{name}.mp4"})


def test_clips_and_cards_are_written_with_their_frames(slots: list[PlannedSlot], job: Job, decode: Any) -> None:
    made = sorted(render(slots, job, no_progress), key=lambda each: each.slot.slot)
    assert [(each.slot.slot, each.error) for each in made] == [("01", None), ("02", None)]
    assert {path.name: decode(path).frames for path in job.out.iterdir()} == {"01.mp4": 5, "02.mp4": 4}


def test_a_card_has_the_handles_that_its_clip_will_have(slots: list[PlannedSlot], job: Job, decode: Any) -> None:
    list(render(slots[1:], replace(job, handles=6), no_progress))
    assert decode(job.out / "02.mp4").frames == 4 + 2 * 6


def test_slots_are_grouped_by_photograph_in_film_order_and_cards_stand_alone(small_plan: Plan) -> None:
    clip, card = small_plan.slots
    assert clip.still is not None
    other = clip.model_copy(update={"still": replace(clip.still, file="hill.png")})
    film = [clip, card, renamed(other, "03"), renamed(clip, "04"), renamed(card, "05")]
    assert [[slot.slot for slot in group] for group in by_still(film)] == [["01", "04"], ["02"], ["03"], ["05"]]


def test_a_photograph_is_decoded_once_for_all_its_slots(
    slots: list[PlannedSlot], job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[str] = []

    def counted(photograph: Photograph, matte: tuple[int, int, int], intent: Intent) -> Pixels:
        opened.append(photograph.name)
        return open_pixels(photograph, matte, intent)

    monkeypatch.setattr("kenburns.render.source.open_pixels", counted)
    made = list(render([slots[0], renamed(slots[0], "03")], job, no_progress))
    assert [each.error for each in made] == [None, None]
    assert opened == ["sea.png"]


def test_progress_counts_every_frame_of_every_slot(slots: list[PlannedSlot], job: Job) -> None:
    told: list[tuple[str, int, int]] = []
    list(render(slots, job, lambda slot, done, total: told.append((slot, done, total))))
    for slot, frames in (("01", 5), ("02", 4)):
        assert [row for row in told if row[0] == slot] == [(slot, n, frames) for n in range(1, frames + 1)]
    assert len(told) == 5 + 4


def failed(made: list[Made]) -> dict[str, str]:
    return {each.slot.slot: each.error for each in made if each.error is not None}


def test_a_photograph_exchanged_since_it_was_planned_fails_its_slots_and_no_others(
    slots: list[PlannedSlot], job: Job, photograph: Callable[..., Path]
) -> None:
    photograph(job.photographs["sea.png"].path, 640, 360, seed=1)  # as large as the first: only its content tells
    errors = failed(list(render([slots[0], renamed(slots[0], "03"), slots[1]], job, no_progress)))
    assert errors == dict.fromkeys(("01", "03"), "'sea.png' has changed since the plan was made; run again")
    assert [path.name for path in job.out.iterdir()] == ["02.mp4"]


def test_a_photograph_lost_since_it_was_planned_fails_its_slots_and_no_others(
    slots: list[PlannedSlot], job: Job
) -> None:
    job.photographs["sea.png"].path.unlink()
    errors = failed(list(render(slots, job, no_progress)))
    assert errors == {"01": "'sea.png' can no longer be read: No such file or directory"}
    assert [path.name for path in job.out.iterdir()] == ["02.mp4"]


def test_a_photograph_that_is_not_among_the_photographs_fails_its_slot(slots: list[PlannedSlot], job: Job) -> None:
    errors = failed(list(render(slots, replace(job, photographs={}), no_progress)))
    assert errors == {"01": "the photograph of slot '01' is no longer there"}


def test_a_file_that_cannot_take_its_place_is_told_and_leaves_no_half_file(slots: list[PlannedSlot], job: Job) -> None:
    (job.out / "01.mp4").mkdir()
    errors = failed(list(render(slots, job, no_progress)))
    assert errors.keys() == {"01"}
    assert errors["01"].startswith("'01.mp4' could not be written: ")
    assert sorted(path.name for path in job.out.iterdir()) == ["01.mp4", "02.mp4"]


def test_an_encoder_that_refuses_the_frame_is_told_for_every_slot(slots: list[PlannedSlot], job: Job) -> None:
    refused = replace(job.recipe, encoding=Encoding("dnxhd", "mov", "yuv420p", {"profile": "dnxhr_hqx"}))
    errors = failed(list(render(slots, replace(job, recipe=refused), no_progress)))
    assert errors.keys() == {"01", "02"}
    assert all("cannot be written as dnxhd 320x180" in error for error in errors.values())
    assert list(job.out.iterdir()) == []


def test_a_run_broken_off_leaves_whole_files_and_no_half_one(slots: list[PlannedSlot], job: Job) -> None:
    def break_off(slot: str, done: int, _total: int) -> None:
        if (slot, done) == ("02", 2):
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        list(render(slots, job, break_off))
    assert job.stop.is_set()
    assert {path.name for path in job.out.iterdir()} <= {"01.mp4"}  # whole if it was done by then, else not there


def test_a_slot_with_neither_still_nor_card_is_told(slots: list[PlannedSlot], job: Job) -> None:
    empty = slots[1].model_copy(update={"card": None})
    assert failed(list(render([empty], job, no_progress))) == {
        "02": "slot '02' has neither a still nor a card in the plan"
    }


def test_a_frame_too_small_for_the_words_of_a_card_is_told_and_keeps_no_other_slot_back(
    slots: list[PlannedSlot], job: Job
) -> None:
    card = slots[1].card
    assert card is not None
    endless = slots[1].model_copy(update={"card": card.model_copy(update={"wanted": "harbour " * 500})})
    tiny = replace(job.recipe, raster=replace(job.recipe.raster, frame=Size(64, 64)))
    small = replace(job, frame=job.frame.model_copy(update={"width": 64, "height": 64}), recipe=tiny)
    made = sorted(render([endless, renamed(slots[1], "03")], small, no_progress), key=lambda each: each.slot.slot)
    assert failed(made) == {"02": "56x56 px of title-safe area cannot hold the text of card '02'"}
    assert [path.name for path in job.out.iterdir()] == ["03.mp4"]
