"""film.toml and the plan change over to a new cut as one.

After a recut what was set by hand stands under the ids that slots have in the new cut, and the plan that says so takes
the place of the last one. Two files cannot be replaced at once: what comes is written down first, so that after a run
killed between them every reader knows which ids film.toml has, and both are written under a lock, in which the desk
writes film.toml too.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path

from ..errors import FilmFileError
from ..files import write_keeping_earlier, write_whole
from ..film_file import with_slots_renamed
from ..plan.last import CHANGEOVER_FILE, PLAN_FILE, begun_changeover, changeover
from ..values import one_form
from .lock import for_a_moment

_LOCK = ".writing.json"


def no_changeover(out: Path) -> AbstractContextManager[None]:
    """Hold film.toml and the plan in `out` to what they are, but for what is written by whoever holds them."""
    return for_a_moment(out / _LOCK) if out.is_dir() else nullcontext()


def change_over(plan: str, names: Mapping[str, str], film: Path | None, out: Path) -> None:
    """Write the text of a plan, and what was set by hand in `film` under the new ids (`names`, by the old ones)."""
    with no_changeover(out):
        if film is not None and names:
            before = _read(film)
            after = with_slots_renamed(before, names)
            if after != before:
                write_whole(out / CHANGEOVER_FILE, changeover(_ids(after), plan))
                write_keeping_earlier(film, after.encode())
        _end(plan, out)


def finish_changeover(film: Path | None, out: Path) -> None:
    """Bring a changeover to its end that a killed run has left half done; to be called within `no_changeover`."""
    if film is not None and (out / CHANGEOVER_FILE).is_file():
        _end(begun_changeover(out, _ids(_read(film))), out)


def _end(plan: str, out: Path) -> None:
    if plan:
        write_keeping_earlier(out / PLAN_FILE, plan.encode())
    _take_away(out / CHANGEOVER_FILE)


def _take_away(begun: Path) -> None:
    begun.unlink(missing_ok=True)


def _read(film: Path) -> str:
    """Return the text of a film.toml; FilmFileError where it is no TOML (any more)."""
    try:
        text = film.read_bytes().decode()
        tomllib.loads(text.removeprefix("\ufeff"))
    except OSError as wrong:
        raise FilmFileError(f"'{film.name}': cannot be opened: {wrong.strerror or wrong}") from None
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError) as wrong:
        raise FilmFileError(f"'{film.name}': must be TOML in UTF-8; {wrong}") from None
    return text


def _ids(text: str) -> Iterator[str]:
    """Yield the slots that a film.toml sets something for by hand, in its order."""
    slots = tomllib.loads(text.removeprefix("\ufeff")).get("slots")
    yield from map(one_form, slots if isinstance(slots, dict) else ())
