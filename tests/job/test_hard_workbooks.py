"""Workbooks as input that are large, damaged or odd: read within limits or refused in one sentence, nothing dropped.

Limits of the format: ECMA-376 Part 1, 18.3.1.73 (row) and a sheet of 1,048,576 rows and 16,384 columns, as spreadsheet
programs publish. Times are far over what is measured and far under the hangs they hold back.
"""

from __future__ import annotations

import datetime as dt
import io
import re
import time
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

import openpyxl
import pytest
from typer.testing import CliRunner

from takeoff.catalog.rows import Catalogs
from takeoff.cli import app
from takeoff.job.schedule import read_schedule
from takeoff.text.problems import InputError
from takeoff.text.read import read_table
from takeoff.text.workbook_reader import read_sheets
from takeoff.workbook.file.reading import read_sheets as read_back

HEAD = ["box", "circuit", "device", "run_ft"]
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
SAVE_AGAIN = "open the file in a spreadsheet program and save it again"
QUICK_S = 60


def book(path: Path, sheets: Mapping[str, Sequence[Sequence[object]]], hidden: Sequence[str] = ()) -> Path:
    made = openpyxl.Workbook()
    made.remove(made.active)
    for title, rows in sheets.items():
        sheet = made.create_sheet(title)
        sheet.sheet_state = "hidden" if title in hidden else "visible"
        for row in rows:
            sheet.append(list(row))
    made.save(path)
    return path


def raw(path: Path, sheet: Iterator[bytes] | bytes) -> Path:
    """Write a workbook of one sheet whose part is given as it stands."""
    pieces = [sheet] if isinstance(sheet, bytes) else sheet
    empty = io.BytesIO()
    openpyxl.Workbook().save(empty)
    with zipfile.ZipFile(empty) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            if name != "xl/worksheets/sheet1.xml":
                new.writestr(name, old.read(name))
        with new.open("xl/worksheets/sheet1.xml", "w", force_zip64=True) as out:
            out.write(f'<worksheet xmlns="{MAIN}"><sheetData>'.encode())
            for piece in pieces:
                out.write(piece)
            out.write(b"</sheetData></worksheet>")
    return path


def cells(row: int, *texts: str) -> bytes:
    inside = "".join(
        f'<c r="{"ABCDEFGH"[n]}{row}" t="inlineStr"><is><t>{text}</t></is></c>' for n, text in enumerate(texts)
    )
    return f'<row r="{row}">{inside}</row>'.encode()


def table(*rows: bytes) -> bytes:
    return cells(1, *HEAD) + b"".join(rows)


def refusal(path: Path) -> str:
    """Return the one sentence with which a workbook is refused, within the time."""
    start = time.perf_counter()
    with pytest.raises(InputError) as wrong:
        read_table(path)
    assert time.perf_counter() - start < QUICK_S
    (problem,) = wrong.value.problems
    return str(problem).removeprefix(f"{path.name}: ")


def check(path: Path) -> tuple[int, list[str], list[str]]:
    done = CliRunner().invoke(app, ["check", str(path)])
    return done.exit_code, done.stdout.splitlines(), done.stderr.splitlines()


def test_alike_sheets_are_read_together_and_every_row_names_its_sheet(tmp_path: Path, catalogs: Catalogs):
    sheets = {
        "LP1": [HEAD, ["A1", "LP1-1", "duplex", 10], ["A2", "LP1-1", "duplex", 11]],
        "LP2": [["Circuit", "box", "note", "run ft", "device"], ["LP2-1", "B1", "by the door", 12, "duplex"]],
        "empty": [],
    }
    path = book(tmp_path / "s.xlsx", sheets)
    schedule = read_schedule(path, catalogs)
    schedule.problems.stop_on_errors()
    told = [(b.box, b.circuit, b.run_ft, b.note, str(b.row)) for b in schedule.boxes]
    assert told == [
        ("A1", "LP1-1", 10, "", "LP1!2"),
        ("A2", "LP1-1", 11, "", "LP1!3"),
        ("B1", "LP2-1", 12, "by the door", "LP2!2"),
    ]
    code, out, errors = check(path)
    assert (code, errors) == (0, [])
    assert [line for line in out if line.startswith("read ")] == [
        "read s.xlsx: sheet LP1: 3 rows with entries, the headings one of them",
        "read s.xlsx: sheet LP2: 2 rows with entries, the headings one of them; in all 3 boxes, 33 ft of runs, each once",
    ]


def test_problems_of_several_sheets_name_sheet_and_row(tmp_path: Path):
    sheets = {"LP1": [HEAD, ["A1", "P-1", "duplex", 10]], "LP2": [HEAD, ["A1", "P-2", "duplexx", 10]]}
    assert check(book(tmp_path / "s.xlsx", sheets))[2] == [
        's.xlsx:LP2!2:device: is not a device of the catalog: "duplexx"; did you mean duplex (duplex receptacle) or '
        "gfci (receptacle with ground-fault protection) or duplex-hg (hospital grade duplex receptacle)?",
        's.xlsx:LP2!2:box: is the id of row LP1!2 too: "A1"; an id that no other box has',
    ]


def test_the_json_of_a_problem_keeps_the_row_a_number(tmp_path: Path, catalogs: Catalogs):
    sheets = {"LP1": [HEAD, ["A1", "P-1", "junction", 10]], "LP2": [HEAD, [], ["A2", "P-2", "junction", 10]]}
    found = read_schedule(book(tmp_path / "s.xlsx", sheets), catalogs).problems
    found.notice(read_schedule(tmp_path / "s.xlsx", catalogs).boxes[1].row, "wires", "A N", "ends here")
    assert [(p["file"], p["row"]) for p in (p.as_dict() for p in found.found)] == [("s.xlsx, sheet LP2", 3)]


def test_a_hidden_first_sheet_is_not_read_in_place_of_a_visible_one(tmp_path: Path):
    sheets = {"old": [HEAD, ["X1", "P-9", "duplex", 10]], "LP1": [HEAD, ["A1", "LP1-1", "duplex", 10]]}
    code, out, errors = check(book(tmp_path / "s.xlsx", sheets, hidden=["old"]))
    left_out = "sheet old is hidden and is not read: 2 rows with entries"
    assert (code, errors) == (0, [])
    assert f"notice: s.xlsx: {left_out}" in out
    assert [line for line in out if line.startswith("read ")] == [
        "read s.xlsx: sheet LP1: 2 rows with entries, the headings one of them",
        f"read s.xlsx: {left_out}; in all 1 boxes, 10 ft of runs, each once",
    ]


def test_a_sheet_with_other_headings_is_named(tmp_path: Path):
    sheets = {"LP1": [HEAD, ["A1", "LP1-1", "duplex", 10]], "legend": [["key", "means"], ["d", "duplex"]]}
    code, out, _ = check(book(tmp_path / "s.xlsx", sheets))
    assert code == 0
    assert "notice: s.xlsx: sheet legend has other headings and is not read: 2 rows with entries" in out


def test_a_sheet_with_some_of_the_headings_is_asked_about(tmp_path: Path):
    sheets = {"LP1": [HEAD, ["A1", "LP1-1", "duplex", 10]], "LP2": [["box", "circuit", "kind"], ["B1", "P-2", "x"]]}
    assert refusal(book(tmp_path / "s.xlsx", sheets)) == (
        "has some headings of the sheet LP1 on other sheets: LP2; "
        "give them the same headings, or hide the sheets that are not to be read"
    )


def test_entries_on_hidden_sheets_only_are_no_empty_file(tmp_path: Path):
    sheets = {"LP1": [HEAD, ["A1", "LP1-1", "duplex", 10]], "front": []}
    path = book(tmp_path / "s.xlsx", sheets, hidden=["LP1"])
    assert refusal(path) == "has entries on hidden sheets only: LP1; show the sheet that is to be read"


def test_hidden_rows_and_columns_are_read_and_named(tmp_path: Path):
    made = openpyxl.Workbook()
    for row in ([*HEAD, "area"], ["A1", "P-1", "duplex", 10, "x"], ["A2", "P-1", "duplex", 11, "y"]):
        made.active.append(row)
    made.active.row_dimensions[3].hidden = True
    made.active.column_dimensions["E"].hidden = True
    made.save(tmp_path / "s.xlsx")
    code, out, _ = check(tmp_path / "s.xlsx")
    assert (code, out[0]) == (0, "notice: s.xlsx: hidden rows are read like the others: 3")
    assert out[1] == "notice: s.xlsx: hidden columns are read like the others: 5"
    assert any(line.endswith("in all 2 boxes, 21 ft of runs, each once") for line in out)


def test_what_is_no_text_becomes_one_as_it_is_seen_or_is_an_error(tmp_path: Path, catalogs: Catalogs):
    rows = [[*HEAD, "neutral", "drawn"], [True, "P-1", "duplex", 10, True, dt.date(2026, 3, 4)]]
    path = book(tmp_path / "s.xlsx", {"s": rows})
    schedule = read_schedule(path, catalogs)
    schedule.problems.stop_on_errors()
    assert [(b.box, b.extra) for b in schedule.boxes] == [("TRUE", ["2026-03-04"])]
    assert schedule.circuits["P-1"].neutral is True
    assert schedule.receipt[0].endswith("2 TRUE or FALSE as texts, 1 dates as texts")


def test_an_error_cell_is_no_id(tmp_path: Path):
    row = cells(2, "B1", "P-1", "duplex", "10").replace(
        b'<c r="A2" t="inlineStr"><is><t>B1</t></is></c>', b'<c r="A2" t="e"><v>#N/A</v></c>'
    )
    assert check(raw(tmp_path / "s.xlsx", table(row))) == (
        2,
        [],
        ['s.xlsx:2:box: is an error cell: "#N/A"; mend the formula, or type the entry'],
    )


def test_texts_are_read_as_the_format_writes_them(tmp_path: Path):
    """Rich texts, how to pronounce them, and escapes: ECMA-376 Part 1, 18.4.4, 18.4.6, 22.9.2.19."""
    odd = (
        b'<c r="A2" t="inlineStr"><is><r><t>B</t></r><r><t>1_x005F_x</t></r><rPh sb="0" eb="1"><t>no</t></rPh></is></c>'
    )
    rows = table(b'<row r="2">' + odd + cells(2, "", "P-1", "duplex", "10").partition(b"</c>")[2])
    (row,) = read_table(raw(tmp_path / "s.xlsx", rows)).rows
    assert row == (2, ["B1_x", "P-1", "duplex", "10"])


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (cells(3, "a") + cells(2, "b"), f"has row 2 of the sheet Sheet twice, or behind row 3; {SAVE_AGAIN}"),
        (cells(2, "a") + cells(2, "b"), f"has row 2 of the sheet Sheet twice, or behind row 2; {SAVE_AGAIN}"),
        (
            b'<row r="2"><c r="B2"><v>1</v></c><c r="A2"><v>2</v></c></row>',
            f"has a cell twice or out of its order in row 2 of the sheet Sheet; {SAVE_AGAIN}",
        ),
        (
            cells(2_000_000_000, "a"),
            "has a row 2,000,000,000, and a sheet has 1,048,576; "
            "give an .xlsx whose sheets are the table, without a password",
        ),
        (
            b'<row r="2"><c r="XFD2"><v>1</v></c></row>',
            "has an entry in column 16,384 of row 2 of the sheet Sheet; at most 1,000 columns",
        ),
    ],
    ids=["behind", "twice", "cells", "far row", "far column"],
)
def test_rows_and_cells_beyond_order_and_limits(tmp_path: Path, rows: bytes, said: str):
    assert refusal(raw(tmp_path / "s.xlsx", table(rows))) == said


@pytest.mark.parametrize(
    "row",
    [
        b'<row r="-1"/>',
        b'<row r="x"/>',
        b'<row r="2"><c r="A9"/></row>',
        b'<row r="2"><c r="A2" t="s"><v>7</v></c></row>',
        b'<row r="2"><c r="A2" s="99999999999999"><v>7</v></c></row>',
        b'<row r="2"><c r="A2"><v>seven</v></c></row>',
        b'<row r="2"><c r="A2"><v>7</v></c>',
    ],
)
def test_what_no_program_writes_is_refused(tmp_path: Path, row: bytes):
    assert refusal(raw(tmp_path / "s.xlsx", table(row))).startswith("is not a workbook that can be read; ")


def test_empty_cells_in_the_last_column_cost_nothing(tmp_path: Path):
    """Of 56 kB with a styled cell in the last column of each row: they have no entry."""
    rows = [cells(n, f"B{n}", "P-1", "duplex", "10")[:-6] + b'<c r="XFD%d" s="0"/></row>' % n for n in range(2, 4000)]
    start = time.perf_counter()
    assert len(read_table(raw(tmp_path / "s.xlsx", table(*rows))).rows) == 3998
    assert time.perf_counter() - start < QUICK_S / 4


def test_very_many_styled_rows_without_an_entry(tmp_path: Path):
    """A million took 112 s before this reader; a fifth of them is tested."""

    def sheet() -> Iterator[bytes]:
        yield table(cells(2, "B1", "P-1", "duplex", "10"))
        for first in range(3, 200_003, 1000):
            rows = range(first, first + 1000)
            yield b"".join(b'<row r="%d"><c r="A%d" s="0"/><c r="B%d" s="0"/></row>' % (n, n, n) for n in rows)

    path = raw(tmp_path / "s.xlsx", sheet())
    start = time.perf_counter()
    read = read_table(path)
    assert time.perf_counter() - start < QUICK_S
    assert (len(read.rows), read.receipt) == (
        1,
        ("sheet Sheet: 2 rows with entries, the headings one of them, 200000 blank rows",),
    )


def test_a_small_file_that_unpacks_to_gigabytes(tmp_path: Path):
    piece = b" " * (1 << 20)
    path = raw(tmp_path / "s.xlsx", (piece for _ in range(1000)))
    assert path.stat().st_size < 4_000_000
    assert refusal(path) == "unpacks to more than 400 MB; delete unused rows, columns and sheets, or split the job"


def test_a_part_of_very_many_elements(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("takeoff.text.workbook_parts.MAX_ELEMENTS", 10_000)
    path = raw(tmp_path / "s.xlsx", b"<a/>" * 10_001)
    assert refusal(path).startswith("has a part of more than 10,000 elements; ")


def test_the_budget_holds_for_all_parts_together(tmp_path: Path):
    path = book(tmp_path / "s.xlsx", {"s": [HEAD, ["A1", "P-1", "duplex", 10]]})
    size = sum(info.file_size for info in zipfile.ZipFile(path).infolist())
    assert len(read_sheets("s.xlsx", path.read_bytes(), 10, size)) == 1
    with pytest.raises(InputError, match="unpacks to more than"):
        read_sheets("s.xlsx", path.read_bytes(), 10, size // 4)


def test_a_document_type_is_refused(tmp_path: Path):
    """Entities of entities grow without end; no workbook has any."""
    path = raw(tmp_path / "s.xlsx", table())
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    parts["xl/workbook.xml"] = b'<!DOCTYPE w [<!ENTITY a "aaaa">]>' + parts["xl/workbook.xml"].partition(b"?>")[2]
    with zipfile.ZipFile(path, "w") as archive:
        for name, part in parts.items():
            archive.writestr(name, part)
    assert refusal(path).startswith("is not a workbook that can be read; ")


@pytest.mark.parametrize("lost", ["_rels/.rels", "xl/_rels/workbook.xml.rels", "xl/worksheets/sheet2.xml", "one link"])
def test_a_workbook_that_lost_a_part_is_refused_and_no_sheet_is_left_out(tmp_path: Path, lost: str):
    book = openpyxl.Workbook()
    book.active.append(["box", "circuit", "device", "run_ft"])
    book.create_sheet("two").append(["box", "circuit", "device", "run_ft"])
    book.save(tmp_path / "whole.xlsx")
    path = tmp_path / "s.xlsx"
    with zipfile.ZipFile(tmp_path / "whole.xlsx") as old, zipfile.ZipFile(path, "w") as new:
        for name in (n for n in old.namelist() if n != lost):
            data = old.read(name)
            if lost == "one link" and name == "xl/_rels/workbook.xml.rels":
                data = re.sub(rb"<Relationship [^>]*sheet2.xml[^>]*/>", b"", data)
            new.writestr(name, data)
    with pytest.raises(InputError, match=r"s\.xlsx: is not a workbook that can be read; give an \.xlsx"):
        read_sheets("s.xlsx", path.read_bytes(), 100)
    with pytest.raises(InputError, match=r"s\.xlsx: is not a workbook that can be read; give an \.xlsx"):
        read_back(path)


@pytest.mark.parametrize("lost", ["Id=", "Type=", "Target=", "styles", "all of it"])
def test_a_workbook_that_lost_its_styles_is_refused_since_a_date_would_be_a_number(tmp_path: Path, lost: str):
    """Id, type and target of a relationship are required, ECMA-376 Part 2, 9.3."""
    book = openpyxl.Workbook()
    book.active.append(["box", "circuit", "device", "run_ft", "due"])
    book.active.append(["B", "P-1", "duplex", 9, dt.date(2025, 12, 9)])
    book.save(tmp_path / "whole.xlsx")
    path = tmp_path / "s.xlsx"
    with zipfile.ZipFile(tmp_path / "whole.xlsx") as old, zipfile.ZipFile(path, "w") as new:
        for name in old.namelist():
            data = old.read(name)
            if name == "xl/_rels/workbook.xml.rels":
                styles = next(r for r in re.findall(rb"<Relationship [^>]*/>", data) if b"styles.xml" in r)
                assert lost == "all of it" or lost.encode() in styles
                part = (
                    b"" if lost == "all of it" else styles.replace(lost.encode(), b"x" if lost == "styles" else b"x=")
                )
                data = data.replace(styles, part)
            new.writestr(name, data)
    assert refusal(path).startswith("is not a workbook that can be read; ")
