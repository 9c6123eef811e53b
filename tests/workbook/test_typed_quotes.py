"""A supplier quote typed into a free row of the sheet Prices counts as one that is read, or says that it does not."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from takeoff.build import Build, compute
from takeoff.report.output import write_outputs
from takeoff.text.dates import day_number
from takeoff.workbook.sheets.plan import BID, SUMMARY
from tests import office
from tests.changes import Change, change_cells, tables_of
from tests.priced import laid, priced

QUOTE = "item,unit,price,date,valid until,discount\nac-12-2,M,842,2026-11-10,2026-12-10,5\n"
DAY = "estimate_date=2026-11-20"
TYPED = {
    "one price buys, ft or ea (input)": 1000,
    "price, USD (input)": 842,
    "discount, % (input)": 5,
    "quote date, date (input)": day_number("2026-11-10"),
    "valid until, date (input)": day_number("2026-12-10"),
}
"""The quote above, in the cells of a free row."""


def typed(source: Path, target: Path, item: str) -> None:
    cells = {**TYPED, "item (input)": item}
    change_cells(source, target, [Change(h, "Prices", "Q001", h, v) for h, v in cells.items()])


def table(source: Path, name: str, values: dict[tuple[str, str], Any]) -> dict[tuple[str, str], Any]:
    """Return the values of a table by the first cell of the row and the heading."""
    headings, *lines = tables_of(source)[name]
    return {
        (str(line[0].value), str(h.value)): values.get((c.parent.title, c.coordinate), "")
        for line in lines
        for h, c in zip(headings, line, strict=True)
    }


@pytest.fixture
def source(tmp_path: Path) -> Path:
    path = tmp_path / "source.xlsx"
    write_outputs(compute(laid(tmp_path / "texts", DAY)), path, None)
    return path


def numbers(found: dict[tuple[str, str], object]) -> dict[tuple[str, str], object]:
    """Return the figures of a table: a plan that is to be looked at, since a cutting plan is stale, says so in words."""
    return {place: value for place, value in found.items() if not isinstance(value, str)}


@pytest.mark.libreoffice
def test_a_typed_quote_gives_what_a_build_with_it_gives(
    source: Path, recalculate: Callable[[list[Path]], list[Path]], tmp_path: Path
):
    typed(source, tmp_path / "typed.xlsx", "ac-12-2")
    typed(source, tmp_path / "wrong.xlsx", "ac-12")
    right, bad = map(office.values, recalculate([tmp_path / "typed.xlsx", tmp_path / "wrong.xlsx"]))
    rebuilt: Build = priced(tmp_path / "rebuilt", DAY, quotes={"q.csv": QUOTE})
    write_outputs(rebuilt, tmp_path / "rebuilt.xlsx", None)
    shipped = office.values(tmp_path / "rebuilt.xlsx")
    before = office.values(source)
    made = table(tmp_path / "rebuilt.xlsx", "totals", shipped)
    assert numbers(table(source, "totals", right)) == pytest.approx(numbers(made))
    assert table(source, "totals", right) != table(source, "totals", before)
    # a plan with an input that is not accepted is compared with nothing
    as_before = {p: v for p, v in numbers(table(source, "totals", before)).items() if "bid less base" not in p[1]}
    assert numbers(table(source, "totals", bad)) == pytest.approx(as_before)
    counts = [v for (line, _), v in table(source, "bid_sheet", bad).items() if line.startswith("lines with money")]
    assert [v for v in counts if not isinstance(v, str)] == [1, 1]
    assert "NOT COUNTED" in {v for (sheet, _), v in bad.items() if sheet == "Rates"}
    assert not [p for p, v in bad.items() if p[0] in (SUMMARY, BID) and str(v).startswith("#")]


def test_free_rows_take_items_of_the_list(source: Path):
    book = openpyxl.load_workbook(source)
    lists = [v.formula1 for v in book["Prices"].data_validations.dataValidation if v.type == "list"]
    assert any(str(f).startswith("Rates!") for f in lists)
