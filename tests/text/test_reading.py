"""Reading schedules: encodings, delimiters, workbooks, headings, lengths; nothing is dropped in silence."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from takeoff.catalog.rows import Catalogs
from takeoff.job.inputs import load_inputs
from takeoff.job.records import Schedule
from takeoff.job.schedule import read_schedule

TEXT = "Box,CIRCUIT,device,Run FT,fed-from,note\nB1,P-1,duplex,10.5,panel,first\nB2,P-1,gfci,8,B1,café\n"


def read(path: Path, catalogs: Catalogs) -> Schedule:
    schedule = read_schedule(path, catalogs)
    schedule.problems.stop_on_errors()
    return schedule


def told(schedule: Schedule) -> list[tuple[str, str, list[str], float, str, str]]:
    return [(b.box, b.circuit, b.devices, b.run_ft, b.fed_from, b.note) for b in schedule.boxes]


EXPECTED = [("B1", "P-1", ["duplex"], 10.5, "panel", "first"), ("B2", "P-1", ["gfci"], 8.0, "B1", "café")]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_encodings_and_delimiters_are_read_without_asking(
    tmp_path: Path, catalogs: Catalogs, encoding: str, delimiter: str, newline: str
):
    path = tmp_path / "s.csv"
    path.write_bytes(TEXT.replace(",", delimiter).replace("\n", newline).encode(encoding))
    assert told(read(path, catalogs)) == EXPECTED


def test_a_first_line_that_names_the_delimiter_is_understood(tmp_path: Path, catalogs: Catalogs):
    path = tmp_path / "s.csv"
    path.write_text("sep=;\n" + TEXT.replace(",", ";"), encoding="utf-8")
    assert told(read(path, catalogs)) == EXPECTED


def test_the_first_sheet_of_a_workbook_is_read(tmp_path: Path, catalogs: Catalogs):
    book = openpyxl.Workbook()
    for line in TEXT.splitlines():
        book.active.append([float(c) if c in ("10.5", "8") else c for c in line.split(",")])
    book.create_sheet("other").append(["not read"])
    book.save(tmp_path / "s.xlsx")
    assert told(read(tmp_path / "s.xlsx", catalogs)) == EXPECTED


def test_quoted_delimiters_rows_of_blanks_and_short_rows(tmp_path: Path, catalogs: Catalogs):
    path = tmp_path / "s.csv"
    path.write_text(
        'box,circuit,device,run_ft,area,note\n\nB1,"P-1,3,5",junction,10,"a; b"\n ,,\nB2,"P-1,3,5",duplex,9\n'
    )
    schedule = read(path, catalogs)
    assert [(b.row, b.circuit, b.area, b.note) for b in schedule.boxes] == [
        (3, "P-1,3,5", "a; b", ""),
        (5, "P-1,3,5", "", ""),
    ]


def test_metres_are_converted_exactly(tmp_path: Path, catalogs: Catalogs):
    """The international foot is 0.3048 m: NIST Special Publication 811, appendix B."""
    path = tmp_path / "s.csv"
    path.write_text("box,circuit,device,run_m\nB1,P-1,duplex,3.048\n")
    assert read(path, catalogs).boxes[0].run_ft == pytest.approx(10, rel=1e-15)


def test_columns_of_the_user_are_carried_and_noticed_once(tmp_path: Path, catalogs: Catalogs):
    path = tmp_path / "s.csv"
    path.write_text("box,circuit,device,run_ft,drawing,phase\nB1,P-1,duplex,10,E2.1,rough\n")
    schedule = read(path, catalogs)
    assert schedule.extra_columns == ["drawing", "phase"]
    assert schedule.boxes[0].extra == ["E2.1", "rough"]
    assert [str(p) for p in schedule.problems.found] == [
        's.csv:1: columns carried through to the workbook but not used: "drawing, phase"'
    ]


def test_defaults_of_a_circuit(tmp_path: Path, catalogs: Catalogs):
    path = tmp_path / "s.csv"
    path.write_text(
        "box,circuit,device,run_ft,poles,neutral\nB1,LP-1-3,duplex,10,,\nB2,Q,receptacle-2p,9,2,\nB3,R-1,equipment-3p,9,3,yes\n"
    )
    circuits = read(path, catalogs).circuits
    said = {
        c.name: (c.panel, c.breaker_a, c.poles, c.volts, c.neutral, c.repeat, c.construction) for c in circuits.values()
    }
    assert said == {
        "LP-1-3": ("LP-1", 20, 1, 120, True, 1, "free"),
        "Q": ("Q", 20, 2, 120, False, 1, "free"),
        "R-1": ("R", 20, 3, 120, True, 1, "free"),
    }


def test_a_value_of_a_circuit_may_stand_on_any_of_its_rows_and_again(tmp_path: Path, catalogs: Catalogs):
    path = tmp_path / "s.csv"
    path.write_text(
        "box,circuit,device,run_ft,breaker_a\nB1,P-1,duplex,10,\nB2,p-1,duplex,9,15\nB3,P-1,duplex,9,15.0\n"
    )
    assert [(c.name, c.breaker_a, len(c.boxes)) for c in read(path, catalogs).circuits.values()] == [("P-1", 15, 3)]


def test_inputs_from_a_file_and_from_the_command_line(tmp_path: Path, catalogs: Catalogs):
    path = tmp_path / "i.toml"
    path.write_text("labor_rate_usd_per_h = 80\nself_grounding = true\ncode_edition = 2020\n")
    inputs = load_inputs(catalogs, path, ["labor_rate_usd_per_h=90", "labor_rate_usd_per_h=91.5", "make_up=Through"])
    assert (inputs["labor_rate_usd_per_h"], inputs["self_grounding"]) == (91.5, "yes")
    assert (inputs["code_edition"], inputs["make_up"]) == ("2020", "through")
