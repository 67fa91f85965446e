"""News for pages, as server-sent events: the form is that of WHATWG HTML, section 9.2.6."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

from kenburns.desk.events import Events

Result = TypeVar("Result")


def apart(coroutine: Coroutine[Any, Any, Result]) -> Result:
    """Run in a thread of its own: the browser of other tests keeps an event loop running in this one."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, coroutine).result()


def test_each_kind_of_news_is_an_event_and_what_was_overtaken_is_left_out() -> None:
    async def hear() -> list[bytes]:
        events = Events()
        events.open(asyncio.get_running_loop())
        stream = events.stream({"film": "1"})
        heard = [await anext(stream)]
        for number in range(100):
            events.tell("render", str(number))
        events.tell("film", "2")
        heard.append(await anext(stream))
        await stream.aclose()
        return heard

    assert apart(hear()) == [b"event: film\ndata: 1\n\n", b"event: render\ndata: 99\n\nevent: film\ndata: 2\n\n"]


def test_news_comes_from_any_thread_and_a_listener_that_is_gone_is_forgotten() -> None:
    async def hear() -> tuple[bytes, bool, bool]:
        events = Events()
        events.open(asyncio.get_running_loop())
        streams = [events.stream({"film": "1"}) for _ in range(16)]
        for stream in streams:
            await anext(stream)
        full = events.is_full
        threading.Thread(target=events.tell, args=("render", "x")).start()
        heard = await anext(streams[0])
        for stream in streams:
            await stream.aclose()
        return heard, full, events.is_full

    assert apart(hear()) == (b"event: render\ndata: x\n\n", True, False)


def test_streams_end_when_the_desk_closes() -> None:
    async def hear() -> list[bytes]:
        events = Events()
        events.open(asyncio.get_running_loop())
        asyncio.get_running_loop().call_later(0.05, events.close)
        return [news async for news in events.stream({"film": "1"})]

    assert apart(hear()) == [b"event: film\ndata: 1\n\n"]
