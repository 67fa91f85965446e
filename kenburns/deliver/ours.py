"""An out folder for the time of one run: ours to write to, and nobody else's at work in it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path, PurePosixPath

from ..errors import OptionError
from .lock import only_run
from .manifest import Manifest, read_manifest, refuse_strangers, versions, write_manifest


@contextmanager
def our_folder(out: Path, names: Iterable[str]) -> Iterator[Manifest]:
    """Hold the out folder, its manifest saying that these files (posix paths in it) are ours to replace.

    OptionError, nothing having been written, for a file of these names that was not made by this tool, where the
    folder cannot be written to, or where another run is at work in it.
    """
    wanted = list(names)
    refuse_strangers(wanted, read_manifest(out), out)
    _refuse_files_for_folders(wanted, out)
    with ExitStack() as held:
        try:
            out.mkdir(parents=True, exist_ok=True)
            held.enter_context(only_run(out))
            manifest = _with_ours(read_manifest(out), wanted)
            write_manifest(manifest, out)
        except OSError as error:
            raise OptionError(f"--out: '{out}' cannot be written to: {error.strerror}; name another") from error
        yield manifest


def _with_ours(manifest: Manifest, names: Iterable[str]) -> Manifest:
    owned = tuple(dict.fromkeys([*manifest.owned, *names]))
    return manifest.model_copy(update={"owned": owned, "made_with": versions()})


def _refuse_files_for_folders(names: Iterable[str], out: Path) -> None:
    for folder in dict.fromkeys(PurePosixPath(name).parent for name in names):
        if folder.name and (out / folder).is_file():
            raise OptionError(f"--out: '{out / folder}' must be a folder and is a file; name another out folder")
