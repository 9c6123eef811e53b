"""Read a workbook back: what was typed into cells, never a value that some program computed and kept."""

from __future__ import annotations

import ast
import datetime as dt
import io
import operator
import re
import zipfile
import zlib
from collections.abc import Callable, Collection, Iterator, Mapping
from pathlib import Path
from xml.etree import ElementTree
from xml.parsers import expat

import openpyxl
from openpyxl.utils.datetime import to_excel
from openpyxl.utils.exceptions import InvalidFileException

from takeoff.text.problems import fail, visible
from takeoff.text.read import read_bytes
from takeoff.text.workbook_parts import PartError, Parts
from takeoff.workbook.file.package import SAVED_BY

Value = str | float
Rows = dict[int, dict[int, Value]]
"""Cells of a sheet that hold something, in its unit and column."""

_ESCAPE = re.compile(r"_x([0-9A-Fa-f]{4})_")
_PERCENT = re.compile(r"(\d+(?:\.\d*)?|\.\d+)%")
_NUMBERS = re.compile(r"=[-+*/^%().\d\s]{1,200}")
_OPERATIONS: Mapping[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
}


class Formula(str):
    """A formula of a cell, with its equals sign."""

    @property
    def why_not(self) -> str:
        """Why it is no input."""
        return f"it holds the formula {self}, not a value: type its result"


class ErrorCell(Formula):
    """An error that was typed or pasted, such as #N/A: it is no text of these signs."""

    @property
    def why_not(self) -> str:
        """Why it is no input."""
        return f"it holds the error {self}, not a value: type one"


def read_sheets(path: Path, without: Collection[str] = ()) -> dict[str, Rows]:
    """Return the cells of a workbook by sheet.

    A date is its day number, whatever a program makes of it; true and false are 1 and 0; a formula of plain numbers
    is their result, any other stays a `Formula`, as an error does.

    Parameters
    ----------
    path
        An .xlsx, saved by any program, recalculated or not.
    without
        Titles of sheets that are not read.

    Raises
    ------
    InputError
        The file cannot be read, or is no workbook.
    """
    data, name = read_bytes(path), visible(path.name)
    try:
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True)
        if set(book.sheetnames) != _sheets_said(data):  # what a damaged file lost is passed over by the library
            raise ValueError("a sheet is not there")
        titles = [t for t in book.sheetnames if t not in without]
        return {title: dict(_rows(book[title])) for title in titles if hasattr(book[title], "iter_rows")}
    except (InvalidFileException, zipfile.BadZipFile, zlib.error, ElementTree.ParseError, expat.ExpatError,
            PartError, StopIteration, LookupError, ValueError,
            TypeError, AttributeError, OSError, EOFError, RuntimeError):  # fmt: skip
        raise fail(name, "is not a workbook that can be read", "give an .xlsx that this tool wrote") from None


def _sheets_said(data: bytes) -> set[str]:
    """Return the titles of the sheets that a workbook says it has, found by way of its relationships."""
    parts, said = Parts(io.BytesIO(data)), set[str]()
    part = next(part for kind, part in parts.links("").values() if kind == "officeDocument")
    parts.parse(part, lambda element, given: said.add(given["name"]) if element == "sheet" else None)
    return said


def saved_by_another(path: Path) -> bool:
    """Say whether a program has saved a workbook since this tool wrote it: the last one says so in the file."""
    try:
        with zipfile.ZipFile(path) as archive:
            return SAVED_BY not in archive.read("docProps/app.xml")
    except (zipfile.BadZipFile, KeyError, zlib.error, OSError):
        return True


def _rows(sheet: openpyxl.worksheet.worksheet.Worksheet) -> Iterator[tuple[int, dict[int, Value]]]:
    sheet.reset_dimensions()  # the extent that a file claims may be wrong
    for cells in sheet.iter_rows():
        filled = [c for c in cells if c.value is not None and c.value != ""]
        if filled:
            yield filled[0].row, {c.column: _value(c) for c in filled}


def _value(cell: openpyxl.cell.Cell) -> Value:
    value = cell.value
    if isinstance(value, bool | int | float):
        return float(value)
    if isinstance(value, dt.date | dt.time | dt.timedelta):  # as the number format has it
        return float(to_excel(value))
    if cell.data_type == "e":
        return ErrorCell(value)
    if cell.data_type == "f":
        return _result(str(value if isinstance(value, str) else getattr(value, "text", "=")))
    return _ESCAPE.sub(lambda m: chr(int(m[1], 16)), str(value))


def _result(formula: str) -> Value:
    """Return the result of a formula of plain numbers, such as =85+12 or =640*105%; any other as it is."""
    if not _NUMBERS.fullmatch(formula):
        return Formula(formula)
    text = _PERCENT.sub(r"(\1/100)", formula.removeprefix("=").replace("^", "**"))
    try:
        return float(_evaluate(ast.parse(text.strip(), mode="eval").body))
    except (SyntaxError, ValueError, ArithmeticError, TypeError, RecursionError):
        return Formula(formula)


def _evaluate(node: ast.expr) -> float:
    if isinstance(node, ast.Constant) and type(node.value) in (int, float):
        return float(str(node.value))
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub | ast.UAdd):
        return -_evaluate(node.operand) if isinstance(node.op, ast.USub) else _evaluate(node.operand)
    if isinstance(node, ast.BinOp) and type(node.op) in _OPERATIONS:
        return float(_OPERATIONS[type(node.op)](_evaluate(node.left), _evaluate(node.right)))
    raise ValueError("more than numbers")
