"""The photographs of a film by their names: exact look-up, with or without suffix, with or without folder."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from .ids import id_key
from .names import base_name, without_suffix


class FileNames:
    """Names of files, looked up without regard to case and Unicode form."""

    def __init__(self, files: Sequence[str]) -> None:
        self._by_stem: dict[str, list[str]] = defaultdict(list)
        for file in files:
            self._by_stem[_stem(file)].append(file)

    def find(self, name: str) -> tuple[str, ...]:
        """Return the files that `name` means exactly: none, one, or several in different folders or formats."""
        held = self._by_stem.get(_stem(name), []) if name.strip() else []
        same_suffix = [file for file in held if _base(file) == _base(name)]
        held = same_suffix or held
        path = _path(name)
        same_folder = [file for file in held if _ends_with(_path(file), path, suffix=bool(same_suffix))]
        return tuple(same_folder or held)


def _path(name: str) -> str:
    return id_key(name.strip().replace("\\", "/").removeprefix("./"))


def _base(name: str) -> str:
    return base_name(_path(name))


def _stem(name: str) -> str:
    return without_suffix(_base(name))


def _ends_with(path: str, tail: str, *, suffix: bool) -> bool:
    held, asked = (path, tail) if suffix else (without_suffix(path), without_suffix(tail))
    return held == asked or ("/" in asked and held.endswith("/" + asked.lstrip("/")))
