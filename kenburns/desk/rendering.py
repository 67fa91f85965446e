"""Rendering beside the page: one run at a time, in a thread, told of as it goes and stopped between slots."""

from __future__ import annotations

import threading
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from ..errors import KenburnsError, OptionError
from ..foresight import foresee
from ..job import Outcome, carry_out
from ..prepare import Prepared

_EVERY = 0.2  # seconds between news of a slot's frames
_STOPPED = "stopped; what was finished stays"


class StoppedError(Exception):
    """The desk closes: the run ends at once, in the middle of a slot."""


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a run is; `current` has the frames written and wanted by slot."""

    running: bool = False
    done: int = 0
    total: int = 0
    current: dict[str, tuple[int, int]] = field(default_factory=dict)
    made: tuple[tuple[str, str], ...] = ()
    failed: tuple[tuple[str, str], ...] = ()
    error: str | None = None

    def as_json(self) -> dict[str, Any]:
        """Return what the page gets."""
        return {
            "running": self.running,
            "done": self.done,
            "total": self.total,
            "current": [
                {"slot": slot, "frame": frame, "frames": frames} for slot, (frame, frames) in self.current.items()
            ],
            "made": [{"slot": slot, "file": file} for slot, file in self.made],
            "failed": [{"slot": slot, "error": error} for slot, error in self.failed],
            "error": self.error,
        }


class Rendering:
    """The run that goes on, or the last one. Safe from several threads."""

    def __init__(self, tell: Callable[[], None], clock: Callable[[], float]) -> None:
        """Let `tell` hear that something has changed, from whichever thread."""
        self._tell, self._clock = tell, clock
        self._lock = threading.Lock()
        self._progress = Progress()
        self._thread: threading.Thread | None = None
        self._stop, self._stop_now = threading.Event(), threading.Event()
        self._told = 0.0

    @property
    def progress(self) -> Progress:
        """How far the run is."""
        return self._progress

    def start(
        self,
        gather: Callable[[], Sequence[Prepared]],
        then: Callable[[], object],
        only: Collection[str] | None = None,
    ) -> None:
        """Begin a run of what `gather` returns, or of some of its slots; `then` is called at its end.

        OptionError where a run goes on.
        """
        with self._lock:
            if self._thread is not None and self._thread.is_alive():
                raise OptionError("clips are being rendered already; stop that first, or wait")
            self._stop.clear()
            self._stop_now.clear()
            self._progress = Progress(running=True)
            self._thread = threading.Thread(target=self._run, args=(gather, then, only), name="kenburns-desk-render")
            self._thread.start()

    def stop(self, *, now: bool = False) -> None:
        """Let the slots in work be finished, and begin no other; `now` leaves those unfinished too."""
        if now:
            self._stop_now.set()
        self._stop.set()

    def join(self) -> None:
        """Wait until nothing runs."""
        if self._thread is not None:
            self._thread.join()

    def _run(
        self,
        gather: Callable[[], Sequence[Prepared]],
        then: Callable[[], object],
        only: Collection[str] | None,
    ) -> None:
        try:
            self._carry_out(gather(), only)
        except StoppedError:
            self._set(error=_STOPPED)
        except (KenburnsError, OSError) as wrong:
            self._set(error=str(wrong))
        except Exception as wrong:
            self._set(error=f"rendering broke off: {wrong!r}")
            raise
        finally:
            then()
            self._set(running=False, current={})

    def _carry_out(self, deliveries: Sequence[Prepared], only: Collection[str] | None) -> None:
        self._set(total=sum(len(_due(one, only)) for one in deliveries))
        for one in deliveries:
            if not self._stop.is_set():
                self._note(carry_out(one, self._frame, only=only, enough=self._stop))
        if self._stop.is_set() and self._progress.done < self._progress.total:
            self._set(error=_STOPPED)

    def _frame(self, slot: str, frame: int, frames: int) -> None:
        """Take note of a frame. Called in the slot's own thread."""
        if self._stop_now.is_set():
            raise StoppedError
        with self._lock:
            self._progress = _moved_on(self._progress, slot, frame, frames)
            now = self._clock()
            if now - self._told < _EVERY and frame < frames:
                return
            self._told = now
        self._tell()

    def _note(self, outcome: Outcome) -> None:
        files = {slot.slot: slot.file for slot in outcome.plan.slots}
        made = tuple((slot, files[slot]) for slot in outcome.rendered)
        failed = tuple((slot, _reason(slot, outcome)) for slot in files if _reason(slot, outcome))
        self._set(made=(*self._progress.made, *made), failed=(*self._progress.failed, *failed))

    def _set(self, **values: Any) -> None:
        with self._lock:
            self._progress = replace(self._progress, **values)
        self._tell()


def _due(prepared: Prepared, only: Collection[str] | None) -> list[str]:
    return [slot for slot in foresee(prepared).due if only is None or slot in only]


def _moved_on(progress: Progress, slot: str, frame: int, frames: int) -> Progress:
    others = {other: told for other, told in progress.current.items() if other != slot}
    if frame >= frames:
        return replace(progress, current=others, done=progress.done + 1)
    return replace(progress, current={**others, slot: (frame, frames)})


def _reason(slot: str, outcome: Outcome) -> str:
    """Return why a slot's file was not made, "" where it was."""
    said = f"slot '{slot}': "
    return next((failed.removeprefix(said) for failed in outcome.failed if failed.startswith(said)), "")
