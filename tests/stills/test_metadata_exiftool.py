"""What exiftool has written is read back the same; of conflicting fields the one that it names by MWG 2.0 is taken.

exiftool (Debian: libimage-exiftool-perl) is the outside here: its writing of every field, and its module "MWG", which
reads by the Metadata Working Group's guidelines 2.0.
"""

from __future__ import annotations

import itertools
import json
import os
import shutil
import subprocess
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
import pillow_heif
import pytest
import tifffile
from PIL import Image

from kenburns.stills.credits import PhotographCredits, read_credits
from kenburns.stills.open import inspect

Write = Callable[[Path, Sequence[str]], Path]

SUFFIXES = ("jpg", "tif", "png", "heic", "webp", "avif")
WITH_IIM = ("jpg", "tif", "png")  # exiftool writes none into the others: their standards have no place for it

EXIF = {"creator": ("-EXIF:Artist", "Ürsa Ķalniņa"), "copyright": ("-EXIF:Copyright", "© 2019 Ürsa Ķalniņa")}
IIM = {
    "creator": ("-IPTC:By-line", "Ødegård Łukasz"),
    "credit_line": ("-IPTC:Credit", "Galerie Kütt, Brântmouth"),
    "source": ("-IPTC:Source", "Häfen-Archiv"),
    "copyright": ("-IPTC:CopyrightNotice", "© 2019 Ødegård Łukasz. Alle Rechte vorbehalten"),
}
XMP = {
    "creator": ("-XMP-dc:Creator", "Μαρία Παππά"),
    "copyright": ("-XMP-dc:Rights", "© 2019 Мария Ёлкина"),
    "credit_line": ("-XMP-photoshop:Credit", "معرض الميناء"),
    "source": ("-XMP-photoshop:Source", "海辺の資料館"),
    "owner": ("-XMP-plus:CopyrightOwnerName", "Fundación Ñandú"),
    "supplier": ("-XMP-plus:ImageSupplierName", "Çelik Arşivi"),
    "licensor": ("-XMP-plus:LicensorName", "अभिलेखागार"),
    "terms": ("-XMP-xmpRights:UsageTerms", "이 영화에서만"),
    "statement": ("-XMP-xmpRights:WebStatement", "https://example.org/rechte/ä"),
    "work_creator": ("-XMP-iptcExt:ArtworkCreator", "עודה ולקרמן"),
    "work_copyright": ("-XMP-iptcExt:ArtworkCopyrightNotice", "© Nachlaß Velkerman 🎨"),
    "work_source": ("-XMP-iptcExt:ArtworkSource", "Kettle Lane Gallery – Brantmouth"),
}
UTF_8_MARK = ("-charset", "iptc=UTF8", "-IPTC:CodedCharacterSet=UTF8")


@pytest.fixture(scope="session")
def exiftool() -> str:
    found = shutil.which("exiftool")
    if found is None:
        reason = "exiftool is not installed (Debian: libimage-exiftool-perl)"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    return found


@pytest.fixture(scope="session")
def blank(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """Return a small picture without metadata, by suffix."""
    folder = tmp_path_factory.mktemp("blank")
    picture = Image.fromarray(np.full((16, 24, 3), 90, np.uint8))
    pillow_heif.from_pillow(picture).save(folder / "sea.heic")
    for suffix in set(SUFFIXES) - {"heic"}:
        picture.save(folder / f"sea.{suffix}")
    return lambda suffix: folder / f"sea.{suffix}"


@pytest.fixture
def written(exiftool: str, blank: Callable[[str], Path], tmp_path: Path) -> Callable[..., Path]:
    """Have exiftool write a picture with the given arguments."""

    def write(suffix: str, *arguments: str, name: str = "written") -> Path:
        out = tmp_path / f"{name}.{suffix}"
        shutil.copyfile(blank(suffix), out)
        subprocess.run([exiftool, "-q", "-m", "-overwrite_original", *arguments, str(out)], check=True)
        return out

    return write


def credits_of(path: Path) -> PhotographCredits:
    return read_credits(inspect(path))


def as_arguments(fields: dict[str, tuple[str, str]]) -> list[str]:
    return [f"{option}={text}" for option, text in fields.values()]


def texts(known: PhotographCredits) -> dict[str, str]:
    names = {**EXIF, **IIM, **XMP}
    return {name: getattr(known, name).text for name in names if getattr(known, name) is not None}


@pytest.mark.parametrize("suffix", SUFFIXES)
def test_exif_is_read_back_the_same(written: Callable[..., Path], suffix: str) -> None:
    known = credits_of(written(suffix, *as_arguments(EXIF)))
    assert texts(known) == {name: text for name, (_, text) in EXIF.items()}
    assert known.creator is not None
    assert known.creator.where == "Exif Artist"


@pytest.mark.parametrize("suffix", SUFFIXES)
def test_xmp_is_read_back_the_same(written: Callable[..., Path], suffix: str) -> None:
    known = credits_of(written(suffix, *as_arguments(XMP)))
    assert texts(known) == {name: text for name, (_, text) in XMP.items()}
    assert known.credit_line is not None
    assert known.credit_line.where == "XMP photoshop:Credit"
    assert not known.conflicts


@pytest.mark.parametrize("suffix", WITH_IIM)
@pytest.mark.parametrize("more", [(), ("-z",)], ids=["plain", "compressed"])
def test_iptc_iim_in_utf_8_is_read_back_the_same(
    written: Callable[..., Path], suffix: str, more: tuple[str, ...]
) -> None:
    known = credits_of(written(suffix, *more, *UTF_8_MARK, *as_arguments(IIM)))
    assert texts(known) == {name: text for name, (_, text) in IIM.items()}
    assert known.source is not None
    assert known.source.where == "IPTC Source (2:115)"


@pytest.mark.parametrize("suffix", WITH_IIM)
def test_iptc_iim_without_a_mark_is_read_as_latin_1(written: Callable[..., Path], suffix: str) -> None:
    known = credits_of(written(suffix, "-charset", "iptc=Latin", "-IPTC:By-line=Ødegård Müßig", "-IPTC:Credit=© É"))
    assert texts(known) == {"creator": "Ødegård Müßig", "credit_line": "© É"}


def test_compressed_xmp_and_big_endian_exif_are_read(written: Callable[..., Path]) -> None:
    assert texts(credits_of(written("png", "-z", *as_arguments(XMP)))) == {
        name: text for name, (_, text) in XMP.items()
    }
    big = credits_of(written("jpg", "-ExifByteOrder=MM", *as_arguments(EXIF)))
    assert texts(big) == {name: text for name, (_, text) in EXIF.items()}


def test_several_creators_stay_several(written: Callable[..., Path]) -> None:
    names = ("Ann Ümit", "Bo Łan; Studio")
    several = {
        "xmp": [f"-XMP-dc:Creator={name}" for name in names],
        "iim": [*UTF_8_MARK, *(f"-IPTC:By-line={name}" for name in names)],
        "exif": ['-EXIF:Artist=Ann Ümit; "Bo Łan; Studio"'],
    }
    for name, arguments in several.items():
        creator = credits_of(written("jpg", *arguments, name=name)).creator
        assert creator is not None
        assert creator.texts == names


def test_the_photographers_and_the_editors_copyright_are_told_apart(written: Callable[..., Path]) -> None:
    # Exif 2.32 §4.6.4: a NUL between them; exiftool writes it for a line feed
    notice = credits_of(written("jpg", "-EXIF:Copyright=© Ann\n© Kettle Lane")).copyright
    assert notice is not None
    assert notice.texts == ("© Ann", "© Kettle Lane")


def test_rights_in_several_languages_are_read_in_the_default_one(written: Callable[..., Path]) -> None:
    path = written(
        "jpg", "-XMP-dc:Rights-de=Rechte: Ann", "-XMP-dc:Rights=Rights: Ann", "-XMP-dc:Rights-fr=Droits : Ann"
    )
    assert texts(credits_of(path)) == {"copyright": "Rights: Ann"}


def test_a_bigtiff_is_read(tmp_path: Path) -> None:
    # tifffile is the outside: tags 315 and 33432 as ASCII
    path = tmp_path / "big.tif"
    tags = [(315, 2, 0, b"\xc3\x9crsa\0", True), (33432, 2, 0, b"\xc2\xa9 2019 \xc3\x9crsa\0", True)]
    tifffile.imwrite(path, np.zeros((8, 8, 3), np.uint8), photometric="rgb", bigtiff=True, extratags=tags)
    assert texts(credits_of(path)) == {"creator": "Ürsa", "copyright": "© 2019 Ürsa"}


SYNCED, STALE = "-IPTCDigest=new", "-IPTCDigest=00112233445566778899aabbccddeeff"
PLACES = {"exif": EXIF, "xmp": XMP, "iim": IIM}


@pytest.mark.parametrize("suffix", ["jpg", "tif"])
def test_of_conflicting_fields_the_one_that_mwg_names_is_taken(
    exiftool: str, blank: Callable[[str], Path], tmp_path: Path, suffix: str
) -> None:
    combinations = [places for size in (1, 2, 3) for places in itertools.combinations(PLACES, size)]
    runs: list[list[str]] = []
    for places, digest in [(held, digest) for held in combinations for digest in _digests(held, suffix)]:
        path = tmp_path / f"{'-'.join(places)}{digest[-4:]}.{suffix}"
        shutil.copyfile(blank(suffix), path)
        mark = [*UTF_8_MARK] * ("iim" in places) + [digest] * bool(digest)
        runs.append([*mark, *(f"{option}={text}" for option, text in _said(places)), str(path)])
    arguments = "\n-execute\n".join("\n".join(["-q", "-m", "-overwrite_original", *run]) for run in runs)
    subprocess.run([exiftool, "-@", "-"], input=arguments, text=True, check=True, stdout=subprocess.DEVNULL)
    command = [exiftool, "-q", "-j", "-use", "MWG", "-MWG:Creator", "-MWG:Copyright", *(run[-1] for run in runs)]
    named = json.loads(subprocess.run(command, check=True, capture_output=True).stdout)
    assert len(named) >= 9
    for mwg in named:
        path = Path(mwg["SourceFile"])
        assert texts(credits_of(path)) == {"creator": mwg["Creator"], "copyright": mwg["Copyright"]}, path.name


def _digests(places: Sequence[str], suffix: str) -> Sequence[str]:
    if not {"iim", "xmp"} <= {*places}:
        return ("",)
    # In a TIFF exiftool counts the zeros that pad the IPTC-IIM into the digest it finds, not into that it writes.
    return ("", STALE) if suffix == "tif" else ("", SYNCED, STALE)


def _said(places: Sequence[str]) -> list[tuple[str, str]]:
    return [PLACES[place][name] for place in places for name in ("creator", "copyright")]


def test_padding_in_a_tiff_does_not_make_its_iptc_iim_look_changed(written: Callable[..., Path]) -> None:
    for length in range(1, 5):
        path = written("tif", "-XMP-dc:Creator=Ann", f"-IPTC:By-line={'B' * length}", SYNCED, name=f"pad{length}")
        assert texts(credits_of(path)) == {"creator": "Ann"}


def test_a_conflict_names_both_texts_their_places_and_the_reason(written: Callable[..., Path]) -> None:
    changed = credits_of(written("jpg", *UTF_8_MARK, "-XMP-photoshop:Credit=Old Hall", "-IPTC:Credit=New Hall", STALE))
    assert texts(changed) == {"credit_line": "New Hall"}
    assert [str(conflict) for conflict in changed.conflicts] == [
        "credit line: 'New Hall' (IPTC Credit (2:110)) is taken, not 'Old Hall' (XMP photoshop:Credit): "
        "the IPTC-IIM was changed after the XMP, as its digest shows"
    ]


def test_places_that_agree_are_no_conflict(written: Callable[..., Path]) -> None:
    path = written(
        *("jpg", *UTF_8_MARK, "-EXIF:Copyright=(c) 2019  Ann Ümit", "-XMP-dc:Rights=© 2019 Ann Ümit"),
        *("-IPTC:CopyrightNotice=© 2019 Ann Ümit", "-EXIF:Artist=Ann; Bo", "-XMP-dc:Creator=Ann", "-XMP-dc:Creator=Bo"),
    )
    assert not credits_of(path).conflicts


def test_a_text_cut_off_at_the_length_of_iptc_iim_is_completed_from_xmp(written: Callable[..., Path]) -> None:
    long = "The Harbour Photographs Archive of Brantmouth"  # 45 bytes; By-line has room for 32 (IIM 4.2)
    path = written("jpg", f"-XMP-dc:Creator={long}", f"-IPTC:By-line={long[:32]}", STALE)
    known = credits_of(path)
    assert texts(known) == {"creator": long}
    assert not known.conflicts
