"""The contact sheet as one self-contained HTML page: no network, no scripts, pictures inside."""

from __future__ import annotations

import base64
import io
from collections.abc import Iterator
from html import escape
from importlib import resources
from urllib.parse import quote

from PIL import Image

from .sheet import SETTLED, Outline, Page, Picture, RefusedFile, Share, Sheet, SheetEntry, UnusedStill
from .sheet_marks import CALL, GROUND, INK, LINE, QUIET, mark_svg

QUALITY = 86
"""Of the JPEG pictures, with full colour resolution: artwork has saturated edges."""

# The page can load nothing and run nothing, whatever a file name may hold: W3C Content Security Policy Level 3.
_POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"


def sheet_page(sheet: Sheet) -> Iterator[str]:
    """Yield the text of an HTML file, to be written as UTF-8, in pieces of which none shows more than one slot."""
    yield from (
        "<!doctype html>\n",
        '<html lang="en">\n',
        "<head>\n",
        '<meta charset="utf-8">\n',
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n',
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">\n',
        f"<title>{_text(_title(sheet))}</title>\n",
        f"<style>\n{_style()}</style>\n",
        "</head>\n",
        "<body>\n",
        f"{_header(sheet)}\n",
        "<main>\n",
    )
    yield from (f"{_entry(index, entry)}\n" for index, entry in enumerate(sheet.drawn(), 1))
    yield from _unused(sheet)
    yield from _refused(sheet.refused)
    yield f"{_element('p', sheet.notice, 'quiet')}\n"
    if sheet.pages:
        yield f"<section>{_pages(sheet)}</section>\n"
    yield "</main>\n</body>\n</html>\n"


def _title(sheet: Sheet) -> str:
    page = f", page {sheet.page + 1} of {len(sheet.pages)}" if sheet.pages else ""
    return f"{sheet.film} – {sheet.kind}{page}"


def _style() -> str:
    colours = f":root {{ --ground: {GROUND}; --ink: {INK}; --quiet: {QUIET}; --call: {CALL}; --line: {LINE}; }}\n"
    return colours + resources.files(__package__).joinpath("sheet.css").read_text("utf-8")


def _text(text: str) -> str:
    """Return `text` safe in HTML and in a quoted attribute; what UTF-8 cannot carry becomes "?"."""
    return escape(text.encode("utf-8", "replace").decode(), quote=True)


def _header(sheet: Sheet) -> str:
    calls = [
        f'<li><a href="#slot-{index}">{_text(entry.slot)}</a></li>'
        for index, entry in enumerate(sheet.entries, 1)
        if entry.attention
    ]
    look = f'<nav aria-label="Needs attention"><ul><li class="call">needs attention</li>{"".join(calls)}</ul></nav>'
    said = f"{_element('h1', sheet.film)}{_element('p', sheet.summary, 'quiet')}"
    return f"<header>{said}{_pages(sheet)}{look if calls else ''}</header>"


def _pages(sheet: Sheet) -> str:
    """Return links to all pages but this one; nothing where it is the only one."""
    items = [_page(page, number == sheet.page) for number, page in enumerate(sheet.pages)]
    return f'<nav aria-label="Pages"><ul>{"".join(items)}</ul></nav>' if items else ""


def _page(page: Page, is_this: bool) -> str:
    calls = f' <span class="call">{page.calls} to look at</span>' if page.calls else ""
    if is_this:
        return f'<li class="quiet" aria-current="page">{_text(page.holds)}{calls}</li>'
    return f'<li><a href="{_text(quote(page.file))}">{_text(page.holds)}</a>{calls}</li>'


def _element(tag: str, text: str, name: str = "") -> str:
    """Return an element with text, nothing for no text."""
    of_class = f' class="{name}"' if name else ""
    return f"<{tag}{of_class}>{_text(text)}</{tag}>" if text else ""


def _entry(index: int, entry: SheetEntry) -> str:
    return (
        f'<article class="entry" id="slot-{index}">\n<div class="words">{_words(entry)}</div>\n'
        f"{_still(entry)}\n{_frames(entry)}</article>"
    )


def _words(entry: SheetEntry) -> str:
    facts = (entry.timecode, entry.length, entry.shot, entry.still_name, entry.credit)
    return "".join(
        (
            _element("h2", entry.slot),
            _verdict(entry.verdict),
            _element("p", entry.remark),
            *(_element("p", flag, "call") for flag in entry.flags),
            *(_element("p", right, "quiet") for right in entry.rights),
            _element("p", entry.title),
            f'<div class="facts">{"".join(_element("p", fact) for fact in facts)}</div>',
        )
    )


def _verdict(verdict: str) -> str:
    tone = "verdict" if verdict in SETTLED else "verdict call"
    return f'<p class="{tone}">{mark_svg(verdict)}{_text(verdict)}</p>'


def _still(entry: SheetEntry) -> str:
    if entry.shown is None:
        return '<div class="nothing"></div>'
    details = entry.details if entry.picture is not None else ()
    outline = entry.outline if entry.picture is not None else None
    return f'<div class="still">{_image(entry.shown, _alt(entry))}{_outline(outline)}{_details(details)}</div>'


def _alt(entry: SheetEntry) -> str:
    if entry.picture is None:
        return f"card of slot {entry.slot}"
    count = len(entry.details)
    numbered = f", {count} detail{'s' if count > 1 else ''} numbered" if count else ""
    return f"{entry.title or entry.still_name or entry.slot}, whole{numbered}"


def _outline(outline: Outline | None) -> str:
    if outline is None:
        return ""
    points = " ".join(f"{x:.5f},{y:.5f}" for x, y in outline)
    lines = "".join(f'<polygon class="{layer}" points="{points}"/>' for layer in ("under", "edge"))
    return f'<svg class="details" viewBox="0 0 1 1" preserveAspectRatio="none" aria-hidden="true">{lines}</svg>'


def _details(details: tuple[Share, ...]) -> str:
    if not details:
        return ""
    boxes = [f'x="{x:.3%}" y="{y:.3%}" width="{w:.3%}" height="{h:.3%}"' for x, y, w, h in details]
    rects = "".join(f'<rect class="{layer}" {box}/>' for box in boxes for layer in ("under", "over"))
    # Numbers last, so that no rectangle crosses one.
    numbers = "".join(_number(number, detail) for number, detail in enumerate(details, 1))
    return f'<svg class="details" aria-hidden="true">{rects}{numbers}</svg>'


def _number(number: int, detail: Share) -> str:
    width = 12 + 10 * len(str(number))
    return (
        f'<svg x="{detail[0]:.3%}" y="{detail[1]:.3%}" overflow="visible">'
        f'<rect class="chip" width="{width}" height="22"/>'
        f'<text x="{width / 2:g}" y="16.5">{number}</text></svg>'
    )


def _frames(entry: SheetEntry) -> str:
    if not entry.moments:
        return ""
    height, width = entry.moments[0].shape[:2]
    figures = (
        f"<figure>{_image(frame, f'{entry.slot}, {name}')}<figcaption>{_text(name)}</figcaption></figure>"
        for name, frame in zip(entry.captions, entry.moments, strict=False)
    )
    return f'<div class="frames{"" if width > height else " upright"}">{"".join(figures)}</div>'


def _image(picture: Picture, alt: str) -> str:
    height, width = picture.shape[:2]
    return f'<img src="{_data(picture)}" width="{width}" height="{height}" alt="{_text(alt)}">'


def _data(picture: Picture) -> str:
    """Return a picture as a data URI (RFC 2397) that holds a JPEG file."""
    file = io.BytesIO()
    Image.fromarray(picture).save(file, "JPEG", quality=QUALITY, subsampling=0)
    return f"data:image/jpeg;base64,{base64.b64encode(file.getvalue()).decode('ascii')}"


def _unused(sheet: Sheet) -> Iterator[str]:
    if sheet.unused:
        yield '<section><h2>Not used</h2><ul class="unused">'
        yield from map(_unused_still, sheet.drawn_unused())
        yield "</ul></section>\n"


def _unused_still(still: UnusedStill) -> str:
    picture = "" if still.picture is None else _image(still.picture, f"{still.name}, whole")
    return f"<li>{picture}{_element('p', still.name)}{_verdict(still.verdict)}</li>"


def _refused(files: tuple[RefusedFile, ...]) -> Iterator[str]:
    if files:
        items = (f'<li>{_text(file.name)} <span class="quiet">{_text(file.reason)}</span></li>' for file in files)
        yield f'<section><h2>Could not be read</h2><ul class="refused">{"".join(items)}</ul></section>\n'
