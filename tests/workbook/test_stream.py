"""Rows as text: shared formulas, chunks, values that no cell holds.

Shared formulas: ECMA-376 Part 1, 18.3.1.40 (`f` with t="shared", ref, si). What may stand in one: Microsoft [MS-XLSB],
2.5.98.98 SharedParsedFormula. Formulas are moved and taken apart by openpyxl, which shares no code with the writer.
"""

from __future__ import annotations

import datetime as dt
import re
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from openpyxl import Workbook
from openpyxl.formula import Tokenizer
from openpyxl.formula.tokenizer import Token
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.cell_range import CellRange

from takeoff.build import Build, provenance_of
from takeoff.workbook import writer
from takeoff.workbook.file import rows as stream
from takeoff.workbook.file.package import save
from takeoff.workbook.file.rows import Block, BlockColumn, SheetRows, may_be_shared
from takeoff.workbook.references import Fill
from tests import office

NAMESPACE = {"x": "http://schemas.openxmlformats.org/spreadsheetml/2006/main"}


@pytest.fixture(scope="module")
def shared(sample_workbook: Path) -> list[tuple[str, str, list[str]]]:
    """Return every shared formula of the sample: its text, its range, the cells that name it."""
    found = []
    with zipfile.ZipFile(sample_workbook) as archive:
        for name in archive.namelist():
            if name.startswith("xl/worksheets/sheet"):
                found += list(shared_of(ElementTree.fromstring(archive.read(name))))
    return found


def shared_of(sheet: ElementTree.Element) -> Iterator[tuple[str, str, list[str]]]:
    members: dict[str, list[str]] = {}
    first: dict[str, ElementTree.Element] = {}
    for cell in sheet.iterfind(".//x:c[x:f]", NAMESPACE):
        formula = cell.find("x:f", NAMESPACE)
        if formula is not None and formula.get("t") == "shared":
            assert (formula.text is not None) == ("ref" in formula.attrib) == (formula.attrib["si"] not in first)
            first.setdefault(formula.attrib["si"], formula)
            members.setdefault(formula.attrib["si"], []).append(cell.attrib["r"])
    for number, formula in first.items():
        yield str(formula.text), formula.attrib["ref"], members[number]


def moved(column: BlockColumn, row: int, block: Block) -> str:
    """Return the formula of a column in one row: its own row, the row above, and what differs from row to row."""
    text, line = column.template.replace("{r}", str(row)).replace("{q}", str(row - 1)), row - block.first_row
    for token, fill in column.fills.items():
        parts = [p if isinstance(p, str) else str(p[line] + fill.down) for p in fill.parts]
        text = text.replace(token, fill.instead.get(line, "".join(parts)))
    return text


def test_every_cell_has_the_formula_of_its_column_moved_to_its_row(
    sample_build: Build, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    """The sheets are written once more, with the templates of the columns kept."""
    kept: dict[str, SheetRows] = {}

    def keep(book: Workbook, path: Path, rows_of: Callable[[str], SheetRows], *more: dt.datetime | None) -> None:
        def kept_rows(title: str) -> SheetRows:
            return kept.setdefault(title, rows_of(title))

        save(book, path, kept_rows, *more)

    monkeypatch.setattr(writer, "save", keep)
    writer.write_workbook(sample_build.book, provenance_of(sample_build), tmp_path / "o.xlsx")
    wanted = {
        (title, f"{get_column_letter(place)}{row}"): moved(column, row, block)
        for title, rows in kept.items()
        for block in rows.blocks
        for place, column in enumerate(block.columns, start=block.first_column)
        for row in range(block.first_row, block.last_row + 1)
        if column.template
    }
    found = office.formulas(tmp_path / "o.xlsx")
    assert len(wanted) > 100_000
    assert {place: found.get(place) for place in wanted} == wanted


def test_a_shared_formula_spans_the_cells_that_name_it_and_no_other(shared: list[tuple[str, str, list[str]]]):
    assert len(shared) > 150
    for _, ref, cells in shared:
        assert [get_column_letter(c) + str(r) for r, c in CellRange(ref).cells] == cells


def test_shared_formulas_hold_only_what_may_be_shared(shared: list[tuple[str, str, list[str]]]):
    """No operator on references, no array, no error, no other sheet."""
    for text, ref, _ in shared:
        for token in Tokenizer(f"={text}").items:
            assert token.type not in (Token.ARRAY, Token.WSPACE), (ref, text)
            assert not (token.type == Token.OP_IN and token.value in ":, "), (ref, text)
            assert token.subtype != Token.ERROR, (ref, text)
            assert token.subtype != Token.RANGE or not re.search(r"[!\[]", token.value), (ref, text)


@pytest.mark.parametrize(
    ("template", "may"),
    [
        ("$A{r}+B$6", True),
        ("SUM(P$7:P{q},$D{r})", True),
        ("SUM($A{r}:$C{r})", True),
        ("SUMIFS(each.hours,each.row,$A{r})", True),
        ('IF($A{r}="a: b!","x {1} #",0)', True),
        ("MAX(INDEX(a.b,$F{r}):INDEX(a.b,$G{r}))", False),
        ("MAX($A{r}:INDEX(a.b,$G{r}))", False),
        ("SUM(a.b:c.d)", False),
        ("Prices!$A{r}", False),
        ("'Run totals'!$A{r}", False),
        ("[1]!name+$A{r}", False),
        ("SUM({1,2})*$A{r}", False),
        ("IF($A{r}=#N/A,1,0)", False),
        ("SUM($A{r}:$C{r} $B{r}:$D{r})", False),
    ],
)
def test_what_may_be_shared(template: str, may: bool):
    assert may_be_shared(template) is may


def formulas_of(block: Block) -> list[str]:
    """Return the text between place and value of every cell of a block."""
    return re.findall(r"(<f.*?)<v>", b"".join(SheetRows(blocks=[block]).xml()).decode())


def test_the_first_cell_carries_the_formula_and_later_chunks_only_name_it(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(stream, "CHUNK", 2)
    assert formulas_of(Block(7, 2, [BlockColumn([1, 2, 3, 4, 5], 0, "SUM(B$6:B{q},$A{r})")])) == [
        '<f t="shared" ref="B7:B11" si="0">SUM(B$6:B6,$A7)</f>',
        *['<f t="shared" si="0"/>'] * 4,
    ]


def test_a_formula_that_stands_in_one_cell_or_may_not_be_shared_is_written_out():
    assert formulas_of(Block(7, 2, [BlockColumn([1], 0, "$A{r}<1")])) == ["<f>$A7&lt;1</f>"]
    column = BlockColumn([1, 2], 0, "MAX(INDEX(a,$A{r}):INDEX(a,$A{q}))")
    assert formulas_of(Block(7, 2, [column])) == [
        "<f>MAX(INDEX(a,$A7):INDEX(a,$A6))</f>",
        "<f>MAX(INDEX(a,$A8):INDEX(a,$A7))</f>",
    ]


def test_a_formula_with_parts_that_differ_is_written_out_over_the_chunks(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(stream, "CHUNK", 2)
    fills = {"{k1}": Fill(["Lines!$B$", np.array([7, 9, 0])], {2: '"none"'}), "{k2}": Fill([np.array([1, 2, 3])])}
    column = BlockColumn([1, 2, 3], 0, "{k1}*$A{r}+{k2}-B{q}", fills)
    assert formulas_of(Block(7, 2, [column])) == [
        "<f>Lines!$B$7*$A7+1-B6</f>",
        "<f>Lines!$B$9*$A8+2-B7</f>",
        '<f>"none"*$A9+3-B8</f>',
    ]


def test_shared_formulas_of_two_blocks_have_numbers_of_their_own():
    blocks = [Block(row, 1, [BlockColumn([1, 2], 0, "$C{r}"), BlockColumn([1, 2], 0, "$D{r}")]) for row in (2, 9)]
    numbers = re.findall(r'ref="(\w+:\w+)" si="(\d+)"', b"".join(SheetRows(blocks=blocks).xml()).decode())
    assert len({number for _, number in numbers}) == len(numbers) == 4


def test_columns_of_unequal_length_are_refused():
    with pytest.raises(ValueError, match=r"have \[1, 2\] rows"):
        list(SheetRows(blocks=[Block(1, 1, [BlockColumn([1, 2]), BlockColumn([1])])]).xml())


def test_a_formula_without_a_value_is_refused():
    with pytest.raises(ValueError, match="no cell holds None: A4 or below"):
        list(SheetRows(blocks=[Block(4, 1, [BlockColumn([1, None], 0, "$B{r}")])]).xml())


def test_whole_numbers_have_no_decimal_point_and_zero_no_sign():
    column = BlockColumn([2.0, -0.0, 0.1, 1e22, True], 3)
    text = b"".join(SheetRows(blocks=[Block(1, 1, [column])]).xml()).decode()
    assert re.findall("<v>(.*?)</v>", text) == ["2", "0", "0.1", "1e+22", "1"]


def test_rows_ascend_and_stand_once_where_tables_stand_side_by_side():
    """Spreadsheet programs repair a sheet whose rows do not ascend; the schema has a row once, ECMA-376 18.3.1.73."""
    left = Block(2, 1, [BlockColumn([1.0, 2.0, 3.0])], [20.0, 12.5, 12.5])
    right = Block(2, 3, [BlockColumn(["a", "b"])], [12.5, 25.0])
    below = Block(3, 5, [BlockColumn([7.0, 8.0], 0, "A{r}")])
    text = b"".join(SheetRows(blocks=[right, below, left]).xml()).decode()
    rows = re.findall(r'<row r="(\d)" ht="([\d.]+)" customHeight="1">(.*?)</row>', text)
    assert [(row, height) for row, height, _ in rows] == [("2", "20.0"), ("3", "25.0"), ("4", "12.5")]
    assert [re.findall(r'<c r="(\w+)', cells) for *_, cells in rows] == [["A2", "C2"], ["A3", "C3", "E3"], ["A4", "E4"]]


def test_rows_of_every_sheet_ascend(sample_workbook: Path):
    with zipfile.ZipFile(sample_workbook) as archive:
        for name in archive.namelist():
            if name.startswith("xl/worksheets/sheet"):
                rows = [int(row) for row in re.findall(rb'<row r="(\d+)"', archive.read(name))]
                assert rows == sorted(set(rows)), name
