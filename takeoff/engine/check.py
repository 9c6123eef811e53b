"""Checks the definitions of a book before anything is computed: names, formulas, circles, texts and units.

What is found here is a slip in a definition, never a fault of the user's files; each error names table and column.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from graphlib import CycleError, TopologicalSorter
from itertools import pairwise
from types import MappingProxyType

from takeoff.engine.errors import DefinitionError, nearest
from takeoff.engine.expr import Call, Col, Expr, Given, Literal, Read
from takeoff.engine.lookups import At
from takeoff.engine.tables import Book, Column, Field, Table
from takeoff.engine.texts import Texts, parts_of
from takeoff.engine.units import BY_ROW, CONVERSIONS, EITHER, UnitReader, Units, like, units_of

ANY_NUMBER = re.compile(r"[#0,.;+\-E% ]+")
OTHER_LETTERS = re.compile(r"(?!General|[Eymd])[A-Za-z]")
QUOTED = re.compile(r'"[^"]*"|General')

COMPARED = ("less", "at_most", "equal")


def check(book: Book, units: Mapping[str, str] = MappingProxyType({}), checked: Collection[str] = frozenset()) -> None:
    """Check the definitions of a book; no value is computed.

    Parameters
    ----------
    book
        Every table.
    units
        Units of inputs by name, and of figures that have a name of their own by table and key, as `code.key`.
        A build leaves them out: they stand in catalogs, which the user may change.
    checked
        Tables that were checked when the others were not there yet: they can only be part of a circle.

    Raises
    ------
    DefinitionError
        The first thing that is wrong, with table and column.
    """
    names = _Names(book, units)
    tables = [table for table in book.tables.values() if table.name not in checked]
    for table in tables:
        _check_headings(table)
        for column in table:
            with _Place(table, column):
                _check_look(column)
                if isinstance(column, Column):
                    names.check_reads(table, column.expr)
                    _check_form(column.expr)
                    _check_numbers(names, table, column.expr)
    _check_circles(names)
    texts = Texts(book)
    for table in tables:
        reader = names.reader(table)
        for column in table.columns:
            with _Place(table, column):
                texts.check(table, column)
                if column.unit not in BY_ROW:
                    reader.either = units_of(column.unit) if column.unit in EITHER else None
                    found = reader.of(column.expr)
                    like(units_of(column.unit), found, "the unit of the column and of its formula differ")


class _Place:
    """Names table and column in what is raised inside."""

    def __init__(self, table: Table, column: Field | Column) -> None:
        self.name = f"{table.name}.{column.name}"

    def __enter__(self) -> None:
        return

    def __exit__(self, kind: object, wrong: BaseException | None, trace: object) -> None:
        if isinstance(wrong, DefinitionError):
            raise DefinitionError(f"{self.name}: {wrong}") from None


class _Names:
    """What the names of a book stand for."""

    def __init__(self, book: Book, units: Mapping[str, str]) -> None:
        self.tables, self.inputs, self.units = book.tables, book.inputs, units
        self.columns = {t.name: {c.name: c for c in t} for t in book.tables.values()}
        self._units: dict[Read, Units] = {}

    def check_reads(self, table: Table, expr: Expr) -> None:
        """Refuse tables, columns, blocks and inputs that do not exist."""
        for other, name in expr.reads():
            read = other or table.name
            if read not in self.tables:
                raise DefinitionError(f"reads table {read}, which does not exist{nearest(read, self.tables)}")
            columns = self.columns[read]
            for each in self.tables[read].spread(name):
                if each not in columns:
                    near = nearest(each, [*columns, *self.tables[read].blocks])
                    raise DefinitionError(f"reads {read}.{each}, which does not exist{near}")
        for part in parts_of(expr):
            if isinstance(part, Given) and part.name not in self.inputs:
                near = nearest(part.name, self.inputs)
                raise DefinitionError(f"reads input {part.name}, which does not exist{near}")

    def reader(self, table: Table) -> UnitReader:
        """Return what finds units of the expressions of a table."""
        return UnitReader(lambda other, name: self._unit(other or table.name, name), self.units)

    def _unit(self, table: str, name: str) -> Units:
        """Return the units of a column, or what all columns of a block have in common."""
        if (table, name) not in self._units:
            found = [units_of(self.columns[table][n].unit) for n in self.tables[table].spread(name)]
            self._units[table, name] = found[0] if all(u == found[0] for u in found) else None
        return self._units[table, name]


def _check_headings(table: Table) -> None:
    """Refuse names and headings that stand twice."""
    names, headings = dict[str, str](), dict[str, str]()
    for column in table:
        heading = f"{column.title}, {column.unit}".casefold()
        if column.name in names:
            raise DefinitionError(f"{table.name}.{column.name}: two columns have this name")
        if heading in headings:
            raise DefinitionError(
                f"{table.name}.{column.name}: has the heading of {headings[heading]}, '{column.title}'"
            )
        names[column.name], headings[heading] = heading, column.name


def _check_look(column: Field | Column) -> None:
    """Refuse unknown units, and a format in place of a note or a note in place of a format."""
    units_of(column.unit)
    if OTHER_LETTERS.search(QUOTED.sub("", column.format)):
        raise DefinitionError(f"'{column.format}' is no number format")
    if isinstance(column, Column) and ANY_NUMBER.fullmatch(column.note):
        raise DefinitionError(f"the note '{column.note}' is a number format")


def _check_form(expr: Expr) -> None:
    """Refuse a choice inside a choice."""
    for part in parts_of(expr):
        if isinstance(part, Call) and part.name == "if":
            inner = (deep for arg in part.args for deep in parts_of(arg))
            if any(isinstance(deep, Call) and deep.name == "if" for deep in inner):
                raise DefinitionError("a choice stands inside a choice; make the inner one a column of its own")


def _check_numbers(names: _Names, table: Table, expr: Expr) -> None:
    """Refuse numbers written into a formula, but for those that convert units, and places in a list."""
    for part in parts_of(expr):
        compared = isinstance(part, Call) and part.name in COMPARED
        listed = compared and any(isinstance(p, Col) and _is_place(names, table, p) for p in part.parts())
        for inner in part.parts():
            if isinstance(inner, Literal) and not listed:
                _check_number(inner.content)
        if isinstance(part, At) and part.otherwise is not None:
            _check_number(part.otherwise)
    if isinstance(expr, Literal):
        _check_number(expr.content)


def _is_place(names: _Names, table: Table, column: Col) -> bool:
    return names.columns[table.name][table.column(column.name)].unit == "no."


def _check_number(number: float | str) -> None:
    if not isinstance(number, str) and number not in (0, 1) and number not in CONVERSIONS:
        raise DefinitionError(f"the number {number:g} is written into the formula; let it stand in a cell")


def _check_circles(names: _Names) -> None:
    """Refuse columns of a row that read each other, and tables that do."""
    between: dict[str, dict[str, str]] = {}
    for table in names.tables.values():
        own: dict[str, list[str]] = {}
        others = between.setdefault(table.name, {})
        for column in table.columns:
            own[column.name] = []
            for other, name in column.expr.reads():
                if other not in ("", table.name):
                    others.setdefault(other, f"{table.name}.{column.name} reads {other}.{name}")
                else:
                    own[column.name] += table.spread(name)
        circle = _circle(own)
        if circle:
            raise DefinitionError("columns read each other: " + " -> ".join(f"{table.name}.{c}" for c in circle))
    circle = _circle(between)
    if circle:
        steps = [between[a][b] for a, b in pairwise(circle)]
        raise DefinitionError("tables read each other: " + "; ".join(steps))


def _circle(graph: Mapping[str, object]) -> list[str]:
    """Return a circle of a graph of what reads what, its first name again at the end; nothing where there is none."""
    try:
        TopologicalSorter(graph).prepare()  # type: ignore[arg-type]
    except CycleError as wrong:
        return list(reversed(wrong.args[1]))
    return []
