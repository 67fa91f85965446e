"""One run at a time in an out folder, also among machines that share a disk.

The lock is a file that only one run can create. It names the machine and the process, and is touched while the run
lives; one whose process is gone, or that nobody has touched for a while, is left over from a run that was killed.
"""

from __future__ import annotations

import json
import os
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ..errors import OptionError

LOCK_FILE = ".running.json"

_TOUCHED_EVERY = 5.0  # seconds
_LEFT_OVER = 60.0  # seconds without a touch, by the disk's own clock


@contextmanager
def only_run(out: Path) -> Iterator[None]:
    """Hold the lock of an existing out folder; OptionError where another run holds it."""
    path = out / LOCK_FILE
    _take(path)
    done = threading.Event()
    thread = threading.Thread(target=_keep_touching, args=(path, done), daemon=True)
    thread.start()
    try:
        yield
    finally:
        done.set()
        thread.join()
        path.unlink(missing_ok=True)


def _take(path: Path) -> None:
    for _ in range(2):
        try:
            with path.open("x", encoding="utf-8") as file:
                json.dump({"machine": socket.gethostname(), "process": os.getpid()}, file)
            return
        except FileExistsError:
            if not _is_left_over(path):
                break
            _clear(path)
        except OSError as error:
            raise OptionError(f"--out: '{path.parent}' cannot be written to: {error.strerror}; name another") from error
    raise OptionError(
        f"--out: another run is at work in '{path.parent}' ({_holder(path)}); wait for it, or name another out folder"
    )


def _clear(path: Path) -> None:
    """Take a left-over lock away, by a rename that only one of several runs can win."""
    aside = path.with_name(f"{path.name}.{os.getpid()}")
    try:
        path.rename(aside)
    except FileNotFoundError:
        return
    aside.unlink(missing_ok=True)


def _is_left_over(path: Path) -> bool:
    try:
        told = json.loads(path.read_text(encoding="utf-8") or "{}")
        age = _now_on(path) - path.stat().st_mtime
    except (OSError, ValueError):
        return not path.exists() or _now_on(path) - path.stat().st_mtime > _LEFT_OVER
    if told.get("machine") == socket.gethostname() and isinstance(told.get("process"), int):
        return not _lives(told["process"])
    return age > _LEFT_OVER


def _now_on(path: Path) -> float:
    """Return the time by the clock that stamps files in this folder, which may be another machine's."""
    probe = path.with_name(f"{path.name}.{os.getpid()}.now")
    try:
        probe.touch()
        return probe.stat().st_mtime
    finally:
        probe.unlink(missing_ok=True)


def _lives(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True


def _holder(path: Path) -> str:
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
        return f"process {told['process']} on {told['machine']}"
    except (OSError, ValueError, KeyError, TypeError):
        return "its name cannot be read"


def _keep_touching(path: Path, done: threading.Event) -> None:
    while not done.wait(_TOUCHED_EVERY):
        try:
            os.utime(path, (time.time(), time.time()) if os.name == "nt" else None)
        except OSError:
            return
