"""A photograph whose file is exchanged, touched or lost while it is read never gives a picture of two files."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from kenburns.errors import PhotographError
from kenburns.render.unchanged import read_unchanged
from kenburns.stills.open import Photograph, inspect

Draw = Callable[..., Path]

LONG_AGO = (1_500_000_000, 1_500_000_000)


@dataclass
class Reading:
    """Reads a file in two halves; in between, once, something happens to the file."""

    path: Path
    between: Callable[[], object]
    times: int = 0
    read: list[bytes] = field(default_factory=list)

    def __call__(self) -> bytes:
        with self.path.open("rb") as file:
            half = file.read(self.path.stat().st_size // 2)
        self.times += 1
        if self.times == 1:
            self.between()
        try:
            self.read.append(half + self.path.read_bytes()[len(half) :])
        except OSError as error:
            raise PhotographError(f"'sea.png' is damaged: {error}") from error
        return self.read[-1]


@pytest.fixture
def sea(tmp_path: Path, photograph: Draw) -> Photograph:
    path = photograph(tmp_path / "sea.png", 60, 40)
    os.utime(path, LONG_AGO)
    return inspect(path, "sea.png")


def test_a_file_left_alone_is_read_once(sea: Photograph) -> None:
    reading = Reading(sea.path, lambda: None)
    assert read_unchanged(sea, sea.sha256, reading) == sea.path.read_bytes()
    assert reading.times == 1


def written_over(sea: Photograph, other: Path) -> None:
    sea.path.write_bytes(other.read_bytes())


def replaced(sea: Photograph, other: Path) -> None:
    other.replace(sea.path)


def replaced_by_one_of_the_same_date(sea: Photograph, other: Path) -> None:
    os.utime(other, LONG_AGO)
    other.replace(sea.path)


@pytest.mark.parametrize("exchange", [written_over, replaced, replaced_by_one_of_the_same_date])
def test_a_file_exchanged_while_it_is_read_is_told(
    sea: Photograph, tmp_path: Path, photograph: Draw, exchange: Callable[[Photograph, Path], None]
) -> None:
    other = photograph(tmp_path / "other.png", 60, 40, seed=1)
    reading = Reading(sea.path, lambda: exchange(sea, other))
    with pytest.raises(PhotographError, match=r"'sea\.png' has changed since the plan was made"):
        read_unchanged(sea, sea.sha256, reading)
    assert hashlib.sha256(reading.read[0]).hexdigest() != sea.sha256  # what was read would have been of two files


def test_a_file_lost_while_it_is_read_is_told(sea: Photograph) -> None:
    with pytest.raises(PhotographError, match=r"'sea\.png' can no longer be read: No such file"):
        read_unchanged(sea, sea.sha256, Reading(sea.path, sea.path.unlink))


def test_a_file_made_unreadable_while_it_is_read_is_told(sea: Photograph) -> None:
    def lock() -> None:
        sea.path.unlink()
        sea.path.mkdir()  # unreadable to everybody, whatever their rights

    with pytest.raises(PhotographError, match=r"'sea\.png' can no longer be read: Is a directory"):
        read_unchanged(sea, sea.sha256, Reading(sea.path, lock))


def test_a_file_exchanged_and_put_back_while_it_is_read_is_read_again(
    sea: Photograph, tmp_path: Path, photograph: Draw
) -> None:
    mine, other = tmp_path / "mine.png", photograph(tmp_path / "other.png", 60, 40, seed=1)

    def there_and_back() -> None:
        sea.path.rename(mine)
        other.rename(sea.path)
        mine.rename(sea.path)
        os.utime(sea.path)

    reading = Reading(sea.path, there_and_back)
    assert hashlib.sha256(read_unchanged(sea, sea.sha256, reading)).hexdigest() == sea.sha256
    assert reading.times == 2


def test_a_file_that_never_comes_to_rest_is_told(sea: Photograph) -> None:
    moments = iter(range(100))

    def touched() -> None:
        os.utime(sea.path, (next(moments), 1))
        os.utime(sea.path, (1, next(moments)))

    with pytest.raises(PhotographError, match=r"'sea\.png' keeps changing while it is read"):
        read_unchanged(sea, sea.sha256, touched)


def test_what_is_wrong_with_a_file_that_is_left_alone_is_told_as_it_is(sea: Photograph) -> None:
    def damaged() -> None:
        raise PhotographError("'sea.png' is damaged")

    with pytest.raises(PhotographError, match="is damaged"):
        read_unchanged(sea, sea.sha256, damaged)


def test_what_was_read_of_another_file_than_planned_is_never_given(sea: Photograph) -> None:
    with pytest.raises(PhotographError, match="has changed since the plan was made"):
        read_unchanged(sea, "0" * 64, lambda: pytest.fail("it must not be read"))
