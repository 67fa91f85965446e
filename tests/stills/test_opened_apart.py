"""A photograph whose decoder is lost is told of by its name, with what would help; the others are opened."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from kenburns.apart import Apart, LostError, TooLongError
from kenburns.errors import PhotographError
from kenburns.stills import opened_apart
from kenburns.stills.open import inspect
from kenburns.stills.opened_apart import SECONDS, inspect_apart, side_by_side

Photo = Callable[..., Path]


def test_the_facts_are_the_same_as_without_a_process_between(tmp_path: Path, photograph: Photo) -> None:
    path = photograph(tmp_path / "sea.png", 40, 30, 1)
    assert inspect_apart(path, "sea.png") == inspect(path, "sea.png")


def test_a_reason_of_the_decoder_s_own_comes_through(tmp_path: Path) -> None:
    (tmp_path / "sea.jpg").write_bytes(b"")
    with pytest.raises(PhotographError, match=r"'sea\.jpg' is empty"):
        inspect_apart(tmp_path / "sea.jpg", "sea.jpg")


@pytest.mark.parametrize(
    ("lost", "told"),
    [
        (
            LostError("crashed"),
            "'sea.jpg' could not be opened: its decoder crashed, or needed more than 4 GB of memory",
        ),
        (TooLongError("took longer than 10 s"), "'sea.jpg' took longer than 10 s to open"),
    ],
)
def test_a_lost_decoder_costs_its_own_photograph_alone(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, lost: LostError, told: str
) -> None:
    def lose(_self: Apart, seconds: float, *_args: object, **_kwargs: object) -> None:
        assert seconds >= SECONDS
        raise lost

    monkeypatch.setattr(Apart, "call", lose)
    with pytest.raises(PhotographError, match=told):
        inspect_apart(tmp_path / "sea.jpg", "sea.jpg")


def test_side_by_side_keeps_the_order() -> None:
    assert side_by_side(lambda n: n * n, range(50)) == [n * n for n in range(50)]


def test_an_interrupt_ends_what_goes_on_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    stopped = []
    monkeypatch.setattr(opened_apart._APART, "stop", lambda: stopped.append(True))

    def interrupted(_n: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        side_by_side(interrupted, range(3))
    assert stopped
