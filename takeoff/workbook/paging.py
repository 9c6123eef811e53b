"""Where the pages of a sheet of tables end: rows that stay together, and what begins on a page of its own."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import ceil
from typing import NamedTuple

import numpy as np

from takeoff.engine.expr import Array
from takeoff.workbook.file.rows import SheetRows
from takeoff.workbook.layout import ROW_POINTS, Spot

SPARE = 1.01
"""What the rows of programs take more than these measures say."""

FEWEST = 8
"""Lines of a long table that begin on a page, or else it begins on the next one."""


class Area(NamedTuple):
    """A part of a sheet that begins on a page of its own: its first and last column, its first and last row."""

    first: int
    last: int
    top: int
    bottom: int


def areas_of(spots: Sequence[Spot], ends: Sequence[int]) -> list[Area]:
    """Return the parts of a sheet: long tables that stand apart begin on a new page, unless a short one is above."""
    long = [s for s in spots if s.long]
    apart = [
        s.first_column
        for s in long[1:]
        if s.after > 0 and all(o.long or end < s.first_column for o, end in zip(spots, ends, strict=True))
    ]
    found = []
    for first, following in pairwise([1, *apart, max(ends) + 2]):
        mine = [(end, s) for s, end in zip(spots, ends, strict=True) if first <= s.first_column < following]
        top = 1 if first == 1 else min(s.header_row for _, s in mine) - 2
        found.append(Area(first, max(end for end, _ in mine), top, max(s.last_row for _, s in mine)))
    return found


def going_on(
    area: Area, tops: Array, long: Sequence[tuple[Spot, int]], breaks: Sequence[int], room: float
) -> Iterator[Area]:
    """Yield the parts of a sheet: below the page on which long tables end only the columns of those that go on.

    Their headings are repeated on every page: above nothing, they would stand for a table that is not there.
    """
    header = long[0][0].header_row
    heads = points(tops, header - 1, header)
    start = max((row + 1 for row in breaks), default=1)
    first, last, above = area.first, area.last, area.top
    while True:
        here = room - (heads if start > header else 0)
        end = int(np.searchsorted(tops, tops[start - 1] + here / SPARE, side="right")) - 1
        if end >= area.bottom or end < start:
            break
        start, going = end + 1, [(s, e) for s, e in long if s.last_row > end and first <= s.first_column <= last]
        if going and len(going) < sum(first <= s.first_column <= last for s, _ in long):
            yield Area(first, last, above, end)
            first, last, above = going[0][0].first_column, max(e for _, e in going), start
    yield Area(first, last, above, area.bottom)


def tops_of(rows: SheetRows) -> Array:
    """Return how far down each row of a sheet ends, in points, as high as a block asks for or as set; row 0 on top."""
    tall = np.zeros(max(rows.extent()[0], *rows.heights) + 2 + FEWEST)
    for block in rows.blocks:
        mine = slice(block.first_row, block.first_row + len(block.heights))
        tall[mine] = np.maximum(tall[mine], block.heights)
    tall[list(rows.heights)] = list(rows.heights.values())
    tall[tall == 0] = ROW_POINTS
    tall[0] = 0
    return np.cumsum(tall)


def pages_along(tall: float, room: float, heads: float = 0) -> int:
    """Return how many pages rows take below each other; headings are repeated on every page but the first."""
    return 1 + max(0, ceil((tall - room) / (room - heads)))


def many_long(spots: Sequence[Spot]) -> bool:
    """Return whether several long tables stand apart on a sheet."""
    return any(s.after > 0 for s in spots)


def points(tops: Array, first: int, last: int) -> float:
    """Return how high rows are together, in points, as programs may take them."""
    return float(tops[last] - tops[first - 1]) * SPARE


def breaks_below(rows: SheetRows, spots: Sequence[Spot], first: int, room: float) -> list[int]:
    """Return the rows after which a page ends, on a sheet whose row `first` begins one; `room` is that of a page."""
    return breaks_of(tops_of(rows), spots, room, first)


def breaks_of(tops: Array, spots: Sequence[Spot], room: float, top: int = 1) -> list[int]:
    """Return the rows after which a page ends, so that a table begins on a new one where it would not end on this."""
    found = []
    for start, last in sorted({(s.header_row - 2, s.first_row + FEWEST if s.long else s.last_row) for s in spots}):
        if start > top and points(tops, top, last) > room >= points(tops, start, last):
            found.append(start - 1)
            top = start
    return found
