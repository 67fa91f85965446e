"""request.csv: one row for each picture to ask for."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from .asks import Ask, Request

REQUEST_TABLE = "request.csv"

COLUMNS = (
    *("owner", "what", "work", "file", "width now", "height now", "long side", "width", "height"),
    *("least width", "least height", "slots", "why", "remark"),
)

_WHAT = {
    "larger": "a larger file",
    "sharper": "a sharper file",
    "missing": "a photograph",
    "unreadable": "a readable file",
    "unsure": "confirm first",
}

# Spreadsheets take a cell that begins so for a formula (OWASP, "CSV Injection"); an apostrophe makes it text again.
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def request_csv(request: Request) -> str:
    """Return the table as CSV (RFC 4180): a header, and a row for each picture in the order of the request.

    Pixels: "width" and "height" are what to ask for, "least" ones what the shots need. Written to a file it is best
    encoded as UTF-8 with a byte order mark, by which spreadsheets know it (common practice).
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    writer.writerows([_plain(cell) for cell in _row(ask)] for ask in request.asks)
    return text.getvalue()


def _row(ask: Ask) -> Iterator[str]:
    yield from (ask.owner, _WHAT[ask.state], ask.work, ask.file)
    yield from (str(ask.has.width), str(ask.has.height)) if ask.has else ("", "")
    yield str(ask.long_side)
    for size in (ask.ask_for, ask.needed):
        yield from (str(size.width), str(size.height))
    yield ", ".join(dict.fromkeys(use.slot for use in ask.uses))
    yield "; ".join(ask.reasons)
    yield " ".join(filter(None, (ask.soft, ask.remark)))


def _plain(cell: str) -> str:
    """Return the cell without characters that no CSV holds, and never as a formula."""
    text = cell.replace("\0", "")
    return f"'{text}" if text.startswith(_FORMULA) else text
