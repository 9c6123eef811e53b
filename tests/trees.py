"""Tables of edge values with the columns to test, and what LibreOffice makes of them."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from pathlib import Path

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.workbook.defined_name import DefinedName

from takeoff.engine.expr import Expr, call, col, same
from takeoff.engine.tables import Book, Column, Field, Table
from takeoff.workbook.file.package import save
from takeoff.workbook.file.rows import Cell, SheetRows
from takeoff.workbook.file.styles import Styles
from takeoff.workbook.layout import Spot, names_of, place_rows
from takeoff.workbook.references import References, formula_of
from tests import office

EDGES = [0.0, 1.0, -1.4, 2.5, 1.005, 0.1 + 0.2, 0.3, 1.1 * 1.1 * 100, 50 * 1.1, 1e-10, 1e6 + 0.5, 3.0]


OTHERS = [0.3, 0.0, 2.0, 2.5, 1.0, 0.3, 0.1 + 0.2, 121.0, 55.0, 0.0, 1e6 + 0.5, 3.0 + 5e-10]


OWN_KEYS = ("mine.key", "mine.n", "mine.m", "mine.word", "mine.second")
THEIR_KEYS = ("theirs.key", "theirs.family", "theirs.slot", "theirs.side", "theirs.z")
"""Fields that name or place rows: where they are facts, formulas refer to the rows themselves."""

ALWAYS = ("mine.feeder", "mine.from_row", "mine.to_row")
"""Row numbers, which are facts wherever they are used."""


def tables(columns: list[Column], facts: Collection[str] = ()) -> list[Table]:
    """Return a table of edge values with the columns to test, and tables they look things up in.

    All fields are inputs but for `facts`, as table and field, and row numbers.
    """
    count = len(EDGES)

    def fields(table: str, *names: str) -> list[Field]:
        known = {*facts, *ALWAYS}
        return [
            Field(n, "name" if n == "key" else n, role="fact" if f"{table}.{n}" in known else "input") for n in names
        ]

    data = {
        "key": [f"k|{n % 4}" for n in range(count)],
        "a": EDGES,
        "b": OTHERS,
        "n": [n % 3 + 1 for n in range(count)],
        "m": [n % 2 + 1 for n in range(count)],
        "word": [("wire", "armor", "both", "none")[n % 4] for n in range(count)],
        "second": [("none", "armor", "wire", "armor", "both")[n % 5] for n in range(count)],
        "feeder": [n // 2 for n in range(count)],
        "from_row": [n % 3 + 1 for n in range(count)],
        "to_row": [min(n % 3 + 1 + n % 4, 5) for n in range(count)],
    }
    own = {"pair": ["a", "b"], "counts": ["n", "m"], "words": ["word", "second"]}
    mine = Table("mine", "mine", fields("mine", *data), columns, data, own)
    theirs = {
        "key": ["k|0", "k|1", "k|2", "k|3", "k|9"],
        "family": ["f|1", "f|1", "f|1", "f|2", "f|2"],
        "slot": ["f|1|0", "f|1|1", "f|1|2", "f|2|0", "f|2|1"],
        "side": ["left", "right", "left", "right", "left"],
        "size": [0.3, 18.0, 21.0, 0.5625, 2.0],
        "x": [1.5, -2.0, 0.1, 7.0, 1e-3],
        "y": [2.0, 3.0, 5.0, 0.0, 1.0],
        "z": ["one", "two", "three", "four", "five"],
    }
    numbers = {"numbers": ["x", "y"], "keys": ["slot", "side"]}
    figures = {"key": ["first", "second"], "value": [4.0, 0.25]}
    return [
        mine,
        Table("theirs", "theirs", fields("theirs", *theirs), [], theirs, numbers),
        Table("figures", "figures", fields("figures", *figures), [], figures, named="value"),
    ]


@dataclass(frozen=True)
class Laid:
    """Tables laid out on one sheet, and how their formulas refer to cells."""

    book: Book
    refs: References

    def formula(self, name: str, line: int = 0) -> str:
        """Return the formula of a column of `mine` in one row, counted from 0."""
        (column,) = (c for c in self.book.tables["mine"].columns if c.name == name)
        return formula_of(self.refs.spots["mine"], column, self.refs, line)

    @property
    def written(self) -> list[str]:
        """Return the columns of `mine` that have formulas."""
        return list(self.refs.formulas("mine"))


def laid(columns: list[Column], facts: Collection[str] = (), kind: str = "result") -> Laid:
    """Lay out the tables with columns to test; on a result sheet nothing is hidden."""
    book = Book(tables(columns, facts=facts), {"rate": 2.25, "choice": "wire"})
    spots, row = [], 3
    for table in book.tables.values():
        spots.append(Spot(table, "s", row, kind=kind))
        row += len(table) + 4
    refs = References(book, spots)
    refs.settle()
    return Laid(book, refs)


def differing(
    columns: list[Column],
    recalculate: Callable[[list[Path]], list[Path]],
    folder: Path,
    facts: Collection[str] = (),
    kind: str = "result",
) -> list[str]:
    """Write the columns, recalculate them, and return the cells that differ."""
    found = laid(columns, facts, kind)
    book, refs = found.book, found.refs
    file = Workbook()
    file.active.title = "s"
    styles, rows = Styles(file), SheetRows()
    for place, (name, value) in enumerate(book.inputs.items(), start=1):
        rows.put(1, place, Cell(value))
        file.defined_names[name] = DefinedName(name, attr_text=f"'s'!${get_column_letter(place)}$1")
    spots = list(refs.spots.values())
    for name, where in names_of(spots).items():
        file.defined_names[name] = DefinedName(name, attr_text=where)
    for spot in spots:
        place_rows(spot, book, styles, rows, dict.fromkeys(range(1, 400), 10.0), refs.formulas(spot.table.name))
    path, poisoned = folder / "shipped.xlsx", folder / "poisoned.xlsx"
    save(file, path, {"s": rows}.__getitem__)
    assert office.poison(path, poisoned) == len(found.written) * len(EDGES)
    (again,) = recalculate([poisoned])
    return list(office.differences(office.values(path), office.values(again), office.formulas(path)))


def c(name: str, expr: Expr, head: str = "") -> Column:
    return Column(name, name, "ea", expr, head=head)


A, B, N, M = col("a"), col("b"), col("n"), col("m")


FAMILY = call("if", same(col("word"), "wire"), "f|1", "f|2")
