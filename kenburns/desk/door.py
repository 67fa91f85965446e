"""The front door: what a folder without a film needs, and where a new film goes."""

from __future__ import annotations

from pathlib import Path

from ..cutlist.reading import SUFFIXES
from ..errors import KenburnsError, PhotographError
from ..film import FILM_FILE, Folders
from ..film_place import film_for
from ..stills.folder import find_photographs
from ..stills.open import Photograph

BRING = "Bring a folder of photographs of the works and, if there is one, the cut list."

_NEW = "film"
_OF_A_FILM = frozenset({FILM_FILE, Folders().photographs, Folders().out, Folders().works})


def is_too_wide(target: Path) -> bool:
    """Whether a folder is a person's home, or a whole disk: no film, whatever pictures lie somewhere in it."""
    try:
        place = target.resolve()
        return place.is_dir() and not (place / FILM_FILE).exists() and place in (Path.home(), Path(place.anchor))
    except (OSError, RuntimeError):
        return False


def hint_for(target: Path, problem: str = "") -> str:
    """Return the sentence for a target that is no film yet: what to bring, or else what is wrong with it."""
    return BRING if can_bring(target) or not problem else problem


def can_bring(target: Path) -> bool:
    """Whether nothing is here but a place for a film."""
    if is_too_wide(target):
        return True
    try:
        place = film_for(target)
        found, refused = find_photographs(place.photographs, [place.out], _unopened)
    except (KenburnsError, OSError):
        return False
    return not found and not refused


def _unopened(_path: Path, name: str) -> Photograph:
    """Count a photograph without opening it."""
    raise PhotographError(name)


def new_film_folder(target: Path) -> Path:
    """Return where a new film goes: the target if it is a folder with nothing else in it, or else a new one inside."""
    if not is_too_wide(target) and all(_is_of_a_film(path) for path in target.iterdir()):
        return target
    names = (_NEW if number == 1 else f"{_NEW}-{number}" for number in range(1, 1000))
    return next(target / name for name in names if not (target / name).exists())


def _is_of_a_film(path: Path) -> bool:
    is_list = path.stem == Path(Folders().cut_list).stem and path.suffix.lower() in SUFFIXES
    return path.name.startswith(".") or path.name in _OF_A_FILM or is_list
