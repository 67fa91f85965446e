"""The film file, film.toml: what the user writes about a film.

What the user writes is checked once, here, into a frozen model. Each key carries the sentence that `kenburns new`
writes above it, and its default.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from pathlib import Path
from typing import Literal

from pydantic import Field, ValidationInfo, field_validator

from .errors import FilmFileError, OptionError, PresetError
from .motion.timebase import parse_timecode
from .presets import DEFAULTS, card_look, codec, frame_size, pacing, require_frame
from .toml_file import Table, checked, key_text, read_toml, said
from .values import (
    Areas,
    CardKind,
    Closeness,
    Colour,
    DetailNumbers,
    Easing,
    FilledText,
    FolderName,
    Handles,
    Kind,
    Moments,
    Name,
    Outline,
    Rate,
    Seconds,
    Switch,
    Text,
    Views,
    one_form,
)

FILM_FILE = "film.toml"
PRESETS_FOLDER = "presets"


class Settings(Table):
    """[film]: what holds for every clip."""

    title: Text = Field("", description="The film's name; empty: the folder's name")
    rate: Rate = Field(Fraction(25), description='Frames a second: 24, 25, 30, 50, 60, "23.976", "29.97" or "59.94"')
    frame: FilledText = Field(
        DEFAULTS["frames"], description='Size of the clips: a preset such as "uhd", or "1920x1080"'
    )
    codec: FilledText = Field(
        DEFAULTS["codecs"], description="How clips are written: edit, edit-rdd36, review or archive"
    )
    pacing: FilledText = Field(DEFAULTS["pacing"], description="How things move: steady, gentle or free")
    card: FilledText = Field(DEFAULTS["cards"], description="How cards look: plain, soft, wall or roomy")
    captions: Literal["none", "overlay"] = Field(
        "none", description="Captions to lay over the clips, each a picture with alpha: none or overlay"
    )
    credits: Literal["appearance", "alphabetical"] = Field(
        "appearance", description="Order of names on cards of credits: appearance or alphabetical"
    )
    matte: Colour = Field("#161616", description="Colour around a picture that does not fill the frame")
    handles: Handles = Field(0, description="Extra frames before and after every clip, in motion")
    start: Text | None = Field(
        None,
        description="Timecode of the film's first frame: slots that count from zero begin there",
        examples=["10:00:00:00"],
    )
    zoom: Closeness | None = Field(
        None, description="Closeness that every photograph is checked for; left out: the pacing's", examples=[1.5]
    )

    @field_validator("start")
    @classmethod
    def _is_timecode(cls, start: str | None, info: ValidationInfo) -> str | None:
        if start is not None and "rate" in info.data:
            try:
                parse_timecode(start, info.data["rate"])
            except ValueError as wrong:
                raise said(str(wrong)) from None
        return start


class DeliveryEdit(Table):
    """[deliveries.vertical]: the film once more for another screen; what is left out is as in [film]."""

    frame: FilledText = Field(description="Size of these clips", examples=["vertical-hd"])
    codec: FilledText | None = Field(None, description="How they are written", examples=["review"])
    pacing: FilledText | None = Field(None, description="How things move in them", examples=["gentle"])
    card: FilledText | None = Field(None, description="How their cards look", examples=["plain"])
    zoom: Closeness | None = Field(None, description="Closeness that photographs are checked for", examples=[1.5])


class Folders(Table):
    """[folders]: where things lie, seen from film.toml."""

    photographs: FilledText = Field("photographs", description="The photographs as they came; nothing is written there")
    cut_list: FilledText = Field(
        "cutlist.csv", description="The cut list: a table with a row a slot, an edit decision list, or a timeline"
    )
    track: FilledText | None = Field(
        None, description="The track of that list or timeline that holds the stills", examples=["V2"]
    )
    reel: FilledText | None = Field(None, description="The reel of that list that holds them", examples=["STILLS"])
    markers: Literal["slots", "cues", "notes"] = Field(
        "slots", description="What a timeline's markers are: slots, cues for details, or notes"
    )
    works: FilledText = Field(
        "works.csv", description="The works list, with sizes and credits, if there is one", examples=["works.csv"]
    )
    notes: FilledText = Field("notes.txt", description="Remarks from a review, if there are any")
    out: FilledText = Field("out", description="Where clips, cards and sheets go")


class StillEdit(Table):
    """[stills."name.jpg"]: what was set by hand for one photograph. Areas are in pixels of the upright photograph."""

    outline: Outline | None = Field(
        None,
        description="Where the work lies in the photograph: x, y, width, height, or its four corners",
        examples=[[120, 80, 5600, 3700]],
    )
    square_up: Switch = Field(
        False, description="Show the work squared up from its corners, as if photographed straight on", examples=[True]
    )
    details: Areas = Field(
        (), description="Details to use instead of those proposed", examples=[[[900, 600, 1920, 1080]]]
    )
    title: Text = Field("", description="The work's title", examples=["Blue Kitchen"])
    credit: Text = Field("", description="Who must be named", examples=["Photograph: A. Name"])


class SlotEdit(Table):
    """[slots."12"]: what was set by hand for one slot of the cut list; None and empty leave it as planned."""

    still: FilledText | None = Field(None, description="The photograph to show", examples=["sea.jpg"])
    shot: Kind | None = Field(
        None,
        description='"hold", "push in", "pull out", "pan", "tilt", "tour" or "whole, then detail"',
        examples=["push in"],
    )
    easing: Easing | None = Field(
        None, description="How a move starts and stops: linear, sine, cubic, minimum-jerk", examples=["sine"]
    )
    head: Seconds | None = Field(None, description="Seconds at rest before the first move", examples=[0.4])
    tail: Seconds | None = Field(None, description="Seconds at rest after the last move", examples=[0.4])
    details: DetailNumbers = Field(
        (), description="Details to visit, in this order, by their numbers on the contact sheet", examples=[[2, 1]]
    )
    direction: Literal["left to right", "right to left"] = Field(
        "left to right", description="Which way a pan reads the picture", examples=["right to left"]
    )
    stops: Views = Field(
        (),
        description="Views to go through, in this order, instead of those planned: x, y, width, height",
        examples=[[[0, 0, 5760, 3240], [900, 600, 1920, 1080]]],
    )
    cue: Moments = Field(
        (),
        description="Seconds from the slot's start at which a detail, or the next stop, is reached",
        examples=[[3.2]],
    )
    pacing: FilledText | None = Field(None, description="How this slot moves, instead of the film", examples=["gentle"])
    card: CardKind | None = Field(
        None,
        description="Words instead of a picture: title, chapter, quote, caption, credits or roll",
        examples=["quote"],
    )
    words: Text = Field(
        "",
        description="What such a card says: its parts from top to bottom, with | between them",
        examples=["“I painted what the tide left.” | Oda Velkerman"],
    )
    note: Text = Field(
        "", description="For yourself; it stands on the contact sheet", examples=["calm, before the laugh"]
    )


_NO_STILL_EDIT, _NO_SLOT_EDIT = StillEdit(), SlotEdit()


class Film(Table):
    """A whole film.toml."""

    settings: Settings = Field(Settings(), alias="film")
    folders: Folders = Folders()
    deliveries: Mapping[FolderName, DeliveryEdit] = {}
    stills: Mapping[Name, StillEdit] = {}
    slots: Mapping[Name, SlotEdit] = {}

    def still(self, name: str) -> StillEdit:
        """Return what was set by hand for a photograph, by its path below the photographs' folder."""
        return self.stills.get(one_form(name), _NO_STILL_EDIT)

    def delivered(self, name: str) -> Settings:
        """Return the settings of a delivery by its name in the file; KeyError for one that is not there."""
        wanted = self.deliveries[name].model_dump(exclude_none=True)
        return self.settings.model_copy(update=wanted)

    def with_slots(self, names: Mapping[str, str]) -> Film:
        """Return the film with what was set by hand for slots under other ids: the new ones by the old."""
        return self.model_copy(update={"slots": {names.get(slot, slot): edit for slot, edit in self.slots.items()}})

    def slot(self, name: str) -> SlotEdit:
        """Return what was set by hand for a slot."""
        return self.slots.get(one_form(name), _NO_SLOT_EDIT)


def load_film(path: Path) -> Film:
    """Read a film.toml; presets it names are looked up, those in presets/ beside it first.

    Raises FilmFileError naming the file, each key that breaks a rule, the value found and what would work.
    """
    film = checked(Film, read_toml(path, FilmFileError), path.name, FilmFileError)
    _know_presets(film.settings, path, "[film]")
    for slot, edit in film.slots.items():
        _know_pacing(edit, slot, path)
    for name in film.deliveries:
        _know_presets(film.delivered(name), path, key_text(("deliveries", name), table=True))
    return film


def _know_presets(settings: Settings, path: Path, table: str) -> None:
    extra = path.parent / PRESETS_FOLDER
    for key, look_up in _LOOK_UPS.items():
        try:
            look_up(getattr(settings, key), extra)
        except (OptionError, PresetError) as wrong:
            raise FilmFileError(f"'{path.name}', {table} {key}: {wrong}") from None
    try:
        require_frame(codec(settings.codec, extra), frame_size(settings.frame, extra))
    except OptionError as wrong:
        raise FilmFileError(f"'{path.name}', {table} frame: {wrong}") from None


def _know_pacing(edit: SlotEdit, slot: str, path: Path) -> None:
    try:
        if edit.pacing is not None:
            pacing(edit.pacing, path.parent / PRESETS_FOLDER)
    except (OptionError, PresetError) as wrong:
        raise FilmFileError(f"'{path.name}', {key_text(('slots', slot), table=True)} pacing: {wrong}") from None


_LOOK_UPS: Mapping[str, Callable[[str, Path], object]] = {
    "frame": frame_size,
    "codec": codec,
    "pacing": pacing,
    "card": card_look,
}
