"""Whatever stands in a file that a person gives: it is read, or refused in a sentence, and soon."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from .parsers import READERS, read_content

CORPUS = Path(__file__).parent / "corpus"
MINUTES = 60  # of the fuzzer, in all
# Of 20 parts: more for what is read by more code.
SHARES = dict.fromkeys(READERS, 1.5) | {"film": 4, "table": 3, "timeline": 3, "edit-list": 2.5, "notes": 2.5}
SHARES |= {"done": 0.25, "plan": 0.25}


def samples(reader: str) -> list[bytes]:
    return [path.read_bytes() for path in sorted((CORPUS / reader).iterdir())]


def changed(draw: Callable[[st.SearchStrategy[Any]], Any], content: bytes) -> bytes:
    """Change a file as accidents do: a piece left out, doubled, put elsewhere, or something put in its place."""
    for _ in range(draw(st.integers(1, 4))):
        first, last = sorted(draw(st.tuples(st.integers(0, len(content)), st.integers(0, len(content)))))
        piece, last = content[first:last][:200], min(last, first + 200)
        new = draw(st.sampled_from([b"", piece * 2, b"\0", b'"', b"\n", b"\xff\xfe", b"-", b"99999999999", b"1e400"]))
        content = content[:first] + (new or draw(st.binary(max_size=6))) + content[last:]
    return content


@pytest.mark.parametrize("reader", READERS)
def test_every_sample_is_read_or_refused_in_a_sentence(reader: str) -> None:
    told = [read_content(reader, content) for content in samples(reader)]
    assert told
    assert all(is_sentence(one, reader) for one in told if one)


@pytest.mark.parametrize("reader", READERS)
def test_a_sample_with_accidents_is_read_or_refused_in_a_sentence(reader: str, full: bool) -> None:
    @settings(max_examples=20_000 if full else 40, suppress_health_check=list(HealthCheck))
    @given(st.data())
    def read(data: st.DataObject) -> None:
        told = read_content(reader, changed(data.draw, data.draw(st.sampled_from(samples(reader)))))
        assert not told or is_sentence(told, reader)

    read()


def is_sentence(told: str, reader: str) -> bool:
    """Whether a refusal names the file and says more than that."""
    return f"{reader}." in told and len(told.split()) > 3


@pytest.mark.parametrize("reader", READERS)
def test_the_fuzzer_finds_nothing_that_is_no_sentence_takes_long_or_much_memory(
    reader: str, full: bool, tmp_path: Path
) -> None:
    if not full:
        pytest.skip("only with --full: it takes an hour in all")
    corpus = Path(shutil.copytree(CORPUS / reader, tmp_path / "corpus"))
    seconds = round(MINUTES * 60 * SHARES[reader] / sum(SHARES.values()))
    command = [
        sys.executable,
        "-m",
        "tests.endurance.fuzz",
        reader,
        f"-max_total_time={seconds}",
        "-print_final_stats=1",
    ]
    root = Path(__file__).parents[2]
    run = subprocess.run(
        [*command, f"-artifact_prefix={tmp_path}/", str(corpus)],
        cwd=root,
        env=os.environ | {"PYTHONPATH": str(root)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr[-4000:]
    print(reader, *(line for line in run.stderr.splitlines() if line.startswith("stat::number_of_executed")))
