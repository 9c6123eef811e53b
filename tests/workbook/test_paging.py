"""Parts of a sheet that begin a page, worked by hand: rows of 12 points, a page that holds 30 of them."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from takeoff.workbook.paging import SPARE, Area, going_on

ROOM = 30 * 12.0 * SPARE
HEADER = 3
"""Row of the headings: with the one above it, it is repeated on every page, which then holds 28 other rows."""


def parts(*lasts: int) -> list[tuple[int, ...]]:
    """Return the parts of a sheet whose long tables have three columns each, one apart, and end in these rows."""
    spots: Any = [
        (SimpleNamespace(header_row=HEADER, last_row=last, first_column=4 * n + 1), 4 * n + 3)
        for n, last in enumerate(lasts)
    ]
    bottom = max(lasts)
    tops = np.concatenate([[0], np.full(bottom + 10, 12.0)]).cumsum()
    whole = Area(1, 4 * len(lasts) - 1, 1, bottom)
    return [tuple(area) for area in going_on(whole, tops, spots, [], ROOM)]


@pytest.mark.parametrize(
    ("lasts", "found"),
    [
        ((20, 30), [(1, 7, 1, 30)]),  # both end on the first page
        ((60, 70), [(1, 7, 1, 70)]),  # 30 rows, then 28 to row 58: both go on to the third page
        ((58, 70), [(1, 7, 1, 58), (5, 7, 59, 70)]),  # the first has ended with the second page
        ((20, 60), [(1, 7, 1, 30), (5, 7, 31, 60)]),  # the first has ended on the first page
        ((60, 20), [(1, 7, 1, 30), (1, 3, 31, 60)]),
        ((20, 90, 50), [(1, 11, 1, 30), (5, 11, 31, 58), (5, 7, 59, 90)]),  # one ends, then another
    ],
)
def test_pages_below_a_table_that_ended_show_only_those_that_go_on(
    lasts: tuple[int, ...], found: list[tuple[int, ...]]
) -> None:
    assert parts(*lasts) == found
