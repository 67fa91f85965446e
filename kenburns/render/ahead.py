"""Work done ahead in a thread, a bounded number of items at a time."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Iterator
from queue import Empty, Full, Queue
from typing import TypeVar

Item = TypeVar("Item")

_WAIT = 0.05  # seconds between looks at whether anybody still listens


class _End:
    def __init__(self, error: BaseException | None) -> None:
        self.error = error


def ahead(items: Iterable[Item], depth: int) -> Iterator[Item]:
    """Yield `items` in order while a thread makes at most `depth` more of them.

    An error of the maker is raised here, after the items before it. When the taker stops early, so does the maker.
    """
    queue: Queue[Item | _End] = Queue(maxsize=depth)
    stopped = threading.Event()

    def make() -> None:
        try:
            for item in items:
                if not _put(queue, item, stopped):
                    return
        except BaseException as error:  # whatever it is, it belongs to the taker
            _put(queue, _End(error), stopped)
        else:
            _put(queue, _End(None), stopped)

    maker = threading.Thread(target=make, name="kenburns-ahead", daemon=True)
    maker.start()
    try:
        while not isinstance(item := queue.get(), _End):
            yield item
        if item.error is not None:
            raise item.error
    finally:
        stopped.set()
        _drain(queue)
        maker.join()


def _put(queue: Queue[Item | _End], item: Item | _End, stopped: threading.Event) -> bool:
    while not stopped.is_set():
        try:
            queue.put(item, timeout=_WAIT)
        except Full:
            continue
        return True
    return False


def _drain(queue: Queue[Item | _End]) -> None:
    while True:
        try:
            queue.get_nowait()
        except Empty:
            return
