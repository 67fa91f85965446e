"""The resolution check: what each photograph of a film bears, and what to ask its owner for."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from .cutlist.match import match_all
from .cutlist.slots import Slot
from .cutlist.works import Work, WorksList, read_works
from .errors import OptionError, PhotographError
from .film_place import FilmPlace, film_for
from .motion.geometry import Size
from .motion.headroom import Headroom, detail_cm, headroom
from .presets import frame_size, pacing
from .stills.folder import Refusal, find_photographs
from .stills.open import Photograph, small_rgb

_LOOK_AT = 256  # longest side, in pixels, of the version that is decoded to find damage
_LOOKERS = 2  # photographs looked at side by side; decoding has threads of its own


@dataclass(frozen=True, slots=True)
class Verdict:
    """One photograph: what it is, what it bears, and the smallest detail on the work itself in centimetres."""

    photograph: Photograph
    room: Headroom
    detail_cm: tuple[float, float] | None

    def as_json(self) -> dict[str, Any]:
        """Return the row of `kenburns check --json`."""
        room, needed = self.room, self.room.needed
        return {
            "file": self.photograph.name,
            "width": room.still.width,
            "height": room.still.height,
            "format": self.photograph.format,
            "bits": self.photograph.bits,
            "profile": self.photograph.profile,
            "verdict": room.verdict,
            "largest_zoom": room.largest_zoom,
            "smallest_detail": {
                "width": room.smallest_detail.width,
                "height": room.smallest_detail.height,
                "share_of_width": room.smallest_detail_share,
                "width_cm": self.detail_cm[0] if self.detail_cm else None,
                "height_cm": self.detail_cm[1] if self.detail_cm else None,
            },
            "needed": {"width": needed.width, "height": needed.height} if needed else None,
            "reason": room.reason,
        }


@dataclass(frozen=True, slots=True)
class Check:
    """All photographs of a film at one frame and zoom, and the files that cannot be read."""

    frame: Size
    zoom: float
    verdicts: tuple[Verdict, ...]
    refused: tuple[Refusal, ...]

    @property
    def needs_attention(self) -> bool:
        """Whether a photograph falls short or cannot be read."""
        return bool(self.refused) or any(verdict.room.verdict != "good" for verdict in self.verdicts)

    def as_json(self) -> dict[str, Any]:
        """Return what `kenburns check --json` prints."""
        return {
            "frame": {"width": self.frame.width, "height": self.frame.height},
            "zoom": self.zoom,
            "photographs": [verdict.as_json() for verdict in self.verdicts],
            "refused": [{"file": refusal.name, "reason": refusal.reason} for refusal in self.refused],
            "needs_attention": self.needs_attention,
        }


def check(target: Path | str, *, frame: str | None = None, zoom: float | None = None) -> Check:
    """Judge every photograph of `target`: a folder of photographs, a film folder or a film.toml.

    `frame`: a preset's name or "1920x1080"; `zoom` >= 1; both default to the film's. RequestError when the request
    itself is wrong. Nothing is written.
    """
    place = film_for(Path(target))
    settings = place.film.settings
    size = frame_size(settings.frame if frame is None else frame, place.presets)
    asked = zoom if zoom is not None else settings.zoom or pacing(settings.pacing, place.presets).zoom
    if not 1 <= asked <= 100:
        raise OptionError(f"--zoom: a zoom is a number from 1 (the picture fills the frame) to 100, not {asked:g}")
    found, refused = find_photographs(place.photographs, [place.out])
    photographs, damaged = sound(found)
    return Check(size, asked, judge(photographs, size, asked, works_of(place).works), (*refused, *damaged))


def sound(photographs: Sequence[Photograph]) -> tuple[tuple[Photograph, ...], tuple[Refusal, ...]]:
    """Return the photographs whose pixels can be read to the end, and a refusal for each of the others."""

    def fault(photograph: Photograph) -> str | None:
        try:
            small_rgb(photograph, _LOOK_AT)
        except PhotographError as error:
            return str(error)
        return None

    with ThreadPoolExecutor(_LOOKERS) as pool:
        faults = list(zip(photographs, pool.map(fault, photographs), strict=True))
    return (
        tuple(photograph for photograph, reason in faults if reason is None),
        tuple(Refusal(photograph.name, reason) for photograph, reason in faults if reason is not None),
    )


def judge(photographs: Sequence[Photograph], frame: Size, zoom: float, works: Sequence[Work]) -> tuple[Verdict, ...]:
    """Return the verdict on each photograph; `works` gives the real size of those that it names."""
    sized = _sizes(photographs, works)
    verdicts = []
    for photograph in photographs:
        room = headroom(photograph.size, frame, zoom)
        size = sized.get(photograph.name)
        verdicts.append(Verdict(photograph, room, detail_cm(room, *size) if size else None))
    return tuple(verdicts)


def works_of(place: FilmPlace) -> WorksList:
    """Return the works list of a film; an empty one where it has none."""
    return read_works(place.works) if place.works else WorksList((), (), {}, ())


def _sizes(photographs: Sequence[Photograph], works: Sequence[Work]) -> dict[str, tuple[float, float]]:
    """Return width and height in cm of the works that are certainly on these photographs."""
    names = [photograph.name for photograph in photographs]
    sized = [work for work in works if work.width_cm and work.height_cm]
    matches = match_all([Slot("", 0, 1, work.title, still=work.file) for work in sized], names, works)
    return {
        match.file: (work.width_cm, work.height_cm)
        for work, match in zip(sized, matches, strict=True)
        if match.file and match.certain and work.width_cm and work.height_cm
    }
