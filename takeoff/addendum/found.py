"""Find a table in the cells of a sheet by its headings and keys: rows may be sorted, added, columns inserted."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from takeoff.text.dates import day_number
from takeoff.workbook.file.reading import Formula, Rows, Value

Key = tuple[str, ...]
Line = Mapping[str, Value]
"""Cells of a row that hold something, by the name of their column."""


@dataclass
class FoundTable:
    """Rows of a table by key, rows with a key of their own, and headings that are not there."""

    rows: dict[Key, Line] = field(default_factory=dict)
    added: list[Line] = field(default_factory=list)
    lacking: list[str] = field(default_factory=list)


def plain_text(value: object) -> str:
    """Return a value as the text that a key or a choice is: a whole number without its point."""
    return f"{value:.15g}" if isinstance(value, int | float) and not isinstance(value, bool) else str(value)


def find_table(
    rows: Rows, headings: Mapping[str, str], keys: Sequence[str], known: Collection[Key], titles: Collection[str]
) -> FoundTable | None:
    """Return the table of a sheet that has the headings and the most of the known keys; None where there is none.

    Parameters
    ----------
    rows
        Cells of the sheet.
    headings
        Heading by column name, in the order of the table.
    keys
        Names of the columns that make the key of a row.
    known
        Keys of the rows that were written.
    titles
        Titles of the tables on the sheet: a row that holds one is no row of a table.
    """
    best: FoundTable | None = None
    for row in sorted(rows):
        places = _places(rows[row], headings)
        if places and all(name in places for name in keys):
            found = _read(rows, row, places, keys, known, titles)
            found.lacking = [name for name in headings if name not in places]
            if best is None or len(found.rows) > len(best.rows):
                best = found
    return best


def find_lines(rows: Rows, headings: Mapping[str, str], count: int) -> list[Line]:
    """Return so many lines below the row that has the most of some headings."""
    ways = {row: _places(cells, headings) for row, cells in rows.items()}
    header = max(ways, key=lambda row: (len(ways[row]), -row), default=0)
    if not ways.get(header):
        return []
    return [line for row, line in _lines(rows, header, ways[header]) if row <= header + count]


def _places(cells: Mapping[int, Value], headings: Mapping[str, str]) -> dict[str, int]:
    """Return the column of each heading in a row: those in order that stand closest together, else wherever they are.

    Nothing is returned where less than half of the headings stand in the row.
    """
    first, *_ = headings.values()
    starts = [column for column, value in cells.items() if value == first]
    ways = [_in_order(cells, headings, start) for start in starts] or [_anywhere(cells, headings)]
    best = max(ways, key=lambda way: (len(way), -(max(way.values(), default=0) - min(way.values(), default=0))))
    return best if len(best) * 2 > len(headings) else {}


def _in_order(cells: Mapping[int, Value], headings: Mapping[str, str], start: int) -> dict[str, int]:
    found: dict[str, int] = {}
    columns = sorted(column for column in cells if column >= start)
    for name, heading in headings.items():
        after = max(found.values(), default=start - 1)
        place = next((c for c in columns if c > after and cells[c] == heading), None)
        if place is not None:
            found[name] = place
    return found


def _anywhere(cells: Mapping[int, Value], headings: Mapping[str, str]) -> dict[str, int]:
    by_text = {value: column for column, value in sorted(cells.items(), reverse=True)}
    return {name: by_text[heading] for name, heading in headings.items() if heading in by_text}


def _read(
    rows: Rows,
    header: int,
    places: Mapping[str, int],
    keys: Sequence[str],
    known: Collection[Key],
    titles: Collection[str],
) -> FoundTable:
    found, last, together = FoundTable(), header, True
    heading = {name: rows[header][column] for name, column in places.items()}
    for row, line in _lines(rows, header, places):
        if all(line.get(name) == heading[name] for name in keys):
            break  # the headings of another table
        together = together and row == last + 1 and not any(line.get(name) in titles for name in keys)
        key = tuple(plain_text(line.get(name, "")).casefold() for name in keys)
        if key in known and key not in found.rows:
            found.rows[key], last = line, row
        elif together:
            found.added.append(line)
            last = row
    return found


def _lines(rows: Rows, header: int, places: Mapping[str, int]) -> Iterator[tuple[int, Line]]:
    for row in sorted(r for r in rows if r > header):
        line = {name: rows[row][column] for name, column in places.items() if column in rows[row]}
        if line:
            yield row, line


def read_as(value: Value, like: object, is_date: bool) -> Value:
    """Return what was typed as the kind that a column holds: a number or date typed as text is taken for one."""
    if isinstance(value, Formula):
        return value
    if isinstance(like, str):
        return plain_text(value)
    if isinstance(value, str):
        bare = value.strip().lstrip("$").replace(",", "")
        try:
            return float(day_number(value) or value if is_date else bare)
        except ValueError:
            return value
    return value
