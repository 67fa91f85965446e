from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from kenburns.cutlist.slots import CutList
from kenburns.cutlist.table import read_table
from kenburns.cutlist.works import WorksList, read_works

ReadCutList = Callable[..., CutList]
ReadWorks = Callable[..., WorksList]


@pytest.fixture
def read(tmp_path: Path) -> ReadCutList:
    """Write a cut list (text, or bytes as they are) to a file and read it."""

    def read_it(content: str | bytes, rate: Fraction = Fraction(25)) -> CutList:
        path = tmp_path / "cutlist.csv"
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return read_table(path, rate)

    return read_it


@pytest.fixture
def read_list_of_works(tmp_path: Path) -> ReadWorks:
    """Write a works list to a file and read it."""

    def read_it(content: str | bytes) -> WorksList:
        path = tmp_path / "works.csv"
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return read_works(path)

    return read_it
