"""What a request asks for, checked; HTTPException says, in a sentence, what is wrong with it."""

from __future__ import annotations

import json
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request

from ..prepare import Prepared
from ..stills.open import Photograph
from .images import WIDTHS
from .state import photograph_id

_MOST_SLOTS = 10_000  # named in one request


async def asked_in(request: Request) -> dict[str, Any]:
    """Return the JSON object that is a request's body."""
    if request.headers.get("content-type", "").partition(";")[0].strip().lower() != "application/json":
        raise HTTPException(415, "what is asked must be application/json")
    try:
        document = json.loads((await request.body()).decode(), parse_constant=_no_number)
    except (ValueError, RecursionError):
        raise HTTPException(400, "what is asked must be JSON") from None
    if not isinstance(document, dict):
        raise HTTPException(400, "what is asked must be a JSON object")
    return document


def _no_number(name: str) -> float:
    raise ValueError(f"{name} is no number")


def version_in(asked: dict[str, Any]) -> str:
    """Return the version of the film that a page shows."""
    version = asked.get("version")
    if not isinstance(version, str):
        raise HTTPException(422, "'version' must be the version of the film that the page shows")
    return version


def index_in(request: Request, count: int) -> int:
    """Return the slot of an address, by its place in a film of `count` slots."""
    text = request.path_params["index"]
    if not (text.isascii() and text.isdecimal() and len(text) <= 6 and int(text) < count):
        raise HTTPException(404, "the film has no slot with that number")
    return int(text)


def width_in(request: Request) -> int:
    """Return how wide a picture is wanted, in px."""
    text = request.query_params.get("w", str(WIDTHS[1]))
    widths = {str(width): width for width in WIDTHS}
    if text not in widths:
        raise HTTPException(404, f"pictures are {', '.join(widths)} px wide")
    return widths[text]


def photograph_in(asked: str, prepared: Prepared) -> Photograph:
    """Return a photograph by what addresses call it."""
    for name, photograph in prepared.material.photographs.items():
        if photograph_id(name) == asked:
            return photograph
    raise HTTPException(404, "the film has no such photograph")


def chosen_in(asked: object, prepared: Prepared) -> frozenset[str] | None:
    """Return the slots that are named; None for the whole film."""
    if asked is None:
        return None
    known = {slot.slot for slot in prepared.plan.slots}
    if not isinstance(asked, list) or not 1 <= len(asked) <= _MOST_SLOTS or not all(isinstance(s, str) for s in asked):
        raise HTTPException(422, "'slots' must be a list of slots, or null for the whole film")
    if not known.issuperset(asked):
        raise HTTPException(422, "the film has no slot of that name")
    return frozenset(asked)


def mark_in(asked: dict[str, Any]) -> tuple[str, bool]:
    """Return the id of a note, and whether it is done."""
    note, done = asked.get("note"), asked.get("done")
    if not isinstance(note, str) or not isinstance(done, bool):
        raise HTTPException(422, "'note' must be the id of a note, and 'done' true or false")
    return note, done
