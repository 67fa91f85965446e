"""plan.json: one entry a slot, a shot or a card; whole frame counts; stops in source pixels.

A plain document. A person reads and edits it, compares it after a recut, and keeps it with the film; rendering it twice
gives the same frames. Its fields are described in the README.
"""

from __future__ import annotations

from dataclasses import asdict
from fractions import Fraction
from pathlib import Path
from typing import Literal, Self

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator
from pydantic.dataclasses import dataclass

from ..cards.passages import Passage, Screen
from ..errors import PlanFileError
from ..motion import path as motion
from ..motion.geometry import Corners, Rect, Size

STRICT = ConfigDict(extra="forbid", allow_inf_nan=False)


class Entry(BaseModel):
    """Base of what is in the document: read once, never changed.

    What there are most of are dataclasses under the same rules: a model carries the names of its fields as well, which
    weigh more than a few numbers do.
    """

    model_config = ConfigDict(frozen=True, **STRICT)


class PlannedFrame(Entry):
    """The frame of the clips, in pixels."""

    width: int = Field(ge=16)
    height: int = Field(ge=16)

    @property
    def size(self) -> Size:
        """The same as a Size."""
        return Size(self.width, self.height)


@dataclass(frozen=True, slots=True, kw_only=True, config=STRICT)
class PlannedStop:
    """A view in source pixels, and the first and last frame of the shot at which it rests."""

    x: float
    y: float
    width: float = Field(gt=0)
    height: float = Field(gt=0)
    arrive: int = Field(ge=0)
    leave: int = Field(ge=0)


class PlannedShot(Entry):
    """One uncut move."""

    kind: str
    frames: int = Field(ge=1)
    easing: str
    stops: tuple[PlannedStop, ...] = Field(min_length=1)
    notes: tuple[str, ...] = ()

    @model_validator(mode="after")
    def _runs_from_first_frame_to_last(self) -> Self:
        self.shot()
        return self

    @classmethod
    def of(cls, shot: motion.Shot) -> PlannedShot:
        """Write down a shot."""
        stops = tuple(
            PlannedStop(
                x=stop.rect.x,
                y=stop.rect.y,
                width=stop.rect.width,
                height=stop.rect.height,
                arrive=stop.arrive,
                leave=stop.leave,
            )
            for stop in shot.stops
        )
        return cls(kind=shot.kind, frames=shot.frames, easing=shot.easing, stops=stops, notes=shot.notes)

    def shot(self) -> motion.Shot:
        """Return the shot as the motion room knows it."""
        stops = tuple(
            motion.Stop(Rect(stop.x, stop.y, stop.width, stop.height), stop.arrive, stop.leave) for stop in self.stops
        )
        return motion.Shot(self.kind, self.frames, stops, self.easing, self.notes)


@dataclass(frozen=True, slots=True, kw_only=True, config=STRICT)
class PlannedStill:
    """The photograph of a slot: name in the folder, content hash, oriented size, and how it was found.

    Of a work squared up from its `corners` in the photograph, the size is the work's.
    """

    file: str
    sha256: str
    width: int = Field(ge=1)
    height: int = Field(ge=1)
    matched_by: str
    score: float = Field(ge=0, le=100)
    corners: Corners | None = None

    @property
    def size(self) -> Size:
        """The oriented size."""
        return Size(self.width, self.height)


class PlannedCard(Entry):
    """What a placeholder card says; times and length are ready text."""

    slot: str
    wanted: str
    start_timecode: str
    end_timecode: str
    length: str
    reason: str
    note: str = ""


class PlannedText(Entry):
    """A passage of a card of words: which of the look's sizes and inks it takes, and the space above it in em."""

    text: str
    role: Literal["title", "body", "list", "small"]
    quiet: bool = False
    space: float = 0.0
    heading: bool = False

    @classmethod
    def of(cls, passage: Passage) -> PlannedText:
        """Write down a passage."""
        return cls(**asdict(passage))


class PlannedScreen(Entry):
    """What stands on one screen, set at `scale` times the look's sizes, and for how many frames."""

    frames: int = Field(ge=1)
    texts: tuple[PlannedText, ...] = Field(min_length=1)
    scale: float = Field(default=1.0, gt=0, le=1)
    language: str = ""

    @classmethod
    def of(cls, screen: Screen, frames: int) -> PlannedScreen:
        """Write down a screen."""
        texts = tuple(PlannedText.of(passage) for passage in screen.passages)
        return cls(frames=frames, texts=texts, scale=screen.scale, language=screen.language)

    def screen(self) -> Screen:
        """Return the screen as the room of cards knows it."""
        passages = tuple(Passage(**text.model_dump()) for text in self.texts)
        return Screen(passages, self.scale, self.language)


class PlannedWords(Entry):
    """A card of words: its kind, and its screens, whose frames are those of the slot, handles not counted.

    `step`: rows that a roll moves each frame, 0 for a card that stands. `still`: the photograph that its ground is
    softened from; `closest`: how many times closer that has come at the last frame, 1 where it stands.
    """

    card: Literal["title", "chapter", "quote", "caption", "credits", "roll"]
    screens: tuple[PlannedScreen, ...] = Field(min_length=1)
    step: int = Field(default=0, ge=0)
    still: PlannedStill | None = None
    closest: float = Field(default=1.0, ge=1)
    notes: tuple[str, ...] = ()


class PlannedSlot(Entry):
    """One slot: a clip of a still, a card of words, or a card until there is a still.

    `move` is the kind of shot that was chosen where nobody had said; a later cut and another delivery keep it.
    `overlay` is the caption that goes over a clip; `rights` says who is still to be named and whose permission is not
    recorded.
    """

    slot: str
    file: str
    kind: Literal["clip", "card"]
    start: int
    frames: int = Field(ge=1)
    wanted: str
    still: PlannedStill | None = None
    move: str = ""
    shots: tuple[PlannedShot, ...] = ()
    card: PlannedCard | None = None
    caption: str = ""
    credit: str = ""
    note: str = ""
    flags: tuple[str, ...] = ()
    words: PlannedWords | None = None
    overlay: PlannedScreen | None = None
    rights: tuple[str, ...] = ()

    @property
    def placeholder(self) -> bool:
        """Whether it is a card that waits for a still."""
        return self.kind == "card" and self.words is None

    @property
    def photograph(self) -> PlannedStill | None:
        """The photograph that is seen in it: as its picture, or softened behind its words."""
        return self.still or (self.words.still if self.words else None)

    @property
    def shown_as(self) -> str:
        """What it is, in words: its shots in order, the kind of its card of words, or a placeholder."""
        if self.words is not None:
            return f"{self.words.card} card" if self.words.card != "roll" else "roll of credits"
        return ", then ".join(shot.kind for shot in self.shots) or "card"


class Plan(Entry):
    """The whole film's stills."""

    version: Literal[1] = 1
    made_by: str = "kenburns"
    title: str
    frame: PlannedFrame
    rate: str = Field(pattern=r"^[1-9][0-9]{0,5}/[1-9][0-9]{0,5}$")
    drop: bool
    codec: str
    card_look: str
    matte: str
    kernel: str
    handles: int = Field(ge=0)
    shutter: float = Field(default=0.0, ge=0, le=360)
    slots: tuple[PlannedSlot, ...]

    @property
    def exact_rate(self) -> Fraction:
        """Frames a second."""
        return Fraction(self.rate)


def write_plan(plan: Plan) -> str:
    """Return the text of plan.json."""
    return plan.model_dump_json(indent=2) + "\n"


def read_plan(path: Path) -> Plan:
    """Read a plan.json; PlanFileError when it is none, or has another version."""
    try:
        text = path.read_bytes()
    except OSError as error:
        raise PlanFileError(f"'{path}' cannot be read: {error.strerror}") from error
    return parse_plan(text, path)


def parse_plan(text: str | bytes, path: Path) -> Plan:
    """Return the plan that a text holds; PlanFileError, naming `path`, when it is none, or has another version."""
    try:
        return Plan.model_validate_json(text)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"]) or "the whole file"
        raise PlanFileError(f"'{path}' is not a plan of version 1: {where}: {first['msg']}") from error
