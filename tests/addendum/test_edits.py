"""What was changed by hand is found by headings and keys, whatever program saved the file, and nothing else is."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import openpyxl
import pytest

from takeoff.addendum.earlier import read_earlier
from takeoff.addendum.edits import Edit
from takeoff.build import compute
from takeoff.report.output import write_outputs
from takeoff.text.problems import InputError
from takeoff.text.record import LONGEST, pack, unpack
from tests.addendum.typed import Typed, add_rows, cell_of, type_into
from tests.priced import laid
from tests.report.test_output import build_nasty

QUOTE = (
    "item,unit,price,date,valid until,coil_ft,note\nac-12-2,coil,190,2026-11-01,2026-12-01,250,\nwire-12,M,150,,,,\n"
)
TOML = """estimate_date = 2026-11-20
[areas."kitchen"]
height = "from-ladder"
[[lines]]
kind = "allowance"
text = "patching"
material_usd = 300
"""


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a workbook with quotes, areas, lines, and a catalog row of the user's own."""
    folder = tmp_path_factory.mktemp("written")
    overlay = {"prices": "item,price_usd,source\nac-12-2,800,own list\n"}
    options = laid(folder, "overhead_pct=12", toml=TOML, quotes={"q.csv": QUOTE}, catalogs=overlay)
    write_outputs(compute(options), folder / "o.xlsx", None)
    return folder / "o.xlsx"


def found(path: Path) -> set[tuple[object, ...]]:
    return {(e.table, e.key, e.column, e.shipped, e.edited) for e in read_earlier(path).edits}


EDITS: list[tuple[Typed, tuple[object, ...]]] = [
    (("numbers", "overhead_pct", "value", 14.5), ("numbers", ("overhead_pct",), "value", 12.0, 14.5)),
    (
        ("dates", "install_date", "value", dt.datetime(2027, 4, 15)),
        ("dates", ("install_date",), "value", 0.0, 46492.0),
    ),
    (("choices", "code_edition", "value", 2020), ("choices", ("code_edition",), "value", "2023", "2020")),
    (("texts", "project", "value", "=A&B"), ("texts", ("project",), "value", "unnamed project", "=A&B")),
    (("prices", "ac-12-2", "price, USD", "1,050"), ("prices", ("ac-12-2",), "price_usd", 800.0, 1050.0)),
    (("prices", "ac-12-3", "price, USD", "=1000*105%+2^3"), ("prices", ("ac-12-3",), "price_usd", 1090.0, 1058.0)),
    (("families", "cable", "waste", 7), ("families", ("cable",), "waste_pct", 5.0, 7.0)),
    (("packages", "cable-coil", "holds", 200), ("packages", ("cable-coil",), "count", 250.0, 200.0)),
    (("quotes", "Q001", "price, USD", 201), ("quotes", ("q.csv", "ac-12-2"), "price_usd", 190.0, 201.0)),
    (("quotes", "Q002", "quote date", dt.date(2026, 11, 3)), ("quotes", ("q.csv", "wire-12"), "date", 0.0, 46329.0)),
    (("bid_lines", 1, "material", 350), ("bid_lines", ("1",), "material_usd", 300.0, 350.0)),
    (("bid_lines", 2, "kind", "exclusion"), ("bid_lines", ("2",), "kind", "-", "exclusion")),
    (("late_changes", 1, "adds", -180), ("late_changes", ("1",), "usd", 0.0, -180.0)),
    (("areas", "kitchen", "already", 40), ("areas", ("kitchen",), "installed_pct", 0.0, 40.0)),
    (("schedule", "R2", "run, ft", 85), ("schedule", ("R2",), "run_ft", 12.0, 85.0)),
    (("circuits", "KP-2", "times built", 3), ("circuits", ("KP-2",), "repeat", 1.0, 3.0)),
    (("circuits", "KP-4", "wired in", "mc-wire"), ("circuits", ("KP-4",), "held_to", "as planned", "mc-wire")),
    (("box_sizes", "square-4x1.5", "volume", 20), ("box_sizes", ("square-4x1.5",), "volume_in3", 21.0, 20.0)),
    (("constructions", "ac", "secured every", 4), ("constructions", ("ac",), "support_interval_ft", 4.5, 4.0)),
]
"""What is typed, and the table, key, column, shipped and edited value that it is known by; days by the calendar."""


def days(date: dt.date) -> float:
    """Return a date as a worksheet counts it: 2026-11-20 is 46346, which the first of the year 1900 being 1 gives."""
    return float((date - dt.date(1899, 12, 30)).days)


def test_days_are_counted_as_worksheets_do():
    assert (days(dt.date(2027, 4, 15)), days(dt.date(2026, 11, 3))) == (46492.0, 46329.0)
    assert days(dt.date(1900, 3, 1)) == 61.0  # ECMA-376 18.17.4.1: day 60 is a 29 February that never was


@pytest.fixture(scope="module")
def edited(written: Path) -> Path:
    path = written.with_name("edited.xlsx")
    type_into(written, path, [typed for typed, _ in EDITS])
    book = openpyxl.load_workbook(path)
    cell = cell_of(book, "texts", "project", "value")
    cell.data_type = "s"  # a text that begins with the sign of a formula
    book.save(path)
    return path


def test_an_untouched_workbook_has_no_changes(written: Path, tmp_path: Path):
    assert read_earlier(written).edits == read_earlier(written).unread == []
    openpyxl.load_workbook(written).save(tmp_path / "again.xlsx")  # shared strings, no values beside formulas
    again = read_earlier(tmp_path / "again.xlsx")
    assert again.edits == again.unread == []


def test_names_that_look_like_formulas_numbers_and_escapes_are_no_changes(tmp_path: Path):
    earlier = read_earlier(build_nasty(tmp_path))
    assert earlier.edits == earlier.unread == []


def test_every_change_is_found_with_what_was_shipped(edited: Path):
    assert found(edited) == {known for _, known in EDITS}


@pytest.mark.libreoffice
def test_files_saved_by_another_program_read_the_same(written: Path, edited: Path, recalculate):
    plain, changed = recalculate([written, edited])
    assert found(plain) == set()
    assert read_earlier(plain).unread == []
    assert found(changed) == {known for _, known in EDITS}


def test_a_blank_number_counts_as_nothing_and_is_a_change(written: Path, tmp_path: Path):
    type_into(written, tmp_path / "e.xlsx", [("numbers", "overhead_pct", "value", None)])
    assert found(tmp_path / "e.xlsx") == {("numbers", ("overhead_pct",), "value", 12.0, "")}


def test_rows_sorted_columns_inserted_and_a_sheet_renamed_are_no_changes(written: Path, tmp_path: Path):
    book = openpyxl.load_workbook(written)
    minutes = book["Minutes"]
    rows = [[c.value for c in row] for row in minutes[minutes.tables["table_operations"].ref][1:]]
    first = minutes[minutes.tables["table_operations"].ref][1][0].row
    for n, row in enumerate(reversed(rows), start=first):
        for column, value in enumerate(row, start=1):
            minutes.cell(n, column).value = value
    book["Bid lines"].insert_cols(3)
    book["Inputs"].insert_rows(5, 2)
    book["Prices"].title = "Prices of March"
    book.save(tmp_path / "e.xlsx")
    earlier = read_earlier(tmp_path / "e.xlsx")
    assert [e.row for e in earlier.edits] == []
    assert earlier.unread == []


def test_rows_added_below_a_table_are_found(written: Path, tmp_path: Path):
    rows = [
        ("prices", {"item": "own-box", "title": "a box", "price, USD": 4.5}),
        ("quotes", {"quote": "q.csv", "item": "ac-12-3", "price unit as read": "M", "price, USD": 1010}),
    ]
    add_rows(written, tmp_path / "e.xlsx", rows)
    added = {(e.table, e.key): dict(e.added) for e in read_earlier(tmp_path / "e.xlsx").edits}
    assert added == {
        ("prices", ("own-box",)): {"item": "own-box", "title": "a box", "price_usd": 4.5},
        ("quotes", ("q.csv", "ac-12-3")): {"quote": "q.csv", "item": "ac-12-3", "unit": "M", "price_usd": 1010.0},
    }


def test_what_cannot_be_read_is_said(written: Path, tmp_path: Path):
    """A row taken out, a figure typed over a formula, a table whose headings are gone: none passes in silence."""
    book = openpyxl.load_workbook(written)
    sheet = book["Breakdown"]
    sheet[sheet.tables["table_plan_sums"].ref][1][-1].value = 99999
    minutes = book["Minutes"]
    (cells, *_) = minutes[minutes.tables["table_uses"].ref][1:]
    use = cells[0].value
    for cell in cells:
        cell.value = None
    prices = book["Prices"]
    for cell in prices[prices.tables["table_packages"].ref][0]:
        cell.value = None
    book.save(tmp_path / "e.xlsx")
    said = {(r.edit.table, r.edit.key): r.why for r in read_earlier(tmp_path / "e.xlsx").unread}
    assert said == {
        ("uses", (use,)): "the row is no more in the file: what was shipped in it holds",
        ("packages", ()): "the table is not in the file: its changes, if any, cannot be read",
        ("plan_sums", ("AC first",)): "it was typed over a formula, which no input is: change what it reads",
    }


def test_a_workbook_without_its_record_is_refused(written: Path, tmp_path: Path):
    book = openpyxl.load_workbook(written)
    for row in book["About"].iter_rows():
        for cell in row:
            if str(cell.value).startswith("record 1"):
                cell.value = "record 1"
    book.save(tmp_path / "e.xlsx")
    said = "e.xlsx: is no workbook of this tool, or has lost the record on its sheet About"
    with pytest.raises(InputError, match=said):
        read_earlier(tmp_path / "e.xlsx")


def test_a_record_is_read_from_its_parts_in_any_order():
    files = {"a.csv": "x" * 10, "b": "".join(str(n * n) for n in range(30_000))}
    parts = pack(files)
    assert len(parts) > 1
    assert all(len(part) < LONGEST + 30 for part in parts)
    assert unpack(["other text", *reversed(parts)]) == files
    assert unpack(parts[1:]) is None
    assert unpack([parts[0], parts[1][:-9] + "AAAAAAAAA", *parts[2:]]) is None


def test_a_change_is_itself_and_no_other():
    assert Edit("t", "s", "T", ()) != Edit("t", "s", "T", ())
