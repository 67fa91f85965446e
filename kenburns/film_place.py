"""Where a film and its parts lie: a film folder, its film.toml, or a bare folder of photographs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from .cutlist.reading import SUFFIXES
from .errors import FilmFileError, OptionError
from .film import FILM_FILE, PRESETS_FOLDER, Film, Folders, load_film


@dataclass(frozen=True, slots=True)
class FilmPlace:
    """A film and where its parts lie; nothing has been made or written."""

    film: Film
    file: Path | None
    """The film.toml; None for a bare folder of photographs."""
    root: Path
    photographs: Path
    cut_list: Path | None
    works: Path | None
    out: Path
    presets: Path
    """The film's own presets, to be searched first; the folder need not exist."""

    @property
    def title(self) -> str:
        """The film's name, or its folder's."""
        return self.film.settings.title or self.root.resolve().name


def film_for(target: Path, *, cut_list: Path | None = None, out: Path | None = None) -> FilmPlace:
    """Return the film at `target`: a folder of photographs, a film folder (it holds film.toml), or a film.toml.

    `cut_list` and `out` come before what the film file or the folder says. A folder of photographs brings the
    defaults; its cut list is the file in it named like cutlist.csv, cutlist.edl or cutlist.otio, its works list the one
    named like works.csv.

    Raises OptionError where there is no such target or cut list, or the out folder cannot be used; FilmFileError
    where film.toml breaks a rule or names what is not there.
    """
    try:
        return _film_for(target, cut_list, out)
    except OSError as wrong:
        raise OptionError(f"'{wrong.filename or target}' cannot be read: {wrong.strerror or wrong}") from None


def _film_for(target: Path, cut_list: Path | None, out: Path | None) -> FilmPlace:
    if cut_list is not None and not cut_list.is_file():
        raise OptionError(f"cut list '{cut_list}' is no file; give a CSV file such as cutlist.csv")
    file = _film_file(target)
    place = _bare(target, cut_list, out) if file is None else _from_file(file, cut_list, out)
    _require_own_folder(place, given=out is not None)
    return place


def _film_file(target: Path) -> Path | None:
    if target.is_dir():
        return target / FILM_FILE if (target / FILM_FILE).exists() else None
    if target.is_file() and target.suffix.lower() == ".toml":
        return target
    found = "is neither a folder nor a film.toml" if target.exists() else "is not there"
    raise OptionError(f"'{target}' {found}; give a folder of photographs, a film folder or its film.toml")


def _bare(root: Path, cut_list: Path | None, out: Path | None) -> FilmPlace:
    return FilmPlace(
        film=Film(),
        file=None,
        root=root,
        photographs=root,
        cut_list=cut_list or _named_like("cutlist", root, SUFFIXES, " or give it with --cut-list"),
        works=_named_like("works", root, (".csv",)),
        out=out or root / Folders().out,
        presets=root / PRESETS_FOLDER,
    )


def _named_like(stem: str, folder: Path, suffixes: Sequence[str], advice: str = "") -> Path | None:
    """Return the list named so, in any case and with any spaces or dashes; OptionError where several are."""
    found = [path for path in sorted(folder.iterdir()) if path.suffix.lower() in suffixes and _letters(path) == stem]
    if len(found) > 1:
        files = " and ".join(f"'{path.name}'" for path in found)
        raise OptionError(f"'{folder}' holds {files}; leave one of them there{advice}")
    return found[0] if found else None


def _letters(path: Path) -> str:
    return "".join(letter for letter in path.stem.casefold() if letter.isalnum())


def _from_file(file: Path, cut_list: Path | None, out: Path | None) -> FilmPlace:
    film, root = load_film(file), file.parent
    photographs = root / film.folders.photographs
    if not photographs.is_dir():
        raise FilmFileError(
            f"'{file.name}', [folders] photographs: there is no folder '{photographs}'; "
            "make it, or name the one that holds the photographs"
        )
    return FilmPlace(
        film=film,
        file=file,
        root=root,
        photographs=photographs,
        cut_list=cut_list or _list_file(file, film.folders, "cut_list"),
        works=_list_file(file, film.folders, "works"),
        out=out or root / film.folders.out,
        presets=root / PRESETS_FOLDER,
    )


def _list_file(file: Path, folders: Folders, key: str) -> Path | None:
    """Return the file that a key names; None where it is absent and nobody wrote its name."""
    path: Path = file.parent / getattr(folders, key)
    if path.is_file():
        return path
    if key in folders.model_fields_set:
        raise FilmFileError(
            f"'{file.name}', [folders] {key}: there is no file '{path}'; put it there, or take out the key"
        )
    return None


def _require_own_folder(place: FilmPlace, *, given: bool) -> None:
    """Refuse an out folder that is a file, or the photographs' own: clips could take the originals' names."""
    what = f"out folder '{place.out}'"
    if not place.out.exists():
        return
    if not place.out.is_dir():
        reason = f"{what} is a file; name a folder"
    elif place.out.samefile(place.photographs):
        reason = f"{what} holds the photographs, and originals are never written to; name another, such as 'out' in it"
    else:
        return
    if given or place.file is None:
        raise OptionError(reason)
    raise FilmFileError(f"'{place.file.name}', [folders] out: {reason}")
