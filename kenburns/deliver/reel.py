"""The review reel: all clips and cards in their slots over the rough cut, as one file for looking.

Everything is streamed: the rough cut is decoded picture by picture, replaced within slots by the clips' own frames, and
encoded once. Sound is laid by its own times and never follows a count of pictures, so it cannot drift.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

from av.video.frame import VideoFrame

from ..errors import OptionError
from ..files import whole_file
from ..motion.timebase import format_timecode
from ..plan.document import Plan, PlannedSlot
from ..render.ahead import ahead
from ..render.encode import Encoding
from .reel_burn_in import BurnIn, lacking, slot_words
from .reel_clips import fault, span_frames
from .reel_file import ENCODING, SUFFIX, ReelWriter, is_reel
from .reel_fit import black, copy_of
from .reel_rough import Rough, RoughPicture, first_frame_of, length_in_frames, look_through, runs_in_words
from .reel_sound import Sound
from .reel_spans import Span, left_out, spans
from .timeline import first_hour

_AHEAD = 8  # pictures made before the encoder asks for them

Progress = Callable[[int, int], None]
"""Called with the frames written so far, and how many there will be."""


def no_progress(_done: int, _total: int) -> None:
    """Tell nobody."""


@dataclass(frozen=True, slots=True)
class ReelMade:
    """What was made: `start` is the film frame, counted from 00:00:00:00, that the reel begins with."""

    path: Path
    start: int
    frames: int
    shown: tuple[str, ...]
    """Slots that are seen, in order."""
    sound: bool
    remarks: tuple[str, ...]
    """What is left out or shown otherwise than asked, for a person."""


@dataclass(frozen=True, slots=True)
class _Reel:
    """All that is decided before anything is written."""

    plan: Plan
    out: Path
    rough: Rough | None
    with_picture: bool
    burn_in: bool
    start: int
    frames: int
    spans: tuple[Span, ...]

    def timecode(self, number: int) -> str:
        return format_timecode(self.start + number, self.plan.exact_rate, drop=self.plan.drop)


def make_reel(
    plan: Plan,
    out: Path,
    rough: Path | None,
    target: Path,
    *,
    burn_in: bool = False,
    picture_from_rough: bool = True,
    start: int | None = None,
    trust_timecode: bool = True,
    encoding: Encoding = ENCODING,
    progress: Progress = no_progress,
) -> ReelMade:
    """Write the reel of a plan, whose clips and cards lie in `out`, to `target`, an .mp4 file, whole or not at all.

    With `rough` the reel is as long as the rough cut and has its sound, over its picture or, without
    `picture_from_rough`, over black. Without, it is silent and ends with the last slot. The rough cut's first frame is
    the film's at the timecode written into it (unless not `trust_timecode`); else at `start`, a frame counted from
    00:00:00:00; else at the full hour before the first slot. `burn_in` draws timecode and slot into the picture.

    Raises OptionError, nothing having been written, for a target that is no .mp4, lies in no folder or would replace
    what is no reel; for a rough cut that cannot be read or has a rate without an exact conversion; and where no slot
    would be seen. RenderError where the file cannot be written, or a rough cut or clip not be read to its end.
    """
    _refuse_target(target, rough)
    found = None if rough is None else look_through(rough, plan.exact_rate, with_picture=picture_from_rough)
    shown, faults = _usable(plan, out)
    begins, guessed = _start(plan, found, start, trust_timecode=trust_timecode)
    frames = _length(shown, begins) if found is None else length_in_frames(found, plan.exact_rate)
    reel = _Reel(
        plan,
        out,
        found,
        found is not None and picture_from_rough,
        burn_in,
        begins,
        frames,
        spans(shown, begins, frames),
    )
    _require_slots(reel)
    _write(reel, target, encoding, progress)
    remarks = (*faults, *guessed, *left_out(shown, begins, frames), *_about(found), *_undrawable(reel))
    names = tuple(dict.fromkeys(span.slot.slot for span in reel.spans))
    return ReelMade(target, begins, frames, names, _has_sound(found), remarks)


def _refuse_target(target: Path, rough: Path | None) -> None:
    if target.suffix.lower() != SUFFIX:
        raise OptionError(
            f"the reel is an {SUFFIX} file; '{target.name}' is not named so, '{target.stem}.mp4' would be"
        )
    if not target.parent.is_dir():
        raise OptionError(f"there is no folder '{target.parent}' for the reel; make it, or name another")
    if rough is not None and target.exists() and rough.exists() and target.samefile(rough):
        raise OptionError(f"the reel '{target}' would replace the rough cut itself; name another file")
    if target.exists() and not is_reel(target):
        raise OptionError(f"'{target}' is there and is no reel made by this tool; name another file, or move it")


def _usable(plan: Plan, out: Path) -> tuple[list[PlannedSlot], tuple[str, ...]]:
    """Return the slots whose files can be shown, and a remark on each other."""
    faults = [fault(slot, plan, out) for slot in plan.slots]
    shown = [slot for slot, wrong in zip(plan.slots, faults, strict=True) if wrong is None]
    return shown, tuple(wrong for wrong in faults if wrong is not None)


def _start(plan: Plan, rough: Rough | None, start: int | None, *, trust_timecode: bool) -> tuple[int, tuple[str, ...]]:
    embedded = first_frame_of(rough, plan.exact_rate, drop=plan.drop) if rough and trust_timecode else None
    for said in (embedded, start):
        if said is not None:
            return said, ()
    hour = first_hour(plan)
    if rough is None:
        return hour, ()
    code = format_timecode(hour, plan.exact_rate, drop=plan.drop)
    return hour, (f"rough cut '{rough.path.name}' carries no timecode; its first frame is taken to be at {code}",)


def _length(slots: Sequence[PlannedSlot], start: int) -> int:
    return max((slot.start + slot.frames - start for slot in slots), default=1)


def _require_slots(reel: _Reel) -> None:
    if reel.spans:
        return
    plan = reel.plan
    if not plan.slots:
        raise OptionError("the plan has no slot, so there is no reel to make")
    first, end = min(slot.start for slot in plan.slots), max(slot.start + slot.frames for slot in plan.slots)
    slots = runs_in_words(first, end - first, plan.exact_rate, drop=plan.drop)
    whole = runs_in_words(reel.start, max(reel.frames, 0), plan.exact_rate, drop=plan.drop)
    raise OptionError(
        f"no slot that has its clip lies in the reel, which runs from {whole}; the slots run from {slots}: "
        "make the clips first, or say at which timecode the reel begins"
    )


def _has_sound(rough: Rough | None) -> bool:
    return rough is not None and rough.tracks > 0


def _about(rough: Rough | None) -> Iterator[str]:
    if rough is None:
        return
    yield from rough.remarks
    if rough.tracks == 0:
        yield f"rough cut '{rough.path.name}' has no sound; the reel is silent"
    if rough.tracks > 1:
        yield f"rough cut '{rough.path.name}' has {rough.tracks} sound tracks; the first is heard"


def _undrawable(reel: _Reel) -> Iterator[str]:
    if not reel.burn_in:
        return
    for slot in dict.fromkeys(span.slot.slot for span in reel.spans):
        wanted = next(span.slot.wanted for span in reel.spans if span.slot.slot == slot)
        if missing := lacking(slot_words(slot, wanted)):
            named = ", ".join(f"U+{ord(character):04X}" for character in missing)
            yield f"slot '{slot}': the typeface lacks {named}; '?' is drawn instead"


def _write(reel: _Reel, target: Path, encoding: Encoding, progress: Progress) -> None:
    tags = {"title": reel.plan.title, "timecode": reel.timecode(0)}
    with (
        whole_file(target) as part,
        _sound_of(reel.rough) as sound,
        ReelWriter(part, reel.plan.frame.size, reel.plan.exact_rate, sound, encoding, tags) as file,
        closing(_made_ahead(reel)) as pictures,
    ):
        for number, picture in enumerate(pictures, start=1):
            file.write(picture)
            progress(number, reel.frames)


@contextmanager
def _sound_of(rough: Rough | None) -> Iterator[Sound | None]:
    if rough is None or not _has_sound(rough):
        yield None
        return
    with closing(Sound(rough.path, rough.begins)) as sound:
        yield sound


def _made_ahead(reel: _Reel) -> Generator[VideoFrame]:
    yield from ahead(_pictures(reel), _AHEAD)


def _pictures(reel: _Reel) -> Iterator[VideoFrame]:
    """Yield the reel's frames; with burn-in each has memory of its own."""
    drawn = BurnIn(reel.plan.frame.size) if reel.burn_in else None
    with closing(_composed(reel)) as composed:
        for number, (picture, name) in enumerate(composed):
            if drawn is None:
                yield picture
                continue
            # Decoders still look at what they have given, and a picture may be shown twice.
            own = copy_of(picture)
            drawn.draw(own, reel.timecode(number), name)
            yield own


def _composed(reel: _Reel) -> Generator[tuple[VideoFrame, str]]:
    """Yield each frame's picture, and the words of its slot."""
    ground = _Ground(reel)
    try:
        at = 0
        for span in reel.spans:
            yield from ((ground.at(number), "") for number in range(at, span.first))
            words = slot_words(span.slot.slot, span.slot.wanted)
            with closing(span_frames(span, reel.plan.handles, reel.out, reel.plan.frame.size)) as frames:
                for number, picture in enumerate(frames, start=span.first):
                    ground.pass_by(number)
                    yield picture, words
            at = span.end
        yield from ((ground.at(number), "") for number in range(at, reel.frames))
    finally:
        ground.close()


class _Ground:
    """What is seen between slots: the rough cut, or black."""

    def __init__(self, reel: _Reel) -> None:
        size = reel.plan.frame.size
        self._black = black(size)
        wanted = reel.rough is not None and reel.with_picture
        self._rough = RoughPicture(reel.rough, size, reel.plan.exact_rate) if wanted and reel.rough else None

    def at(self, number: int) -> VideoFrame:
        shown = None if self._rough is None else self._rough.at(number)
        return self._black if shown is None else shown

    def pass_by(self, number: int) -> None:
        if self._rough is not None:
            self._rough.at(number, seen=False)

    def close(self) -> None:
        if self._rough is not None:
            self._rough.close()
