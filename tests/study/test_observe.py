"""Blank sheets: what a schedule calls for, in working order, in a form that calibrate reads when it is filled in."""

from __future__ import annotations

import csv
import datetime as dt
import re
import subprocess
from pathlib import Path

import openpyxl
import pytest
from typer.testing import CliRunner

from takeoff.build import Options, compute
from takeoff.catalog.load import load_catalogs
from takeoff.catalog.rows import Catalogs
from takeoff.cli import app
from takeoff.drawing.raster import lines_needed
from takeoff.report.results import results_of
from takeoff.study.calibrate import CalibrateOptions, calibrate
from takeoff.study.columns import WHOLE_BOX
from tests import office
from tests.conftest import PLAN_OF, SAMPLES

SMALL = SAMPLES / "small.csv"
NAMES = ("ac", "mc-wire", "mc-armor")
PLANS = "ac-first,mc-wire-first,mc-armor-first"


def run(*arguments: object) -> tuple[int, str, str]:
    done = CliRunner().invoke(app, ["observe", *map(str, arguments)])
    return done.exit_code, done.stdout, done.stderr


def words() -> dict[str, str]:
    """Return the keys of what the sheets say in words."""
    catalogs = load_catalogs()
    found = {str(r["title"]): str(r["operation"]) for r in catalogs["operations"]}
    found |= {str(r["title"]): str(r["construction"]) for r in catalogs["constructions"]}
    return found | {"one box, end to end": WHOLE_BOX}


def as_typed(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def lines_of(path: Path) -> list[dict[str, str]]:
    """Return the lines with the keys of construction and operation."""
    keys = words()
    return [
        {**r, "construction": keys[r["construction"]], "operation": keys[r["work"]], "worker_code": r["worker"]}
        for r in as_typed(path)
    ]


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


def test_no_key_stands_on_a_sheet(tmp_path: Path, catalogs: Catalogs):
    target = tmp_path / "o.csv"
    assert run(SMALL, "-o", target, "--plans", PLANS)[0] == 0
    keys = {*catalogs["operations"].texts("operation"), *catalogs["constructions"].keys, WHOLE_BOX}
    (head, *rest) = list(csv.reader(target.read_text(encoding="utf-8").splitlines()))
    assert not keys & {cell for line in rest for cell in line}
    assert not [h for h in head if "_" in h]


def test_a_sheet_filled_in_comes_back(tmp_path: Path):
    """Half of the lines filled in: calibrate reads each, names the others in a notice, and knows every column."""
    sheet = tmp_path / "s.csv"
    assert run(SMALL, "-o", sheet, "--plans", PLANS, "--workers", 2)[0] == 0
    lines = as_typed(sheet)
    half = len(lines) // 2
    for n, line in enumerate(lines[:half]):
        line |= {"date": "2026-03-02", "time 1": f"{30 + n}", "time 2": f"0:{n % 50 + 10}", "less 2": "5"}
    path = tmp_path / "filled.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(lines[0]))
        writer.writeheader()
        writer.writerows(lines)
    done = calibrate(CalibrateOptions(path, tmp_path / "overlay"))
    found = [r.seconds_each for r in done.observations.used]
    assert found[::2] == [30.0 + n for n in range(half)]
    assert found[1::2] == [n % 50 + 5 for n in range(half)]
    (notice,) = done.observations.notices
    assert notice.message == f"{len(lines) - half} rows hold neither seconds nor a date and were passed over:"


def test_the_workbook_has_advice_first_and_a_sheet_for_each_worker(tmp_path: Path):
    path, text = tmp_path / "s.xlsx", tmp_path / "s.csv"
    for target in (path, text):
        assert run(SMALL, "-o", target, "--plans", PLANS, "--workers", 2)[0] == 0
    lines = as_typed(text)
    book = openpyxl.load_workbook(path)
    assert book.sheetnames == ["How to time fairly", "W1", "W2"]
    for number, name in enumerate(("W1", "W2")):
        table = book[name]
        top = [[c.value for c in row[:4]] for row in table.iter_rows(max_row=3)]
        assert top == [
            ["Job", "small", "Crew", None],
            ["Worker", name, "Observer", None],
            ["Date", None, "Before or after", None],
        ]
        heads = [c.value for c in table[4]]
        assert heads == list(lines[0])[5:]
        mine = lines[number * len(lines) // 2 : (number + 1) * len(lines) // 2]
        assert [["" if c.value is None else c.value for c in row] for row in table.iter_rows(min_row=5)] == [
            list(r.values())[5:] for r in mine
        ]
        assert (table.print_title_rows, table.page_setup.orientation) == ("$1:$4", "landscape")
        assert table.page_setup.fitToWidth == 1


def test_a_workbook_filled_in_comes_back(tmp_path: Path):
    """Three times on a line, as a watch shows them; day, crew and worker on top; one of them left out by its number."""
    path = tmp_path / "s.xlsx"
    assert run(SMALL, "-o", path, "--plans", PLANS, "--workers", 2)[0] == 0
    book = openpyxl.load_workbook(path)
    for name, day in (("W1", "2026-03-02"), ("W2", dt.datetime(2026, 3, 3))):
        table = book[name]
        table["B3"], table["D1"] = day, "crew 2"
        heads = [c.value for c in table[4]]
        cells = {"how many": 2, "time 1": "1:05", "less 1": "5", "time 2": "1m30s", "time 3": "999"}
        cells["left out because"] = "3: the watch ran on"
        for column, value in cells.items():
            table.cell(5, heads.index(column) + 1).value = value
    book.save(path)
    found = calibrate(CalibrateOptions(path)).observations
    assert [(r.seconds_each, r.worker, r.crew, str(r.date)) for r in found.used] == [
        (30, "W1", "crew 2", "2026-03-02"),
        (45, "W1", "crew 2", "2026-03-02"),
        (30, "W2", "crew 2", "2026-03-03"),
        (45, "W2", "crew 2", "2026-03-03"),
    ]
    assert {r.operation for r in found.used} == {"mount-box"}
    assert [(out.seconds, out.reason) for out in found.left_out] == [("999", "the watch ran on")] * 2
    assert str(found.left_out[1].row) == "W2!5"


def test_a_day_missing_on_top_is_asked_for_on_its_line(tmp_path: Path):
    path = tmp_path / "s.xlsx"
    run(SMALL, "-o", path, "--plans", "ac-first")
    book = openpyxl.load_workbook(path)
    book["W1"].cell(5, 6).value = "70"
    book.save(path)
    done = CliRunner().invoke(app, ["calibrate", str(path)])
    assert (done.exit_code, done.stderr) == (2, "s.xlsx:5:date: is blank; year-month-day, such as 2026-03-02\n")


def test_boxes_end_to_end_in_place_of_operations(tmp_path: Path):
    target = tmp_path / "o.csv"
    assert run(SMALL, "-o", target, "--plans", PLANS, "--end-to-end", "--boxes", 2)[0] == 0
    lines = lines_of(target)
    assert {r["operation"] for r in lines} == {WHOLE_BOX}
    assert len({r["box"] for r in lines}) == 2
    assert len(lines) == 2 * len(NAMES)
    assert run(SMALL, "-o", target, "--end-to-end", "--boxes", 0)[::2] == (
        2,
        '--boxes: is out of range: "0"; from 1 to 20\n',
    )


def test_the_sheets_print_at_9_points_with_room_for_a_hand(tmp_path: Path):
    """Letter paper on its long side, 0.3 in at each side: width less 0.6 in, at 96 to the inch, 7 for a digit and 5 beside."""
    path = tmp_path / "s.xlsx"
    assert run(SMALL, "-o", path, "--plans", PLANS)[0] == 0
    for table in openpyxl.load_workbook(path):
        wide = sum(d.width * 7 + 5 for d in table.column_dimensions.values()) * 1.03  # programs differ by so much
        room = (11 - table.page_margins.left - table.page_margins.right) * 96
        scale = min(1, room / wide)
        cells = [c for line in table.iter_rows() for c in line if c.value]
        assert min(c.font.sz for c in cells) * scale >= 9, table.title
        for c in cells:
            width = table.column_dimensions[c.column_letter].width * 7
            needed = lines_needed(str(c.value), c.font.sz * 96 / 72, width) if c.alignment.wrap_text else 1
            assert needed * c.font.sz * 1.2 <= table.row_dimensions[c.row].height, c.value
    table = openpyxl.load_workbook(path)["W1"]
    heights = [table.row_dimensions[n].height for n in range(5, table.max_row + 1)]
    assert min(heights) >= 36  # half an inch
    blanks = [c for c in table[5] if c.value is None]
    assert len(blanks) == 10
    assert min(table.column_dimensions[c.column_letter].width for c in blanks) * 7 + 5 >= 40  # 0.4 in


@pytest.mark.libreoffice
def test_nothing_of_a_sheet_is_cut_in_print(tmp_path: Path):
    """Every word of every cell comes out, in letters of 9 pt or more, one page wide; a day's boxes on one page."""
    for name, more in (("s", ()), ("e", ("--end-to-end",))):
        path = tmp_path / f"{name}.xlsx"
        assert run(SMALL, "-o", path, "--plans", PLANS, *more)[0] == 0
    office.convert(tmp_path / "profile", [tmp_path / "s.xlsx", tmp_path / "e.xlsx"], "pdf", tmp_path)
    pdf = tmp_path / "s.pdf"
    found = subprocess.run(["pdftotext", pdf, "-"], capture_output=True, text=True, check=True).stdout.split()
    cells = [
        str(c.value) for t in openpyxl.load_workbook(tmp_path / "s.xlsx") for r in t.iter_rows() for c in r if c.value
    ]
    printed = "".join(found)
    assert not [w for cell in cells for w in cell.split() if w not in printed]
    command = ["pdftohtml", "-xml", "-stdout", "-i", "-zoom", "3", pdf]
    fonts = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    assert min(int(size) for size in re.findall(r'fontspec [^>]*size="(\d+)"', fonts)) >= 27  # thrice 9
    info = subprocess.run(["pdfinfo", tmp_path / "e.pdf"], capture_output=True, text=True, check=True).stdout
    assert re.search(r"Pages: +(\d+)", info)[1] == "2"  # how to time fairly, and three boxes in three constructions


def test_a_sheet_of_an_earlier_layout_is_read(tmp_path: Path):
    """What to start and stop at and what to count stood in two columns: neither is a column that is not known."""
    path = tmp_path / "t.csv"
    path.write_text(
        "date,worker,construction,work,start and stop,of what,how many,time 1\n"
        "2026-03-02,W1,ac,connector,start: knockout about to be struck; stop: tight,armor ends,1,1:05\n",
        encoding="utf-8",
    )
    found = calibrate(CalibrateOptions(path)).observations
    assert [r.seconds_each for r in found.used] == [65]
    assert found.notices == []


def test_feet_are_counted_in_words(tmp_path: Path):
    """Minutes of a foot are those of two 12 AWG in cable, of 1/2 in raceway: route factor 1 in the catalog."""
    target = tmp_path / "o.csv"
    assert run(SMALL, "-o", target, "--plans", "mc-wire-first,emt")[0] == 0
    said = {(r["construction"], r["operation"]): r["count, start, stop"] for r in lines_of(target)}
    assert said["mc-wire", "route-cable"].startswith("count feet of cable with two 12 AWG (another: feet x its route")
    assert said["emt-wire", "run-raceway"].startswith("count feet of 1/2 in raceway")
    assert said["mc-wire", "connector"].startswith("count armor ends cut and prepared; start: ")


def test_the_page_how_to_time_fairly_says_what_matters(tmp_path: Path):
    path = tmp_path / "s.xlsx"
    run(SMALL, "-o", path, "--plans", "ac-first")
    text = " ".join(str(r[1].value) for r in openpyxl.load_workbook(path)["How to time fairly"].iter_rows())
    for word in (
        "de-energized",
        "never names",
        "Change the order",
        "trained observer",
        "reason why it is left out",
        "100",
    ):
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
            '--plans: is not a plan: "ca"; accepted: ac-first (AC first), mc-wire-first (MC wire EGC first), mc-armor-first (MC armor EGC first), ac-redundant-first (AC for patient care first), mc-redundant-first (MC for patient care first), emt (EMT throughout), emt-as-egc (EMT as EGC first)',
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
