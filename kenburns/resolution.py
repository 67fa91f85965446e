"""The resolution check: what each photograph of a film bears, and what to ask its owner for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from .cutlist.match import match_all
from .cutlist.slots import Slot
from .cutlist.works import Work, WorksList, read_works
from .errors import OptionError
from .film_place import FilmPlace, film_for
from .looking import look_at_all
from .motion.geometry import Size
from .motion.headroom import Headroom, detail_cm, headroom
from .plan.material import Material, Seen
from .presets import frame_size, pacing
from .records import load_records
from .stills.folder import Refusal, find_photographs
from .stills.open import Photograph


@dataclass(frozen=True, slots=True)
class Verdict:
    """One photograph: what it is, what it bears, and the smallest detail on the work itself in centimetres.

    `seen` is what looking at it has found; `soft` warns, in a sentence, of less detail than the pixels promise.
    """

    photograph: Photograph
    room: Headroom
    detail_cm: tuple[float, float] | None
    seen: Seen | None = None
    soft: str | None = None

    def as_json(self) -> dict[str, Any]:
        """Return the row of `kenburns check --json`."""
        room, needed = self.room, self.room.needed
        return {
            "file": self.photograph.name,
            "width": self.photograph.photograph_size.width,
            "height": self.photograph.photograph_size.height,
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
            **(_seen_as_json(self.seen) if self.seen else {}),
            "warning": self.soft,
        }


def _seen_as_json(seen: Seen) -> dict[str, Any]:
    real = seen.real
    return {
        "outline": seen.outline,
        "outline_confidence": round(seen.confidence, 4),
        "effective_scale": round(real.scale, 4),
        "detail_class": real.detail_class,
        "detail_causes": list(real.causes),
        "jpeg_quality": real.quality.value if real.quality else None,
        "noise": round(real.noise, 2),
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
        """Whether a photograph falls short or cannot be read. Real detail is an estimate, and only warned of."""
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
    records = load_records(place.out)
    found, refused = find_photographs(place.photographs, [place.out], records.inspect)
    looked = look_at_all(found, size, place.film, records)
    verdicts = judge(looked.material, size, asked, works_of(place).works)
    return Check(size, asked, verdicts, (*refused, *looked.refused))


def judge(material: Material, frame: Size, zoom: float, works: Sequence[Work]) -> tuple[Verdict, ...]:
    """Return the verdict on each photograph; `works` gives the real size of those that it names."""
    sized = _sizes(list(material.photographs), works)
    return tuple(_verdict(name, material, frame, zoom, sized.get(name)) for name in material.photographs)


def _verdict(name: str, material: Material, frame: Size, zoom: float, size_cm: tuple[float, float] | None) -> Verdict:
    photograph, seen = material.photographs[name], material.seen.get(name)
    room = headroom(photograph.size, frame, zoom, material.shown(name))
    return Verdict(
        photograph, room, detail_cm(room, *size_cm) if size_cm else None, seen, material.softness(name, frame)
    )


def works_of(place: FilmPlace) -> WorksList:
    """Return the works list of a film; an empty one where it has none."""
    return read_works(place.works) if place.works else WorksList((), (), {}, ())


def _sizes(names: Sequence[str], works: Sequence[Work]) -> dict[str, tuple[float, float]]:
    """Return width and height in cm of the works that are certainly on these photographs."""
    sized = [work for work in works if work.width_cm and work.height_cm]
    matches = match_all([Slot("", 0, 1, work.title, still=work.file) for work in sized], names, works)
    return {
        match.file: (work.width_cm, work.height_cm)
        for work, match in zip(sized, matches, strict=True)
        if match.file and match.certain and work.width_cm and work.height_cm
    }
