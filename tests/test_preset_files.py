"""A film's own presets, and what is said of a preset file that breaks a rule."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kenburns.errors import PresetError
from kenburns.motion.geometry import Size
from kenburns.presets import frame_size, names, pacing

STEADY = """\
summary = "ours"
easing = "sine"
head = 0
tail = 0
rest = 0
speed_seconds = 9
depth = 1
length = 5
zoom = 1
"""


def write(folder: Path, name: str, text: str) -> Path:
    """Write a preset of a film's own and return the folder of its presets."""
    (folder / name).parent.mkdir(parents=True, exist_ok=True)
    (folder / name).write_text(text, encoding="utf-8")
    return folder


def test_a_films_own_presets_come_first_and_stand_beside_the_packed_ones(tmp_path: Path) -> None:
    extra = write(tmp_path, "pacing/steady.toml", STEADY)
    write(tmp_path, "frames/wall.toml", 'summary = "the gallery wall"\nwidth = 5760\nheight = 1080\n')
    assert pacing("steady", extra).speed_seconds == 9
    assert pacing("gentle", extra) == pacing("gentle")
    assert frame_size("wall", extra) == Size(5760, 1080)
    assert names("frames", extra) == tuple(sorted((*names("frames"), "wall")))
    assert pacing("steady", tmp_path / "absent") == pacing("steady")


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (
            "depth = 1\n",
            "depth = 0.5\n",
            r"'own\.toml', depth: must be a number from 1, the whole picture, to 100, not 0\.5",
        ),
        ("depth = 1\n", "", r"'own\.toml', depth is missing"),
        ("depth = 1\n", "deph = 1\n", r"'own\.toml' has no key 'deph'; perhaps 'depth' was meant; the keys are name, "),
        ("depth = 1\n", "depth = nan\n", r"'own\.toml', depth: must be a number from 1.*, not nan"),
        ("depth = 1\n", "depth = true\n", r"'own\.toml', depth: must be a number from 1.*, not True"),
        ("head = 0\n", "head = -1\n", r"'own\.toml', head: must be a number of seconds from 0 to 3600, not -1"),
        ('"sine"', '"bouncy"', r"'own\.toml', easing: easing 'bouncy' is not known; use linear, sine"),
        ('"sine"', "5", r"'own\.toml', easing: must be text in quotes, not 5"),
        ('"ours"', '" "', r"'own\.toml', summary: must be text of at least one letter, not ' '"),
        ('summary = "ours"', 'name = "other"', r"'own\.toml', name: must be the file's own, 'own', or left out"),
        ('summary = "ours"', "summary = ours", r"'own\.toml': must be TOML.*line 1"),
        ('"ours"', '"\x00"', r"'own\.toml': must be TOML.*line 1"),
        ("depth = 1\n", "depth = " + "[" * 5000, r"'own\.toml': must be TOML with few brackets"),
    ],
)
def test_a_broken_file_is_named_with_its_key_its_rule_and_its_value(
    tmp_path: Path, old: str, new: str, message: str
) -> None:
    extra = write(tmp_path, "pacing/own.toml", STEADY.replace(old, new))
    with pytest.raises(PresetError, match=f"^{message}"):
        pacing("own", extra)


def test_every_broken_key_of_a_file_is_named_at_once(tmp_path: Path) -> None:
    extra = write(tmp_path, "frames/odd.toml", 'summary = "odd"\nwidth = 1921\nheight = "high"\n')
    with pytest.raises(PresetError) as caught:
        frame_size("odd", extra)
    assert str(caught.value).splitlines() == [
        "'odd.toml', width: must be an even whole number of pixels from 64 to 16384, not 1921",
        "'odd.toml', height: must be an even whole number of pixels from 64 to 16384, not 'high'",
    ]


def test_a_file_that_is_no_text_or_too_large_or_no_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "pacing").mkdir()
    (tmp_path / "pacing" / "latin.toml").write_bytes(b'summary = "caf\xe9"')
    (tmp_path / "pacing" / "large.toml").write_bytes(b"#" * (4 * 1024 * 1024 + 1))
    (tmp_path / "pacing" / "folder.toml").mkdir()
    for name, message in (("latin", "UTF-8; byte 15 is not"), ("large", "at most"), ("folder", "cannot be opened")):
        with pytest.raises(PresetError, match=rf"^'{name}\.toml'.*{message}"):
            pacing(name, tmp_path)


@given(content=st.binary(max_size=60))
def test_any_bytes_in_a_preset_are_a_preset_or_a_preset_error(
    tmp_path_factory: pytest.TempPathFactory, content: bytes
) -> None:
    folder = tmp_path_factory.getbasetemp() / "bytes" / "frames"
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "any.toml").write_bytes(content)
    with pytest.raises(PresetError, match=r"^'any\.toml'"):
        frame_size("any", folder.parent)
