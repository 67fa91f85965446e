from __future__ import annotations

import ntpath
import unicodedata
from collections.abc import Callable
from pathlib import Path, PureWindowsPath

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kenburns.cutlist.ids import check_id, id_key, numbered_id


def _old_check(name: str) -> bool:
    return PureWindowsPath(name).is_reserved()


# Python's own list of reserved Windows names; pathlib's is given up in 3.13 for ntpath's.
is_reserved: Callable[[str], bool] = getattr(ntpath, "isreserved", _old_check)


@pytest.mark.parametrize(
    "slot", ["1", "01", "12a", "Sc 3 – kitchen", "été", "v1.2", "#4", "-3", "図版", "a'b", "com", "1-2"]
)
def test_an_ordinary_id_is_kept_as_it_stands(slot: str) -> None:
    assert check_id(slot) == slot


@pytest.mark.parametrize(
    "slot",
    [
        *("", " ", ".", "..", "...", ".hidden", "12.", "a/b", "a\\b", "../x", "c:", "a*", "what?", "<1>", "a|b", 'a"b'),
        *("a\0b", "a\nb", "a\x7f", "1\u200b", "a\u202eb", "\ud800"),
        *("con", "NUL", "Aux.1", "com1", "LPT9.x", "COM¹", "CONOUT$"),
        *("x" * 121, "é" * 41),  # in form D an é is three bytes
    ],
)
def test_an_id_that_is_no_safe_file_name_is_refused_with_what_would_work(slot: str) -> None:
    with pytest.raises(ValueError, match="letters, digits"):
        check_id(slot)


def test_ids_are_kept_in_form_c() -> None:
    assert check_id(" e\u0301 ") == "é"


@pytest.mark.parametrize(("a", "b"), [("a1", "A1"), ("é", "e\u0301"), ("straße", "STRASSE"), ("ﬁ", "fi"), ("１", "1")])
def test_ids_that_some_system_would_put_in_one_file_share_a_key(a: str, b: str) -> None:
    assert id_key(a) == id_key(b)


def test_numbered_ids_have_two_digits_and_as_many_as_the_last() -> None:
    assert [numbered_id(1, 9), numbered_id(12, 99), numbered_id(7, 100)] == ["01", "12", "007"]


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.text(max_size=12) | st.sampled_from(["con", "nul.", "a.b", "COM1", "x", "é"]))
def test_an_accepted_id_names_one_file_everywhere(tmp_path: Path, slot: str) -> None:
    try:
        kept = check_id(slot)
    except ValueError:
        return
    assert check_id(kept) == kept == unicodedata.normalize("NFC", slot.strip())
    assert not is_reserved(kept)
    assert not is_reserved(kept + ".mov")
    path = tmp_path / f"{kept}.mov"
    path.write_bytes(b"")
    assert path.parent == tmp_path
    assert path.name in {file.name for file in tmp_path.iterdir()}
