"""One film on the desk: what is seen of it, what is set by hand, undo and redo, and changes from elsewhere."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from ..errors import KenburnsError, OptionError, RequestError
from ..film_file import with_values
from ..film_place import film_for
from ..prepare import Options, Prepared, prepare, prepare_all
from ..remarks import laid_notes, mark_notes
from .changes import MovedError, read_changes, require_no_conflict
from .door import hint_for, is_too_wide
from .film_text import parsed, read_film_text
from .history import History, Step, step, taken_again, taken_back
from .memory import Memory
from .names import film_names
from .put import put_film_text, take_back_film_text
from .recuts import LastCut, called_before, names_for
from .shown import Shown, States
from .snapshot import Known, Snapshot, of_film, of_nothing, stamps

LOOKING = "Looking at the photographs. The first time this takes about a second for each."

_log = logging.getLogger(__name__)

_TRIES = 5


class Session:
    """One film, planned anew after every change. Safe from several threads; changes wait for one another."""

    def __init__(self, target: Path, tell: Callable[[str], None] = lambda _version: None) -> None:
        """Set up nothing but the names; `tell` hears each new version, from whichever thread finds it."""
        self.target = target
        self._tell = tell
        self._lock = threading.RLock()
        self._memory = Memory()
        self._history = History()
        self._states = States()
        self._last_cut = LastCut()
        self._ours: str | None = None  # the text of film.toml that this desk wrote last
        self._known: Known | None = None
        self._now = of_nothing(LOOKING, busy=True)

    @property
    def now(self) -> Snapshot:
        """What was last seen; never waits."""
        return self._now

    def refresh(self, *, remember: bool = True) -> Snapshot:
        """Plan anew from what lies in the folder. What is wrong with it stands in the state; nothing is raised.

        `remember` writes down what was found by looking, for the next opening.
        """
        with self._lock:
            try:
                self._known = self._plan()
                if remember:
                    self._memory.keep()
                return self._show()
            except (KenburnsError, OSError) as wrong:
                return self._show(str(wrong))
            except Exception as wrong:  # a fault of ours must not leave the page without an answer
                _log.exception("the film could not be planned")
                return self._show(f"the film could not be planned, by a fault of this program: {wrong!r}")

    def edit(self, version: str, asked: object) -> Snapshot:
        """Set keys by hand, as a page asks that shows the film in `version`.

        OptionError and FilmFileError for what cannot be set, ConflictError where somebody else has set the same since;
        nothing is written then.
        """
        with self._lock:
            return _again(lambda: self._edited(version, asked))

    def _edited(self, version: str, asked: object) -> Snapshot:
        known, base = self._up_to_date(), self._states.of(version)
        text, cut = known.text, known.prepared.cut_list.slots
        names = names_for(film_names(known.prepared), base.cut, cut)
        changes = read_changes(asked, names)
        require_no_conflict(parsed(base.text), parsed(text), changes, called_before(names["slots"], base.names))
        taken = step(text, with_values(text, {change.place: change.value for change in changes}), changes)
        if taken.after == text:
            return self.refresh(remember=False)
        return self._written(text, taken.after, lambda: self._history.add(taken))

    def undo(self, version: str) -> Snapshot:
        """Take back the last edit; ConflictError where somebody else has set one of its keys."""
        return self._cross(version, self._history.done, taken_back, self._history.undo)

    def redo(self, version: str) -> Snapshot:
        """Take again the edit taken back last; ConflictError where somebody else has set one of its keys."""
        return self._cross(version, self._history.undone, taken_again, self._history.redo)

    def mark(self, note: str, done: bool) -> Snapshot:
        """Mark a note of a review as done, or open it again; OptionError where there is no such note."""
        with self._lock:
            known = self._film()
            if known.notes is None:
                raise OptionError("the film has no notes that can be read")
            mark_notes(known.notes, known.place.root, [note] * done, [note] * (not done))
            return self.refresh(remember=False)

    def replaced(self, target: Path) -> Snapshot:
        """Go on with another target: the film folder that was made for what was brought."""
        with self._lock:
            self.target = target
            self._history = History()
            return self.refresh()

    def close(self) -> None:
        """End any looking under way; what was seen so far is kept for the next opening."""
        self._memory.close()

    def to_render(self, *, whole: bool) -> tuple[Prepared, ...]:
        """Return what is to be rendered, planned anew: the main delivery, and where the `whole` is meant the others.

        Raises what `prepare` raises.
        """
        with self._lock:
            self.refresh(remember=False)
            if not whole:
                return (self._film().prepared,)
            return prepare_all(self.target, Options(), self._memory.of(self._film().place.out))

    def _cross(
        self, version: str, steps: list[Step], crossed: Callable[[str, Step], str], note: Callable[[], None]
    ) -> Snapshot:
        with self._lock:
            if not steps:
                return self.refresh(remember=False)
            self._states.of(version)
            return _again(lambda: self._crossed(crossed, steps[-1], note))

    def _crossed(self, crossed: Callable[[str, Step], str], of: Step, note: Callable[[], None]) -> Snapshot:
        text = self._up_to_date().text
        return self._written(text, crossed(text, of), note)

    def _film(self) -> Known:
        if self._known is None:
            raise RequestError("there is no film here yet; bring photographs first")
        return self._known

    def _up_to_date(self) -> Known:
        """Return the film as it lies there now: edits are written by the ids that it has, not by those it had."""
        known = self._film()
        if read_film_text(known.place) != known.text or stamps(known.place) != known.stamps:
            self._known = known = self._plan()
        return known

    def _plan(self) -> Known:
        if is_too_wide(self.target):
            raise RequestError(hint_for(self.target))
        for _ in range(_TRIES):
            place = film_for(self.target)
            text, stamped = read_film_text(place), stamps(place)
            prepared = prepare(self.target, Options(), self._memory.of(place.out))
            planned = Known(prepared, text, stamped)
            same = (read_film_text(prepared.place), stamps(place)) == (text, stamped)
            if same and self._follows(planned):
                self._last_cut.see(prepared)
                return _with_notes(planned)
        raise RequestError("film.toml keeps changing while it is read; try again")

    def _follows(self, planned: Known) -> bool:
        """Let what was set by hand follow slots to new ids; whether it did already, and nothing was written."""
        followed = self._last_cut.followed(planned.text, planned.prepared)
        if followed == planned.text:
            return True
        try:
            put_film_text(planned, followed)
        except MovedError:
            return False  # somebody else was quicker: plan anew
        self._history = History()  # what could be undone speaks of slots by other ids
        self._last_cut.see(planned.prepared)
        return False

    def _written(self, before: str, after: str, note: Callable[[], None]) -> Snapshot:
        """Write film.toml and plan by it; where it cannot be planned, put back what was there."""
        known = self._film()
        put_film_text(known, after, ours=before == self._ours)
        earlier, self._ours = self._ours, after
        try:
            self._known = self._plan()
        except Exception:
            take_back_film_text(known, after)
            self._ours = earlier
            raise
        note()
        return self._show()

    def _show(self, problem: str = "") -> Snapshot:
        """Take what is known as what the page sees now; `problem` says why it may be older than the folder."""
        if self._known is None:
            return self._take(of_nothing(hint_for(self.target, problem), busy=False))
        done, undone = bool(self._history.done), bool(self._history.undone)
        return self._take(of_film(self._known, problem, can_undo=done, can_redo=undone))

    def _take(self, snapshot: Snapshot) -> Snapshot:
        changed = snapshot.version != self._now.version
        self._now = snapshot
        if snapshot.prepared is not None:
            names = film_names(snapshot.prepared)["slots"]
            self._states.remember(snapshot.version, Shown(snapshot.text, snapshot.prepared.cut_list.slots, names))
        if changed:
            self._tell(snapshot.version)
        return snapshot


def _again(change: Callable[[], Snapshot]) -> Snapshot:
    """Make a change, anew where somebody else has written film.toml in the same moment."""
    for _ in range(_TRIES - 1):
        try:
            return change()
        except MovedError:
            continue
    return change()


def _with_notes(known: Known) -> Known:
    """Return a film with the notes of a review on it; notes that cannot be read keep nothing else back."""
    try:
        return replace(known, notes=laid_notes(known.prepared))
    except KenburnsError as wrong:
        return replace(known, trouble=str(wrong))
