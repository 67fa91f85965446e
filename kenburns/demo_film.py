"""The demo film: an invented one, its photographs painted on the spot, made like any other."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

from .errors import KenburnsError, OptionError
from .files import write_whole
from .film import FILM_FILE, load_film
from .job import Outcome, carry_out, no_progress
from .prepare import Options, Prepared, prepare
from .render.schedule import Progress
from .resources import resource_folder

PHOTOGRAPHS = "photographs"

_LISTS = (FILM_FILE, "cutlist.csv", "works.csv", "captions.vtt")
_PACKAGE = "kenburns_demo_film"


def demo(folder: Path | str, progress: Progress = no_progress) -> Outcome:
    """Lay out the demo film in `folder` and make it; raises as `make` does, and as `lay_out` does."""
    return carry_out(prepare_demo(Path(folder)), progress)


def prepare_demo(folder: Path) -> Prepared:
    """Lay out the demo film in `folder` and decide everything that making it will make."""
    lay_out(folder)
    return prepare(folder, Options())


def lay_out(folder: Path) -> None:
    """Write the demo film's lists and paint its photographs; what is there already stays as it is.

    OptionError where the folder holds something else than the demo film.
    """
    shared = resource_folder("shared")
    _refuse_other_folder(folder, shared)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OptionError(f"'{folder}' cannot be made a folder: {error.strerror}; name another") from error
    for name in _LISTS:
        if not (folder / name).exists():
            write_whole(folder / name, (shared / name).read_bytes())
    if not (folder / PHOTOGRAPHS).exists():
        _paint(shared, folder)


def as_it_should_be(outcome: Outcome) -> bool:
    """Whether the demo film came out: each slot has its file, and cards stand just where the film has them."""
    wanted = set(_painter(resource_folder("shared")).CARDS)
    cards = {slot.slot for slot in outcome.plan.slots if slot.kind == "card"}
    return cards == wanted and len(outcome.manifest.slots) == len(outcome.plan.slots) and not outcome.failed


def _refuse_other_folder(folder: Path, shared: Path) -> None:
    if folder.is_dir() and any(folder.iterdir()) and not _is_demo_film(folder / FILM_FILE, shared / FILM_FILE):
        raise OptionError(f"'{folder}' holds something else than the demo film; name another folder for it")


def _is_demo_film(file: Path, original: Path) -> bool:
    """Whether a film.toml is the demo's, if with other settings by now."""
    return file.is_file() and load_film(file).settings.title == load_film(original).settings.title


def _paint(shared: Path, folder: Path) -> None:
    """Paint beside the final place first: a run cut short leaves no half set of photographs."""
    unfinished = folder / f".{PHOTOGRAPHS}"
    _painter(shared).paint(unfinished)
    unfinished.replace(folder / PHOTOGRAPHS)


def _painter(shared: Path) -> ModuleType:
    """Return the painter, whose folder lies beside this package in a checkout and within it when installed."""
    _loaded(_PACKAGE, shared / "__init__.py")
    return _loaded(f"{_PACKAGE}.paint", shared / "paint.py")


def _loaded(name: str, file: Path) -> ModuleType:
    if name not in sys.modules:
        folders = [str(file.parent)] if file.name == "__init__.py" else None
        spec = importlib.util.spec_from_file_location(name, file, submodule_search_locations=folders)
        if spec is None or spec.loader is None:
            raise KenburnsError(f"'{file}' cannot be loaded; installing the package again mends it")
        sys.modules[name] = module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
    return sys.modules[name]
