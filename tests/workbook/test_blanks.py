"""Blank cells: a spreadsheet program shows 0 where a formula fetches one, so that no formula may reach one."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from takeoff.build import Options, compute
from takeoff.engine.expr import col
from takeoff.engine.lookups import At
from takeoff.engine.tables import Book, Column
from takeoff.report.output import write_outputs
from takeoff.workbook.references import nodes
from takeoff.workbook.writer import references_of
from tests import office

BLANKS = """box,circuit,device,run_ft,area,note,panel,drawing,wires
B1,P-1,duplex,20,,,,,
B2,P-1,duplex,20,office,,,E2,
B3,P-2,switch,20,,seen,,,
B4,P-2,luminaire,20,,,,,S1 N
"""
"""Every column that may be blank is so in a row, and is not in another."""


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Book:
    schedule = tmp_path_factory.mktemp("blanks") / "s.csv"
    schedule.write_text(BLANKS)
    return compute(Options(schedule)).book


def blanks_reached(book: Book) -> Iterator[str]:
    """Yield the formulas that read a column with blank cells: facts and inputs without an entry have empty cells."""
    refs = references_of(book)
    for name, table in book.tables.items():
        for column in (c for c in table.columns if refs.live(name, c.name)):
            reads = dict.fromkeys(read for node in nodes(column.expr) for read in node.reads())
            for other, read in reads:
                for member in refs.members(other or name, read):
                    formula = refs.live(other or name, member) and member in {
                        c.name for c in book.tables[other or name].columns
                    }
                    if not formula and "" in book.values(other or name, member).tolist():
                        yield f"{name}.{column.name} reads {other or name}.{member}"


def test_no_formula_reaches_a_blank_cell(book: Book):
    assert "" in book.values("schedule", "area").tolist()
    assert list(blanks_reached(book)) == []


def test_a_formula_that_reaches_a_blank_cell_would_be_noticed(book: Book):
    boxes = book.tables["schedule"]
    planted = Column("planted", "planted", "", At("schedule", "area", col("run_ft")))
    tables = {**book.tables, "schedule": replace(boxes, columns=[*boxes.columns, planted])}
    found = list(blanks_reached(Book(tables.values(), book.inputs)))
    assert found == ["schedule.planted reads schedule.area"]


@pytest.mark.parametrize(
    ("mine", "other", "same"),
    [
        *(("", 0.0, False), ("", None, False), (0.0, None, False), (0.0, False, False), (1.0, True, False)),
        *(("", "", True), (0.0, -0.0, True), (1.0, 1.0 + 1e-12, True), ("a", "a", True), (None, None, True)),
    ],
)
def test_an_empty_text_a_zero_and_nothing_are_three(mine: object, other: object, same: bool):
    place = "Sheet", "A1"
    assert (not list(office.differences({place: mine}, {place: other}, [place]))) == same


@pytest.mark.libreoffice
def test_a_schedule_with_blanks_recalculates_to_what_it_ships(
    book: Book, recalculate: Callable[[list[Path]], list[Path]], tmp_path: Path
):
    (tmp_path / "s.csv").write_text(BLANKS)
    shipped, poisoned = tmp_path / "shipped.xlsx", tmp_path / "poisoned.xlsx"
    write_outputs(compute(Options(tmp_path / "s.csv")), shipped, None)
    office.poison(shipped, poisoned)
    (again,) = recalculate([poisoned])
    formulas = office.formulas(shipped)
    assert list(office.differences(office.values(shipped), office.values(again), formulas)) == []
