"""What people write of permissions (common practice) is read as one of three words, or reported."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from kenburns.cutlist.permission import ASKED, GIVEN, REFUSED, read_permission
from kenburns.cutlist.works import WorksList


@pytest.mark.parametrize(
    ("cell", "permission"),
    [
        *((cell, GIVEN) for cell in ("given", "Granted", " YES ", "ok!", "✓", "x", "Cleared.", "Sí", "oui", "ja")),
        *((cell, GIVEN) for cell in ("given 2024-03-01", "yes (2 May 2024)", "granted, 3.4.2024", "ok on 12/03/24")),
        *((cell, ASKED) for cell in ("asked", "Pending", "requested 2024-03-01", "no answer", "waiting")),
        *((cell, REFUSED) for cell in ("refused", "Denied", "declined 1.2.2024", "refusé")),
        *((cell, "") for cell in ("", "-", "no", "not yet", "open", "TBC", "not given", "none")),
    ],
)
def test_a_cell_is_read_as_what_it_means(cell: str, permission: str) -> None:
    assert read_permission(cell) == permission


@pytest.mark.parametrize("cell", ["given for festivals only", "yes?", "yes, but not online", "verbally", "2024-03-01"])
def test_a_permission_with_conditions_or_doubts_is_refused(cell: str) -> None:
    with pytest.raises(ValueError, match="'given', 'asked' or 'refused'"):
        read_permission(cell)


@pytest.mark.parametrize("header", ["permission", "Permissions", "Cleared?", "rights cleared", "Genehmigung"])
def test_the_works_list_has_a_column_for_it(read_list_of_works: Callable[..., WorksList], header: str) -> None:
    found = read_list_of_works(f"title,{header}\na,given\nb,\nc,asked 2024-03-01\n")
    assert [work.permission for work in found.works] == [GIVEN, "", ASKED]
    assert not found.problems
    assert not found.ignored


def test_a_cell_that_is_none_of_the_words_is_named_and_counts_as_not_recorded(
    read_list_of_works: Callable[..., WorksList],
) -> None:
    found = read_list_of_works("title,cleared\na,yes but not online\n")
    assert found.works[0].permission == ""
    assert [str(problem) for problem in found.problems] == [
        "line 2, column 'cleared': 'yes but not online' counts as not recorded: a permission is 'given', 'asked' or "
        "'refused', or the cell is empty; a note has its own column"
    ]
