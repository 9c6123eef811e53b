"""A guard on every input cell, made from the definition of its column, and the cells that show an error.

Made last, from all other tables: each column with the role `input` is in one row, or in one for each list of words.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from takeoff.engine.expr import Expr, Given, Read, call, col, equal, when
from takeoff.engine.guards import (
    CHOICE,
    KINDS,
    NUMBER,
    TEXT,
    CellName,
    Cells,
    CountBroken,
    CountErrors,
    CountNotAccepted,
    FirstNotAccepted,
    kind_of,
    limits_of,
)
from takeoff.engine.tables import Book, Column, Field, Table
from takeoff.engine.texts import parts_of

NAMES = {NUMBER: "guarded_numbers", CHOICE: "guarded_choices", TEXT: "guarded_texts"}
"""Table of guards by kind of what is accepted."""

WORDS = "guard_words"
VIEWS = ("trace_choice",)
"""Tables whose inputs choose what a sheet shows, and change no total: the sheet says what is not of its lists."""

LIMITS: Mapping[str, Mapping[str, tuple[str, str]]] = {
    NUMBER: {
        "low": ("not under", "in its unit"),
        "high": ("not above", "in its unit"),
        "whole": ("whole", "0/1"),
        "blank": ("may be blank", "0/1"),
    },
    CHOICE: {"count": ("cells", "ea"), "blank": ("may be blank", "0/1")},
    TEXT: {
        "low": ("characters at least", "ea"),
        "high": ("characters at most", "ea"),
        "blank": ("may be blank", "0/1"),
    },
}
"""Fields of the guards of a kind, with title and unit."""


@dataclass(frozen=True)
class Guard:
    """What cells of an input column accept: cells with the limits or words of each, else limits for all."""

    title: str
    kind: str
    cells: Cells
    limits: Sequence[Cells] = ()
    low: float = 0
    high: float = 0
    blank: bool = False
    whole: bool = False

    @property
    def count(self) -> int:
        """How many cells."""
        return self.cells.last - self.cells.first + 1


def inputs_of(book: Book) -> Iterator[tuple[Table, Field]]:
    """Yield every column of inputs that a total may read, with its table."""
    for table in book.tables.values():
        if table.name not in VIEWS and len(table):
            yield from ((table, f) for f in table.fields if f.role == "input")


def guards_of(book: Book) -> tuple[list[Guard], list[tuple[str, str]]]:
    """Return the guards of all inputs of a book, and the words of choices that no table lists, each with its list."""
    lists: dict[str, Cells] = {}
    words: list[tuple[str, str]] = []
    found: list[Guard] = []
    for table, column in inputs_of(book):
        kind = kind_of(table, column)
        for cells, limits, title in _parts(book, table, column, lists, words):
            low, high = limits_of(kind, column)
            if kind == NUMBER and limits:
                given = [book.tables[c.table].data[c.column] for c in limits]
                low, high = min(given[0]), max(given[1])
            found.append(Guard(title, kind, cells, limits, low, high, column.blank, column.whole))
    return found, words


def guard_tables(book: Book) -> list[Table]:
    """Return the guards of all inputs of a book as tables, by kind, and the words of their choices."""
    found, words = guards_of(book)
    return [*(_guards(kind, [g for g in found if g.kind == kind]) for kind in KINDS), _words(words)]


def _parts(
    book: Book, table: Table, column: Field, lists: dict[str, Cells], words: list[tuple[str, str]]
) -> Iterator[tuple[Cells, Sequence[Cells], str]]:
    """Yield the cells of a column that have the same limits or words, with these and a title."""
    whole = Cells(table.name, column.name, 1, len(table))
    title = f"{table.title}: {column.title}"
    if column.limits:
        yield whole, [Cells(table.name, name, 1, len(table)) for name in column.limits], title
    elif column.listed:
        names = list(book.tables[column.listed].data["name"])
        for key, group in groupby(enumerate(table.data[table.key], start=1), key=lambda line: line[1]):
            numbers = [n for n, _ in group]
            first = names.index(key) + 1
            listed = Cells(column.listed, "choice", first, first + names.count(key) - 1)
            yield Cells(table.name, column.name, numbers[0], numbers[-1]), [listed], str(key)
    elif column.choices:
        yield whole, [_listed(book, column.choices, lists, words)], title
    else:
        yield whole, (), title


def _listed(book: Book, choices: str, lists: dict[str, Cells], words: list[tuple[str, str]]) -> Cells:
    """Return the cells that hold the words of a choice: of the table that it names, or added to `words`."""
    name, _, column = choices.partition(".")
    if name in book.tables and "," not in choices:
        return Cells(name, column, 1, len(book.tables[name]))
    if choices not in lists:
        first = len(words) + 1
        words += [(choices.replace(",", ", "), word) for word in choices.split(",")]
        lists[choices] = Cells(WORDS, "word", first, len(words))
    return lists[choices]


def _guards(kind: str, guards: Sequence[Guard]) -> Table:
    fields = [Field(name, *said) for name, said in LIMITS[kind].items()]
    cells, limits = [g.cells for g in guards], {n: g.limits for n, g in enumerate(guards) if g.limits}
    wrong: Expr = CountNotAccepted(kind, cells, limits)
    all_wrong = col("wrong") + CountBroken(cells) if kind == NUMBER else col("wrong")
    # of one cell alone no place is found: some programs search no single value
    place = call("max", col("at"), col("alone"))
    return Table(
        NAMES[kind],
        f"Inputs of the kind {kind}: accepted",
        [Field("title", "input", role="key", width=46), *fields, Field("alone", "one cell", "0/1")],
        [
            Column("wrong", "not accepted", "ea", wrong),
            Column("at", "place of the first", "no.", FirstNotAccepted(kind, cells, limits), "0: none found"),
            Column("open", "is open", "0/1", call("sign", all_wrong)),
            Column("cell", "its cell", "", when(equal(col("open"), 0), "-", CellName(cells, place)), width=16),
        ],
        {
            "title": [g.title for g in guards],
            **{f.name: [float(getattr(g, f.name)) for g in guards] for f in fields},
            "alone": [float(g.count == 1) for g in guards],
        },
        key="title",
    )


def _words(words: Sequence[tuple[str, str]]) -> Table:
    return Table(
        WORDS,
        "Words of choices",
        [Field("list", "list", role="key", width=26), Field("word", "word", role="key", width=20)],
        [],
        {"list": [name for name, _ in words], "word": [word for _, word in words]},
        key="word",
    )


def error_cells_table(book: Book, after: Sequence[str]) -> Table:
    """Return how many cells of each table show an error.

    Parameters
    ----------
    book
        All other tables.
    after
        Tables that read this one; they, and what reads them, are left out.
    """
    reach = _Reach(book)
    names = [name for name in book.tables if not reach.is_after(name, after)]
    live = {n: [c.name for c in book.tables[n].columns if reach.is_live((n, c.name))] for n in names}
    names = [name for name in names if live[name]]
    return Table(
        "error_cells",
        "Cells that show an error",
        [Field("table", "table", role="key", width=46)],
        [Column("errors", "errors", "ea", CountErrors(names, [(n, c) for n in names for c in live[n]]))],
        {"table": [book.tables[name].title for name in names]},
        key="table",
    )


class _Reach:
    """What inputs reach, and what reads given tables."""

    def __init__(self, book: Book) -> None:
        self.tables = book.tables
        self._columns = {(t.name, c.name): c for t in book.tables.values() for c in t}
        self._live: dict[Read, bool] = {}
        self._after: dict[str, bool] = {}

    def is_live(self, read: Read) -> bool:
        """Say whether an input changes a column."""
        if read not in self._live:
            column = self._columns[read]
            self._live[read] = False  # a column that reads its own rows above
            if isinstance(column, Field):
                self._live[read] = column.role == "input"
            else:
                self._live[read] = any(isinstance(p, Given) for p in parts_of(column.expr)) or any(
                    self.is_live((other or read[0], each))
                    for other, name in column.expr.reads()
                    for each in self.tables[other or read[0]].spread(name)
                )
        return self._live[read]

    def is_after(self, table: str, others: Sequence[str]) -> bool:
        """Say whether a table reads one of others, also by way of more."""
        if table in others:
            return True
        if table not in self._after:
            self._after[table] = False
            reads = {other for c in self.tables[table].columns for other, _ in c.expr.reads() if other}
            self._after[table] = any(self.is_after(other, others) for other in reads if other in self.tables)
        return self._after[table]
