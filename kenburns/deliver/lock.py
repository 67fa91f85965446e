"""One run at a time in an out folder, also among machines that share a disk.

The lock is a file that only one run can create. It names the machine and the process, and its date is renewed while the
run lives. A lock is left over, and the next run takes its place, where its process is gone from this machine, or where
another machine's has not been renewed for a minute by the disk's own clock. A run that was asleep for longer and finds
its lock taken ends without writing anything more.
"""

from __future__ import annotations

import json
import os
import secrets
import socket
import threading
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import psutil

from ..errors import BrokenOffError, OptionError
from ..files import write_new

LOCK_FILE = ".running.json"

_RENEWED_EVERY = 5.0  # seconds
_LEFT_OVER = 60.0  # seconds without renewal, by the disk's own clock
_TRIES = 5
_MOMENTS = 10.0  # seconds to wait for a lock that is held for milliseconds
_LOOKS_AGAIN = 0.01  # seconds
_SAME_START = 2.0  # seconds by which two readings of when a process began may differ


class Held:
    """The lock of an out folder, for as long as it is ours."""

    def __init__(self, path: Path, content: bytes) -> None:
        self._path, self._content = path, content

    def is_ours(self) -> bool:
        """Whether the lock is still the one that this run made."""
        return _read(self._path) == self._content

    def require(self) -> None:
        """Raise BrokenOffError where another run has taken the folder over."""
        if not self.is_ours():
            raise BrokenOffError(
                f"another run has taken '{self._path.parent}' over ({_holder(self._path)}), as this one did not move "
                "for a minute; wait for it and run again"
            )

    def renew(self) -> None:
        """Say that the run lives."""
        if self.is_ours():
            os.utime(self._path)

    def release(self) -> None:
        """Let others in; a lock that another run has made by now stays."""
        if self.is_ours():
            self._path.unlink(missing_ok=True)


@contextmanager
def only_run(out: Path) -> Iterator[Held]:
    """Hold the lock of an existing out folder; OptionError where another run holds it."""
    held = _take_for_a_run(out / LOCK_FILE)
    done = threading.Event()
    thread = threading.Thread(target=_keep_renewing, args=(held, done), daemon=True)
    thread.start()
    try:
        yield held
    finally:
        done.set()
        thread.join()
        held.release()


@contextmanager
def for_a_moment(path: Path) -> Iterator[None]:
    """Hold the lock at `path` for what takes milliseconds; whoever else wants it waits.

    Where no lock can be made, as in a folder that nobody may write to, nobody else can change anything there either.
    OptionError where somebody holds it for longer than a few moments.
    """
    until = time.monotonic() + _MOMENTS
    while True:
        try:
            held = _take(path)
        except OSError:
            yield
            return
        if held is not None:
            break
        if time.monotonic() > until:
            raise OptionError(f"'{path.parent}' is kept by {_holder(path)}; try again when it has ended")
        time.sleep(_LOOKS_AGAIN)
    try:
        yield
    finally:
        held.release()


def _take_for_a_run(path: Path) -> Held:
    try:
        held = _take(path)
    except OSError as error:
        raise OptionError(f"--out: '{path.parent}' cannot be written to: {error.strerror}; name another") from error
    if held is None:
        raise OptionError(
            f"--out: another run is at work in '{path.parent}' ({_holder(path)}); wait for it, or name another out "
            "folder"
        )
    return held


def _take(path: Path) -> Held | None:
    """Take the lock; None where somebody else has it. OSError where no file can be made there."""
    content = json.dumps(_ourselves() | {"run": secrets.token_hex(8)}).encode()
    for _ in range(_TRIES):
        try:
            write_new(path, content)  # with its content at once: nobody ever reads half a lock
            _sweep(path)
            return Held(path, content)
        except FileNotFoundError:  # swept away by a run that was quicker
            if not path.parent.is_dir():
                raise
            continue
        except FileExistsError:
            found = _read(path)
            if path.exists() and not _is_left_over(path, found):
                return None
            _clear(path, found)
    return None


def _sweep(path: Path) -> None:
    """Remove what runs that were killed while they took or judged the lock have left beside it."""
    for left in path.parent.glob(f"*{path.name}.*"):
        left.unlink(missing_ok=True)


def _ourselves() -> dict[str, Any]:
    return {"machine": _machine(), "process": os.getpid(), "began": psutil.Process().create_time()}


def _machine() -> str:
    """Return a name that no other machine has; on Linux, no other container either, and none after the next start."""
    known = (socket.gethostname(), _first_line("/proc/sys/kernel/random/boot_id"), _space())
    return " ".join(filter(None, known))


def _first_line(file: str) -> str:
    try:
        return Path(file).read_text(encoding="ascii").strip()
    except (OSError, ValueError):
        return ""


def _space() -> str:
    """Return the set of processes that this one can see, as Linux names it (pid_namespaces(7)); "" elsewhere."""
    try:
        return os.readlink("/proc/self/ns/pid")
    except OSError:
        return ""


def _clear(path: Path, left: bytes) -> None:
    """Take a left-over lock away, by a rename that only one of several runs can win; a fresh lock is put back."""
    aside = path.with_name(f"{path.name}.{secrets.token_hex(4)}")
    with suppress(FileNotFoundError):
        path.rename(aside)
        if aside.read_bytes() != left:
            with suppress(OSError):
                os.link(aside, path)
        aside.unlink()


def _is_left_over(path: Path, found: bytes) -> bool:
    told = _told(found)
    if told.get("machine") == _machine() and isinstance(told.get("process"), int):
        return not _lives(told["process"], told.get("began"))
    return _age(path) > _LEFT_OVER


def _age(path: Path) -> float:
    """Return how long ago a lock was renewed by the clock that stamps files there, which may be another machine's."""
    probe = path.with_name(f"{path.name}.{secrets.token_hex(4)}")
    try:
        probe.touch()
        return probe.stat().st_mtime - path.stat().st_mtime
    except FileNotFoundError:
        return 0.0
    finally:
        probe.unlink(missing_ok=True)


def _lives(process: int, began: object) -> bool:
    """Whether the process that wrote a lock lives: another may have its number by now."""
    try:
        found = psutil.Process(process).create_time()
    except psutil.NoSuchProcess:
        return False
    except psutil.Error:
        return True
    return not isinstance(began, int | float) or abs(found - began) < _SAME_START


def _read(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError:
        return b""


def _told(content: bytes) -> Mapping[str, Any]:
    try:
        told = json.loads(content)
    except ValueError:
        return {}
    return told if isinstance(told, dict) else {}


def _holder(path: Path) -> str:
    told = _told(_read(path))
    if "process" not in told or "machine" not in told:
        return "its name cannot be read"
    return f"process {told['process']} on {str(told['machine']).partition(' ')[0]}"


def _keep_renewing(held: Held, done: threading.Event) -> None:
    while not done.wait(_RENEWED_EVERY):
        with suppress(OSError):
            held.renew()
