"""film.toml written back: only what is meant to change changes; comments, order and spacing stay as they were."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import tomlkit

from .values import one_form

Place = tuple[str, ...]
"""Where a value stands: its table's name, that table's inner name if it has one, and the key."""

_BYTE_ORDER_MARK = "\ufeff"

_HEADING = re.compile(
    r"^(?P<before>[ \t]*\[[ \t]*slots[ \t]*\.[ \t]*)(?P<key>\"[^\"\n]*\"|'[^'\n]*'|[\w-]+)", re.MULTILINE
)

# TOML v1.0: multi-line and other strings (a multi-line one may end in quotes of its own), comments, brackets, ends of
# lines, and runs of all else.
_TOKEN = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}|'
    r"'''.*?'{3,5}|"
    r'"(?:\\.|[^"\\\n])*"|'
    r"'[^'\n]*'|"
    r"#[^\n]*|[\[{]|[\]}]|\n|[^\"'#\[\]{}\n]+",
    re.DOTALL,
)


def with_values(text: str, values: Mapping[Place, object]) -> str:
    """Return the text of a film.toml with these values at their places; None takes a key away.

    A place is (table, key) or (table, name, key); names are compared in Unicode's NFC. A value keeps its line and the
    comment behind it, a new key comes after the others of its table, a new table at the end; a comment behind a key
    that is taken away becomes a line, and a table left with nothing goes. Raises `tomllib.TOMLDecodeError` for a text
    that is no TOML and ValueError for a value that TOML cannot hold.
    """
    mark = _BYTE_ORDER_MARK * text.startswith(_BYTE_ORDER_MARK)
    text = text.removeprefix(mark)
    for place, value in values.items():
        text = _with_value(text, place, value)
    return mark + text


def value_at(film: Mapping[str, Any], place: Place) -> Any:
    """Return what a parsed film.toml holds at a place, None where it holds nothing."""
    found: Any = film
    for name in place:
        if not isinstance(found, Mapping):
            return None
        found = next((value for key, value in found.items() if one_form(key) == one_form(name)), None)
    return found


def with_slots_renamed(text: str, renamed: Mapping[str, str]) -> str:
    """Return the text of a film.toml in which what was set by hand for a slot stands under the slot's new id.

    `renamed`: new ids by old ones, all taken at once. What was set for another slot whose id is taken now is kept, with
    " (gone)" behind the id.
    """
    mark = _BYTE_ORDER_MARK * text.startswith(_BYTE_ORDER_MARK)
    return mark + _slots_renamed(text.removeprefix(mark), renamed)


def _slots_renamed(text: str, renamed: Mapping[str, str]) -> str:
    film = tomllib.loads(text)
    names = new_names(film.get("slots", {}), renamed)
    wanted = _renamed(film, names)
    headed = _HEADING.sub(lambda found: found["before"] + _quoted(_new_name(found["key"], names)), text)
    if _reads_as(headed, wanted):
        return headed
    document = tomlkit.parse(text)  # written as dotted keys or inline tables: values stay, their spacing may not
    document["slots"] = tomlkit.item(wanted["slots"])
    return tomlkit.dumps(document)


def new_names(ids: Iterable[str], renamed: Mapping[str, str]) -> dict[str, str]:
    """Return for each id that is to be another, in Unicode's NFC, the new one."""
    names = {one_form(old): new for old, new in renamed.items()}
    taken = {one_form(new) for new in renamed.values()}
    stranded = (slot for slot in map(one_form, ids) if slot in taken and slot not in names)
    return names | {slot: f"{slot} (gone)" for slot in stranded}


def _renamed(film: dict[str, Any], names: Mapping[str, str]) -> dict[str, Any]:
    slots = film.get("slots")
    if not isinstance(slots, dict):
        return film
    return {**film, "slots": {names.get(one_form(slot), slot): edit for slot, edit in slots.items()}}


def _new_name(key: str, names: Mapping[str, str]) -> str:
    (name,) = tomllib.loads(f"{key} = 0")
    return names.get(one_form(name), name)


def _quoted(name: str) -> str:
    return tomlkit.item(name).as_string()


def _with_value(text: str, place: Place, value: object) -> str:
    film = tomllib.loads(text)
    if value_at(film, place) == value and type(value_at(film, place)) is type(value):
        return text
    wanted = _set(film, place, value)
    mended = _mended(text, place, value)
    if _reads_as(mended, wanted):
        return mended
    document = tomlkit.parse(text)  # written as dotted keys or inline tables: values stay, their spacing may not
    if place[0] in wanted:
        document[place[0]] = tomlkit.item(wanted[place[0]])
    else:
        del document[place[0]]
    mended = tomlkit.dumps(document)
    if not _reads_as(mended, wanted):
        raise ValueError(f"TOML cannot hold {value!r}")
    return mended


def _set(film: Mapping[str, Any], place: Place, value: object) -> dict[str, Any]:
    """Return the tables with a value at a place; a table left with nothing goes."""
    name = next((key for key in film if one_form(key) == one_form(place[0])), place[0])
    rest = {key: held for key, held in film.items() if key != name}
    if len(place) > 1:
        inner = film.get(name, {})
        value = _set(inner if isinstance(inner, Mapping) else {}, place[1:], value) or None
    return rest if value is None else {**rest, name: value}


def _reads_as(text: str, wanted: Mapping[str, Any]) -> bool:
    try:
        return _filled(tomllib.loads(text)) == _filled(wanted)
    except tomllib.TOMLDecodeError:
        return False


def _filled(table: Mapping[str, Any]) -> dict[str, Any]:
    """Return the tables without those that hold nothing."""
    filled = {key: _filled(held) if isinstance(held, Mapping) else held for key, held in table.items()}
    return {key: held for key, held in filled.items() if held != {}}


@dataclass(frozen=True, slots=True)
class _Statement:
    """One statement of a TOML text with its line's end: a heading, a key with its value, or neither ("").

    `place` is the table of a heading, or the whole place of a key.
    """

    text: str
    kind: str
    place: Place = ()


def _mended(text: str, place: Place, value: object) -> str:
    statements = list(_statements(text))
    at = next((i for i, one in enumerate(statements) if one.kind == "key" and _same(one.place, place)), None)
    if at is not None:
        statements[at] = _Statement(_line(statements[at].text, value), "key" if value is not None else "", place)
        return _joined(statements if value is not None else _without_empty(statements, place[:-1]))
    if value is None:
        return text
    line = f"{_key(place[-1])} = {tomlkit.item(value).as_string()}{_end(text)}"
    after = _last_of(statements, place[:-1])
    if after is None:
        heading = ".".join([place[0], *map(_quoted, place[1:-1])])
        return f"{_closed(text)}{_end(text) * bool(text.strip())}[{heading}]{_end(text)}{line}"
    before = _closed(_joined(statements[: after + 1]))
    indent = _indent(statements[after].text)
    return before + indent + line + _joined(statements[after + 1 :])


def _statements(text: str) -> Iterator[_Statement]:
    table: Place = ()
    for statement in _split(text):
        start = statement.lstrip()
        if start.startswith("["):
            table = tuple(_names(tomllib.loads(start)))
            yield _Statement(statement, "heading", table)
        elif start and not start.startswith("#"):
            key = tomllib.loads(f"{statement[: _equals(statement)]} = 0")
            yield _Statement(statement, "key", table + tuple(_names(key)))
        else:
            yield _Statement(statement, "")


def _split(text: str) -> Iterator[str]:
    start, depth = 0, 0
    for token in _TOKEN.finditer(text):
        depth += (token[0] in "[{") - (token[0] in "]}")
        if token[0] == "\n" and depth == 0:
            yield text[start : token.end()]
            start = token.end()
    if start < len(text):
        yield text[start:]


def _names(tables: Any) -> Iterator[str]:
    """Yield the names on the way down tables that hold one thing each."""
    while isinstance(tables, dict) and tables:
        ((name, tables),) = tables.items()
        yield name
        tables = tables[0] if isinstance(tables, list) else tables


def _equals(statement: str) -> int:
    """Return where a key's equals sign stands."""
    return next(token.start() + token[0].index("=") for token in _TOKEN.finditer(statement) if _is_bare(token[0]))


def _is_bare(token: str) -> bool:
    return "=" in token and token[0] not in "\"'#"


def _line(statement: str, value: object) -> str:
    """Return a key's statement with another value; for None only the comment behind it, as a line."""
    start, end = _equals(statement) + 1, _comment(statement)
    held = statement[start:end]
    before = statement[:start] + held[: len(held) - len(held.lstrip())]
    behind = held[len(held.rstrip()) :] + statement[end:]
    if value is not None:
        return before + tomlkit.item(value).as_string() + behind
    return _indent(statement) + statement[end:] if statement[end:].startswith("#") else ""


def _comment(statement: str) -> int:
    """Return where the comment behind a value begins, or else where the statement ends."""
    depth = 0
    for token in _TOKEN.finditer(statement):
        depth += (token[0] in "[{") - (token[0] in "]}")
        if token[0].startswith("#") and depth == 0:
            return token.start()
    return len(statement)


def _without_empty(statements: Sequence[_Statement], table: Place) -> list[_Statement]:
    """Return the statements without a table's heading and the empty lines after it, if it has nothing else."""
    start = next((i for i, one in enumerate(statements) if one.kind == "heading" and _same(one.place, table)), None)
    if start is None or "#" in statements[start].text:
        return list(statements)
    end = next((i for i in range(start + 1, len(statements)) if statements[i].kind == "heading"), len(statements))
    if any(one.text.strip() for one in statements[start + 1 : end]):
        return list(statements)
    if end == len(statements) and start and not statements[start - 1].text.strip():
        start -= 1
    return [*statements[:start], *statements[end:]]


def _last_of(statements: Sequence[_Statement], table: Place) -> int | None:
    """Return the last key of a table, or its heading where it has none yet."""
    last, inside = None, False
    for i, one in enumerate(statements):
        inside = _same(one.place, table) if one.kind == "heading" else inside
        last = i if inside and one.kind else last
    return last


def _same(place: Place, other: Place) -> bool:
    return tuple(map(one_form, place)) == tuple(map(one_form, other))


def _joined(statements: Iterable[_Statement]) -> str:
    return "".join(one.text for one in statements)


def _closed(text: str) -> str:
    return text if not text or text.endswith("\n") else text + _end(text)


def _end(text: str) -> str:
    """Return how lines end in a text."""
    return "\r\n" if "\r\n" in text else "\n"


def _indent(text: str) -> str:
    return text[: len(text) - len(text.lstrip(" \t"))]


def _key(name: str) -> str:
    return name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else _quoted(name)
