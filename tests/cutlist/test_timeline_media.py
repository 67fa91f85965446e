from __future__ import annotations

import json
from pathlib import PurePosixPath
from typing import Any
from urllib.parse import quote

import opentimelineio as otio
import pytest
from hypothesis import given
from hypothesis import strategies as st
from opentimelineio import opentime, schema

from kenburns.cutlist.timelines.media import is_film, path_in, still_of


def as_read(media: Any, name: str = "x") -> dict[str, Any]:
    clip: dict[str, Any] = json.loads(otio.adapters.write_to_string(schema.Clip(name, media), "otio_json"))
    return clip


def external(url: str) -> Any:
    return schema.ExternalReference(url)


def sequence(images: int, start: int = 1001) -> Any:
    return schema.ImageSequenceReference(
        target_url_base="file:///scans/",
        name_prefix="sea fret.",
        name_suffix=".tif",
        start_frame=start,
        frame_zero_padding=6,
        rate=25,
        available_range=opentime.TimeRange(opentime.RationalTime(0, 25), opentime.RationalTime(images, 25)),
    )


@pytest.mark.parametrize(
    ("url", "still"),
    [
        ("file:///Volumes/Art/Sea%20Fret.tif", "Sea Fret.tif"),
        ("file://localhost/C:/Art/Sea%20Fret.TIF", "Sea Fret.TIF"),
        ("file:///art/no.%237.jpg", "no.#7.jpg"),
        ("file:///art/no.#7.jpg", "no.#7.jpg"),
        ("media/K%C3%A4the.jpeg", "Käthe.jpeg"),
        ("../stills/quay.png", "quay.png"),
        ("C:\\Art\\100% linen.tif", "100% linen.tif"),
        ("/art/100%25 linen.tif", "100%25 linen.tif"),
        ("/art/100%25linen.tif", "100%linen.tif"),
        ("https://example.org/a/sea.jpg?size=full#top", "sea.jpg"),
        ("http://[half/sea.jpg", ""),
        ("interview.mov", ""),
        ("tif", ""),
        ("", ""),
    ],
)
def test_a_still_is_the_picture_files_name(url: str, still: str) -> None:
    assert still_of(as_read(external(url))) == still


@given(
    st.text(st.characters(exclude_characters="/\\\0", exclude_categories=("Cs", "Cc", "Zs")), min_size=1, max_size=20)
)
def test_any_name_in_a_file_url_comes_out_as_it_went_in(name: str) -> None:
    file = f"{name}.tif"
    assert PurePosixPath(path_in("file://" + quote(f"/art/{file}"))).name == file
    assert PurePosixPath(path_in(quote(f"art/{file}"))).name == file


def test_a_sequence_of_one_image_is_that_image_as_opentimelineio_names_it() -> None:
    media = sequence(1)
    name = media.target_url_for_image_number(0).rpartition("/")[2]
    assert still_of(as_read(media)) == name == "sea fret.001001.tif"
    assert not is_film(as_read(media))


def test_a_sequence_of_several_images_moves() -> None:
    assert still_of(as_read(sequence(48))) == ""
    assert is_film(as_read(sequence(48)))


@pytest.mark.parametrize(
    ("media", "name", "expected"),
    [
        (external("ada.mov"), "Ada", True),
        (external("sea.tif"), "Sea", False),
        (None, "Sea", False),
        (None, "Ada_002.mp4", True),
        (schema.MissingReference(), "Sea", False),
        (schema.GeneratorReference("slate", "SMPTEBars"), "slate", False),
    ],
)
def test_filmed_is_what_has_a_file_that_is_no_picture(media: Any, name: str, expected: bool) -> None:
    assert is_film(as_read(media, name)) is expected


def test_the_media_in_use_is_asked_where_a_clip_has_several() -> None:
    clip = schema.Clip("x")
    clip.set_media_references({"proxy": external("proxy.jpg"), "full": external("full.tif")}, "full")
    assert still_of(json.loads(otio.adapters.write_to_string(clip, "otio_json"))) == "full.tif"
