"""The order: pieces and coils by hand, packages rounded up once, two text files, and when a cutting plan is stale."""

from __future__ import annotations

import csv
import io
import os
from collections import Counter as Tally
from collections import defaultdict
from collections.abc import Callable
from itertools import takewhile
from math import ceil, fsum
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from typer.testing import CliRunner

from takeoff.build import Build, Options, compute
from takeoff.cli import app
from takeoff.model.order.cables import FILES, CableOrder
from takeoff.model.order.cutting import CUT_TO_LENGTH, FRESH, STALE
from takeoff.model.order.order import BY_PIECE
from takeoff.report.order_files import order_texts
from takeoff.report.output import write_outputs
from takeoff.report.results import results_of
from takeoff.text.targets import check_folder
from takeoff.workbook import writer
from tests.changes import Change, change_cells
from tests.conftest import SAMPLES, Counter
from tests.tables import NO_TAILS, called, row, rows, schedule

BARE = (*NO_TAILS, "cut_waste_ft=0")
"""Inputs with which a piece is as long as the run in the schedule."""

NO_WASTE = "family,waste_pct\ncable,0\nfitting,0\nbox,0\ncover,0\njoint,0\nsupport,0\nsmall,0\n"
COIL_250 = "package,family,item,counted_in,count,title,source\ncoil,cable,{},ft,250,coil of 250 ft,test\n"
ORDER_HEADER = "plan,item,description,package,holds,counted_in,packages,by"
CUTS_HEADER = "plan,cable,coil,coil_ft,box,circuit,time_built,cut_ft"


def order_of(build: Build, plan: str = "ac-first", item: str = "ac-12-2") -> CableOrder:
    return next(o for o in build.orders if (o.plan, o.item) == (plan, item))


def bought(found: object, item: str, plan: str = "ac-first") -> dict[str, float]:
    """Return the packages of an item that the results have for a plan."""
    return results_of(found.build)["plans"][plan]["packages"].get(item, {})  # type: ignore[attr-defined]


def home_runs(*lengths_ft: float) -> str:
    """Return a schedule of one box for each length, each on a circuit of its own."""
    return schedule(*({"box": f"B{n}", "circuit": f"P-{n}", "run_ft": ft} for n, ft in enumerate(lengths_ft, 1)))


def read(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_a_piece_is_the_run_with_its_tails_and_waste_at_both_ends(count: Counter):
    boxes = schedule({}, {"box": "Y", "run_ft": 12, "fed_from": "X"}, {"box": "Z", "run_ft": 7.5, "fed_from": "X"})
    found = count(boxes, "box_tail_ft=1.25", "panel_tail_ft=7", "cut_waste_ft=0.75", compared="ac-first")
    order = order_of(found.build)
    # home run: panel 7, box 1.25; between boxes: 1.25 twice; 0.75 lost at either end of each
    wanted = {"X": 20 + 7 + 1.25 + 1.5, "Y": 12 + 2.5 + 1.5, "Z": 7.5 + 2.5 + 1.5}
    assert {p.box: p.cut_ft for p in order.pieces} == wanted
    assert order.run_ft == pytest.approx(20 + 7 + 1.25 + 12 + 2.5 + 7.5 + 2.5)
    assert row(found, "cable_orders")["longest_ft"] == 29.75


def test_a_piece_is_rounded_up_to_a_hundredth_of_a_foot(count: Counter):
    found = count("box,circuit,device,run_m\nX,P-1,junction,10\n", *BARE, compared="ac-first")
    # 10 m are 32.8084 ft by the international foot of 0.3048 m
    assert [p.cut_ft for p in order_of(found.build).pieces] == [ceil(10 / 0.3048 * 100) / 100] == [32.81]


def test_a_circuit_that_is_built_again_is_cut_again(count: Counter):
    found = count(schedule({"repeat": 3}, {"box": "Y", "run_ft": 12, "fed_from": "X"}), *BARE, compared="ac-first")
    pieces = [(p.box, p.time, p.cut_ft) for p in order_of(found.build).pieces]
    assert sorted(pieces) == [("X", 1, 20), ("X", 2, 20), ("X", 3, 20), ("Y", 1, 12), ("Y", 2, 12), ("Y", 3, 12)]
    # 96 ft come from one coil
    assert bought(found, "ac-12-2") == {"cable-coil": 1}


def test_raceway_is_no_cable_and_is_bought_by_its_length(count: Counter):
    found = count(schedule({"run_ft": 95}), "panel_tail_ft=6", "box_tail_ft=1", compared="emt")
    assert list(found.build.orders) == []
    # raceway has no tails: 95 ft and 5 % waste in lengths of 10 ft
    assert bought(found, "emt-1/2", "emt") == {"raceway-length": 10}
    # hot, neutral and EGC, each 95 + 7 ft and 4 % waste, from spools of 500 ft
    assert bought(found, "wire-12", "emt") == {"wire-spool": 1}
    assert read(order_texts(found.build)["cuts.csv"]) == []
    assert row(found, "order_state")["open"] == 0


def test_the_cut_list_needs_a_coil_more_than_total_feet_suggest(count: Counter):
    """Runs of 130, 130, 130, 130, 90, 90 ft: 700 ft are 3 coils of 250 ft; no two of 130 ft come from one coil."""
    text = home_runs(130, 130, 130, 130, 90, 90)
    found = count(text, *BARE, compared="ac-first", families=NO_WASTE, packages=COIL_250.format("ac-12-2"))
    order = order_of(found.build)
    assert (sum(p.cut_ft for p in order.pieces), order.run_ft) == (700, 700)
    line = row(found, "cable_orders")
    assert (line["with_waste_ft"], line["plain_packages"], line["plain_ft"]) == (700, 3, 750)
    assert (line["coils"], line["bought_ft"], line["against_plain_ft"]) == (4, 1000, 250)
    assert (line["bound_ft"], line["gap_ft"], line["leftover_ft"]) == (1000, 0, 300)
    assert bought(found, "ac-12-2") == {"coil": 4}
    (listed,) = rows(found, "order_list", item="ac-12-2")
    assert (listed["package"], listed["holds"], listed["buy_1"]) == ("coil", 250, 4)
    # in no coil more than there is, and 130 ft once in each
    assert all(c.used_ft <= 250 for c in order.cutting.coils)
    assert [sum(order.pieces[n].cut_ft == 130 for n in c.pieces) for c in order.cutting.coils] == [1] * 4


def test_the_plain_figure_is_feet_with_waste_in_the_shortest_package(count: Counter):
    waste = NO_WASTE.replace("cable,0", "cable,10")
    line = row(count(home_runs(120, 120), *BARE, compared="ac-first", families=waste), "cable_orders")
    # 240 ft fit a coil of 250; with 10 % waste they are 264
    assert (line["with_waste_ft"], line["plain_packages"], line["plain_ft"]) == (pytest.approx(264), 2, 500)
    assert (line["coils"], line["bought_ft"], line["against_plain_ft"]) == (1, 250, -250)
    price = row(count(home_runs(120, 120), compared="ac-first"), "unit_costs", item="ac-12-2")["bare_usd"]
    assert line["against_waste_usd"] == pytest.approx((250 - 264) * price)


def test_a_run_longer_than_every_package_is_ordered_at_its_own_length(count: Counter):
    found = count(home_runs(1200, 1100.5, 30), *BARE, compared="ac-first")
    order = order_of(found.build)
    assert [order.pieces[n].box for n in order.cutting.too_long] == ["B1", "B2"]
    assert bought(found, "ac-12-2") == {"cable-coil": 1, CUT_TO_LENGTH: 2300.5}
    line = row(found, "cable_orders")
    assert (line["too_long"], line["bought_ft"], line["bound_ft"]) == (2, 2550.5, 2550.5)
    listed = {r["package"]: (r["holds"], r["buy_1"]) for r in rows(found, "order_list", item="ac-12-2")}
    assert listed == {"cable-coil": (250, 1), "cable-reel": (1000, 0), CUT_TO_LENGTH: (1, 2300.5)}
    coils = [(r["package"], r["length_ft"], r["leftover_ft"]) for r in rows(found, "coils")]
    assert coils == [("cable-coil", 250, 220), (CUT_TO_LENGTH, 1200, 0), (CUT_TO_LENGTH, 1100.5, 0)]
    texts = order_texts(found.build)
    said = [(r["package"], r["holds"], r["packages"]) for r in read(texts["order.csv"]) if r["item"] == "ac-12-2"]
    assert said == [("cable-coil", "250", "1"), (CUT_TO_LENGTH, "1", "2300.5")]
    assert sorted((r["box"], r["coil_ft"], r["cut_ft"]) for r in read(texts["cuts.csv"])) == [
        ("B1", "1200", "1200"),
        ("B2", "1100.5", "1100.5"),
        ("B3", "250", "30"),
    ]


def test_packages_are_rounded_up_once_for_the_job(count: Counter):
    """Three circuits of nine boxes: a carton of 25 for each circuit would be three, for the job two do."""
    text = schedule(
        *(
            {"box": f"B{c}{n}", "circuit": f"P-{c}", "run_ft": 9, "fed_from": f"B{c}{n - 1}" if n else "panel"}
            for c in (1, 3, 5)
            for n in range(9)
        )
    )
    found = count(text, compared="ac-first", families=NO_WASTE)
    used = found.total("boxes", "ac-first")
    assert used == {"square-4x1.5": 27}
    assert bought(found, "square-4x1.5") == {"box-carton": 2}
    # a connector at both ends of 27 runs, cartons of 50
    assert bought(found, "ac-connector-3/8") == {"fitting-carton": 2}
    with_waste = count(text, compared="ac-first", families=NO_WASTE.replace("box,0", "box,100"))
    assert bought(with_waste, "square-4x1.5") == {"box-carton": 3}


def test_an_exactly_full_package_is_not_followed_by_an_empty_one(count: Counter):
    found = count(home_runs(*[30] * 25), compared="ac-first", families=NO_WASTE)
    assert bought(found, "square-4x1.5") == {"box-carton": 1}
    assert bought(found, "ac-connector-3/8") == {"fitting-carton": 1}


def test_a_package_of_the_item_goes_before_that_of_its_family(count: Counter):
    bag = "package,family,item,counted_in,count,title,source\nbag,fitting,ac-connector-3/8,ea,7,bag of 7,test\n"
    found = count(home_runs(*[30] * 25), compared="ac-first,mc-wire-first", families=NO_WASTE, packages=bag)
    assert bought(found, "ac-connector-3/8") == {"bag": ceil(50 / 7)}
    assert bought(found, "mc-connector-3/8", "mc-wire-first") == {"fitting-carton": 1}


def test_an_item_without_a_package_is_bought_by_the_piece(count: Counter):
    families = "family,title,waste_pct,source\nodd,what no package holds,0,test\n"
    text = home_runs(*[30] * 7)
    item = "square-4x1.5"
    found = count(text, compared="ac-first", families=families, prices=f"item,family\n{item},odd\n")
    assert bought(found, item) == {BY_PIECE: 7}


def test_a_shorter_package_in_a_catalog_of_the_user_is_cut_from_too(count: Counter):
    short = "package,family,item,counted_in,count,title,source\nshort,cable,none,ft,100,coil of 100 ft,test\n"
    found = count(home_runs(95, 240), *BARE, compared="ac-first", packages=short)
    assert bought(found, "ac-12-2") == {"short": 1, "cable-coil": 1}
    assert row(found, "cable_orders")["shortest_ft"] == 100


def test_every_run_of_every_plan_is_cut_exactly_once(sample_build: Build):
    """Of the schedule: each box as often as its circuit is built, in each plan that wires it in cable."""
    text = order_texts(sample_build)["cuts.csv"]
    assert text.splitlines()[0] == CUTS_HEADER
    found = Tally((r["plan"], r["circuit"], r["box"], int(r["time_built"])) for r in read(text))
    wanted = Tally(
        (box["plan"], box["circuit"], box["box"], time)
        for box in results_of(sample_build)["boxes"]
        if box["wired_as"] != "emt-wire"
        for time in range(1, box["repeat"] + 1)
    )
    own = [line for line in rows(sample_build, "control_lines") if line["cables"]]
    circuits = {box.source.box: box.circuit.name for box in sample_build.job.boxes}
    wanted.update((line["plan"], circuits[line["box"]], line["box"], 1) for line in own)  # a control cable of its own
    assert found == wanted
    assert set(found.values()) == {1, 2}
    assert sum(count == 2 for count in found.values()) == len(own) == 10


def test_no_coil_gives_more_than_it_has(sample_build: Build):
    used: dict[tuple[str, str, str, float], list[float]] = defaultdict(list)
    for r in read(order_texts(sample_build)["cuts.csv"]):
        used[r["plan"], r["cable"], r["coil"], float(r["coil_ft"])].append(float(r["cut_ft"]))
    assert used
    assert all(fsum(cuts) <= coil[-1] for coil, cuts in used.items())


def test_text_files_results_and_workbook_hold_one_order(sample_build: Build, sample_workbook: Path):
    text = order_texts(sample_build)["order.csv"]
    assert text.splitlines()[0] == ORDER_HEADER
    lines = read(text)
    by_text = {(r["plan"], r["item"], r["package"]): float(r["packages"]) for r in lines}
    by_json = {
        (plan, item, package): number
        for plan, totals in results_of(sample_build)["plans"].items()
        for item, packages in totals["packages"].items()
        for package, number in packages.items()
    }
    by_sheet = {
        (plan, r["item"], r["package"]): r[f"packages as {called(plan)}, ea"]
        for plan in sample_build.frame.compared
        for r in sheet_of(sample_workbook, "item")
        if r[f"packages as {called(plan)}, ea"]
    }
    assert by_text == by_json == by_sheet
    # feet of the coils in the order are those that the cutting plan cuts from
    coils = {
        (r["plan"], r["cable"], r["coil"]): float(r["coil_ft"]) for r in read(order_texts(sample_build)["cuts.csv"])
    }
    feet: dict[tuple[str, str], float] = defaultdict(float)
    for (plan, cable, _), length in coils.items():
        feet[plan, cable] += length
    ordered: dict[tuple[str, str], float] = defaultdict(float)
    for r in lines:
        if r["by"] == "cutting plan":
            ordered[r["plan"], r["item"]] += float(r["holds"]) * float(r["packages"])
    assert feet == ordered


def test_the_cutting_plan_covers_the_feet_that_are_priced(sample_build: Build):
    """The cut pieces less end waste are the feet of the material list before its waste, cable by cable."""
    end_waste = float(sample_build.inputs["cut_waste_ft"])
    now = {(r["plan"], r["item"]): r["now_ft"] for r in rows(sample_build, "cable_bought")}
    plan_of = {"AC first": "ac-first", "MC wire EGC first": "mc-wire-first", "MC armor EGC first": "mc-armor-first"}
    for line in rows(sample_build, "cable_orders"):
        assert line["cut_ft"] - 2 * end_waste * line["runs"] == pytest.approx(now[plan_of[line["plan"]], line["item"]])
        assert line["bound_ft"] <= line["bought_ft"]
        assert line["cut_ft"] <= line["bought_ft"]
        assert line["state"] == FRESH


def test_what_whole_coils_cost_beyond_the_estimate_is_said_by_plan(count: Counter):
    """A run of 30 ft is priced with 5 % waste, 31.5 ft; the supplier sells a coil of 250 ft."""
    found = count(home_runs(30), *BARE, compared="ac-first,emt")
    price = row(found, "unit_costs", item="ac-12-2")["bare_usd"]
    said = {r["plan"]: (r["bought_ft"], r["beyond_usd"]) for r in rows(found, "order_plans")}
    assert said == {"AC first": (250, pytest.approx((250 - 31.5) * price)), "EMT throughout": (0, 0)}


def order_by_command(tmp_path: Path, folder: str, *more: str) -> tuple[int, str]:
    command = ["build", str(SAMPLES / "small.csv"), "-o", str(tmp_path / "o.xlsx"), "--order", str(tmp_path / folder)]
    done = CliRunner().invoke(app, [*command, "--quiet", *more])
    return done.exit_code, done.stderr


def test_the_folder_is_made_and_what_stands_in_it_is_replaced(tmp_path: Path):
    assert order_by_command(tmp_path, "order") == (0, "")
    assert sorted(p.name for p in (tmp_path / "order").iterdir()) == sorted(FILES)
    texts = {name: (tmp_path / "order" / name).read_text(encoding="utf-8") for name in FILES}
    path = tmp_path / "order" / "order.csv"
    path.write_text(path.read_text(encoding="utf-8").splitlines()[0] + "\nan old one\n", encoding="utf-8")
    (tmp_path / "order" / "mine.csv").write_text("mine")
    assert order_by_command(tmp_path, "order") == (0, "")
    assert {name: (tmp_path / "order" / name).read_text(encoding="utf-8") for name in FILES} == texts
    assert (tmp_path / "order" / "mine.csv").read_text() == "mine"


def test_a_folder_that_is_a_file_is_refused(tmp_path: Path):
    (tmp_path / "order").write_text("mine")
    message = f"{tmp_path / 'order'}: is a file, not a folder; give the name of a folder\n"
    assert order_by_command(tmp_path, "order") == (2, message)
    assert (tmp_path / "order").read_text() == "mine"


def test_a_folder_in_a_missing_folder_is_refused(tmp_path: Path):
    message = f"{tmp_path / 'none/order'}: lies in a folder that does not exist; make the folder first\n"
    assert order_by_command(tmp_path, "none/order") == (2, message)
    assert list(tmp_path.iterdir()) == []


def test_the_folder_of_the_catalogs_is_refused(tmp_path: Path):
    own = tmp_path / "own"
    own.mkdir()
    (own / "packages.csv").write_text("package,count\ncable-coil,200\n")
    code, said = order_by_command(tmp_path, "own", "--catalogs", str(own))
    assert code == 2
    assert said.splitlines() == [f"{own / n}: is read by this build; give another name" for n in FILES]
    assert [p.name for p in own.iterdir()] == ["packages.csv"]


def test_a_file_of_the_order_that_is_another_output_is_refused(tmp_path: Path):
    (tmp_path / "order").mkdir()
    code, said = order_by_command(tmp_path, "order", "--json", str(tmp_path / "order" / "order.csv"))
    assert (code, said) == (2, f"{tmp_path / 'order' / 'order.csv'}: is another output too; two names for two files\n")


def test_a_schedule_in_the_folder_is_never_overwritten(tmp_path: Path):
    (tmp_path / "order.csv").write_text(schedule({}))
    problems = check_folder(tmp_path, FILES, [tmp_path / "order.csv"])
    assert [p.message for p in problems] == ["is read by this build"]


@pytest.mark.parametrize("made", [True, False])
def test_a_folder_that_may_not_be_written_to_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, made: bool):
    folder = tmp_path / "order"
    if made:
        folder.mkdir()
    monkeypatch.setattr(os, "access", lambda *_: False)
    problems = check_folder(folder, FILES, [])
    wanted = "lies in a folder that may not be written to"
    assert [p.message for p in problems] == ([wanted] * len(FILES) if made else [wanted])


@pytest.mark.parametrize("made", [True, False])
def test_nothing_of_the_order_is_written_where_the_workbook_is_not(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, made: bool
):
    def locked(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    if made:
        (tmp_path / "order").mkdir()
        (tmp_path / "order" / "order.csv").write_text("the old one")
    before = sorted(tmp_path.rglob("*"))
    monkeypatch.setattr(writer, "save", locked)
    assert order_by_command(tmp_path, "order")[0] == 2
    assert sorted(tmp_path.rglob("*")) == before
    if made:
        assert (tmp_path / "order" / "order.csv").read_text() == "the old one"


COIL, CARTON = (
    Change(package, "Prices", package, "holds, ft or ea (input)", count)
    for package, count in (("cable-coil", 200), ("fitting-carton", 1))
)


def run(box: str, run_ft: float) -> Change:
    return Change("run", "Schedule", box, "run, ft (input)", run_ft)


STALE_BY = (
    # a carton is no coil: what is counted by quantity follows at once, and makes nothing stale
    ([run("X", 55.0), CARTON], 2, {"ac-12-2"}),
    ([run("X", 45.0), run("Z", 15.0)], 1, set()),
    ([run("X", 40.0004), COIL], 2, set()),
)
"""Changes in the workbook; what is then open; the cables whose own plan is stale. One plan is compared."""


@pytest.mark.libreoffice
def test_a_cutting_plan_is_stale_where_a_run_or_a_coil_was_changed(
    recalculate: Callable[[list[Path]], list[Path]], tmp_path: Path
):
    """A longer run moves its cable and its plan; two that outweigh each other the plan; a coil both its cables."""
    boxes = (
        {"run_ft": 40, "repeat": 2},
        {"box": "Y", "circuit": "P-3", "device": "equipment-3p", "wires": "A B C", "run_ft": 60},
        {"box": "Z", "circuit": "P-5", "run_ft": 25},
    )
    (tmp_path / "s.csv").write_text(schedule(*boxes), encoding="utf-8")
    build = compute(Options(tmp_path / "s.csv", None, None, (), "ac-first"))
    assert row(build, "order_state")["open"] == 0
    write_outputs(build, tmp_path / "o.xlsx", None)
    files = [tmp_path / f"changed-{n}.xlsx" for n in range(len(STALE_BY))]
    for file, (changes, _, _) in zip(files, STALE_BY, strict=True):
        change_cells(tmp_path / "o.xlsx", file, changes)
    found = recalculate(files)
    for again, (_, is_open, stale) in zip(found, STALE_BY, strict=True):
        (state,), cables = sheet_of(again, "order"), sheet_of(again, "plan", "cable")
        assert (state["cutting plans"], state["cables, plans and coils changed since the build, ea"]) == (
            STALE,
            is_open,
        )
        title = {key: build.catalogs["prices"][key]["title"] for key in ("ac-12-2", "ac-12-3")}
        assert {r["cable"] for r in cables if r["cutting plan"] == STALE} == {title[key] for key in stale}
        assert {r["cable"] for r in cables if r["cutting plan"] == FRESH} == {
            title[key] for key in {"ac-12-2", "ac-12-3"} - stale
        }
    # four runs have eight connectors, with 2 % waste nine pieces
    pieces = {r["item"]: r["packages as AC first, ea"] for r in sheet_of(found[0], "item")}
    assert pieces["ac-connector-3/8"] == 9


def sheet_of(path: Path, *first: str) -> list[dict[str, Any]]:
    """Return the rows of a table of the sheet Order by heading: the table at the left whose first headings are given."""
    sheet = pd.read_excel(path, sheet_name="Order", header=None)
    heads = [n for n, line in sheet.iterrows() if tuple(line[: len(first)]) == first]
    lines = sheet.iloc[heads[0] :]
    names = list(takewhile(lambda name: not pd.isna(name), lines.iloc[0]))
    found = []
    for _, line in lines.iloc[1:].iterrows():
        if pd.isna(line[0]):
            break
        found.append(dict(zip(names, line, strict=False)))
    return found


def test_cutting_plans_of_a_fresh_build_are_as_on_the_build(count: Counter):
    """What the sheet says while nothing changed since."""
    state = row(count(home_runs(120, 120), *BARE, compared="ac-first"), "order_state")
    assert (state["open"], state["state"]) == (0, "as on the build")
