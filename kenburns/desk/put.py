"""film.toml put in its place by the desk, while nobody else changes over to a new cut."""

from __future__ import annotations

from ..deliver.changeover import finish_changeover, no_changeover
from .changes import MovedError
from .film_text import film_path, write_film_text
from .snapshot import Known, stamps


def put_film_text(known: Known, text: str, *, ours: bool = False) -> None:
    """Put `text` in the place of the film.toml that a film was planned by; nothing is written where it is refused.

    FilmFileError and MovedError as `write_film_text` raises them; MovedError also where a run has followed a new cut
    since: slots have other ids then. `ours`: whether the desk wrote what stands there.
    """
    place = known.place
    with no_changeover(place.out):
        finish_changeover(place.file, place.out)
        if stamps(place) != known.stamps:
            raise MovedError("the film was made by a new cut at the same moment; look again")
        write_film_text(place, text, known.text, ours=ours)


def take_back_film_text(known: Known, text: str) -> None:
    """Put back what stood there before `text`; MovedError where somebody else has written since."""
    place = known.place
    with no_changeover(place.out):
        if place.file is None:
            film_path(place).unlink()
        else:
            write_film_text(place, known.text, text, ours=True)
