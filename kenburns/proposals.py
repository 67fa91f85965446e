"""The details of every photograph of a film: listed, drawn, and as JSON."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from typing import Any

from .deliver.details_sheet import DETAILS, details_sheet, headroom_of, outline_json
from .deliver.ours import our_folder
from .deliver.sheet_file import write_sheet
from .deliver.sheet_pages import page_files
from .film_place import FilmPlace, film_for
from .looking import look_at_all
from .motion.geometry import Size
from .motion.headroom import headroom
from .plan.material import Material
from .presets import frame_size, pacing
from .records import load_records
from .stills.folder import Refusal, find_photographs
from .stills.interest.details import Detail


@dataclass(frozen=True, slots=True)
class Proposals:
    """A film's photographs and their details for one frame, and the files that cannot be read."""

    place: FilmPlace
    frame: Size
    zoom: float
    material: Material
    refused: tuple[Refusal, ...]
    remarks: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """Return what `kenburns details --json` prints."""
        return {
            "frame": {"width": self.frame.width, "height": self.frame.height},
            "photographs": [self._row(name) for name in self.material.photographs],
            "refused": [{"file": refusal.name, "reason": refusal.reason} for refusal in self.refused],
            "remarks": list(self.remarks),
        }

    def _row(self, name: str) -> dict[str, Any]:
        photograph, seen = self.material.photographs[name], self.material.seen[name]
        return {
            "file": name,
            "width": photograph.photograph_size.width,
            "height": photograph.photograph_size.height,
            "outline": outline_json(seen, photograph),
            "outline_confidence": round(seen.confidence, 4),
            "squared_up": photograph.corners is not None,
            "effective_scale": round(seen.real.scale, 4),
            "detail_class": seen.real.detail_class,
            "details": [_detail(detail, self.frame) for detail in seen.details],
        }


def _detail(detail: Detail, frame: Size) -> dict[str, Any]:
    return {
        "x": detail.rect.x,
        "y": detail.rect.y,
        "width": detail.rect.width,
        "height": detail.rect.height,
        "score": round(detail.score, 4),
        "reason": detail.reason,
        "headroom": round(headroom_of(detail, frame), 4),
    }


def proposals(target: Path | str, *, frame: str | None = None) -> Proposals:
    """Look at every photograph of `target` and return its details: those set by hand, or else those proposed.

    `frame`: a preset's name or "1920x1080", by default the film's. RequestError when the request itself is wrong.
    Nothing is written.
    """
    place = film_for(Path(target))
    settings = place.film.settings
    size = frame_size(settings.frame if frame is None else frame, place.presets)
    records = load_records(place.out)
    found, refused = find_photographs(place.photographs, [place.out], records.inspect)
    looked = look_at_all(found, size, place.film, records)
    zoom = settings.zoom or pacing(settings.pacing, place.presets).zoom
    return Proposals(place, size, zoom, looked.material, (*refused, *looked.refused), looked.remarks)


def draw(proposed: Proposals) -> Path:
    """Write the contact sheet of details into the out folder; return its page. OptionError for a stranger's file."""
    out, material = proposed.place.out, proposed.material
    rooms = {
        name: headroom(photograph.size, proposed.frame, proposed.zoom, material.shown(name))
        for name, photograph in material.photographs.items()
    }
    sheet = details_sheet(proposed.place.title, material, rooms, proposed.refused, proposed.frame)
    names = page_files(DETAILS, len(sheet.entries))
    with our_folder(out, chain(*names)) as ours:
        write_sheet(sheet, out, DETAILS, ours.manifest.owned)
    return out / names[0][0]
