"""Blank sheets: what a schedule calls for, in working order, in a form that calibrate reads when it is filled in."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest
from typer.testing import CliRunner

from takeoff.build import Options, compute
from takeoff.catalog.rows import Catalogs
from takeoff.cli import app
from takeoff.report.results import results_of
from takeoff.study.calibrate import CalibrateOptions, calibrate
from takeoff.study.readings import WHOLE_BOX
from tests.conftest import PLAN_OF, SAMPLES

SMALL = SAMPLES / "small.csv"
NAMES = ("ac", "mc-wire", "mc-armor")
PLANS = "ac-first,mc-wire-first,mc-armor-first"


def run(*arguments: object) -> tuple[int, str, str]:
    done = CliRunner().invoke(app, ["observe", *map(str, arguments)])
    return done.exit_code, done.stdout, done.stderr


def lines_of(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="module")
def sheet(tmp_path_factory: pytest.TempPathFactory) -> list[dict[str, str]]:
    """Return the lines for two workers."""
    path = tmp_path_factory.mktemp("sheets") / "s.csv"
    assert run(SMALL, "-o", path, "--plans", PLANS, "--workers", 2)[0] == 0
    return lines_of(path)


def test_each_set_holds_every_operation_that_has_hours_and_no_other(tmp_path: Path):
    """Held against the hours by operation of a build in which no circuit falls back to another construction."""
    schedule = tmp_path / "s.csv"
    schedule.write_text(
        "box,circuit,device,run_ft\nA,P-1,duplex,40\nB,P-1,duplex,12\nC,P-1,duplex,9\n", encoding="utf-8"
    )
    target = tmp_path / "o.csv"
    assert run(schedule, "-o", target, "--plans", PLANS, "--boxes", 0, "--workers", 2)[0] == 0
    hours = results_of(compute(Options(schedule, plans=PLANS)))["plans"]
    for worker in ("W1", "W2"):
        mine = [(r["operation"], r["construction"]) for r in lines_of(target) if r["worker_code"] == worker]
        assert len(set(mine)) == len(mine)
        for name in NAMES:
            called = {o for o, h in hours[PLAN_OF[name]]["labor_hours_by_operation"].items() if h}
            assert {o for o, c in mine if c == name} == called


def test_operations_of_one_construction_stand_for_it_alone(sheet: list[dict[str, str]]):
    """Bushing and strip are of Type AC, NEC 320.40 and 320.100; a bare end is cut where the armor has one."""
    found = {name: {r["operation"] for r in sheet if r["construction"] == name} for name in NAMES}
    assert {"insert-bushing", "bond-strip"} <= found["ac"] - found["mc-wire"] - found["mc-armor"]
    assert "cut-bare" in found["mc-armor"] - found["ac"] - found["mc-wire"]
    assert "prepare-egc" in found["mc-wire"] - found["ac"] - found["mc-armor"]
    assert not {"run-raceway", "pull-conductors"} & set().union(*found.values())


def test_lines_stand_in_working_order_whole_boxes_last(sheet: list[dict[str, str]], catalogs: Catalogs):
    steps = {str(r["operation"]): float(str(r["step"])) for r in catalogs["operations"]} | {WHOLE_BOX: 99.0}
    for worker in ("W1", "W2"):
        places = [steps[r["operation"]] for r in sheet if r["worker_code"] == worker]
        assert places == sorted(places)


def test_the_order_of_constructions_changes(sheet: list[dict[str, str]]):
    def orders(worker: str) -> dict[tuple[str, str], list[str]]:
        found: dict[tuple[str, str], list[str]] = {}
        for r in sheet:
            if r["worker_code"] == worker:
                found.setdefault((r["operation"], r["box"]), []).append(r["construction"])
        return {work: names for work, names in found.items() if len(names) > 1}

    first, second = orders("W1"), orders("W2")
    assert first.keys() == second.keys()
    assert all(first[work] != second[work] for work in first)
    assert {names[0] for names in first.values() if len(names) == 3} == set(NAMES)


def test_whole_boxes_are_the_most_frequent_make_up_types(tmp_path: Path):
    """Two kinds of box, three of one and one of the other, counted by hand."""
    schedule = tmp_path / "s.csv"
    schedule.write_text(
        "box,circuit,device,run_ft,fed_from\nA,P-1,gfci,10,panel\nB,P-2,duplex,10,panel\nC,P-3,duplex,10,panel\nD,P-4,duplex,10,panel\n",
        encoding="utf-8",
    )
    target = tmp_path / "o.csv"
    assert run(schedule, "-o", target, "--plans", "ac-first", "--boxes", 2)[0] == 0
    boxes = [r["box"] for r in lines_of(target) if r["operation"] == WHOLE_BOX]
    assert [b.split(",")[0] for b in boxes] == ["duplex", "gfci"]
    assert all(r["box"] in ("", boxes[0]) or r["box"].startswith("panel end") for r in lines_of(target)[:-1])
    assert run(schedule, "-o", target, "--plans", "ac-first", "--boxes", 0)[0] == 0
    assert WHOLE_BOX not in {r["operation"] for r in lines_of(target)}


def test_constructions_that_circuits_fall_back_to_are_named(tmp_path: Path):
    out = run(SMALL, "-o", tmp_path / "o.csv", "--plans", "ac-first,mc-wire-first", "--quiet")[1].splitlines()
    assert out[0] == "some circuits are wired in ac-redundant, mc-redundant: add plans that prefer them"
    assert len(out) == 2


def test_every_operation_and_the_whole_box_have_points_to_start_and_stop(catalogs: Catalogs):
    assert {*catalogs["operations"].texts("operation"), WHOLE_BOX} == set(catalogs["timing_points"].keys)


def fill(values: Iterator[float], line: dict[str, str]) -> dict[str, str]:
    return {**line, "date": "2026-03-02", "seconds": f"{next(values):.1f}"}


def test_a_sheet_filled_in_comes_back(sheet: list[dict[str, str]], tmp_path: Path):
    """Half of the lines filled in: calibrate reads each, names the others in a notice, and knows every column."""
    values = iter(float(n) for n in range(30, 1000))
    half = len(sheet) // 2
    path = tmp_path / "filled.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(sheet[0]))
        writer.writeheader()
        writer.writerows([fill(values, r) for r in sheet[:half]] + sheet[half:])
    done = calibrate(CalibrateOptions(path, tmp_path / "overlay"))
    assert [r.seconds_each for r in done.observations.used] == [30.0 + n for n in range(half)]
    (notice,) = done.observations.notices
    assert notice.message == f"{len(sheet) - half} rows hold neither seconds nor a date and were passed over:"


def test_the_workbook_holds_the_same_lines_and_comes_back_filled_in(sheet: list[dict[str, str]], tmp_path: Path):
    path = tmp_path / "s.xlsx"
    assert run(SMALL, "-o", path, "--plans", PLANS, "--workers", 2)[0] == 0
    book = openpyxl.load_workbook(path)
    assert book.sheetnames == ["Readings", "How to time fairly"]
    table = book["Readings"]
    heads = [c.value.replace(" ", "_") for c in table[1]]
    assert heads == list(sheet[0])
    assert [["" if c.value is None else c.value for c in row] for row in table.iter_rows(min_row=2)] == [
        list(r.values()) for r in sheet
    ]
    assert [b.id for b in table.row_breaks.brk] == [1 + len(sheet) // 2]
    assert (table.print_title_rows, table.page_setup.orientation, table.page_setup.fitToWidth) == (
        "$1:$1",
        "landscape",
        1,
    )
    for column, value in (("date", "2026-03-02"), ("seconds", 41.5), ("count", 2)):
        table.cell(2, heads.index(column) + 1).value = value
    book.save(path)
    (read,) = calibrate(CalibrateOptions(path)).observations.used
    assert (read.seconds_each, read.worker, read.operation) == (20.75, "W1", "mount-box")


def test_the_page_how_to_time_fairly_says_what_matters(tmp_path: Path):
    path = tmp_path / "s.xlsx"
    run(SMALL, "-o", path, "--plans", "ac-first")
    text = " ".join(str(r[1].value) for r in openpyxl.load_workbook(path)["How to time fairly"].iter_rows())
    for word in ("de-energized", "never names", "Change the order", "trained observer", "reason in leave_out", "100"):
        assert word in text


def test_the_same_input_gives_the_same_bytes(tmp_path: Path):
    for name in ("a.xlsx", "b.xlsx"):
        run(SMALL, "-o", tmp_path / name, "--plans", "ac-first,mc-wire-first")
    assert (tmp_path / "a.xlsx").read_bytes() == (tmp_path / "b.xlsx").read_bytes()


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["-o", "{}/s.pdf"], "{}/s.pdf: does not end in .csv or .xlsx; give a name that does"),
        (["-o", "{}/no/s.csv"], "{}/no/s.csv: lies in a folder that does not exist; make the folder first"),
        (["-o", "{}/in.csv"], "{}/in.csv: is read by this build; give another name"),
        (["-o", "{}/s.csv", "--workers", "0"], '--workers: is out of range: "0"; from 1 to 40'),
        (["-o", "{}/s.csv", "--boxes", "99"], '--boxes: is out of range: "99"; from 0 to 20'),
        (
            ["-o", "{}/s.csv", "--plans", "ca"],
            '--plans: is not a plan: "ca"; accepted: ac-first, mc-wire-first, mc-armor-first, ac-redundant-first, mc-redundant-first, emt, emt-as-egc',
        ),
    ],
)
def test_what_cannot_be_done_is_one_sentence(tmp_path: Path, arguments: list[str], sentence: str):
    (tmp_path / "in.csv").write_text(SMALL.read_text(encoding="utf-8"), encoding="utf-8")
    given = [a.format(tmp_path) for a in arguments]
    assert run(tmp_path / "in.csv", *given) == (2, "", sentence.format(tmp_path) + "\n")
    assert [p.name for p in tmp_path.iterdir()] == ["in.csv"]


def test_a_bad_schedule_is_reported_as_build_reports_it(tmp_path: Path):
    (tmp_path / "in.csv").write_text("box,circuit,device,run_ft\nB1,P-1,duplexx,5\n", encoding="utf-8")
    code, _, errors = run(tmp_path / "in.csv", "-o", tmp_path / "s.xlsx")
    assert code == 2
    assert errors.startswith('in.csv:2:device: is not a device of the catalog: "duplexx"')
