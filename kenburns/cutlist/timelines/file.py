"""An .otio or .otioz file -> the objects in it, as plain dictionaries.

OpenTimelineIO files are JSON (its "OTIO File Format Specification"), in a bundle the member content.otio of a zip. They
are read here with the JSON reader that Python has, and not with the opentimelineio package: one clip that it cannot
read costs that package the whole file, and values nested some thousands deep end the process. The tests hold the two
against each other. A bundle is never unpacked: no other member of it is looked at.
"""

from __future__ import annotations

import io
import json
import re
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any

from ...errors import ListError
from ..slots import shown

Object = dict[str, Any]
"""One object of the file; its key OTIO_SCHEMA says what it is."""

CONTENT = "content.otio"
"""The timeline in a bundle ("OTIOZ", opentimelineio's documentation)."""

_LARGEST = 100_000_000  # bytes of JSON: ten thousand clips with ten thousand bytes of remarks each
_LARGEST_DIRECTORY = 16_000_000  # bytes that a zip's list of members may have
_WHAT_WORKS = "a timeline is an .otio or .otioz file"

_REFERENCE = "OTIO_REF_ID"  # under which an object can be referred to elsewhere in the file

# Names that schemas had before, and the words in which messages speak of them.
_FORMER = {"Sequence": "Track", "Filler": "Gap", "SerializeableCollection": "SerializableCollection"}
_PLAIN = {"SerializableCollection": "collection"}

# A token that Python's reader does not know and OpenTimelineIO's does: Inf, outside quotation marks.
_INF = re.compile(r'"(?:[^"\\]|\\.)*"|\bInf\b', re.DOTALL)


def looks_like_timeline(path: Path, head: bytes) -> bool:
    """Tell from its name, or else from its first bytes, whether a file is a timeline."""
    begin = head.lstrip(b"\xef\xbb\xbf \t\r\n")
    return (
        path.suffix.lower() in (".otio", ".otioz")
        or (begin.startswith(b"{") and b'"OTIO_SCHEMA"' in begin)
        or (begin.startswith(b"PK\x03\x04") and begin[30:].startswith(CONTENT.encode()))
    )


def read_objects(path: Path) -> Object:
    """Return the outermost object of a file, references within it resolved; ListError where there is none."""
    try:
        content = _content(path)
        text = content.decode(json.detect_encoding(content))
        found = json_value(text)
    except OSError as error:
        raise ListError(f"'{path}' cannot be read: {error.strerror or error}; {_WHAT_WORKS}") from error
    except RecursionError as error:
        raise ListError(f"'{path}' has objects within objects deeper than can be followed; {_WHAT_WORKS}") from error
    except UnicodeDecodeError as error:
        raise ListError(f"'{path}' is not text in UTF-8 (byte {error.start}); {_WHAT_WORKS}") from error
    except ValueError as error:
        raise ListError(f"'{path}' is not JSON: {error}; {_WHAT_WORKS}") from error
    if not isinstance(found, dict) or not schema(found):
        raise ListError(f"'{path}' is JSON and no timeline: it does not begin with an OTIO_SCHEMA; {_WHAT_WORKS}")
    return _resolved(found) if _REFERENCE in text else found


def schema(item: Any) -> str:
    """Return what an object is, without version and under its present name: "Clip", "Track"; "" where it is none."""
    name = item.get("OTIO_SCHEMA") if isinstance(item, dict) else None
    word = name.rpartition(".")[0] or name if isinstance(name, str) else ""
    return _FORMER.get(word, word)


def label(item: Any) -> str:
    """Return an object as messages name it: "clip 'Harbour'"; "clip without a name"."""
    what, name = schema(item), text_of(item, "name")
    word = _PLAIN.get(what, what.lower()) if what.isascii() and what.isidentifier() and len(what) < 40 else "object"
    return f"{word} {shown(name)}" if name else f"{word} without a name"


def text_of(item: Any, key: str) -> str:
    """Return a text of an object, trimmed; "" where it has none."""
    value = item.get(key) if isinstance(item, dict) else None
    # Half a surrogate pair can stand in JSON and in no file name or message.
    return value.encode("utf-8", "replace").decode().strip() if isinstance(value, str) else ""


def list_of(item: Object, key: str) -> list[Any]:
    """Return a list of an object; an empty one where it has none."""
    value = item.get(key)
    return value if isinstance(value, list) else []


def own_data(item: Any) -> Object:
    """Return what this tool wrote into the metadata of an object; an empty dictionary where it wrote nothing."""
    metadata = item.get("metadata") if isinstance(item, dict) else None
    held = metadata.get("kenburns") if isinstance(metadata, dict) else None
    return held if isinstance(held, dict) else {}


def _content(path: Path) -> bytes:
    if not path.is_file():
        raise ListError(f"'{path}' is no file; {_WHAT_WORKS}")
    with path.open("rb") as file:
        is_bundle = file.read(2) == b"PK"
        file.seek(0)
        data = _from_bundle(path) if is_bundle else file.read(_LARGEST + 1)
    if len(data) > _LARGEST:
        raise ListError(f"'{path}' holds more than {_LARGEST // 10**6} MB of timeline; export the stills' tracks alone")
    return data


class _Measured(io.FileIO):
    """A file that gives no more at a time than a list of members may have: zipfile asks for all of it at once."""

    def read(self, size: int | None = -1, /) -> bytes:
        most = _LARGEST_DIRECTORY + 1
        data = super().read(most if size is None or size < 0 else min(size, most)) or b""
        if len(data) == most:
            raise zipfile.BadZipFile("its list of members is too long")
        return data


def _from_bundle(path: Path) -> bytes:
    try:
        with _Measured(path) as file, zipfile.ZipFile(file) as bundle, bundle.open(CONTENT) as content:
            return _read_all(content)
    except KeyError as error:
        raise ListError(f"'{path}' is a zip without '{CONTENT}'; {_WHAT_WORKS}") from error
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError) as error:
        raise ListError(f"'{path}' is a zip that cannot be read: {error}; export the bundle again") from error


def _read_all(content: IO[bytes]) -> bytes:
    data = bytearray()
    while len(data) <= _LARGEST and (more := content.read(1 << 20)):
        data += more
    return bytes(data)


def json_value(text: str) -> Any:
    """Return the value in a JSON text, in which Inf is infinity too; ValueError where it is none."""
    try:
        return json.loads(text)
    except json.JSONDecodeError as error:
        if not text.startswith("Inf", error.pos) and not text.startswith("-Inf", error.pos):
            raise
    return json.loads(_INF.sub(lambda found: "Infinity" if found[0] == "Inf" else found[0], text))


def _resolved(root: Object) -> Object:
    """Put the objects that references mean in their place: one object can then stand in several places."""
    objects = list(_objects(root))
    held = {item[_REFERENCE]: item for item in objects if isinstance(item.get(_REFERENCE), str)}
    for item in objects:
        for key, value in item.items():
            item[key] = [_meant(entry, held) for entry in value] if isinstance(value, list) else _meant(value, held)
    return root


def _meant(value: Any, held: dict[str, Object]) -> Any:
    is_reference = isinstance(value, dict) and schema(value) == "SerializableObjectRef"
    name = value.get("id") if is_reference else None
    return held.get(name, value) if isinstance(name, str) else value


def _objects(root: Object) -> Iterator[Object]:
    waiting: list[Any] = [root]
    while waiting:
        value = waiting.pop()
        if isinstance(value, dict):
            yield value
            waiting.extend(value.values())
        elif isinstance(value, list):
            waiting.extend(value)
