"""What two builds say differently: boxes and circuits of the schedule, and cells of inputs and catalogs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from takeoff.addendum.edits import cell_name, given_tables, keys_of, same_value, shown
from takeoff.addendum.found import plain_text
from takeoff.build import Build
from takeoff.engine.tables import Table

OF_THE_FILE = {
    "schedule": ("no", "row", "circuit_key", "kind", "type", "panel_type", "home_run", "area_key", "drop_ft"),
    "circuits": (
        *("key", "alike", "alike_row", "is_continuous", "smallest_run", "smallest_awg", "receptacles"),
        *("bare_switches", "hots", "multiwire", "isolated", "isolated_care"),
    ),
}
"""Columns of the schedule that are made from its others, or from where a row stands."""

ADDED, GONE, ALTERED = "added", "gone", "altered"


@dataclass(frozen=True)
class Difference:
    """What one build says and another does not: the row, and where it is altered the cell before and after."""

    sheet: str
    table: str
    row: str
    what: str
    cell: str = "-"
    before: str = "-"
    after: str = "-"


def schedule_differences(old: Build, new: Build) -> list[Difference]:
    """Return boxes and circuits that were added, are gone, or are altered, cell by cell."""
    return [d for name in OF_THE_FILE for d in _differences(old, new, old.book.tables[name], "Schedule")]


def input_differences(old: Build, new: Build) -> list[Difference]:
    """Return every cell of inputs and catalogs that differs, and rows that were added or are gone."""
    return [
        d
        for table, sheet in given_tables(old)
        if table.name not in OF_THE_FILE
        for d in _differences(old, new, table, sheet)
    ]


def _differences(old: Build, new: Build, table: Table, sheet: str) -> Iterator[Difference]:
    other, keys = new.book.tables[table.name], keys_of(table, old)
    places = [{key: n for n, key in enumerate(_row_keys(t, keys))} for t in (table, other)]
    names = {f.name for f in other.fields}
    skipped = {*keys, *OF_THE_FILE.get(table.name, ()), "slot"}
    columns = [f for f in table.fields if f.name in names and f.name not in skipped]
    for key, place in places[0].items():
        there = places[1].get(key)
        if there is None:
            yield Difference(sheet, table.title, " | ".join(key), GONE)
            continue
        for column in columns:
            a, b = table.data[column.name][place], other.data[column.name][there]
            if not same_value(a, b if isinstance(b, str) else float(str(b))):
                words = (shown(v if isinstance(v, str) else float(str(v)), column.unit) for v in (a, b))
                yield Difference(sheet, table.title, " | ".join(key), ALTERED, cell_name(column), *words)
    for key in (k for k in places[1] if k not in places[0]):
        yield Difference(sheet, table.title, " | ".join(key), ADDED)


def _row_keys(table: Table, keys: object) -> list[tuple[str, ...]]:
    columns = [[plain_text(v) for v in table.data[str(name)]] for name in keys]  # type: ignore[attr-defined]
    return list(zip(*columns, strict=True))
