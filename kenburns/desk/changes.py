"""What the page asks to be set by hand, looked up and checked; and where two hands have set the same."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from ..errors import OptionError
from ..film import SlotEdit, StillEdit
from ..film_file import Place, value_at
from ..toml_file import key_text

MOST_CHANGES = 200
"""In one request: a page sends a few."""

KEYS: Mapping[str, frozenset[str]] = {
    "slots": frozenset(SlotEdit.model_fields),
    "stills": frozenset(StillEdit.model_fields),
}
"""What may be set by hand, by table of film.toml."""

Names = Mapping[str, Mapping[str, str | None]]
"""For each table the names that a page may use, and the name in film.toml of each; None: it has none yet."""


@dataclass(frozen=True, slots=True)
class Change:
    """One key of film.toml and its value; None takes the key away."""

    place: Place
    value: object


class ConflictError(Exception):
    """Somebody else has set the same meanwhile; the message is a sentence for a person."""


class MovedError(ConflictError):
    """Somebody else has written the file in the very moment; it can be looked at again."""


def read_changes(asked: object, names: Names) -> tuple[Change, ...]:
    """Return the changes that a page asks for: a list of {"table", "name", "key", "value"}.

    OptionError for anything else, and for a table, name or key that is not known. Of several values for one key the
    last counts.
    """
    if not isinstance(asked, list) or not 1 <= len(asked) <= MOST_CHANGES:
        raise OptionError(f"'changes' must be a list of 1 to {MOST_CHANGES} changes")
    changes = [_change(one, names) for one in asked]
    return tuple({change.place: change for change in changes}.values())


def _change(asked: object, names: Names) -> Change:
    if not isinstance(asked, dict) or set(asked) != {"table", "name", "key", "value"}:
        raise OptionError("a change must have 'table', 'name', 'key' and 'value', and nothing else")
    table, name, key = (_text(asked[part], part) for part in ("table", "name", "key"))
    if table not in KEYS:
        raise OptionError(f"table '{_short(table)}' is not known; use {' or '.join(KEYS)}")
    if key not in KEYS[table]:
        raise OptionError(f"{table} have no key '{_short(key)}'; they have {', '.join(sorted(KEYS[table]))}")
    return Change((table, _known(table, name, names[table]), key), _value(asked["value"]))


def _known(table: str, name: str, names: Mapping[str, str | None]) -> str:
    if name not in names:
        what = "slot" if table == "slots" else "photograph"
        raise OptionError(f"the film has no {what} '{_short(name)}'")
    known = names[name]
    if known is None:
        raise OptionError(
            f"slot '{name}' is new in this cut, and film.toml still means another by that name; "
            "render the film once, then set it"
        )
    return known


def _text(value: object, part: str) -> str:
    if not isinstance(value, str):
        raise OptionError(f"a change's '{part}' must be text")
    return value


def _value(value: object, depth: int = 0) -> object:
    """Return a value as TOML may hold it: whole floats as whole numbers, and only text that UTF-8 has."""
    if isinstance(value, list) and depth < 3:
        return [_value(inner, depth + 1) for inner in value]
    if isinstance(value, float) and value.is_integer() and abs(value) < 2**53:
        return int(value)
    if isinstance(value, bool | float) or (value is None and depth == 0):
        return value
    if isinstance(value, int) and abs(value) < 2**63:
        return value
    if isinstance(value, str) and value.isascii() | _is_unicode(value):
        return value
    raise OptionError("a change's 'value' must be text, a number, true or false, a list of them, or null")


def _is_unicode(text: str) -> bool:
    try:
        text.encode()
    except UnicodeEncodeError:  # half of a pair, as JSON can spell one
        return False
    return True


def _short(text: str) -> str:
    shown = text.encode("unicode_escape").decode() if not text.isprintable() else text
    return shown if len(shown) <= 60 else shown[:59] + "…"


def require_no_conflict(
    base: Mapping[str, Any], now: Mapping[str, Any], changes: Iterable[Change], called: Mapping[str, str] | None = None
) -> None:
    """Raise ConflictError where one of the changes is of a key that differs between two states of film.toml.

    `base` is what the page has seen, `called` says by what other names it had slots. A key that holds what is asked for
    already is no conflict.
    """
    taken = list(_taken(base, now, changes, called or {}))
    if taken:
        keys = ", ".join(key_text(change.place, table=False) for change in taken)
        raise ConflictError(f"film.toml was changed by someone else meanwhile, in the same place: {keys}")


def _taken(
    base: Mapping[str, Any], now: Mapping[str, Any], changes: Iterable[Change], called: Mapping[str, str]
) -> Iterator[Change]:
    for change in changes:
        held = value_at(now, change.place)
        if held not in (value_at(base, _before(change.place, called)), change.value):
            yield change


def _before(place: Place, called: Mapping[str, str]) -> Place:
    table, name, *key = place
    return (table, called.get(name, name), *key) if table == "slots" else place
