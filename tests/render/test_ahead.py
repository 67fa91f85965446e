"""Work done ahead: in order, bounded, and never left behind."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import pytest

from kenburns.render.ahead import ahead


def test_items_come_in_order() -> None:
    assert list(ahead(range(50), 3)) == list(range(50))


def test_no_more_is_made_than_the_queue_holds() -> None:
    made: list[int] = []

    def items() -> Iterator[int]:
        for i in range(100):
            made.append(i)
            yield i

    waiting = ahead(items(), 2)
    for taken in range(20):
        assert next(waiting) == taken
        # two in the queue, one in the maker's hand, one taken
        assert len(made) <= taken + 1 + 2 + 1
    waiting.close()  # type: ignore[attr-defined]  # an Iterator by its type, a generator in truth


def test_an_error_of_the_maker_reaches_the_taker_after_the_items_before_it() -> None:
    def items() -> Iterator[int]:
        yield 1
        raise KeyError("broken")

    waiting = ahead(items(), 4)
    assert next(waiting) == 1
    with pytest.raises(KeyError, match="broken"):
        next(waiting)


def test_the_maker_stops_when_the_taker_does() -> None:
    def items() -> Iterator[int]:
        number = 0
        while True:
            yield number
            number += 1

    for number in ahead(items(), 2):
        if number == 3:
            break
    assert not [thread for thread in threading.enumerate() if thread.name == "kenburns-ahead"]
