"""The desk's page with a film of 300 slots and as many photographs of 24 megapixels: first view, scrolling, play.

A frame is judged twice: by the clock, which also counts what else the machine does, and by the processor time that it
costs on the page's main thread, which does not; the worst of both are named. Run it as
`python -m benchmarks.desk_page [SLOTS]`; it wants the system's Chromium and about a gigabyte of disk.
"""

from __future__ import annotations

import json
import shutil
import sys
import tempfile
import time
from bisect import bisect
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from benchmarks.material import painting
from benchmarks.table import Row
from kenburns.cards.look import rgb
from kenburns.desk.own_folder import own_folder
from kenburns.desk.server import DeskServer
from kenburns.desk.session import Session
from kenburns.film import StillEdit
from kenburns.motion.geometry import Size
from kenburns.prepare import Options, prepare
from kenburns.presets import pacing
from kenburns.records import Records, look_key

SLOTS = 300
ROUNDS = 3
EDITS = 5
WORST = 5  # frames that are named
FILM = '[film]\ntitle = "Three Hundred"\nframe = "hd"\ncodec = "review"\n'

# Told from inside the page: when every picture in the window is there, counted from the beginning of the visit.
FIRST_VIEW = """
window.firstView = null;
const look = () => {
    const prints = [...document.querySelectorAll('.print img')].filter(one => {
        const { top, bottom } = one.getBoundingClientRect();
        return bottom > 0 && top < innerHeight && one.checkVisibility();
    });
    if (prints.length && prints.every(one => one.complete && one.naturalWidth)) window.firstView = performance.now();
    else requestAnimationFrame(look);
};
requestAnimationFrame(look);
"""

SCROLL = """step => new Promise(done => {
    const table = document.querySelector('.table');
    const gaps = [];
    let last = performance.now();
    const go = now => {
        performance.mark('frame');
        gaps.push(now - last);
        last = now;
        table.scrollTop += step;
        if (table.scrollTop + table.clientHeight >= table.scrollHeight - 1 || gaps.length > 600) done(gaps);
        else requestAnimationFrame(go);
    };
    requestAnimationFrame(go);
})"""

PLAY = """() => new Promise(done => {
    const gaps = [];
    let last = performance.now();
    const go = now => {
        performance.mark('frame');
        gaps.push(now - last);
        last = now;
        if (gaps.length > 100) done(gaps);
        else requestAnimationFrame(go);
    };
    document.querySelector('[data-key=play]').click();
    requestAnimationFrame(go);
})"""


def measure(slots: int = SLOTS) -> Iterator[Row]:
    with tempfile.TemporaryDirectory() as folder:
        film = Path(folder) / "film"
        make_film(film, slots)
        server = DeskServer(film)
        server.start()
        try:
            yield from measured(server.address, slots)
        finally:
            server.stop()
        yield Row(f"an edit among {slots} slots, processor time", edits(film), "<= 0.5", " s")


def edits(film: Path) -> list[float]:
    """Return what each of some edits costs until the page has its answer, in seconds of the processor."""
    session = Session(film)
    session.refresh()
    costs = []
    for number in range(EDITS):
        change = {"table": "slots", "name": "001", "key": "head", "value": 0.5 + number / 10}
        begun = time.process_time()
        session.edit(session.now.version, [change])
        costs.append(time.process_time() - begun)
    return costs


def make_film(film: Path, slots: int) -> None:
    """Write photographs that differ in their last bytes alone, and remember for all what looking at one has found."""
    photographs = film / "photographs"
    photographs.mkdir(parents=True)
    (film / "film.toml").write_text(FILM)
    first = photographs / "work-001.jpg"
    painting(6000, 4000).save(first, quality=50)
    seen = prepare(film, Options()).material.seen[first.name]
    content = first.read_bytes()
    for number in range(2, slots + 1):
        (photographs / f"work-{number:03d}.jpg").write_bytes(content + number.to_bytes(4, "big"))
    rows = [f"{n:03d},{_time(n * 6)},{_time(n * 6 + 4)},work-{n:03d},,," for n in range(1, slots + 1)]
    (film / "cutlist.csv").write_text("\n".join(["slot,start,end,wanted,still,shot,caption", *rows]))
    records = Records()
    for path in sorted(photographs.iterdir()):
        photograph = replace(records.inspect(path, path.name))
        key = look_key(photograph, StillEdit(), Size(1920, 1080), rgb("#161616"), pacing("steady").depth)
        records.keep(key, photograph, seen)
        records.look(key)
    kept = own_folder(film / "out")
    if kept is not None:
        records.save(kept)


def _time(seconds: int) -> str:
    return f"{seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}:00"


def measured(address: str, slots: int) -> Iterator[Row]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        context = browser.new_context(viewport={"width": 1440, "height": 900})
        page = context.new_page()
        page.set_default_timeout(900_000)
        page.goto(address)
        page.wait_for_selector("[data-slot]")
        thumbnails(page)
        page.add_init_script(FIRST_VIEW)
        views: list[float] = []
        scrolled: list[Frames] = []
        for _ in range(ROUNDS):
            page.reload()
            page.wait_for_selector("[data-slot]")
            while page.evaluate("window.firstView") is None:
                page.wait_for_timeout(50)
            views.append(page.evaluate("window.firstView / 1000"))
            scrolled.append(traced(browser, page, SCROLL, 60))
        yield Row(f"first useful view of {slots} slots", views, "<= 1.5", " s")
        yield from judged("a scripted scroll", scrolled)
        page.evaluate("location.hash = '#/slot/150/play'" if slots >= 150 else "location.hash = '#/slot/001/play'")
        page.wait_for_selector("canvas[data-drawn]")
        page.wait_for_timeout(2000)
        yield from judged("a slot that plays", [traced(browser, page, PLAY, None)])
        browser.close()


@dataclass(frozen=True)
class Frames:
    """Of every frame of a run: seconds by the clock until the next, and processor time on the main thread meanwhile."""

    clock: list[float]
    main: list[float]


def judged(what: str, runs: list[Frames]) -> Iterator[Row]:
    """Say how long the longest frames are, and name the worst."""
    yield Row(f"longest frame of {what}, by the clock", [max(run.clock) for run in runs], "<= 0.05", " s")
    yield Row(f"longest frame of {what}, main thread", [max(run.main) for run in runs], "<= 0.05", " s")
    for name, counted in (("by the clock", [run.clock for run in runs]), ("main thread", [run.main for run in runs])):
        worst = sorted((frame for run in counted for frame in run), reverse=True)[:WORST]
        print(f"  worst frames of {what}, {name}: {', '.join(f'{1000 * frame:.0f} ms' for frame in worst)}")


def traced(browser: Browser, page: Page, script: str, asked: object) -> Frames:
    """Run a script that marks every frame, and return what each cost; the first two, of the start, are left out."""
    browser.start_tracing(page=page, categories=["toplevel", "blink.user_timing", "__metadata"])
    gaps = page.evaluate(script, asked)
    events = json.loads(browser.stop_tracing())["traceEvents"]
    main = {
        (e["pid"], e["tid"]) for e in events if e["name"] == "thread_name" and e["args"]["name"] == "CrRendererMain"
    }
    marks = sorted(e["ts"] for e in events if e["name"] == "frame" and (e["pid"], e["tid"]) in main)
    cost = [0.0] * (len(marks) + 1)
    for event in events:
        if event["name"].endswith("RunTask") and (event["pid"], event["tid"]) in main and "tdur" in event:
            cost[bisect(marks, event["ts"])] += event["tdur"] / 1e6
    return Frames([gap / 1000 for gap in gaps[2:]], cost[2:-1])


def thumbnails(page: Page) -> None:
    """Have every print's picture made."""
    page.evaluate(
        """async () => {
            const film = await (await fetch('/api/film')).json();
            const { imageOf } = await import('/page/server.js');
            for (const photo of film.photographs) await (await fetch(imageOf(photo, 480))).blob();
        }"""
    )


if __name__ == "__main__":
    for row in measure(int(sys.argv[1]) if len(sys.argv) > 1 else SLOTS):
        print(row, flush=True)
