"""The whole job: what stands in the out folder after a run."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from kenburns.job import Outcome, make
from kenburns.plan.document import read_plan
from kenburns.plan.views import slot_path
from kenburns.prepare import Options, prepare

Photo = Callable[..., Path]

# slot: photograph, frames, shot; the second card's still is only like a file's name
SLOTS = {
    "01": ("sea.png", 9, "push in"),
    "02": ("hill.png", 6, "tilt"),
    "03": ("", 7, ""),
    "04": ("sea.png", 5, "whole, then detail"),
    "05": ("low.png", 4, "pan"),
    "06": ("shed", 8, "hold"),
    "07": ("wide.png", 6, "push in"),
}
CLIPS = ("01", "02", "04", "05", "07")


def cut_list(folder: Path, slots: dict[str, tuple[str, int, str]] = SLOTS) -> Path:
    start, rows = 90_000, ["slot,start,length,wanted,still,shot"]
    for slot, (still, frames, shot) in slots.items():
        rows.append(f'{slot},{start},{frames},{"a work not photographed yet" if not still else ""},{still},"{shot}"')
        start += frames
    path = folder / "cutlist.csv"
    path.write_text("\n".join(rows) + "\n")
    return path


@pytest.fixture(scope="session")
def film(tmp_path_factory: pytest.TempPathFactory, photograph: Photo) -> Path:
    folder = tmp_path_factory.mktemp("film")
    photograph(folder / "sea.png", 960, 640, 1)
    photograph(folder / "hill.png", 700, 900, 2)
    photograph(folder / "low.png", 200, 120, 3)
    photograph(folder / "shed in the dunes.png", 800, 600, 4)
    photograph(folder / "wide.png", 1400, 250, 5)
    (folder / "torn.jpg").write_bytes(b"\xff\xd8\xff\xe0 not much of a photograph")
    cut_list(folder)
    return folder


@pytest.fixture(scope="session")
def outcome(film: Path, tmp_path_factory: pytest.TempPathFactory) -> Outcome:
    return make(film, frame="320x180", out=tmp_path_factory.mktemp("made") / "out")


def document(outcome: Outcome, name: str) -> dict[str, Any]:
    content: dict[str, Any] = json.loads((outcome.out / name).read_bytes())
    return content


def test_every_slot_is_a_file_of_exactly_its_frames_at_the_default_codec(outcome: Outcome, decode: Any) -> None:
    for slot, (_, frames, _) in SLOTS.items():
        clip = decode(outcome.out / f"{slot}.mov")
        assert (clip.frames, clip.rate, clip.size) == (frames, Fraction(25), (320, 180))
        assert (clip.codec, clip.pixel_format) == ("dnxhd", "yuv422p10le")


def test_the_out_folder_holds_what_the_contract_says_and_nothing_else(outcome: Outcome) -> None:
    files = {path.relative_to(outcome.out).as_posix() for path in outcome.out.rglob("*")}
    clips = {f"{slot}.mov" for slot in SLOTS}
    tables = {f"paths/{slot}.csv" for slot in CLIPS}
    told = {
        "plan.json",
        "manifest.json",
        "records.json",
        ".worked-out.json",
        "keyframes.json",
        "sheet.html",
        "sheet.png",
    }
    assert files == clips | tables | told | {"paths", "film.otio", "stills.edl", "cards.edl"}


@pytest.mark.parametrize(
    ("codec", "rate", "suffix", "decoder", "pixel_format"),
    [
        # decoders' names are libavcodec's: VC-3 (SMPTE ST 2019), RDD 36, H.264 and FFV1 (RFC 9043)
        ("edit", "24000/1001", "mov", "dnxhd", "yuv422p10le"),
        ("edit-rdd36", "30", "mov", "prores", "yuv422p10le"),
        ("review", "59.94", "mp4", "h264", "yuv420p"),
        ("archive", "29.97", "mkv", "ffv1", "yuv444p10le"),
    ],
)
def test_clips_and_cards_have_the_codec_rate_and_frames_asked_for(
    film: Path, tmp_path: Path, decode: Any, codec: str, rate: str, suffix: str, decoder: str, pixel_format: str
) -> None:
    exact = {"24000/1001": Fraction(24000, 1001), "30": Fraction(30), "59.94": Fraction(60000, 1001)}
    made = make(film, frame="256x144", rate=rate, codec=codec, out=tmp_path)
    for entry in made.manifest.slots:
        clip = decode(tmp_path / f"{entry.slot}.{suffix}")
        assert (clip.frames, clip.size) == (SLOTS[entry.slot][1], (256, 144))
        assert clip.rate == exact.get(rate, Fraction(30000, 1001)) == Fraction(entry.rate)
        assert (clip.codec, clip.pixel_format) == (decoder, pixel_format)


def test_the_manifest_says_of_each_slot_what_the_file_is(outcome: Outcome, decode: Any) -> None:
    rows = document(outcome, "manifest.json")["slots"]
    assert [row["slot"] for row in rows] == list(SLOTS)
    for row in rows:
        file = outcome.out / row["file"]
        clip = decode(file)
        assert (row["frames"], row["width"], row["height"]) == (clip.frames, *clip.size)
        assert row["rate"] == "25/1"
        assert row["content_hash"] == hashlib.sha256(file.read_bytes()).hexdigest()
        assert row["kind"] == ("clip" if row["slot"] in CLIPS else "card")
        assert row["still"] == (SLOTS[row["slot"]][0] if row["slot"] in CLIPS else None)


def test_no_clip_ever_enlarges_a_pixel_and_cards_have_no_scale(outcome: Outcome) -> None:
    for row in document(outcome, "manifest.json")["slots"]:
        scale = row["smallest_scale"]
        assert scale >= 1.0 if row["slot"] in CLIPS else scale is None


def test_every_clip_has_a_row_of_its_path_for_every_frame_never_smaller_than_the_frame(outcome: Outcome) -> None:
    plan = read_plan(outcome.out / "plan.json")
    for slot in plan.slots:
        if slot.still is None:
            continue
        header, *rows = (outcome.out / "paths" / f"{slot.slot}.csv").read_text().splitlines()
        assert header == "frame,x,y,width,height"
        assert [row.split(",")[0] for row in rows] == [str(n) for n in range(SLOTS[slot.slot][1])]
        values = np.array([[float(cell) for cell in row.split(",")[1:]] for row in rows])
        assert (values[:, 2] >= 320).all()
        assert (values[:, 3] >= 180).all()
        assert (values == slot_path(slot, plan.frame)).all()  # the very values: full precision


def test_the_plan_on_disk_is_the_plan_that_was_carried_out(outcome: Outcome) -> None:
    assert read_plan(outcome.out / "plan.json") == outcome.plan


def test_what_needs_attention_is_listed_once_and_the_rest_is_made(outcome: Outcome) -> None:
    assert outcome.failed == ()
    assert sorted(outcome.rendered) == sorted(SLOTS)
    assert [refusal.name for refusal in outcome.refused] == ["torn.jpg"]
    about = [line.split(": ")[0] for line in outcome.attention]
    assert about == [
        "slot '03'",  # no photograph
        "slot '05'",  # smaller than the frame
        "slot '06'",  # an uncertain match
        "slot '07'",  # too low for the zoom
        outcome.refused[0].reason.split(": ")[0],
    ]


def test_an_uncertain_match_is_a_card_that_names_candidate_and_score(outcome: Outcome) -> None:
    card = outcome.plan.slots[5].card
    assert card is not None
    assert card.reason.startswith("uncertain match: perhaps 'shed in the dunes.png' (")


def luma(path: Path, number: int) -> NDArray[np.float64]:
    with av.open(str(path)) as clip:
        frame = list(clip.decode(video=0))[number]
        return frame.to_ndarray(format="gray16le").astype(np.float64) / 257


def test_the_last_frame_of_a_push_in_is_the_part_of_the_photograph_that_its_path_says(
    film: Path, outcome: Outcome
) -> None:
    last = (outcome.out / "paths" / "02.csv").read_text().splitlines()[-1]
    x, y, width, height = (float(cell) for cell in last.split(",")[1:])
    with av.open(str(film / "hill.png")) as still:
        picture = next(still.decode(video=0)).to_ndarray(format="gray").astype(np.float64)
    rows = (y + (np.arange(180) + 0.5) * height / 180).clip(0, 899).astype(int)
    columns = x + (np.arange(320) + 0.5) * width / 320
    inside = (columns >= 2) & (columns < 698)
    soft = cv2.blur(picture, (9, 9))  # the grain of single pixels is filtered in the clip and is not here
    expected = soft[np.ix_(rows, columns[inside].astype(int))]
    shown = cv2.blur(luma(outcome.out / "02.mov", -1), (5, 5))[:, inside]
    # Two ways from R'G'B' to grey agree only roughly; a view moved by a tenth of the frame would differ by far more.
    assert np.corrcoef(expected.ravel(), shown.ravel())[0, 1] > 0.98


def test_a_card_has_exactly_what_the_finished_clip_will_have(tmp_path: Path, photograph: Photo, decode: Any) -> None:
    photograph(tmp_path / "hill.png", 700, 500, 2)
    cut_list(tmp_path, {"01": ("hill.png", 4, "hold"), "02": ("sea.png", 6, "pan")})
    before = make(tmp_path, frame="320x180")
    card = before.manifest.slots[1]
    card_as_decoded = decode(before.out / card.file)
    assert not (before.out / "paths" / "02.csv").exists()
    photograph(tmp_path / "sea.png", 960, 640, 1)
    after = make(tmp_path, frame="320x180")
    clip = after.manifest.slots[1]
    assert (card.kind, clip.kind) == ("card", "clip")
    assert after.rendered == ("02",)
    assert (clip.file, clip.frames, clip.rate) == (card.file, card.frames, card.rate)
    assert decode(after.out / clip.file) == card_as_decoded
    assert clip.content_hash != card.content_hash
    assert (after.out / "paths" / "02.csv").exists()


def test_a_clip_whose_photograph_goes_becomes_a_card_again_and_loses_its_table(
    tmp_path: Path, photograph: Photo
) -> None:
    photograph(tmp_path / "hill.png", 700, 500, 2)
    sea = photograph(tmp_path / "sea.png", 960, 640, 1)
    cut_list(tmp_path, {"01": ("hill.png", 4, "hold"), "02": ("sea.png", 6, "pan")})
    assert make(tmp_path, frame="320x180", codec="review").manifest.slots[1].kind == "clip"
    sea.unlink()
    after = make(tmp_path, frame="320x180", codec="review")
    assert (after.rendered, after.manifest.slots[1].kind) == (("02",), "card")
    assert [path.name for path in (after.out / "paths").iterdir()] == ["01.csv"]


def test_handles_make_clips_cards_and_tables_longer_at_both_ends(
    tmp_path: Path, photograph: Photo, decode: Any
) -> None:
    photograph(tmp_path / "photographs" / "sea.png", 960, 640)
    cut_list(tmp_path, {"01": ("sea.png", 5, "push in"), "02": ("", 4, "")})
    (tmp_path / "film.toml").write_text('[film]\nframe = "320x180"\ncodec = "review"\nhandles = 3\n')
    made = make(tmp_path)
    assert [decode(made.out / f"{slot}.mp4").frames for slot in ("01", "02")] == [5 + 6, 4 + 6]
    assert [entry.frames for entry in made.manifest.slots] == [11, 10]
    assert len((made.out / "paths" / "01.csv").read_text().splitlines()) == 1 + 11
    assert [slot.frames for slot in made.plan.slots] == [5, 4]  # the slot in the edit stays as long as it is


def test_a_bare_folder_gives_a_whole_and_a_detail_of_the_pacings_length(tmp_path: Path, photograph: Photo) -> None:
    photograph(tmp_path / "Sea.png", 960, 640)
    photograph(tmp_path / "two" / "sea.png", 900, 700, 1)
    photograph(tmp_path / "low.png", 200, 120)
    plan = prepare(tmp_path, Options(frame="320x180")).plan
    assert [slot.slot for slot in plan.slots] == ["low-whole", "Sea-whole", "Sea-detail", "sea-2-whole", "sea-2-detail"]
    assert {slot.frames for slot in plan.slots} == {6 * 25}  # presets/pacing/steady.toml: length = 6.0
    kinds = [slot.shots[0].kind for slot in plan.slots]
    assert kinds == ["hold", "hold", "push in", "hold", "push in"]
    assert not (tmp_path / "out").exists()


def test_details_and_outline_set_by_hand_come_before_those_proposed(tmp_path: Path, photograph: Photo) -> None:
    photograph(tmp_path / "photographs" / "sea.png", 1600, 900)
    cut_list(tmp_path, {"01": ("sea.png", 9, "push in"), "02": ("sea.png", 9, "hold")})
    (tmp_path / "film.toml").write_text(
        '[film]\nframe = "320x180"\ncodec = "review"\npacing = "free"\n'
        '[stills."sea.png"]\noutline = [100, 50, 800, 450]\ndetails = [[400, 200, 320, 180]]\n'
    )
    made = make(tmp_path)
    first, *_, last = (made.out / "paths" / "01.csv").read_text().splitlines()[1:]
    assert first == "0,100.0,50.0,800.0,450.0"
    assert last == "8,400.0,200.0,320.0,180.0"


def test_a_still_named_by_hand_makes_an_uncertain_slot_a_clip(tmp_path: Path, photograph: Photo) -> None:
    photograph(tmp_path / "photographs" / "shed in the dunes.png", 960, 640)
    cut_list(tmp_path, {"01": ("shed", 4, "hold")})
    film = tmp_path / "film.toml"
    film.write_text('[film]\nframe = "320x180"\ncodec = "review"\n')
    assert make(tmp_path).manifest.slots[0].kind == "card"
    film.write_text(film.read_text() + '[slots."01"]\nstill = "shed in the dunes.png"\n')
    assert make(tmp_path).manifest.slots[0].kind == "clip"


def test_areas_set_by_hand_for_a_larger_photograph_are_flagged_and_cut_to_this_one(
    tmp_path: Path, photograph: Photo
) -> None:
    photograph(tmp_path / "photographs" / "sea.png", 960, 640)
    cut_list(tmp_path, {"01": ("sea.png", 4, "push in")})
    (tmp_path / "film.toml").write_text(
        '[film]\nframe = "320x180"\ncodec = "review"\n'
        '[stills."sea.png"]\ndetails = [[800, 500, 640, 360], [4000, 3000, 640, 360]]\n'
    )
    made = make(tmp_path)
    assert [line.split(" set by hand")[0] for line in made.attention] == [
        "slot '01': 'sea.png' is 960×640 px and its detail 1",
        "slot '01': 'sea.png' is 960×640 px and its detail 2",
    ]
    assert (made.out / "sheet.png").is_file()


@pytest.mark.parametrize(
    ("rows", "starts"),
    [
        (["01,0,25,sea", "02,50,25,sea"], [900_000, 900_050]),  # counted from zero: moved to the film's start
        (["01,10:00:02:00,25,sea", "02,10:00:04:00,25,sea"], [900_050, 900_100]),  # timecode stays as it is
    ],
)
def test_a_cut_list_that_counts_from_zero_begins_at_the_films_start(
    tmp_path: Path, photograph: Photo, rows: list[str], starts: list[int]
) -> None:
    photograph(tmp_path / "photographs" / "sea.png", 960, 640)
    (tmp_path / "cutlist.csv").write_text("\n".join(["slot,start,length,wanted", *rows]))
    (tmp_path / "film.toml").write_text('[film]\nframe = "320x180"\nstart = "10:00:00:00"\n')
    assert [slot.start for slot in prepare(tmp_path, Options()).plan.slots] == starts
