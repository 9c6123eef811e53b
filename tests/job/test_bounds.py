"""Bounds as the README states them: accepted at the bound, refused beyond it."""

from __future__ import annotations

import re
from pathlib import Path

import openpyxl
import pytest

from takeoff.build import MAX_LINES
from takeoff.catalog.rows import Catalogs
from takeoff.job.cells import LONGEST_TEXT
from takeoff.job.columns import MOST_EXTRA
from takeoff.job.schedule import read_schedule
from takeoff.text import read, workbook_parts, workbook_sheet
from takeoff.text.problems import InputError
from tests.conftest import ROOT

HEAD = ["box", "circuit", "device", "run_ft"]
ROW = ["B1", "P-1", "duplex", "10"]


def wrong(path: Path, catalogs: Catalogs) -> list[str]:
    try:
        return [str(p) for p in read_schedule(path, catalogs).problems.errors()]
    except InputError as found:
        return [str(p) for p in found.problems]


def write(folder: Path, head: list[str], *rows: list[str]) -> Path:
    (folder / "s.csv").write_text("\n".join(",".join(row) for row in [head, *rows]) + "\n")
    return folder / "s.csv"


def test_the_readme_states_the_bounds_that_hold():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    table = text.partition("Bounds; beyond them")[2].partition("\n\nNames")[0]
    stated = {int(n.replace(",", "")) for n in re.findall(r"\d[\d,]*", table)}
    held = {read.MAX_BYTES // 10**6, workbook_parts.MAX_UNPACKED // 10**6, workbook_parts.MAX_ELEMENTS}
    held |= {workbook_sheet.MAX_CELLS, workbook_sheet.MAX_COLUMNS, read.MAX_ROWS, MOST_EXTRA, LONGEST_TEXT, MAX_LINES}
    assert stated == held | {10_000, 3_048, 12}


@pytest.mark.parametrize(
    ("column", "most", "beyond"),
    [
        ("run_ft", "10000", "10000.1"),
        ("run_m", "3048", "3048.1"),
        ("repeat", "10000", "10001"),
        ("count", "10000", "10001"),
        ("gangs", "12", "13"),
        ("note", "x" * 32_000, "x" * 32_001),
    ],
)
def test_an_entry_at_its_bound_and_beyond(tmp_path: Path, catalogs: Catalogs, column: str, most: str, beyond: str):
    run = column if column.startswith("run") else "run_ft"
    head = [*HEAD[:3], run] + ([] if column == run else [column])
    for value, count in ((most, 0), (beyond, 1)):
        row = [*ROW[:3], value] if column == run else [*ROW, value]
        found = wrong(write(tmp_path, head, row), catalogs)
        assert len(found) == count, found
        assert all(f"s.csv:2:{column}: " in said for said in found)


def test_columns_of_the_user(tmp_path: Path, catalogs: Catalogs):
    for count, said in ((200, []), (201, ['s.csv:1: columns that are not used: "201"; at most 200'])):
        names = [f"c{n}" for n in range(count)]
        assert wrong(write(tmp_path, HEAD + names, ROW + names), catalogs) == said


def test_rows(tmp_path: Path, catalogs: Catalogs, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(read, "MAX_ROWS", 5)
    rows = [[f"B{n}", *ROW[1:]] for n in range(6)]
    assert wrong(write(tmp_path, HEAD, *rows[:5]), catalogs) == []
    told = ["s.csv: has more than 5 rows; split the job, for example by panel"]
    assert wrong(write(tmp_path, HEAD, *rows), catalogs) == told
    book = openpyxl.Workbook()
    for row in [HEAD, *rows]:
        book.active.append(row)
    book.save(tmp_path / "s.xlsx")
    assert wrong(tmp_path / "s.xlsx", catalogs) == [told[0].replace("s.csv", "s.xlsx")]


@pytest.mark.parametrize(("column", "refused"), [(1000, False), (1001, True)])
def test_columns_of_a_workbook(tmp_path: Path, column: int, refused: bool):
    book = openpyxl.Workbook()
    book.active.append(HEAD)
    book.active.append(ROW)
    book.active.cell(2, column).value = "x"
    book.save(tmp_path / "s.xlsx")
    if refused:
        with pytest.raises(InputError, match="at most 1,000 columns"):
            read.read_table(tmp_path / "s.xlsx")
    else:
        assert len(read.read_table(tmp_path / "s.xlsx").rows[0][1]) == column


def test_cells_of_a_workbook(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    book = openpyxl.Workbook()
    book.active.append(HEAD)
    book.active.append(ROW)
    book.save(tmp_path / "s.xlsx")
    monkeypatch.setattr(workbook_sheet, "MAX_CELLS", 8)
    assert len(read.read_table(tmp_path / "s.xlsx").rows) == 1
    monkeypatch.setattr(workbook_sheet, "MAX_CELLS", 7)
    with pytest.raises(InputError, match="has more than 7 cells; delete unused rows, columns and sheets"):
        read.read_table(tmp_path / "s.xlsx")
