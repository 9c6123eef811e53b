"""Tables of edge values with the columns to test, and what LibreOffice makes of them."""

from __future__ import annotations

from collections.abc import Callable
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
from tests import office

EDGES = [0.0, 1.0, -1.4, 2.5, 1.005, 0.1 + 0.2, 0.3, 1.1 * 1.1 * 100, 50 * 1.1, 1e-10, 1e6 + 0.5, 3.0]


OTHERS = [0.3, 0.0, 2.0, 2.5, 1.0, 0.3, 0.1 + 0.2, 121.0, 55.0, 0.0, 1e6 + 0.5, 3.0 + 5e-10]


def tables(columns: list[Column], blocks: dict[str, list[str]] | None = None) -> list[Table]:
    """Return a table of edge values with the columns to test, and a table they look things up in."""
    count = len(EDGES)
    fields = [
        Field("key", "key"),
        Field("a", "a"),
        Field("b", "b"),
        Field("n", "n"),
        Field("m", "m"),
        Field("word", "word"),
    ]
    data = {
        "key": [f"k|{n % 4}" for n in range(count)],
        "a": EDGES,
        "b": OTHERS,
        "n": [n % 3 + 1 for n in range(count)],
        "m": [n % 2 + 1 for n in range(count)],
        "word": [("wire", "armor", "both", "none")[n % 4] for n in range(count)],
    }
    mine = Table("mine", "mine", fields, columns, data, {"pair": ["a", "b"], **(blocks or {})})
    theirs = Table(
        "theirs",
        "theirs",
        [Field(n, n) for n in ("key", "family", "slot", "size", "x", "y", "z")],
        [],
        {
            "key": ["k|0", "k|1", "k|2", "k|3", "k|9"],
            "family": ["f|1", "f|1", "f|1", "f|2", "f|2"],
            "slot": ["f|1|0", "f|1|1", "f|1|2", "f|2|0", "f|2|1"],
            "size": [0.3, 18.0, 21.0, 0.5625, 2.0],
            "x": [1.5, -2.0, 0.1, 7.0, 1e-3],
            "y": [2.0, 3.0, 5.0, 0.0, 1.0],
            "z": ["one", "two", "three", "four", "five"],
        },
        {"numbers": ["x", "y"], "keys": ["family", "z"]},
    )
    figures = Table(
        "figures",
        "figures",
        [Field("key", "key"), Field("value", "value")],
        [],
        {"key": ["first", "second"], "value": [4.0, 0.25]},
        named="value",
    )
    return [mine, theirs, figures]


def differing(columns: list[Column], recalculate: Callable[[list[Path]], list[Path]], folder: Path) -> list[str]:
    """Write the columns, recalculate them, and return the cells that differ."""
    book = Book(tables(columns), {"rate": 2.25, "choice": "wire"})
    file = Workbook()
    file.active.title = "s"
    styles, rows = Styles(file), SheetRows()
    spots, row = [], 3
    for table in book.tables.values():
        spots.append(Spot(table, "s", row))
        row += len(table) + 4
    for place, (name, value) in enumerate(book.inputs.items(), start=1):
        rows.put(1, place, Cell(value))
        file.defined_names[name] = DefinedName(name, attr_text=f"'s'!${get_column_letter(place)}$1")
    for name, where in names_of(spots).items():
        file.defined_names[name] = DefinedName(name, attr_text=where)
    for spot in spots:
        place_rows(spot, book, styles, rows, dict.fromkeys(range(1, 400), 10.0))
    file.active._cells.clear()
    path, poisoned = folder / "shipped.xlsx", folder / "poisoned.xlsx"
    save(file, path, {"s": rows})
    assert office.poison(path, poisoned) == len(columns) * len(EDGES)
    (again,) = recalculate([poisoned])
    return list(office.differences(office.values(path), office.values(again), office.formulas(path)))


def c(name: str, expr: Expr, head: str = "") -> Column:
    return Column(name, name, "ea", expr, head=head)


A, B, N, M = col("a"), col("b"), col("n"), col("m")


FAMILY = call("if", same(col("word"), "wire"), "f|1", "f|2")
