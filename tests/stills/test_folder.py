from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from kenburns.errors import OptionError
from kenburns.stills.folder import find_photographs, natural_key


def photograph(path: Path, colour: tuple[int, int, int] = (1, 2, 3)) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    Image.new("RGB", (8, 6), colour).save(path, format="PNG")


def names(folder: Path, *skip: Path) -> tuple[list[str], list[str]]:
    found, refused = find_photographs(folder, skip)
    return [photo.name for photo in found], [refusal.name for refusal in refused]


def test_photographs_come_in_natural_order_with_their_folder(tmp_path: Path) -> None:
    for name in ("10.png", "2.png", "B 1.png", "a 11.png", "a 2.png", "part 10/1.png", "part 9/1.png"):
        photograph(tmp_path / name)
    assert names(tmp_path)[0] == [
        "2.png", "10.png", "a 2.png", "a 11.png", "B 1.png", "part 9/1.png", "part 10/1.png"
    ]  # fmt: skip


def test_a_picture_that_cannot_be_read_is_listed_and_the_rest_goes_on(tmp_path: Path) -> None:
    photograph(tmp_path / "good.png")
    (tmp_path / "bad.jpg").write_bytes(b"not a picture")
    (tmp_path / "layers.psd").write_bytes(b"8BPS" + bytes(40))
    found, refused = find_photographs(tmp_path)
    assert [photo.name for photo in found] == ["good.png"]
    assert [refusal.name for refusal in refused] == ["bad.jpg", "layers.psd"]
    assert all(f"'{refusal.name}'" in refusal.reason and "\n" not in refusal.reason for refusal in refused)


def test_other_files_are_passed_over_without_a_word(tmp_path: Path) -> None:
    for name in ("cut.csv", "film.toml", "notes.txt", "rushes.mov", "letter.pdf", "Thumbs.db", "README"):
        (tmp_path / name).write_bytes(b"words")
    assert names(tmp_path) == ([], [])


def test_a_picture_without_a_suffix_counts(tmp_path: Path) -> None:
    photograph(tmp_path / "scan of the letter")
    assert names(tmp_path)[0] == ["scan of the letter"]


def test_hidden_skipped_and_own_output_folders_are_left_out(tmp_path: Path) -> None:
    for name in (".hidden.png", ".cache/a.png", "out/a.png", "made/sheet.png", "made/deep/b.png", "other/c.png"):
        photograph(tmp_path / name)
    (tmp_path / "made/manifest.json").write_text(json.dumps({"made_by": "kenburns", "version": 1}))
    (tmp_path / "other/manifest.json").write_text(json.dumps({"made_by": "a museum"}))
    assert names(tmp_path, tmp_path / "out") == (["other/c.png"], [])


@pytest.mark.parametrize("text", ["", "[]", "{", '{"made_by": ["kenburns"]}'])
def test_a_manifest_that_is_not_ours_hides_nothing(tmp_path: Path, text: str) -> None:
    photograph(tmp_path / "a/1.png")
    (tmp_path / "a/manifest.json").write_text(text)
    assert names(tmp_path)[0] == ["a/1.png"]


def test_the_same_content_twice_is_two_photographs(tmp_path: Path) -> None:
    photograph(tmp_path / "1.png")
    photograph(tmp_path / "2.png")
    found, _ = find_photographs(tmp_path)
    assert found[0].sha256 == found[1].sha256
    assert len(found) == 2


def test_what_is_no_folder_is_a_wrong_request(tmp_path: Path) -> None:
    with pytest.raises(OptionError, match="is not a folder"):
        find_photographs(tmp_path / "nowhere")


@settings(max_examples=60)
@given(st.lists(st.text(st.characters(codec="utf-8", exclude_characters="/\0"), min_size=1, max_size=6), max_size=6))
def test_any_names_have_one_order(listed: list[str]) -> None:
    assert sorted(sorted(listed), key=natural_key) == sorted(listed, key=natural_key)
