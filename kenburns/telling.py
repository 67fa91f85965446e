"""What `kenburns make` says: before it makes anything, and at its end; and what the next run would say in its place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from .deliver.manifest import NAME, manifest_text
from .foresight import Foresight
from .job import Outcome, lasting_files
from .last_answer import Answer, Question, keep
from .plan.document import write_plan
from .plan.last import PLAN_FILE
from .plan.recut import Recut, counterparts, recut
from .prepare import Prepared
from .terminal import list_lines
from .worth_knowing import remarks_of

_MOST_NAMED = 12  # slots named in one line of a summary


def keep_for_next(asked: Question, prepared: Sequence[Prepared], outcome: Outcome) -> None:
    """Let the next run answer at once, if nothing changes till then, where this one can tell what that would say.

    It cannot where a file failed, nor where a photograph was refused: that may have been the moment's fault.
    """
    outcomes = (outcome, *outcome.others)
    again = [_again(one, made) for one, made in zip(prepared, outcomes, strict=True)]
    known = [one for one in again if one is not None]
    if len(known) == len(outcomes):
        main, *others = known
        foreseen = foreseen_lines([Foresight(one.out, one.plan, (), one.recut) for one in known])
        told = replace(main, others=tuple(others))
        answer = Answer(foreseen, outcome_lines(told), told.as_json(), told.needs_attention)
        keep(asked, answer, lambda: all(map(_stands, prepared, outcomes)))


def _again(prepared: Prepared, outcome: Outcome) -> Outcome | None:
    plan, slots = outcome.plan, tuple(slot.slot for slot in outcome.plan.slots)
    if outcome.failed or outcome.refused or tuple(entry.slot for entry in outcome.manifest.slots) != slots:
        return None
    were = counterparts(plan.slots, prepared.cut_list.slots)
    if [slot for slot in slots if slot not in were or were[slot].slot != slot]:
        return None
    return replace(
        outcome,
        rendered=(),
        unchanged=slots,
        remarks=(*prepared.remarks, *remarks_of(plan)),
        recut=recut(plan, plan, were, ()),
        others=(),
    )


def _stands(prepared: Prepared, outcome: Outcome) -> bool:
    """Whether an out folder holds what a run has made, whole and under its own plan."""
    out, sizes = outcome.out, {entry.file: entry.bytes for entry in outcome.manifest.slots}
    texts = {NAME: manifest_text(outcome.manifest), PLAN_FILE: write_plan(outcome.plan)}
    return (
        all((out / name).read_bytes() == text.encode() for name, text in texts.items())
        and all((out / name).stat().st_size == size for name, size in sizes.items())
        and all((out / name).is_file() for name in lasting_files(prepared))
    )


def foreseen_lines(foreseen: Sequence[Foresight]) -> tuple[str, ...]:
    """Return, before anything is made, what a new cut has changed and how many files each delivery needs."""
    return tuple(line for one in foreseen for line in _foreseen(one))


def _foreseen(one: Foresight) -> Iterator[str]:
    if one.recut is not None and one.due:
        yield f"Since the last run, in '{one.out}':"
        yield from (f"  {words}: {_some(slots)}" for words, slots in _became(one.recut))
    yield f"{_count(len(one.due), 'file')} to make, of {_count(len(one.plan.slots), 'slot')}"


def _became(recut: Recut) -> Iterator[tuple[str, tuple[str, ...]]]:
    told = (
        ("unchanged", recut.same),
        ("only moved, nothing to make", recut.moved),
        ("another length, timed anew", recut.retimed),
        ("changed", recut.changed),
        ("new", recut.new),
        ("gone, their files go to the retired folder", recut.gone),
    )
    yield from ((f"{len(slots)} {words}", slots) for words, slots in told if slots)


def _some(slots: Sequence[str]) -> str:
    shown = ", ".join(slots[:_MOST_NAMED])
    return f"{shown} and {len(slots) - _MOST_NAMED} more" if len(slots) > _MOST_NAMED else shown


def outcome_lines(outcome: Outcome) -> tuple[str, ...]:
    """Return what was made, what needs attention, and where it all lies."""
    slots = outcome.plan.slots
    cards, words = sum(slot.placeholder for slot in slots), sum(slot.words is not None for slot in slots)
    clips = f"{_count(len(slots) - cards - words, 'clip')}{f', {words} of words' if words else ''}"
    return (
        f"{clips} and {_count(cards, 'card')} in '{outcome.out}': "
        f"{len(outcome.rendered)} made now, {len(outcome.unchanged)} unchanged",
        *(line for other in outcome.others for line in outcome_lines(other)),
        *list_lines("Worth knowing", outcome.remarks),
        *list_lines("Needs attention", outcome.attention),
        f"Contact sheet: {outcome.out / 'sheet.html'}",
    )


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"
