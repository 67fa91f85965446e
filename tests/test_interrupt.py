"""An interrupt ends a run at its next frame, leaves no half file, and the next run goes on."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from kenburns.deliver.lock import LOCK_FILE
from kenburns.job import make

Photo = Callable[..., Path]


def test_an_interrupted_run_leaves_whole_files_only_and_the_next_completes_it(
    tmp_path: Path, photograph: Photo
) -> None:
    for number in range(3):
        photograph(tmp_path / "photographs" / f"{number}.png", 400, 300, number)
    (tmp_path / "film.toml").write_text('[film]\nframe = "128x72"\ncodec = "review"\n')
    rows = "".join(f"{n},{100 * n},60,{n},{n % 3}.png\n" for n in range(6))
    (tmp_path / "cutlist.csv").write_text("slot,start,length,wanted,still\n" + rows)

    frames = iter(range(10_000))

    def interrupt(_slot: str, _done: int, _total: int) -> None:
        if next(frames) == 200:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        make(tmp_path, progress=interrupt)
    out = tmp_path / "out"
    left = {path.name for path in out.iterdir()}
    assert LOCK_FILE not in left
    assert not any(name.endswith(".part") for name in left)
    outcome = make(tmp_path)
    assert outcome.failed == ()
    assert {*outcome.rendered, *outcome.unchanged} == {str(n) for n in range(6)}
    assert outcome.unchanged  # what was finished stands
