"""What the command line shows of photographs and slots, as tables on standard output."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from rich import box
from rich.markup import escape
from rich.table import Table

from .deliver.details_sheet import headroom_of, work_in_words
from .motion.geometry import Size
from .motion.timebase import format_timecode
from .proposals import Proposals
from .resolution import Check, Verdict
from .spotting import Proposal
from .stills.interest.details import Detail
from .stills.open import Photograph
from .terminal import console, print_lines, print_list

_NAME = 24  # columns a file name has at least


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
    console().print(table)
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
    console().print(table)
    print_list("Worth knowing", proposed.remarks)
    print_list("Unreadable", tuple(refusal.reason for refusal in proposed.refused))
    print_lines((f"Drawn: {page}",))


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
    console().print(table)
    unsure = tuple(f"line {said.line}: '{said.said}' may be '{said.name}': {said.why}" for said in proposal.unsure)
    print_list("Unsure, and not used", unsure)
    print_list("Not used", tuple(str(problem) for problem in proposal.problems))
    if written:
        print_lines((f"Cut list: {written}",))
