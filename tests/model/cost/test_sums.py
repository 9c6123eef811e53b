"""Sums by circuit, area, make-up and operation against a recount of the boxes in the JSON file."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from takeoff.build import Build
from takeoff.report.output import write_outputs
from takeoff.report.results import results_of
from tests.priced import priced
from tests.swapping import minutes, on_grounds
from tests.tables import rows

SCHEDULE = """box,circuit,device,run_ft,fed_from,wires,area,space,repeat
A1,P-1,duplex,41,panel,,ward,general,3
A2,P-1,duplex,13,A1,,ward,general,
A3,P-1,gfci,8,A2,,pantry,general,
B1,P-2,duplex-hg,36,panel,,ward,patient-care,2
B2,P-2,duplex-hg,9,B1,,ward,patient-care,
C1,P-3,switch,27,panel,A N,pantry,damp,
C2,P-3,luminaire,11,C1,S1 N,pantry,damp,
D1,P-4,junction,64,panel,A N,,general,
D2,P-4,duplex,15,D1,,pantry,general,
"""
AREA = {line.split(",")[0]: line.split(",")[6] or "(no area)" for line in SCHEDULE.splitlines()[1:]}
PLANS = ("ac-first", "mc-wire-first", "mc-armor-first")
PER_BOX = ("circuit_terminations", "ground_terminations", "circuit_splices", "ground_splices")
CONDITIONS = '[areas.pantry]\noccupancy = "occupied"\n[circuits."P-3"]\nheight = "from-ladder"\n'


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Build:
    """Return a build in which circuits fall back, repeat, and lie in several areas under several conditions."""
    folder = tmp_path_factory.mktemp("sums")
    return priced(folder, schedule=SCHEDULE, compared=",".join(PLANS), toml=CONDITIONS)


@pytest.fixture(scope="module")
def results(built: Build) -> dict[str, Any]:
    """Return what the JSON file says, as it is read back."""
    found: dict[str, Any] = json.loads(json.dumps(results_of(built)))
    return found


def recount(
    results: dict[str, Any], plan: str, figure: str, by: Callable[[dict[str, Any]], object]
) -> dict[object, float]:
    """Return a figure of every box in a plan, as often as it is built, summed by what `by` reads of the box."""
    found: dict[object, float] = defaultdict(float)
    for box in results["boxes"]:
        if box["plan"] == plan:
            found[by(box)] += box["repeat"] * box.get(figure, 1)
    return dict(found)


@pytest.mark.parametrize("plan", PLANS)
def test_sums_by_circuit(built: Build, results: dict[str, Any], plan: str):
    mine = {r["circuit"]: r for r in rows(built, "verdicts", plan=plan)}
    minutes = recount(results, plan, "minutes", lambda b: b["circuit"])
    material = recount(results, plan, "material_cost", lambda b: b["circuit"])
    assert {c: r["hours"] * 60 for c, r in mine.items()} == pytest.approx(minutes)
    assert {c: r["material_usd"] for c, r in mine.items()} == pytest.approx(material)


@pytest.mark.parametrize("plan", PLANS)
def test_sums_by_area(built: Build, results: dict[str, Any], plan: str):
    mine = {r["area"]: r for r in rows(built, "area_totals", plan=plan)}
    minutes = recount(results, plan, "minutes", lambda b: AREA[b["box"]])
    material = recount(results, plan, "material_cost", lambda b: AREA[b["box"]])
    assert {a: r["hours"] * 60 for a, r in mine.items()} == pytest.approx(minutes)
    assert {a: r["material_usd"] for a, r in mine.items()} == pytest.approx(material)
    assert {a: r["boxes"] for a, r in mine.items()} == recount(results, plan, "", lambda b: AREA[b["box"]])
    said = results["plans"][plan]["areas"]
    assert {a: s["labor_hours"] * 60 for a, s in said.items()} == pytest.approx(minutes)


@pytest.mark.parametrize("plan", PLANS)
def test_sums_by_make_up(built: Build, results: dict[str, Any], plan: str):
    """Every make-up as often as its boxes are built, and its ends as often as they are made."""
    place = PLANS.index(plan) + 1
    boxes = {t["type"] for t in rows(built, "types", place="box")}
    makeup = {r["key"]: r for r in rows(built, "makeup")}
    mine = {r["key"]: r[f"count_{place}"] for r in rows(built, "built") if r["type"] in boxes}
    wanted = recount(results, plan, "", lambda b: f"{b['make_up']}|{b['wired_as']}")
    assert {key: count for key, count in mine.items() if count} == wanted
    for figure in PER_BOX:
        recounted = sum(recount(results, plan, figure, lambda b: b["make_up"]).values())
        assert sum(count * makeup[key][figure] for key, count in mine.items()) == recounted
        assert results["plans"][plan][figure] == recounted


def test_hours_for_grounds_are_all_hours_where_nothing_else_takes_time(tmp_path: Path):
    """In every area and plan; and none where only the rest takes time."""
    for grounds in (True, False):
        kept = minutes(lambda r: float(str(r["minutes"])) if on_grounds(r) is grounds else 0)  # noqa: B023
        build = priced(tmp_path / str(grounds), catalogs={"operations": kept})
        for area in rows(build, "area_totals"):
            assert area["hours"] > 0
            assert area["ground_hours"] == pytest.approx(area["hours"] if grounds else 0)


@pytest.mark.parametrize("plan", PLANS)
def test_the_sums_agree_with_each_other_and_with_those_by_operation(built: Build, results: dict[str, Any], plan: str):
    place = PLANS.index(plan) + 1
    minutes = sum(recount(results, plan, "minutes", lambda b: b["box"]).values())
    material = sum(recount(results, plan, "material_cost", lambda b: b["box"]).values())
    hours = (
        sum(r[f"hours_{place}"] for r in rows(built, "labor")),
        sum(r[f"hours_{place}"] for r in rows(built, "labor_lines")),
        sum(r["hours"] for r in rows(built, "verdicts", plan=plan)),
        sum(r["hours"] for r in rows(built, "area_totals", plan=plan)),
        sum(results["plans"][plan]["labor_hours_by_operation"].values()),
        results["plans"][plan]["labor_hours"],
    )
    assert hours == pytest.approx((minutes / 60,) * len(hours))
    costs = (
        sum(r[f"usd_{place}"] for r in rows(built, "material")),
        sum(r["material_usd"] for r in rows(built, "verdicts", plan=plan)),
        sum(r["material_usd"] for r in rows(built, "area_totals", plan=plan)),
        results["plans"][plan]["material_cost"],
    )
    assert costs == pytest.approx((material,) * len(costs))


def test_the_schedule_falls_back_and_repeats(results: dict[str, Any]):
    """What the recount is worth: several constructions in a plan, and circuits that are built more than once."""
    assert set(results["plans"]["ac-first"]["circuits_wired_as"]) == {"ac", "ac-redundant", "mc-wire"}
    assert {b["repeat"] for b in results["boxes"]} == {1, 2, 3}


def test_the_json_file_holds_the_same(built: Build, results: dict[str, Any], tmp_path: Path):
    write_outputs(built, tmp_path / "o.xlsx", tmp_path / "o.json")
    assert json.loads((tmp_path / "o.json").read_text(encoding="utf-8")) == results
