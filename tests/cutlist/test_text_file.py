"""Texts in every encoding that people export, against Python's own codecs."""

from __future__ import annotations

import codecs
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kenburns.cutlist.text_file import decoded, read_bytes
from kenburns.errors import ListError

TEXT = "slot,wanted\n1,Blå køkken €\n"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_a_text_is_read_in_whatever_encoding_it_was_saved(encoding: str) -> None:
    assert decoded(TEXT.encode(encoding)) == TEXT


@pytest.mark.parametrize("encoding", ["utf-16-le", "utf-16-be"])
def test_utf_16_without_its_mark_is_known_only_where_that_is_asked_for(encoding: str) -> None:
    assert decoded(TEXT.encode(encoding), unmarked_utf_16=True) == TEXT
    assert "\0" in decoded(TEXT.encode(encoding))


@given(st.binary(max_size=60), st.booleans())
def test_any_bytes_are_some_text_without_a_mark(data: bytes, unmarked: bool) -> None:
    assert not decoded(data, unmarked_utf_16=unmarked).startswith("\ufeff") or data.count(codecs.BOM_UTF8) > 1


def test_a_file_of_the_largest_size_is_read_and_one_byte_more_is_not(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(b"x" * 1_000_000)
    assert len(read_bytes(path, 1_000_000, "a list is a CSV file")) == 1_000_000
    path.write_bytes(b"x" * 1_000_001)
    with pytest.raises(ListError, match=r"is larger than 1 MB; a list is a CSV file, of at most 1 MB"):
        read_bytes(path, 1_000_000, "a list is a CSV file")
    with pytest.raises(ListError, match="is no file; a list is a CSV file"):
        read_bytes(tmp_path, 1, "a list is a CSV file")
