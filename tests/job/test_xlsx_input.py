"""Schedules as workbooks: extents that lie, formulas without a value, dates, numbers as people type them."""

from __future__ import annotations

import datetime as dt
import re
import zipfile
from pathlib import Path

import openpyxl
import pytest
from typer.testing import CliRunner

from takeoff.addendum.earlier import options_of
from takeoff.build import Options, read_job, sources_of
from takeoff.catalog.rows import Catalogs
from takeoff.cli import app
from takeoff.job.schedule import read_schedule
from takeoff.report.expanded import expanded_text

HEAD = ["box", "circuit", "device", "run_ft"]
SHEET = "xl/worksheets/sheet1.xml"
FORMULA = "is a formula without a value"
HOW = "open and save the file, or type the value"
DATE = "is a date or time"
AS_TEXT = "format the column as text and type the entry again"


def write(folder: Path, *rows: list[object]) -> Path:
    """Write a workbook whose first sheet holds the rows."""
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    book.save(folder / "s.xlsx")
    return folder / "s.xlsx"


def edit(path: Path, pattern: str, instead: str) -> None:
    """Rewrite one place of the first sheet's XML."""
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    text, count = re.subn(pattern, instead, parts[SHEET].decode())
    assert count == 1
    parts[SHEET] = text.encode()
    with zipfile.ZipFile(path, "w") as archive:
        for name, part in parts.items():
            archive.writestr(name, part)


def check(path: Path) -> tuple[int, list[str]]:
    """Check a schedule; return the exit code and the lines of stderr."""
    done = CliRunner().invoke(app, ["check", str(path)])
    assert "Traceback" not in done.output
    return done.exit_code, done.stderr.splitlines()


@pytest.mark.parametrize(
    "extent",
    ['<dimension ref="A1:A1"/>', '<dimension ref="A1"/>', '<dimension ref="B2:C2"/>', '<dimension ref="A1:XFD9"/>', ""],
)
def test_the_whole_sheet_is_read_whatever_extent_it_claims(tmp_path: Path, catalogs: Catalogs, extent: str):
    rows = [[f"B{n}", "P-1", "duplex", 10 + n] for n in range(1, 6)]
    path = write(tmp_path, HEAD, *rows)
    edit(path, r"<dimension [^>]*/>", extent)
    schedule = read_schedule(path, catalogs)
    schedule.problems.stop_on_errors()
    assert [[b.box, b.circuit, *b.devices, b.run_ft] for b in schedule.boxes] == rows
    assert [b.row for b in schedule.boxes] == [2, 3, 4, 5, 6]


def test_a_problem_beyond_the_claimed_extent_is_named_with_its_row(tmp_path: Path):
    path = write(tmp_path, HEAD, ["B1", "P-1", "duplex", 10], ["B2", "P-1", "duplexx", 10])
    edit(path, r"<dimension [^>]*/>", '<dimension ref="A1:A1"/>')
    assert check(path) == (
        2,
        [
            's.xlsx:3:device: is not a device of the catalog: "duplexx"; did you mean duplex (duplex receptacle) or gfci (receptacle with ground-fault protection) or duplex-hg (hospital grade duplex receptacle)?'
        ],
    )


def test_a_formula_that_was_never_computed_is_named(tmp_path: Path):
    path = write(tmp_path, [*HEAD, "note"], ["B1", "P-1", "duplex", 10, ""], ["B2", "P-1", "duplex", 9, '="as "&A2'])
    assert check(path) == (2, [f's.xlsx:3:note: {FORMULA}: "="as "&A2"; {HOW}'])


def test_a_formula_in_a_column_that_is_needed_is_named(tmp_path: Path):
    path = write(tmp_path, HEAD, ["B1", "P-1", "duplex", "=5*2"])
    code, errors = check(path)
    assert code == 2
    assert f's.xlsx:2:run_ft: {FORMULA}: "=5*2"; {HOW}' in errors


def test_a_formula_with_its_value_is_read(tmp_path: Path, catalogs: Catalogs):
    path = write(tmp_path, HEAD, ["B1", "P-1", "duplex", "=5*2"])
    edit(path, r"<f>5\*2</f><v ?/>|<f>5\*2</f><v></v>", "<f>5*2</f><v>10</v>")
    schedule = read_schedule(path, catalogs)
    schedule.problems.stop_on_errors()
    assert [b.run_ft for b in schedule.boxes] == [10]


def test_a_formula_in_a_row_of_its_own_is_not_dropped_in_silence(tmp_path: Path):
    path = write(tmp_path, HEAD, ["B1", "P-1", "duplex", 10], [], ["=A2", None, None, None])
    assert check(path) == (2, [f's.xlsx:4:box: {FORMULA}: "=A2"; {HOW}'])


def test_a_formula_in_a_column_of_the_user_is_named_by_its_heading(tmp_path: Path):
    path = write(tmp_path, [*HEAD, "Drawing No"], ["B1", "P-1", "duplex", 10, "=A1"])
    assert check(path) == (2, [f's.xlsx:2:Drawing No: {FORMULA}: "=A1"; {HOW}'])


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (dt.date(2026, 3, 4), "2026-03-04 00:00:00"),
        (dt.datetime(2026, 3, 4, 5, 6), "2026-03-04 05:06:00"),
        (dt.time(7, 30), "07:30:00"),
    ],
)
def test_a_date_is_named_with_its_row_and_heading(tmp_path: Path, value: object, shown: str):
    path = write(tmp_path, [*HEAD, "note"], ["B1", "P-1", "duplex", 10, ""], ["B2", "P-1", "duplex", 9, value])
    assert check(path) == (2, [f's.xlsx:3:note: {DATE}: "{shown}"; {AS_TEXT}'])


def test_a_date_that_a_formula_shows_is_a_date(tmp_path: Path):
    book = openpyxl.Workbook()
    book.active.append([*HEAD, "note"])
    book.active.append(["B1", "P-1", "duplex", 10, "=TODAY()"])
    book.active["E2"].number_format = "yyyy-mm-dd"
    book.save(tmp_path / "s.xlsx")
    edit(tmp_path / "s.xlsx", r"<f>TODAY\(\)</f><v ?/>|<f>TODAY\(\)</f><v></v>", "<f>TODAY()</f><v>46085</v>")
    # day 46085 after the last of 1899
    shown = dt.datetime(1899, 12, 30) + dt.timedelta(days=46085)
    assert check(tmp_path / "s.xlsx") == (2, [f's.xlsx:2:note: {DATE}: "{shown}"; {AS_TEXT}'])


def test_every_odd_entry_is_named_in_one_pass(tmp_path: Path):
    day = dt.date(2026, 3, 4)
    path = write(tmp_path, [*HEAD, "area", "note"], ["B1", "P-1", "duplex", 10, day, "=A1"], ["", "P-1", "lamp", 10])
    code, errors = check(path)
    assert code == 2
    assert errors[:2] == [
        f's.xlsx:2:area: {DATE}: "2026-03-04 00:00:00"; {AS_TEXT}',
        f's.xlsx:2:note: {FORMULA}: "=A1"; {HOW}',
    ]
    assert [e.split(": ")[0] for e in errors[2:]] == ["s.xlsx:3:device"]


def test_numbers_and_truths_read_as_people_type_them(tmp_path: Path, catalogs: Catalogs):
    head = [*HEAD, "awg", "breaker_a", "neutral", "repeat"]
    path = write(tmp_path, head, [101, "P-1", "duplex", 10.5, 10.0, 30, True, 2])
    schedule = read_schedule(path, catalogs)
    schedule.problems.stop_on_errors()
    (box,), (circuit,) = schedule.boxes, schedule.circuits.values()
    assert (box.box, box.run_ft, box.awg) == ("101", 10.5, "10")
    assert (circuit.breaker_a, circuit.neutral, circuit.repeat) == (30, True, 2)


def test_a_table_lower_on_the_sheet_keeps_the_row_numbers_of_the_program(tmp_path: Path):
    path = write(tmp_path, [], [], HEAD, [], ["B1", "P-1", "duplexx", 10])
    assert check(path) == (
        2,
        [
            's.xlsx:5:device: is not a device of the catalog: "duplexx"; did you mean duplex (duplex receptacle) or gfci (receptacle with ground-fault protection) or duplex-hg (hospital grade duplex receptacle)?'
        ],
    )


PLACED = [
    ["circuit", "room", "count", "home_run_ft", "device"],
    ["P-1", "exam", 2, 60, ""],
    ["P-2", "", "", 40, "duplex"],
]


def rooms_book(folder: Path, title: str, *rows: list[object]) -> Path:
    """Write a schedule that places rooms, with a sheet of their types behind it."""
    book = openpyxl.Workbook()
    for row in PLACED:
        book.active.append(row)
    sheet = book.create_sheet(title)
    for row in rows:
        sheet.append(row)
    book.save(folder / "s.xlsx")
    return folder / "s.xlsx"


@pytest.mark.parametrize("title", ["rooms", "Rooms", "Room types"])
def test_room_types_on_a_sheet_of_the_schedule_are_those_of_a_file(tmp_path: Path, title: str):
    """Two exam rooms of 60 + 8 ft and 6 ft, and 40 ft."""
    types = [["Room", "Device", "Run"], ["exam", "Duplex receptacle", 8], ["exam", "GFI", 6]]
    beside = read_job(Options(rooms_book(tmp_path, title, *types))).job
    assert [box.run_ft for box in beside.boxes] == [68, 6, 68, 6, 40]
    (tmp_path / "rooms.csv").write_text("\n".join(",".join(map(str, row)) for row in types))
    (tmp_path / "s.csv").write_text("\n".join(",".join(map(str, row)) for row in PLACED))
    apart = read_job(Options(tmp_path / "s.csv", rooms=tmp_path / "rooms.csv")).job
    assert expanded_text(beside) == expanded_text(apart)
    assert (
        "sheet " + title + ": 3 rows with entries, the headings one of them, of room types" in beside.schedule.receipt
    )


def test_what_is_wrong_on_a_sheet_of_room_types_names_it(tmp_path: Path):
    code, lines = check(rooms_book(tmp_path, "rooms", ["room", "device", "run_ft"], ["exam", "duplexx", 8]))
    assert code == 2
    assert [line.split(" is ")[0] for line in lines if "duplexx" in line] == ["s.xlsx, sheet rooms:2:device:"]


def test_room_types_of_a_file_count_in_place_of_those_on_a_sheet(tmp_path: Path):
    path = rooms_book(tmp_path, "rooms", ["room", "device", "run_ft"], ["exam", "duplex", 8])
    (tmp_path / "r.csv").write_text("room,device,run_ft\nexam,duplex,5\n")
    job = read_job(Options(path, rooms=tmp_path / "r.csv")).job
    assert [box.run_ft for box in job.boxes] == [65, 65, 40]
    assert "s.xlsx, sheet rooms: is not read: room types are those of --rooms" in [str(p) for p in job.notices]


def test_a_list_of_rooms_that_are_no_types_is_left_out(tmp_path: Path, catalogs: Catalogs):
    path = rooms_book(tmp_path, "rooms", ["Number", "Floor finish"], ["101", "tile"])
    said = "sheet rooms has other headings and is not read: 2 rows with entries"
    assert said in read_schedule(path, catalogs).receipt


def test_a_workbook_with_room_types_is_built_again_from_what_it_carries(tmp_path: Path):
    types = [["room", "device", "run_ft"], ["exam", "duplex", 8]]
    sources = sources_of(Options(rooms_book(tmp_path, "rooms", *types)))
    assert sources.rooms == {"rooms.csv": "room,device,run_ft\nexam,duplex,8\n"}
    with options_of(sources) as options:
        assert [box.run_ft for box in read_job(options).job.boxes] == [68, 68, 40]
