"""The review round: what to ask for, what was remarked, and how far the film is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import cast, get_args

from .deliver.asks import Request
from .deliver.credits import Credits, Order
from .deliver.ours import our_folder
from .deliver.reel import Progress, ReelMade, make_reel
from .deliver.request_letter import request_letters
from .deliver.request_table import request_csv
from .errors import OptionError
from .files import write_whole
from .motion.timebase import parse_timecode
from .notes.changes import Answered
from .notes.laying import Laid
from .plan.last import last_plan
from .prepare import Options, Prepared, prepare, prepare_all
from .remarks import answered_notes, laid_notes, mark_notes
from .request import request
from .resolution import works_of
from .rights import KnownCredits
from .status import Status, status
from .stills.credits import PhotographCredits

REQUEST_FILE, LETTERS_FOLDER = "request.csv", "letters"


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked for, and the table and letters that were written."""

    request: Request
    written: tuple[Path, ...]


def ask(target: Path) -> Asked:
    """Work out which better files a film needs, and write the table and a letter an owner into the out folder.

    RequestError when the request itself is wrong.
    """
    prepared = prepare_all(target, Options())
    place = prepared[0].place
    known = _known(prepared[0]).in_files(prepared[0].material.photographs)
    asked = request(prepared, works_of(place).works, lambda name: owner_of(known[name]) if name in known else "")
    texts = {REQUEST_FILE: request_csv(asked)}
    texts |= {f"{LETTERS_FOLDER}/{letter.file}": letter.text for letter in request_letters(asked)}
    written = [place.out / name for name in texts]
    with our_folder(place.out, texts):
        for path, text in zip(written, texts.values(), strict=True):
            path.parent.mkdir(parents=True, exist_ok=True)
            write_whole(path, text.encode())
    return Asked(asked, tuple(written))


@dataclass(frozen=True, slots=True)
class Remarked:
    """Notes laid on the slots they are about in the version watched, and what is changed at each since."""

    laid: Laid
    answered: tuple[Answered, ...]


def remarked(
    target: Path, file: Path | None = None, done: Iterable[str] = (), reopened: Iterable[str] = ()
) -> Remarked:
    """Lay the notes of a review on the version of the film that each was made on.

    `file`: by default the one that film.toml names. `done` and `reopened` are note ids to be marked; a file beside
    film.toml keeps them. RequestError where there are no notes, or no note has such an id.
    """
    prepared = prepare(target, Options())
    place = prepared.place
    laid = laid_notes(prepared, file)
    if laid is None:
        raise OptionError(f"'{place.root}' has no notes; put them into notes.txt there, or name a file")
    finished, again = tuple(done), tuple(reopened)
    mark_notes(laid, place.root, finished, again)
    if finished or again:
        laid = laid_notes(prepared, file) or laid
    return Remarked(laid, answered_notes(prepared, file))


def film_status(target: Path) -> Status:
    """Return how far a film is, in all its deliveries; nothing is written."""
    prepared = prepare_all(target, Options())
    known = _known(prepared[0])
    named = known.of(prepared[0].plan)
    uncleared = named.uncleared if known.records_permission else None
    return status(prepared, laid_notes(prepared[0]), unnamed=named.unnamed, uncleared=uncleared)


def credits_of(target: Path, order: str = "appearance") -> Credits:
    """Return who must be named for the stills that a film uses, and what is not cleared; nothing is written.

    OptionError for an order that is neither "appearance" nor "alphabetical".
    """
    if order not in get_args(Order):
        raise OptionError(f"--order: credits are in order of {' or '.join(get_args(Order))}, not {order!r}")
    return _film_credits(prepare(target, Options()), cast(Order, order))


def _film_credits(prepared: Prepared, order: Order = "appearance") -> Credits:
    return _known(prepared).of(prepared.plan, order)


def _known(prepared: Prepared) -> KnownCredits:
    return KnownCredits(prepared.material.photographs, works_of(prepared.place))


def owner_of(known: PhotographCredits) -> str:
    """Return whom a photograph's metadata names as the one to ask for a better file; "" for nobody."""
    told = (known.supplier, known.owner, known.creator, known.credit_line)
    return next((value.text for value in told if value), "")


def film_reel(
    target: Path, rough: Path | None, to: Path | None, *, burn_in: bool, over_black: bool, progress: Progress
) -> ReelMade:
    """Make the review reel of a film that has been made; RequestError as `make_reel`, or where nothing was made yet."""
    prepared = prepare(target, Options())
    place, plan = prepared.place, last_plan(prepared.place.out)
    if plan is None:
        raise OptionError(f"'{place.out}' holds no film yet; run 'kenburns make' first")
    start = place.film.settings.start
    return make_reel(
        plan,
        place.out,
        rough,
        to or place.root / f"{place.root.resolve().name} reel.mp4",
        burn_in=burn_in,
        picture_from_rough=not over_black,
        start=parse_timecode(start, plan.exact_rate) if start else None,
        progress=progress,
    )
