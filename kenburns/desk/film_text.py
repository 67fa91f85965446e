"""film.toml as a text on disk: read, and written only when it is a film that can be planned."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from ..errors import FilmFileError
from ..files import keep_earlier, whole_file
from ..film import FILM_FILE, Folders, load_film
from ..film_file import with_values
from ..film_place import FilmPlace
from ..toml_file import LARGEST_FILE
from .changes import MovedError

_SPELL = 600.0  # seconds: each click writes, and the desk itself can take the last ones back
_NEW = "# A film for kenburns, begun on the desk.\n\n[folders]\n"


def film_path(place: FilmPlace) -> Path:
    """Return the film file, also where it is still to be written."""
    return place.file or place.root / FILM_FILE


def read_film_text(place: FilmPlace) -> str:
    """Return the text of film.toml; where there is none, the one that a bare folder would have."""
    return _on_disk(place.file) if place.file else _for_bare_folder(place)


def parsed(text: str, name: str = FILM_FILE) -> dict[str, Any]:
    """Return the tables of a text; FilmFileError where it is no TOML."""
    try:
        return tomllib.loads(text.removeprefix("\ufeff"))
    except (tomllib.TOMLDecodeError, RecursionError) as wrong:
        raise FilmFileError(f"'{name}': must be TOML; {wrong}") from None


def write_film_text(place: FilmPlace, text: str, before: str, *, ours: bool = False) -> None:
    """Put a text in the place of `before`; FilmFileError where it breaks a rule, and then nothing is written.

    `before` is kept as an earlier version: always where it is not `ours`, not written by this desk since it was opened,
    and else once in a spell of editing. MovedError where the file no longer holds `before`.
    """
    path = film_path(place)
    with whole_file(path) as part:
        part.write_bytes(text.encode())
        try:
            if part.stat().st_size > LARGEST_FILE:
                raise FilmFileError(f"'{path.name}': must be at most {LARGEST_FILE} bytes")
            load_film(part)
        except FilmFileError as wrong:
            raise FilmFileError(str(wrong).replace(f"'{part.name}'", f"'{path.name}'")) from None
        if (place.file is None and path.exists()) or (place.file is not None and _on_disk(path) != before):
            raise MovedError(f"'{path.name}' was changed by someone else at the same moment; look again")
        if place.file is not None:
            keep_earlier(path, _SPELL if ours else 0)


def _on_disk(path: Path) -> str:
    try:
        return path.read_bytes().decode()
    except OSError as wrong:
        raise FilmFileError(f"'{path.name}': cannot be opened: {wrong.strerror or wrong}") from None
    except UnicodeDecodeError as wrong:
        raise FilmFileError(f"'{path.name}': must be text in UTF-8; byte {wrong.start + 1} is not") from None


def _for_bare_folder(place: FilmPlace) -> str:
    found = {"photographs": place.photographs, "cut_list": place.cut_list, "works": place.works}
    usual = Folders()
    values: dict[tuple[str, ...], object] = {
        ("folders", key): path.relative_to(place.root).as_posix()
        for key, path in found.items()
        if path is not None and path != place.root / getattr(usual, key)
    }
    return with_values(_NEW, values)
