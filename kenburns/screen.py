"""What the command line shows: tables and closing words on standard output, progress on standard error."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from rich import box
from rich.console import Console
from rich.markup import escape
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TaskID, TextColumn, TimeRemainingColumn
from rich.table import Table

from .deliver.details_sheet import headroom_of, work_in_words
from .foresight import Foresight
from .job import Outcome
from .motion.geometry import Size
from .motion.timebase import format_timecode
from .plan.document import Plan
from .plan.recut import Recut
from .proposals import Proposals
from .render.schedule import Progress as Report
from .resolution import Check, Verdict
from .spotting import Proposal
from .stills.interest.details import Detail
from .stills.open import Photograph

_NAME = 24  # columns a file name has at least
_WIDTH = 110  # columns where the output is no terminal
_MOST_NAMED = 12  # slots named in one line of a summary
_MOST_BARS = 8  # finished bars beyond this scroll away, so that the running one stays in sight


def say(text: str) -> None:
    """Print words on standard error."""
    _err().print(escape(text), soft_wrap=True)


@contextmanager
def film_progress(plan: Plan) -> Iterator[Report]:
    """Show a progress bar a slot on standard error while the block runs."""
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    wanted = {slot.slot: slot.wanted for slot in plan.slots}
    bars: dict[str, TaskID] = {}
    with Progress(*columns, console=_err()) as progress:

        def report(slot: str, done: int, total: int) -> None:
            if slot not in bars:
                bars[slot] = progress.add_task(escape(f"{slot}  {wanted[slot][:40]}"), total=total)
                for old in list(bars)[:-_MOST_BARS]:
                    progress.update(bars[old], visible=False)
            progress.update(bars[slot], completed=done)

        yield report


def print_check(check: Check) -> None:
    """Print the verdict on every photograph as a table."""
    table = Table(box=box.SIMPLE, title=f"{check.frame} px frame, zoom {check.zoom:g}", title_justify="left")
    table.add_column("photograph", overflow="fold", min_width=_NAME)
    table.add_column("pixels", justify="right", no_wrap=True)
    table.add_column("largest zoom", justify="right")
    table.add_column("smallest detail", justify="right")
    table.add_column("verdict", no_wrap=True)
    table.add_column("ask for, px", justify="right", no_wrap=True)
    for verdict in check.verdicts:
        table.add_row(*_row(verdict))
    _out().print(table)
    soft = tuple(f"{verdict.photograph.name}: {verdict.soft}" for verdict in check.verdicts if verdict.soft)
    print_list("Less detail than pixels", soft)
    print_list("Unreadable", tuple(refusal.reason for refusal in check.refused))


def _row(verdict: Verdict) -> tuple[str, ...]:
    room, cm = verdict.room, verdict.detail_cm
    detail = f"{min(room.smallest_detail_share, 1):.0%} of the width"
    return (
        escape(verdict.photograph.name),
        str(room.still),
        f"{room.largest_zoom:.2f}",
        detail + (f"\n{cm[0]:.1f} × {cm[1]:.1f} cm" if cm else ""),
        room.verdict + (f"\n{verdict.seen.real.detail_class}" if verdict.soft and verdict.seen else ""),
        str(room.needed) if room.needed else "",
    )


def print_details(proposed: Proposals, page: Path) -> None:
    """Print every photograph's details as a table, and where they are drawn."""
    table = Table(box=box.SIMPLE, title=f"{proposed.frame} px frame", title_justify="left")
    table.add_column("photograph", overflow="fold", min_width=_NAME)
    table.add_column("work, and real detail", overflow="fold", min_width=_NAME)
    table.add_column("detail", no_wrap=True)
    table.add_column("px", justify="right", no_wrap=True)
    table.add_column("score", justify="right", no_wrap=True)
    table.add_column("headroom", justify="right", no_wrap=True)
    for name, photograph in proposed.material.photographs.items():
        for row in _detail_rows(name, photograph, proposed):
            table.add_row(*row)
    _out().print(table)
    print_list("Worth knowing", proposed.remarks)
    print_list("Unreadable", tuple(refusal.reason for refusal in proposed.refused))
    _out().print(f"Drawn: {escape(str(page))}", soft_wrap=True)


def _detail_rows(name: str, photograph: Photograph, proposed: Proposals) -> Iterator[tuple[str, ...]]:
    seen = proposed.material.seen[name]
    work = work_in_words(seen, photograph).removeprefix("work: ")
    rows = [_detail_row(number, detail, proposed.frame) for number, detail in enumerate(seen.details, start=1)]
    columns = zip(*(rows or [("none fits", "", "", "")]), strict=True)
    yield (escape(name), f"{work}\ndetail: {seen.real.detail_class}", *("\n".join(column) for column in columns))


def _detail_row(number: int, detail: Detail, frame: Size) -> tuple[str, str, str, str]:
    size = f"{detail.rect.width:.0f}×{detail.rect.height:.0f}"
    return f"{number} {detail.reason}", size, f"{detail.score:.2f}", f"{headroom_of(detail, frame):.2f}×"


def print_proposal(proposal: Proposal, written: Path | None) -> None:
    """Print the slots proposed from a transcript, the mentions left aside, and the file that was written."""
    table = Table(box=box.SIMPLE)
    table.add_column("slot", no_wrap=True)
    table.add_column("start", no_wrap=True)
    table.add_column("seconds", justify="right", no_wrap=True)
    table.add_column("wanted", overflow="fold", min_width=_NAME)
    for slot in proposal.slots:
        start = format_timecode(slot.start, proposal.rate, drop=proposal.drop)
        table.add_row(escape(slot.id), start, f"{float(slot.length / proposal.rate):.1f}", escape(slot.wanted))
    _out().print(table)
    unsure = tuple(f"line {said.line}: '{said.said}' may be '{said.name}': {said.why}" for said in proposal.unsure)
    print_list("Unsure, and not used", unsure)
    print_list("Not used", tuple(str(problem) for problem in proposal.problems))
    if written:
        _out().print(f"Cut list: {escape(str(written))}", soft_wrap=True)


def print_foresight(foreseen: Sequence[Foresight], *, to_error: bool) -> None:
    """Say, before anything is made, what a new cut has changed and how many files each delivery needs."""
    screen = console(to_error=to_error)
    for one in foreseen:
        if one.recut is not None and one.due:
            screen.print(f"Since the last run, in '{escape(str(one.out))}':", soft_wrap=True)
            for words, slots in _became(one.recut):
                screen.print(f"  {words}: {escape(_some(slots))}", soft_wrap=True)
        screen.print(f"{_count(len(one.due), 'file')} to make, of {_count(len(one.plan.slots), 'slot')}")


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


def print_outcome(outcome: Outcome) -> None:
    """Print what was made, what needs attention, and where it all lies."""
    out = _out()
    slots = outcome.plan.slots
    cards, words = sum(slot.placeholder for slot in slots), sum(slot.words is not None for slot in slots)
    clips = f"{_count(len(slots) - cards - words, 'clip')}{f', {words} of words' if words else ''}"
    out.print(
        f"{clips} and {_count(cards, 'card')} in '{escape(str(outcome.out))}': "
        f"{len(outcome.rendered)} made now, {len(outcome.unchanged)} unchanged",
        soft_wrap=True,
    )
    for other in outcome.others:
        print_outcome(other)
    print_list("Worth knowing", outcome.remarks)
    print_list("Needs attention", outcome.attention)
    out.print(f"Contact sheet: {escape(str(outcome.out / 'sheet.html'))}", soft_wrap=True)


def print_list(heading: str, lines: tuple[str, ...]) -> None:
    """Print lines below a heading that counts them; nothing where there are none."""
    if lines:
        _out().print(f"\n{heading} ({len(lines)})")
        for line in lines:
            _out().print(f"  {escape(line)}", soft_wrap=True)


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def _out() -> Console:
    return console(to_error=False)


def _err() -> Console:
    return console(to_error=True)


def console(*, to_error: bool) -> Console:
    """Return standard output or standard error, as wide as the terminal, else of a width that suits a file."""
    screen = Console(stderr=to_error, highlight=False)
    return screen if screen.is_terminal else Console(stderr=to_error, highlight=False, width=_WIDTH)
