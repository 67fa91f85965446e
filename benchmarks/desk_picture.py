"""Make the README's picture of the desk from the demo film: `python -m benchmarks.desk_picture`."""

from __future__ import annotations

import io
import shutil
import sys
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, sync_playwright

from kenburns.demo_film import lay_out
from kenburns.desk.server import DeskServer

PICTURE = Path(__file__).resolve().parents[1] / "shared" / "desk.png"
SIZE = (1440, 900)
SLOT = "02"


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        film = Path(folder) / "film"
        lay_out(film)
        server = DeskServer(film)
        server.start()
        try:
            picture = taken(server.address)
        finally:
            server.stop()
    where = Path(sys.argv[1]) if len(sys.argv) > 1 else PICTURE
    picture.quantize(256, dither=Image.Dither.NONE).save(where, optimize=True)
    print(f"{where}: {where.stat().st_size >> 10} KiB")


def taken(address: str) -> Image.Image:
    """Return the desk with one slot open."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": SIZE[0], "height": SIZE[1]})
        page.set_default_timeout(180_000)
        page.goto(address)
        page.wait_for_selector("[data-slot]")
        page.evaluate(f"location.hash = '#/slot/{SLOT}'")
        page.wait_for_selector(".speeds .speed")
        ready(page)
        shot = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
        browser.close()
        return shot


def ready(page: Page) -> None:
    """Wait for the photograph, and take the first stop in hand."""
    page.locator("[data-stop='1'] .tab").focus()
    page.locator(".photograph").evaluate("one => one.decode()")
    page.wait_for_timeout(300)


if __name__ == "__main__":
    main()
