"""An out folder for the time of one run: ours to write to, and nobody else's at work in it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from ..errors import BrokenOffError, OptionError
from ..files import EARLIER, remove_parts
from .lock import Held, only_run
from .manifest import NAME, Manifest, refuse_strangers, versions, write_manifest
from .moving import ASIDE
from .refile import RETIRED


@dataclass(frozen=True, slots=True)
class Ours:
    """An out folder that is held: its manifest at the beginning, and its lock."""

    manifest: Manifest
    lock: Held


@contextmanager
def our_folder(out: Path, names: Iterable[str]) -> Iterator[Ours]:
    """Hold the out folder, its manifest saying that these files (posix paths in it) are ours to replace.

    OptionError, nothing having been written, for a file of these names that was not made by this tool, for a folder
    that is a link, where the folder cannot be written to, or where another run is at work in it. BrokenOffError where
    the system refuses later on to write.
    """
    wanted = list(names)
    folders = _folders(wanted)
    refuse_strangers(wanted, out)  # before anything is touched; and again when nobody else can write
    _refuse_others_for_folders(folders, out)
    with ExitStack() as held:
        try:
            out.mkdir(parents=True, exist_ok=True)
            lock = held.enter_context(only_run(out))
            manifest = _with_ours(refuse_strangers(wanted, out), wanted)
            write_manifest(manifest, out)
            _remove_parts(manifest, folders, out)
        except OSError as error:
            raise OptionError(f"--out: '{out}' cannot be written to: {error.strerror}; name another") from error
        with _told_if_broken_off(out):
            yield Ours(manifest, lock)


@contextmanager
def _told_if_broken_off(out: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        file = f" ('{error.filename}')" if error.filename else ""
        raise BrokenOffError(
            f"'{out}' can no longer be written to: {error.strerror or error}{file}; what is finished stands. Make "
            "room, or mend what is wrong there, and run again: it goes on from here"
        ) from error


def _with_ours(manifest: Manifest, names: Iterable[str]) -> Manifest:
    owned = tuple(dict.fromkeys([*manifest.owned, *names]))
    return manifest.model_copy(update={"owned": owned, "made_with": versions()})


def _folders(names: Iterable[str]) -> tuple[str, ...]:
    """Return the folders in the out folder that a run may write to, beside itself."""
    own = (str(PurePosixPath(name).parent) for name in names)
    return tuple(dict.fromkeys([*(folder for folder in own if folder != "."), RETIRED, EARLIER, ASIDE]))


def _refuse_others_for_folders(folders: Iterable[str], out: Path) -> None:
    """Refuse files, and links, by which files would come to lie outside the out folder."""
    for folder in (out / name for name in folders):
        if folder.is_symlink():
            raise OptionError(
                f"--out: '{folder}' must be a folder and is a link; take it away, or name another out folder"
            )
        if folder.is_file():
            raise OptionError(f"--out: '{folder}' must be a folder and is a file; name another out folder")


def _remove_parts(manifest: Manifest, folders: Iterable[str], out: Path) -> None:
    """Remove what a run that was killed has left of files of ours."""
    names = {PurePosixPath(name).name for name in (*manifest.owned, NAME)}
    for folder in (out, *(out / name for name in folders)):
        remove_parts(folder, names)
    remove_parts(out / EARLIER)
