"""What is typed into cells of a build, and the formulas computed again: what LibreOffice does, without it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from takeoff.build import Build
from takeoff.engine.tables import Book, Field, Table

Cell = tuple[str, str, int]
"""Table, column, and row counted from 1."""


def typed(build: Build, cells: Mapping[Cell, object] | None = None, **inputs: object) -> Build:
    """Return a build with cells and inputs as typed, every formula computed with them; what a build makes stays."""
    said = Table("typed", "Typed", [Field("key", "key")], [], {"key": [*(cells or {}), *inputs]})
    book = Book([said], {**build.book.inputs, **inputs})
    book.tables |= build.book.tables
    book._columns |= build.book._columns
    for (name, column, row), value in (cells or {}).items():
        values = list(book.tables[name].data[column])
        values[row - 1] = value
        book.tables[name] = replace(book.tables[name], data={**book.tables[name].data, column: values})
    return replace(build, book=book)
