from __future__ import annotations

import csv
import io
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kenburns.cutlist.works import Work, WorksList, read_works
from kenburns.errors import ListError

Read = Callable[..., WorksList]


def test_every_column_reaches_its_field(read_list_of_works: Read) -> None:
    found = read_list_of_works(
        "number,title,other names,year,medium,height cm,width cm,photographer,credit,file\n"
        "1,Blue Kitchen,Die blaue Küche; Cuisine bleue,1987,oil on canvas,80,60.5,L. Okoro,Photo: L. Okoro,a.jpg\n"
    )
    assert found.works == (
        Work(
            *("1", "Blue Kitchen", ("Die blaue Küche", "Cuisine bleue"), "1987", "oil on canvas", 80.0, 60.5),
            *("L. Okoro", "Photo: L. Okoro", "a.jpg", 2),
        ),
    )
    assert not found.problems
    assert not found.ignored
    assert found.works[0].names == ("Blue Kitchen", "Die blaue Küche", "Cuisine bleue")


def test_headers_units_and_a_size_column_are_read_leniently(read_list_of_works: Read) -> None:
    found = read_list_of_works("N°;Titel;H (mm);W in mm;Shelf\n1;a;800;605;x\n")
    assert (found.works[0].height_cm, found.works[0].width_cm) == (80.0, 60.5)
    assert found.columns["height_cm"] == "H (mm)"
    assert found.ignored == ("Shelf",)
    sized = read_list_of_works("Title\tDimensions\na\t80 x 60,5 cm\n")
    assert (sized.works[0].height_cm, sized.works[0].width_cm) == (80.0, 60.5)


def test_a_bad_size_is_named_and_the_work_kept(read_list_of_works: Read) -> None:
    found = read_list_of_works("title,height cm,width cm\na,tall,60\nb,80,60\n")
    assert [(work.height_cm, work.width_cm) for work in found.works] == [(None, 60.0), (80.0, 60.0)]
    assert [(problem.line, problem.column) for problem in found.problems] == [(2, "height cm")]
    assert "'tall' is left out" in found.problems[0].message


def test_a_row_that_names_no_work_is_left_out(read_list_of_works: Read) -> None:
    found = read_list_of_works("title,year\n,1987\na,1988\n")
    assert [work.title for work in found.works] == ["a"]
    assert [problem.line for problem in found.problems] == [2]


def test_a_number_given_twice_is_flagged(read_list_of_works: Read) -> None:
    found = read_list_of_works("number,title\n1,a\n1,b\n,c\n,d\n")
    assert len(found.works) == 4
    assert [(problem.line, problem.column) for problem in found.problems] == [(3, "number")]


@pytest.mark.parametrize("content", ["", "shelf,room\n1,2\n", "title,year\n", "title,year\n,1987\n", "title\nalone\n"])
def test_a_file_without_a_usable_row_is_a_list_error(read_list_of_works: Read, content: str) -> None:
    with pytest.raises(ListError, match=r"works\.csv"):
        read_list_of_works(content)


@settings(max_examples=100, suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])
@given(st.lists(st.lists(st.text(max_size=10), min_size=4, max_size=4), max_size=5))
def test_any_cells_give_works_or_a_list_error(tmp_path: Path, rows: list[list[str]]) -> None:
    text = io.StringIO(newline="")
    csv.writer(text).writerows([["number", "title", "size", "file"], *rows])
    path = tmp_path / "works.csv"
    path.write_bytes(text.getvalue().encode("utf-8", "surrogatepass"))
    with suppress(ListError):
        assert all(work.number or work.title or work.file for work in read_works(path).works)
