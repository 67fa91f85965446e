from __future__ import annotations

import ntpath
import unicodedata
from collections.abc import Callable
from pathlib import Path, PureWindowsPath

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kenburns.cutlist.ids import check_id, file_stem, id_key, id_of, numbered_id


def _old_check(name: str) -> bool:
    return PureWindowsPath(name).is_reserved()


# Python's own list of reserved Windows names; pathlib's is given up in 3.13 for ntpath's.
is_reserved: Callable[[str], bool] = getattr(ntpath, "isreserved", _old_check)


@pytest.mark.parametrize(
    "slot", ["1", "01", "12a", "Sc 3 – kitchen", "été", "v1.2", "#4", "-3", "図版", "a'b", "com", "1-2"]
)
def test_an_ordinary_id_is_kept_as_it_stands(slot: str) -> None:
    assert check_id(slot) == slot


@pytest.mark.parametrize("slot", ["", " ", "\n", "a\0b", "a\x1b[2J", "a\x7f", "\ud800", "x" * 1001, "é" * 501])
def test_what_can_be_no_id_is_refused_with_what_would_work(slot: str) -> None:
    with pytest.raises(ValueError, match="letters, digits"):
        check_id(slot)


@pytest.mark.parametrize(
    ("slot", "stem"),
    [
        *(("12", "12"), ("Sc 3 – kitchen", "Sc 3 – kitchen"), ("図版", "図版"), ("50%", "50%"), ("v1.2", "v1.2")),
        *(("3/4", "3%2F4"), ("../x", "%2E.%2Fx"), ("/etc/passwd", "%2Fetc%2Fpasswd"), (".", "%2E"), ("..", "%2E%2E")),
        *(("C:\\x", "C%3A%5Cx"), ("what?", "what%3F"), ("<1>|*", "%3C1%3E%7C%2A"), ('"a"', "%22a%22")),
        *(("12.", "12%2E"), (".hidden", "%2Ehidden"), ("CON", "%43ON"), ("nul.x", "%6Eul.x"), ("LPT¹", "%4CPT¹")),
        *(("3%2F4", "3%252F4"), ("a\u200cb", "a%E2%80%8Cb"), ("two\nlines", "two lines"), ("é", "é")),
    ],
)
def test_a_files_name_holds_what_every_system_takes_and_the_id_can_be_read_from_it(slot: str, stem: str) -> None:
    kept = check_id(slot)  # by hand: the bytes of RFC 3986, section 2.1
    assert file_stem(kept) == stem
    assert id_of(stem) == kept


@pytest.mark.parametrize("letter", ["x", "é", "図", "?", "%41"])
def test_a_long_ids_files_have_a_name_that_is_cut_off_and_nobody_elses(letter: str) -> None:
    long = letter * (900 // len(letter.encode()))
    first, second = file_stem(long), file_stem(long + "x")
    assert first != second
    assert first.startswith(file_stem(letter))
    assert max(len(unicodedata.normalize("NFD", stem).encode()) for stem in (first, second)) <= 120


def test_ids_are_kept_in_form_c() -> None:
    assert check_id(" e\u0301 ") == "é"


@pytest.mark.parametrize(("a", "b"), [("a1", "A1"), ("é", "e\u0301"), ("straße", "STRASSE"), ("ﬁ", "fi"), ("１", "1")])
def test_ids_that_some_system_would_put_in_one_file_share_a_key(a: str, b: str) -> None:
    assert id_key(a) == id_key(b)


def test_numbered_ids_have_two_digits_and_as_many_as_the_last() -> None:
    assert [numbered_id(1, 9), numbered_id(12, 99), numbered_id(7, 100)] == ["01", "12", "007"]


names = (
    st.text(max_size=12) | st.text("aA.%2eF/\\é\u0301 :~", max_size=8) | st.sampled_from(["con", "nul.", "a.b", "COM1"])
)


@settings(max_examples=300, suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])
@given(names | names.map(lambda name: name * 20))
def test_every_ids_files_lie_in_their_folder_under_a_name_that_every_system_takes(tmp_path: Path, text: str) -> None:
    try:
        slot = check_id(text)
    except ValueError:
        return
    assert check_id(slot) == slot
    stem = file_stem(slot)
    assert not is_reserved(stem)
    assert not is_reserved(stem + ".mov")
    path = tmp_path / f"{stem}.mov"
    path.write_bytes(b"")
    assert path.resolve().parent == tmp_path.resolve()
    assert path.name in {file.name for file in tmp_path.iterdir()}
    assert "~" in stem or id_of(stem) == slot


@settings(max_examples=300)
@given(names, names)
def test_no_two_ids_share_a_file_on_any_system(first: str, second: str) -> None:
    try:
        a, b = check_id(first), check_id(second)
    except ValueError:
        return
    if id_key(a) == id_key(b):  # two such are never in one cut list
        return
    folded = [unicodedata.normalize("NFD", unicodedata.normalize("NFD", file_stem(slot)).casefold()) for slot in (a, b)]
    assert folded[0] != folded[1]
