"""film.toml written back: only what is meant to change changes; comments, order and spacing stay as they were."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from typing import Any

import tomlkit

from .values import one_form

_HEADING = re.compile(
    r"^(?P<before>[ \t]*\[[ \t]*slots[ \t]*\.[ \t]*)(?P<key>\"[^\"\n]*\"|'[^'\n]*'|[\w-]+)", re.MULTILINE
)


def with_slots_renamed(text: str, renamed: Mapping[str, str]) -> str:
    """Return the text of a film.toml in which what was set by hand for a slot stands under the slot's new id.

    `renamed`: new ids by old ones, all taken at once. What was set for another slot whose id is taken now is kept, with
    " (gone)" behind the id.
    """
    film = tomllib.loads(text)
    names = new_names(film.get("slots", {}), renamed)
    wanted = _renamed(film, names)
    headed = _HEADING.sub(lambda found: found["before"] + _quoted(_new_name(found["key"], names)), text)
    if tomllib.loads(headed) == wanted:
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
