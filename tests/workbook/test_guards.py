"""Guards of input cells: nothing typed over a cell gives a wrong total under a line that stays clear."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from takeoff.build import Build, Options, compute
from takeoff.engine.guards import CHOICE, NUMBER, TEXT, is_accepted
from takeoff.model.cost.guards import VIEWS, guards_of, inputs_of
from tests.attack.typed_over import LINE, TOTALS, WAYS, book_of, columns_of, wrong
from tests.conftest import SAMPLES
from tests.typing_over import CLEARED, FORMULA, Read, Typed, type_over
from tests.typing_over import NUMBER as A_NUMBER
from tests.typing_over import TEXT as A_TEXT


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return book_of(tmp_path_factory.mktemp("guards"))


@pytest.fixture(scope="module")
def build() -> Build:
    return compute(Options(SAMPLES / "small.csv"))


def test_every_input_cell_has_one_guard(build: Build):
    """Counted from the definitions, and again from the cells of the file that are not locked."""
    guarded = [
        (g.cells.table, g.cells.column, line)
        for g in guards_of(build.book)[0]
        for line in range(g.cells.first, g.cells.last + 1)
    ]
    wanted = {(t.name, f.name, n) for t, f in inputs_of(build.book) for n in range(1, len(t) + 1)}
    assert len(guarded) == len(set(guarded))
    assert set(guarded) == wanted


def test_every_open_cell_of_the_file_is_of_a_guarded_column(book: Path, build: Build):
    cells = sum(len(cells) for sheet, cells in columns_of(book) if sheet != "Trace")
    built = openpyxl.load_workbook(book)
    open_cells = sum(not c.protection.locked for s in built if s.title != "Trace" for row in s.iter_rows() for c in row)
    assert open_cells == cells + 1  # the legend on the sheet About shows how an input looks
    assert VIEWS == ("trace_choice",)


@pytest.mark.libreoffice
def test_no_cell_cleared_gives_a_wrong_total_under_a_clear_line(book: Path, tmp_path: Path):
    typed = [Typed(sheet, cell) for sheet, cells in columns_of(book) for cell in cells]
    assert len(typed) > 1500
    read = type_over(tmp_path, book, typed, [LINE, *TOTALS])
    assert wrong(typed, read) == []
    assert sum(after[0] != read[0][0] for after in read) > len(typed) / 2


@pytest.mark.libreoffice
def test_nothing_typed_over_one_cell_of_each_column_gives_a_wrong_total_under_a_clear_line(book: Path, tmp_path: Path):
    ways = [way for way in WAYS if way[0] != CLEARED]
    typed = [Typed(sheet, cells[len(cells) // 2], *way) for sheet, cells in columns_of(book) for way in ways]
    read = type_over(tmp_path, book, typed, [LINE, *TOTALS])
    assert wrong(typed, read) == []


def named(book: Path) -> list[Typed]:
    """Return the faults seen: a run of -50 ft, minutes of -5, a discount of 150 %, a wage as text, a choice typed over."""
    file = openpyxl.load_workbook(book)

    def cell(sheet: str, table: str, heading: str, row: str = "") -> str:
        headings, *rows = file[sheet][file[sheet].tables[f"table_{table}"].ref]
        column = next(n for n, c in enumerate(headings) if str(c.value).startswith(heading))
        return str(next(r for r in rows if not row or row in [c.value for c in r])[column].coordinate)

    run, minutes = cell("Schedule", "schedule", "run"), cell("Minutes", "operations", "minutes each")
    return [
        Typed("Schedule", run, A_NUMBER, "-50"),
        Typed("Schedule", run, A_TEXT, "12"),
        Typed("Schedule", run, CLEARED),
        Typed("Inputs", cell("Inputs", "numbers", "value"), A_TEXT, "eighty"),
        Typed("Inputs", cell("Inputs", "choices", "value", "code_edition"), A_TEXT, "newest"),
        Typed("Prices", cell("Prices", "families", "discount"), A_NUMBER, "150"),
        Typed("Minutes", minutes, A_NUMBER, "-5"),
        Typed("Bid lines", cell("Bid lines", "bid_lines", "material or expense"), CLEARED),
    ]


@pytest.mark.libreoffice
def test_the_line_names_the_cell_and_counts_errors_and_broken_numbers(book: Path, tmp_path: Path):
    sheet = openpyxl.load_workbook(book)["Schedule"]
    heading = next(c for row in sheet.iter_rows() for c in row if str(c.value).startswith("times built"))
    built = f"{heading.column_letter}{heading.row + 1}"
    more = [
        Typed("Schedule", built, A_NUMBER, "2.5"),
        Typed("Schedule", built, A_NUMBER, "2"),
        Typed("Prices", "D10", FORMULA, "=1/0"),
    ]
    faults = named(book)
    before, *found, broken, whole, error, _ = type_over(tmp_path, book, [*faults, *more], [LINE, ("Summary", "L11")])
    for typed, (line, state) in zip(faults, found, strict=True):
        title = f"'{typed.sheet}'" if " " in typed.sheet else typed.sheet
        assert f"inputs that are not accepted: 1 (sheet Rates). First cell: {title}!{typed.cell}. " in line.shown
        assert state.shown == "not to be used" != before[1].shown
    assert "inputs that are not accepted: 1 (sheet Rates). " in broken[0].shown
    assert "not accepted" not in whole[0].shown
    assert "cells that show an error: " in error[0].shown
    assert "NOT TO BE USED: 3 of 3 plans. " in error[0].shown


def test_a_total_that_moves_under_a_clear_line_would_be_noticed():
    clear, open_line, error = Read("clear", False), Read("1 not accepted", False), Read("#N/A", True)
    one, two = Read("1", False), Read("2", False)
    typed = [Typed("A", "B1")]
    assert len(wrong(typed, [[clear, one], [clear, two], [clear, one]])) == 1
    assert len(wrong(typed, [[clear, one], [error, one], [clear, one]])) == 1
    assert len(wrong(typed, [[clear, one], [open_line, two], [clear, two]])) == 1
    assert wrong(typed, [[clear, one], [open_line, two], [clear, one]]) == []


@pytest.mark.parametrize(
    ("kind", "value", "accepted"),
    [
        *(
            (NUMBER, 0.0, True),
            (NUMBER, -0.1, False),
            (NUMBER, 100.1, False),
            (NUMBER, "5", False),
            (NUMBER, "", False),
        ),
        *((CHOICE, "Yes", True), (CHOICE, "*", False), (CHOICE, "", False), (CHOICE, 1.0, True)),
        *((TEXT, "a", True), (TEXT, "", False), (TEXT, "a" * 101, False)),
    ],
)
def test_what_a_definition_accepts(kind: str, value: object, accepted: bool):
    assert is_accepted(kind, value, 1 if kind == TEXT else 0, 100, 0, ["yes", "no", "1"]) == accepted
