"""Progress on standard error: a bar for each slot while it is made."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager

from rich.console import RenderableType
from rich.markup import escape
from rich.progress import (
    BarColumn,
    MofNCompleteColumn,
    Progress,
    ProgressColumn,
    Task,
    TaskID,
    TextColumn,
    TimeRemainingColumn,
)
from rich.table import Column

from .plan.document import Plan
from .render.schedule import Progress as Report
from .terminal import console

_MOST_BARS = 8  # finished bars beyond this are taken away, so that the running ones stay in sight


@contextmanager
def film_progress(plan: Plan) -> Iterator[Report]:
    """Show a progress bar a slot on standard error while the block runs."""
    columns = map(_Anew, (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn()))
    wanted = {slot.slot: slot.wanted for slot in plan.slots}
    bars: dict[str, TaskID] = {}
    finished: deque[str] = deque()
    with Progress(*columns, console=console(to_error=True)) as progress:

        def report(slot: str, done: int, total: int) -> None:
            if slot not in bars:
                bars[slot] = progress.add_task(escape(f"{slot}  {wanted[slot][:40]}"), total=total)
            progress.update(bars[slot], completed=done)
            if done == total and slot not in finished:
                finished.append(slot)
                if len(finished) > _MOST_BARS:
                    progress.remove_task(bars.pop(finished.popleft()))

        yield report


class _Anew(ProgressColumn):
    """A column drawn anew each time: by itself it keeps what it drew last for every bar that there ever was."""

    def __init__(self, column: ProgressColumn) -> None:
        super().__init__()
        self._column = column

    def __call__(self, task: Task) -> RenderableType:
        return self.render(task)

    def render(self, task: Task) -> RenderableType:
        return self._column.render(task)

    def get_table_column(self) -> Column:
        return self._column.get_table_column()
