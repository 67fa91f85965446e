"""Functions run in processes of their own, where a crash, a hang or a blow-up of memory harms nobody else.

A worker is this same Python, started afresh: it reads tasks from its standard input and answers on its standard output,
both pickled. Workers wait for the next task and end with the process that started them. (The pools of the standard
library break as a whole when one worker dies, and import the caller's script anew, which must be written for that.)
"""

from __future__ import annotations

import atexit
import math
import os
import pickle
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from typing import Any, BinaryIO, ParamSpec, TypeVar

if sys.platform == "win32":
    _USED_UP = None
else:
    import resource

    _USED_UP = -signal.SIGXCPU

MEMORY = 4 << 30
"""Bytes that a worker may hold for its data; kept by Linux alone."""

_START = 180.0  # seconds for a worker to be ready: at the first start ever, numba compiles
_WAITED = 12  # times the time of work: a busy machine is no fault of a task's, one that only sleeps hangs

P = ParamSpec("P")
T = TypeVar("T")


class LostError(Exception):
    """A worker ended before it answered: it crashed, or needed too much memory."""


class TooLongError(LostError):
    """A worker was ended because it took too long."""


class Apart:
    """Workers that are started when they are needed, as many as there are callers at once; safe from several threads.

    `first` is called in each worker before its first task, for which it takes the time that it needs.
    """

    def __init__(self, first: Callable[[], object] | None = None) -> None:
        self._first = first
        self._idle: list[_Worker] = []
        self._busy: set[_Worker] = set()
        self._lock = threading.Lock()
        atexit.register(self.stop)

    @property
    def busy(self) -> int:
        """How many tasks are under way."""
        with self._lock:
            return len(self._busy)

    def call(self, seconds: float, function: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
        """Return what `function`, importable by its name, returns for arguments that can be pickled.

        `seconds` are the processor's, all threads together, where the system counts them; twelve times as many by the
        clock are too long too. Raises what the function raises; LostError where its process ended, TooLongError where
        it took too long.
        """
        worker, is_new = self._borrowed()
        try:
            if is_new and self._first is not None:
                worker.ask(_START, self._first, (), {})
            answer = worker.ask(seconds, function, args, kwargs)
        except BaseException:
            worker.end()
            raise
        finally:
            self._give_back(worker)
        if isinstance(answer, _Raised):
            raise answer.error
        found: T = answer
        return found

    def stop(self) -> None:
        """End every worker at once; those who wait for an answer get a LostError. A later call starts new ones."""
        with self._lock:
            workers = [*self._idle, *self._busy]
            self._idle.clear()
        for worker in workers:
            worker.end()

    def _borrowed(self) -> tuple[_Worker, bool]:
        """Return a worker, and whether it is a new one."""
        with self._lock:
            is_new = not self._idle
            worker = _Worker() if is_new else self._idle.pop()
            self._busy.add(worker)
        return worker, is_new

    def _give_back(self, worker: _Worker) -> None:
        with self._lock:
            self._busy.discard(worker)
            if worker.is_alive:
                self._idle.append(worker)


class _Raised:
    """An error that a task raised."""

    def __init__(self, error: Exception) -> None:
        self.error = error


class _Worker:
    def __init__(self) -> None:
        code = f"import sys; sys.path[:] = {sys.path!r}; from {__name__} import serve; serve()"
        self._process = subprocess.Popen([sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE)

    @property
    def is_alive(self) -> bool:
        return self._process.poll() is None

    def ask(self, seconds: float, function: Callable[..., object], args: object, kwargs: object) -> Any:
        late = threading.Event()
        watch = threading.Timer(seconds * _WAITED, self._end_late, [late])
        watch.start()
        try:
            pickle.dump((seconds, function, args, kwargs), _pipe(self._process.stdin))
            _pipe(self._process.stdin).flush()
            return pickle.load(_pipe(self._process.stdout))
        except (EOFError, OSError, ValueError, pickle.UnpicklingError):
            self.end()
            if late.is_set() or self._process.returncode == _USED_UP:
                raise TooLongError(f"took longer than {seconds:.0f} s") from None
            raise LostError("crashed, or needed too much memory") from None
        finally:
            watch.cancel()

    def _end_late(self, late: threading.Event) -> None:
        late.set()
        self._process.kill()

    def end(self) -> None:
        self._process.kill()
        self._process.wait()
        for pipe in (self._process.stdin, self._process.stdout):
            with suppress(OSError):  # what was left to be written has no reader any more
                _pipe(pipe).close()


def _pipe(pipe: Any) -> BinaryIO:
    found: BinaryIO = pipe
    return found


def serve() -> None:
    """Answer tasks from standard input until it ends: what a worker does all its life."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # an interrupt is for the process that started it
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # what decoders print must not get among the answers
    _limit_memory()
    while True:
        try:
            seconds, function, args, kwargs = pickle.load(sys.stdin.buffer)
        except (EOFError, pickle.UnpicklingError):
            return
        _limit_time(seconds)
        try:
            answers.write(_pickled(_answer(function, args, kwargs)))
            answers.flush()
        except BrokenPipeError:  # whoever asked was killed: nobody is left to be told anything
            os._exit(0)


def _answer(function: Callable[..., object], args: tuple[object, ...], kwargs: dict[str, object]) -> object:
    try:
        return function(*args, **kwargs)
    except Exception as error:
        return _Raised(error)


def _pickled(answer: object) -> bytes:
    try:
        return pickle.dumps(answer)
    except Exception as error:
        return pickle.dumps(_Raised(TypeError(f"{type(answer).__name__} cannot be answered: {error}")))


def _limit_memory() -> None:
    if sys.platform != "win32":
        resource.setrlimit(resource.RLIMIT_DATA, (MEMORY, MEMORY))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _limit_time(seconds: float) -> None:
    """Let the system end this process, by SIGXCPU, when it has worked for so long from now."""
    if sys.platform != "win32":
        most = resource.getrlimit(resource.RLIMIT_CPU)[1]
        resource.setrlimit(resource.RLIMIT_CPU, (math.ceil(time.process_time() + seconds), most))
