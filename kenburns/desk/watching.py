"""Changes in a film's folder that come from elsewhere: another editor, photographs that arrive."""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import Callable, Iterable
from pathlib import Path

from anyio import to_thread
from watchfiles import Change, awatch

from ..plan.last import PLAN_FILE
from .door import is_too_wide
from .session import Session

_SETTLED = 300  # ms without a further change before anybody looks
_LOOK_UP = 1000  # ms without a change after which it is asked whether the same folders are still meant
_AGAIN = 0.2  # seconds until a watch that has ended is set up anew
_LONGEST = 2000  # ms of changes after which somebody looks all the same


async def watch(session: Session, stop: asyncio.Event) -> None:
    """Look at the film anew whenever something around it has changed, until `stop`."""
    while not stop.is_set():
        places, skipped, fresh = watched(session), skipped_folder(session), True
        changes = awatch(
            *places,
            watch_filter=about_the_film(skipped),
            debounce=_LONGEST,
            step=_SETTLED,
            stop_event=stop,
            rust_timeout=_LOOK_UP,
            yield_on_timeout=True,
            recursive=not is_too_wide(session.target),
        )
        with contextlib.suppress(OSError, RuntimeError):
            async with contextlib.aclosing(changes):
                async for found in changes:
                    if found or fresh:  # what happened before the watch stood has been missed
                        await to_thread.run_sync(session.refresh)
                    fresh = False
                    if (watched(session), skipped_folder(session)) != (places, skipped):
                        break
        with contextlib.suppress(TimeoutError):
            await asyncio.wait_for(stop.wait(), _AGAIN)


def watched(session: Session) -> tuple[Path, ...]:
    """Return the folders that hold what a film is planned from."""
    prepared = session.now.prepared
    root = session.target if session.target.is_dir() else session.target.parent
    if prepared is None:
        return (root.resolve(),)
    place = prepared.place
    lists = [path.parent for path in (place.cut_list, place.works) if path]
    return _outermost(path.resolve() for path in (place.root, place.photographs, *lists) if path.is_dir())


def _outermost(folders: Iterable[Path]) -> tuple[Path, ...]:
    """Return the folders without those inside another of them."""
    every = set(folders)
    return tuple(sorted(path for path in every if not every.intersection(path.parents)))


def skipped_folder(session: Session) -> Path | None:
    """Return the out folder, in which this tool itself writes."""
    prepared = session.now.prepared
    return prepared.place.out.resolve() if prepared else None


def about_the_film(skipped: Path | None) -> Callable[[Change, str], bool]:
    """Return a filter that leaves out all that is hidden, and the out folder but for the plan last made.

    Another process that makes the film writes that plan; from then on film.toml has the ids of its slots.
    """

    def counts(_change: Change, text: str) -> bool:
        path = Path(text)
        if skipped and path == skipped / PLAN_FILE:
            return True
        return not path.name.startswith(".") and not (skipped and (path == skipped or skipped in path.parents))

    return counts
