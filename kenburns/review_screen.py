"""What the command line shows of the review round: what to ask for, the remarks, how far the film is."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from rich import box
from rich.markup import escape
from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn
from rich.table import Table

from .deliver.credit_text import credits_text
from .deliver.credits import NOTICE, Credits
from .deliver.reel import Progress as Report
from .deliver.reel import ReelMade
from .notes.laying import TABLE_COLUMNS, table_rows
from .review import Asked, Remarked
from .status import Status, status_lines
from .terminal import console, print_list


def print_request(asked: Asked) -> None:
    """Print what to ask each owner for, and which files say so."""
    table = Table(box=box.SIMPLE)
    for name in ("ask", "for", "there is, px", "at least, px", "because"):
        table.add_column(name, overflow="fold")
    for owner in asked.request.owners:
        for ask in asked.request.of(owner):
            has = f"{ask.has.width}×{ask.has.height}" if ask.has else ask.state
            size = f"{ask.ask_for.width}×{ask.ask_for.height}"
            cells = (owner or "nobody known", ask.name, has, size, "\n".join(ask.reasons))
            table.add_row(*map(escape, cells))
    console().print(table)
    for path in asked.written:
        console().print(f"written: {escape(str(path))}", soft_wrap=True)


def print_notes(found: Remarked) -> None:
    """Print every note with the slots it is about, what changed there since, and what could not be read."""
    table = Table(box=box.SIMPLE)
    for name in TABLE_COLUMNS:
        table.add_column(name, overflow="fold")
    for row in table_rows(found.laid):
        table.add_row(*map(escape, row))
    console().print(table)
    changed = (
        f"{answer.note.note.id}, slot '{change.then}': {'; '.join(change.words)}"
        for answer in found.answered
        for change in answer.changes
    )
    print_list("Changed since the version watched", tuple(changed))
    print_list("Worth knowing", found.laid.remarks)
    print_list("Not understood", tuple(str(problem) for problem in found.laid.problems))


def print_credits(found: Credits) -> None:
    """Print the film's credits, what each photograph says and where, and whom nobody names or has cleared."""
    console().print(escape(credits_text(found)), soft_wrap=True)
    print_list("Nobody to name, in slots", found.unnamed)
    print_list("Permission not recorded as given, in slots", found.uncleared)
    conflicts = tuple(f"{still.file}: {conflict}" for still in found.stills for conflict in still.credits.conflicts)
    print_list("Sources that disagree", conflicts)


def print_status(found: Status) -> None:
    """Print how far the film is, on one screen."""
    for line in status_lines(found):
        console().print(escape(line), soft_wrap=True)
    if found.unnamed or found.uncleared:
        console().print(f"\n{NOTICE}", soft_wrap=True)


@contextmanager
def reel_progress() -> Iterator[Report]:
    """Show a bar on standard error while a reel is written."""
    columns = (
        TextColumn("reel"),
        BarColumn(),
        TextColumn("{task.completed} of {task.total} frames"),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=console(to_error=True)) as progress:
        bar = progress.add_task("reel", total=None)
        yield lambda done, total: progress.update(bar, completed=done, total=total)


def print_reel(made: ReelMade) -> None:
    """Say what is in a reel."""
    sound = "with sound" if made.sound else "silent"
    out = console()
    out.print(f"{len(made.shown)} slots in {made.frames} frames, {sound}: {escape(str(made.path))}", soft_wrap=True)
    print_list("Worth knowing", made.remarks)
