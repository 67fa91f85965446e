"""A TOML file that a person wrote, read into a frozen model; what breaks a rule is told in the person's terms.

Every message has the same order: the file, the key, the rule and what would work, the value found::

    'film.toml', [film] handles: must be a whole number of frames from 0 to 1000, not -3
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from pathlib import Path
from typing import Any, TypeVar

from pydantic import (
    BaseModel,
    ConfigDict,
    ValidationError,
    ValidatorFunctionWrapHandler,
    WrapValidator,
    model_validator,
)
from pydantic_core import ErrorDetails, PydanticCustomError

from .errors import RequestError

_KEY_ITSELF = "[key]"  # pydantic's mark where not a value but its name breaks a rule
LARGEST_FILE = 4 * 1024 * 1024  # bytes; a film of ten thousand hand-set slots stays far below
LONGEST_VALUE = 80  # characters of a value that a message repeats

_WORDS = {
    "string_type": "must be text in quotes",
    "bool_type": "must be true or false",
    "dict_type": "must be a table of keys",
    "mapping_type": "must be a table of keys",
}


class Table(BaseModel):
    """A table of known keys, read-only once checked."""

    model_config = ConfigDict(frozen=True, extra="forbid", validate_by_name=False, validate_by_alias=True)

    @model_validator(mode="before")
    @classmethod
    def _know_every_key(cls, table: object) -> object:
        if not isinstance(table, Mapping):
            raise PydanticCustomError("rule", "must be a table of keys")
        known = [field.alias or name for name, field in cls.model_fields.items()]
        for key in table:
            if key not in known:
                raise PydanticCustomError("unknown_key", "{text}", {"text": unknown(str(key), known)})
        return table


Model = TypeVar("Model", bound=Table)


def unknown(key: str, known: Iterable[str]) -> str:
    """Say that a key is not known, which one may have been meant, and which there are."""
    names = list(known)
    near = get_close_matches(key.lower(), names, n=1, cutoff=0.5)
    meant = f"perhaps '{near[0]}' was meant; " if near else ""
    return f"has no key '{key}'; {meant}the keys are {', '.join(names)}"


def rule(text: str) -> WrapValidator:
    """State a key's rule in words; they stand in the message instead of the validator's own."""

    def check(value: object, handler: ValidatorFunctionWrapHandler) -> object:
        try:
            return handler(value)
        except ValidationError:
            raise broken(text) from None

    return WrapValidator(check)


def broken(text: str) -> PydanticCustomError:
    """Return the error of a value that must be `text` and is not."""
    return PydanticCustomError("rule", "must be {rule}", {"rule": text})


def said(text: str) -> PydanticCustomError:
    """Return the error of a value whose message says all: the rule, the value found and what would work."""
    return PydanticCustomError("said", "{text}", {"text": text})


def read_toml(path: Path, error: type[RequestError]) -> dict[str, Any]:
    """Return the tables of a TOML file (toml.io, v1.0; UTF-8, a byte order mark is let pass).

    Raises `error` for a file that cannot be opened, is over LARGEST_FILE bytes, or is not TOML.
    """
    try:
        return tomllib.loads(_read_bytes(path, error).decode("utf-8-sig"))
    except UnicodeDecodeError as wrong:
        raise error(f"'{path.name}': must be text in UTF-8; byte {wrong.start + 1} is not") from None
    except tomllib.TOMLDecodeError as wrong:
        raise error(f"'{path.name}': must be TOML, as in `key = \"text\"`; {wrong}") from None
    except RecursionError:
        raise error(f"'{path.name}': must be TOML with few brackets inside each other; these are too many") from None


def _read_bytes(path: Path, error: type[RequestError]) -> bytes:
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
    except OSError as wrong:
        raise error(f"'{path.name}': cannot be opened: {wrong.strerror or wrong}") from None
    if len(content) > LARGEST_FILE:
        raise error(f"'{path.name}': must be at most {LARGEST_FILE} bytes, and is larger")
    return content


def checked(model: type[Model], table: Mapping[str, Any], name: str, error: type[RequestError]) -> Model:
    """Return the table as a model; raises `error` naming the file `name` and every key that breaks a rule."""
    try:
        return model.model_validate(table)
    except ValidationError as wrong:
        raise error("\n".join(_message(name, detail) for detail in wrong.errors(include_url=False))) from None


def _message(name: str, detail: ErrorDetails) -> str:
    place = key_text(detail["loc"], table=isinstance(detail["input"], Mapping))
    where = f"'{name}', {place}" if place else f"'{name}'"
    if detail["type"] == "unknown_key":
        return f"{where} {detail['msg']}"
    if detail["type"] == "missing":  # the value is the whole table here, not what the key holds
        return f"'{name}', {key_text(detail['loc'], table=False)} is missing"
    if detail["type"] == "said":
        return f"{where}: {detail['msg']}"
    return f"{where}: {_WORDS.get(detail['type'], detail['msg'])}, not {_shown(detail['input'])}"


def _shown(value: object) -> str:
    text = repr(value)
    return text if len(text) <= LONGEST_VALUE else text[: LONGEST_VALUE - 1] + "…"


def key_text(place: tuple[int | str, ...], *, table: bool) -> str:
    """Return a key as it stands in the file: `[stills."sea.jpg"] outline`; `table` says that the place is a table."""
    names = [part for part in place if isinstance(part, str) and part != _KEY_ITSELF]
    items = "".join(f", item {part + 1}" for part in place if isinstance(part, int))
    tables, key = (names, "") if table or _KEY_ITSELF in place else (names[:-1], names[-1] if names else "")
    heading = f"[{'.'.join(map(_key, tables))}]" if tables else ""
    return " ".join(part for part in (heading, key) if part) + items


def _key(name: str) -> str:
    bare = name.isascii() and name.replace("_", "").replace("-", "").isalpha()
    return name if bare else f'"{name}"'
