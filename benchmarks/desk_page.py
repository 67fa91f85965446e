"""The desk's page with a film of 300 slots and as many photographs of 24 megapixels: first view, scrolling, play.

A frame is judged twice: by the clock, which also counts what else the machine does, and by the processor time of the
longest task on the page's main thread, which does not. Run it as `python -m benchmarks.desk_page [SLOTS]`; it wants
the system's Chromium and about a gigabyte of disk.
"""

from __future__ import annotations

import json
import shutil
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from benchmarks.material import painting
from benchmarks.table import Row
from kenburns.cards.look import rgb
from kenburns.desk.own_folder import own_folder
from kenburns.desk.server import DeskServer
from kenburns.film import StillEdit
from kenburns.motion.geometry import Size
from kenburns.prepare import Options, prepare
from kenburns.presets import pacing
from kenburns.records import Records, look_key

SLOTS = 300
ROUNDS = 3
FILM = '[film]\ntitle = "Three Hundred"\nframe = "hd"\ncodec = "review"\n'

# Told from inside the page: when every picture in the window is there, counted from the beginning of the visit.
FIRST_VIEW = """
window.firstView = null;
const look = () => {
    const prints = [...document.querySelectorAll('.print img')].filter(one => {
        const { top, bottom } = one.getBoundingClientRect();
        return bottom > 0 && top < innerHeight && one.checkVisibility({ contentVisibilityAuto: true });
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
        views, gaps, tasks = [], [], []
        for _ in range(ROUNDS):
            page.reload()
            page.wait_for_selector("[data-slot]")
            while page.evaluate("window.firstView") is None:
                page.wait_for_timeout(50)
            views.append(page.evaluate("window.firstView / 1000"))
            frames, longest = traced(browser, page, SCROLL, 60)
            gaps.append(frames)
            tasks.append(longest)
        yield Row(f"first useful view of {slots} slots", views, "<= 1.5", " s")
        yield Row("longest frame of a scripted scroll, by the clock", gaps, "<= 0.05", " s")
        yield Row("longest task of a scripted scroll, processor time", tasks, "<= 0.05", " s")
        page.evaluate("location.hash = '#/slot/150/play'" if slots >= 150 else "location.hash = '#/slot/001/play'")
        page.wait_for_selector("canvas[data-drawn]")
        page.wait_for_timeout(2000)
        frames, longest = traced(browser, page, PLAY, None)
        yield Row("longest frame while a slot plays, by the clock", [frames], "<= 0.05", " s")
        yield Row("longest task while a slot plays, processor time", [longest], "<= 0.05", " s")
        browser.close()


def traced(browser: Browser, page: Page, script: str, asked: object) -> tuple[float, float]:
    """Return the longest gap between frames and the longest task of the page's main thread, in seconds."""
    browser.start_tracing(page=page, categories=["toplevel", "__metadata"])
    gaps = page.evaluate(script, asked)
    events = json.loads(browser.stop_tracing())["traceEvents"]
    main = {
        (e["pid"], e["tid"]) for e in events if e["name"] == "thread_name" and e["args"]["name"] == "CrRendererMain"
    }
    tasks = [
        e["tdur"] for e in events if e["name"].endswith("RunTask") and (e["pid"], e["tid"]) in main and "tdur" in e
    ]
    return max(gaps[2:]) / 1000, max(tasks) / 1e6


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
