"""What was changed by hand in a workbook since it was written: cells that differ from its own build, and rows added."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import isclose

from takeoff.addendum.found import FoundTable, Key, Line, find_lines, find_table, plain_text, read_as
from takeoff.build import Build
from takeoff.engine.tables import Column, Field, Table
from takeoff.job.quotes import FREE
from takeoff.text.dates import iso
from takeoff.workbook.file.reading import ErrorCell, Formula, Rows, Value
from takeoff.workbook.layout import heading
from takeoff.workbook.references import References
from takeoff.workbook.sheets.order import sheets_of
from takeoff.workbook.writer import references_of

NATURAL = {
    "areas": ("area",),
    "circuits": ("circuit",),
    "schedule": ("box",),
    "quotes": ("quote", "item"),
    "facts_asked": ("fact", "circuits"),
    **dict.fromkeys(("numbers", "dates", "choices", "texts", "built_with"), ("key",)),
}
"""Columns by which a row is known in another build, where they are not those of a catalog or the number of a line."""

FOUND_BY = {"quotes": ("key",)}
"""Columns by which a row is found again in its own workbook, where what names it in another may be typed over."""

GIVEN_SHEETS = ("input", "catalog")
"""Kinds of the sheets on which things are changed."""

NOT_THERE = ""
"""Value of a cell that is blank."""


@dataclass(frozen=True, eq=False)
class Edit:
    """A cell changed by hand, or a row added, whose cells are `added` by column.

    `key` names the row in any build; `shipped` stood in the cell when the file was written.
    """

    table: str
    sheet: str
    title: str
    key: Key
    column: str = ""
    heading: str = ""
    shipped: Value = NOT_THERE
    edited: Value = NOT_THERE
    unit: str = ""
    added: Mapping[str, Value] = field(default_factory=dict)

    @property
    def row(self) -> str:
        """The key of the row in words."""
        return " | ".join(self.key) or "-"

    def shown(self, value: Value) -> str:
        """Return a value of the cell as a person reads it."""
        return shown(value, self.unit)


@dataclass(frozen=True)
class Refused:
    """A change that has no place in the new build, and why."""

    edit: Edit
    why: str


def shown(value: Value, unit: str) -> str:
    """Return a value as a person reads it: dates by year, month and day, a blank said so."""
    if unit == "date" and isinstance(value, int | float):
        return iso(value)
    return "(blank)" if value == NOT_THERE else plain_text(value)


def cell_name(column: Field | Column) -> str:
    """Return the heading of a column as a list of changes names it."""
    return heading(column).removesuffix(" (input)").removesuffix(", in its unit")


def keys_of(table: Table, build: Build) -> Sequence[str]:
    """Return the columns that name a row of a table of inputs in any build."""
    if table.name in NATURAL:
        return NATURAL[table.name]
    if table.name in build.catalogs:
        rules = build.catalogs[table.name].key_columns
        return ["edition" if rule.column == "editions" else rule.column for rule in rules]
    return [table.key]


def given_tables(build: Build) -> Iterator[tuple[Table, str]]:
    """Yield the tables in which a person may change something, each with its sheet: inputs and catalogs."""
    for plan in sheets_of(build.book.tables):
        if plan.kind in GIVEN_SHEETS:
            for table in (build.book.tables[name] for name in plan.tables):
                is_given = table.name in build.catalogs or table.name == "built_with"
                if is_given or any(f.role == "input" for f in table.fields):
                    yield table, plan.title


def find_edits(build: Build, sheets: Mapping[str, Rows]) -> tuple[list[Edit], list[Refused]]:
    """Return what was changed in the tables of inputs and catalogs, and what cannot be read there.

    Parameters
    ----------
    build
        The build that wrote the workbook.
    sheets
        Cells of the workbook by sheet.
    """
    edits: list[Edit] = []
    refused: list[Refused] = []
    refs = references_of(build.book)
    for table, sheet in given_tables(build):
        found = _find(table, sheet, build, sheets, refs)
        if found is None:
            nothing = Edit(table.name, sheet, table.title, ())
            refused.append(Refused(nothing, "the table is not in the file: its changes, if any, cannot be read"))
            continue
        edits += _changed(table, sheet, build, found, refused)
    return edits, refused


def _find(table: Table, sheet: str, build: Build, sheets: Mapping[str, Rows], refs: References) -> FoundTable | None:
    """Return a table of its sheet, or of any sheet where its own was renamed or taken apart."""
    shown_columns = [c for c in refs.spots[table.name].shown if isinstance(c, Field)]
    headings = {c.name: heading(c) for c in shown_columns}
    keys = FOUND_BY.get(table.name) or keys_of(table, build)
    known = {tuple(k.casefold() for k in key) for key in _keys(table, keys)}
    titles = {t.title for t in build.book.tables.values()}
    first = [sheets[sheet]] if sheet in sheets else []
    for rows in (*first, *(rows for title, rows in sheets.items() if title != sheet)):
        found = find_table(rows, headings, keys, known, titles)
        if found and (found.rows or not known):
            return found
    return None


def _keys(table: Table, keys: Sequence[str]) -> list[Key]:
    return list(zip(*([plain_text(v) for v in table.data[name]] for name in keys), strict=True))


def _changed(table: Table, sheet: str, build: Build, found: FoundTable, refused: list[Refused]) -> Iterator[Edit]:
    keys = keys_of(table, build)
    by = FOUND_BY.get(table.name) or keys
    skipped = {*by, *found.lacking}
    columns = [f for f in table.fields if f.name not in skipped and _is_own(f, table, build)]
    for place, (key, mark) in enumerate(zip(_keys(table, keys), _keys(table, by), strict=True)):
        line = found.rows.get(tuple(k.casefold() for k in mark))
        if is_free(table, place):
            yield from _typed(table, sheet, line or {}, columns, place, keys)
            continue
        if line is None:
            gone = Edit(table.name, sheet, table.title, key)
            refused.append(Refused(gone, "the row is no more in the file: what was shipped in it holds"))
            continue
        for column in columns:
            shipped = table.data[column.name][place]
            edited = read_as(line.get(column.name, NOT_THERE), shipped, column.unit == "date")
            if not same_value(shipped, edited):
                words = table.name, sheet, table.title, key, column.name, cell_name(column)
                yield Edit(*words, _value(shipped), edited, column.unit)
    for line in found.added:
        yield Edit(table.name, sheet, table.title, tuple(plain_text(line.get(k, "")) for k in keys), added=line)


def is_free(table: Table, place: int) -> bool:
    """Say whether a row waits for something to be typed into it: it stands for nothing until then."""
    return table.name == "quotes" and table.data["quote"][place] == FREE.file


def _typed(
    table: Table, sheet: str, line: Line, columns: Sequence[Field], place: int, keys: Sequence[str]
) -> Iterator[Edit]:
    """Yield what was typed into a free row as a row added; nothing where it is as it was."""
    shipped = {c.name: table.data[c.name][place] for c in columns}
    cells = {c.name: read_as(line[c.name], shipped[c.name], c.unit == "date") for c in columns if c.name in line}
    if any(not same_value(shipped[name], value) for name, value in cells.items()):
        yield Edit(table.name, sheet, table.title, tuple(plain_text(cells.get(k, "")) for k in keys), added=cells)


def find_overwritten(build: Build, sheets: Mapping[str, Rows]) -> list[Refused]:
    """Return what was typed over formulas of tables, and choices of what is shown: no build can take either."""
    refs = references_of(build.book)
    found: list[Refused] = []
    for name, spot in refs.spots.items():
        live = [c for c in spot.shown if isinstance(c, Column) and refs.live(name, c.name)]
        headings = {c.name: heading(c) for c in spot.shown}
        lines = find_lines(sheets.get(spot.sheet, {}), headings, len(spot.table)) if live else []
        for line in lines:
            row = plain_text(line.get(spot.shown[0].name, ""))
            for column in (c for c in live if not _is_computed(line.get(c.name), build.book.values(name, c.name))):
                words = name, spot.sheet, spot.table.title, (row,), column.name, cell_name(column)
                edit = Edit(*words, "a formula", line[column.name], column.unit)
                found.append(Refused(edit, "it was typed over a formula, which no input is: change what it reads"))
    return found + _views(build, refs, sheets)


def _views(build: Build, refs: References, sheets: Mapping[str, Rows]) -> list[Refused]:
    """Return choices made on the sheets of results: they change what is shown, and no figure."""
    found: list[Refused] = []
    for plan in (p for p in sheets_of(build.book.tables) if p.kind not in GIVEN_SHEETS):
        for table in (build.book.tables[name] for name in plan.tables):
            chosen = [f for f in table.fields if f.role == "input"]
            headings = {c.name: heading(c) for c in refs.spots[table.name].shown}
            lines = find_lines(sheets.get(plan.title, {}), headings, len(table)) if chosen else []
            for place, line in enumerate(lines):
                for choice in (f for f in chosen if f.name in line):
                    shipped = table.data[choice.name][place]
                    edited = read_as(line[choice.name], shipped, False)
                    if not same_value(shipped, edited):
                        words = table.name, plan.title, table.title, (choice.name,), choice.name, cell_name(choice)
                        edit = Edit(*words, _value(shipped), edited, choice.unit)
                        found.append(Refused(edit, "it chooses what the sheet shows: choose again there"))
    return found


def _is_computed(value: Value | None, values: Iterable[object]) -> bool:
    """Say whether a cell of a computed column holds a formula, or a value that the column has."""
    formula = isinstance(value, Formula) and not isinstance(value, ErrorCell)
    return value is None or formula or any(same_value(v, value) for v in values)


def _is_own(column: Field, table: Table, build: Build) -> bool:
    """Say whether a column holds something of its own, and is not made from others."""
    if table.name in build.catalogs:
        names = {rule.column for rule in build.catalogs[table.name].columns}
        return column.name in names
    return True


def same_value(shipped: object, edited: Value) -> bool:
    """Say whether a cell holds what was shipped; numbers to the twelfth digit, a blank is an empty text."""
    if isinstance(shipped, str) or isinstance(edited, str):
        return str(shipped) == str(edited)
    return isclose(float(str(shipped)), edited, rel_tol=1e-12, abs_tol=1e-12)


def _value(shipped: object) -> Value:
    return shipped if isinstance(shipped, str) else float(str(shipped))
