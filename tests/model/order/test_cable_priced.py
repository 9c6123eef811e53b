"""Cable in the price: by feet, in whole packages, less what keeps its value; worked by hand, and what stays by the foot."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from takeoff.build import Build, Options, compute
from takeoff.report.output import write_outputs
from tests import office
from tests.changes import Change, change_cells
from tests.conftest import SAMPLES, Counted, Counter
from tests.copies import worked
from tests.tables import NO_TAILS, row, rows, schedule

BARE = (*NO_TAILS, "cut_waste_ft=0")
COILS = "package,family,item,counted_in,count,title,source\n"
COIL_250 = COILS + "only-250,cable,ac-12-2,ft,250,coil of 250 ft,test\n"
WAYS = ("feet", "packages", "packages-less-stock")


def home_runs(*lengths_ft: float) -> str:
    return schedule(*({"box": f"B{n}", "circuit": f"P-{n}", "run_ft": ft} for n, ft in enumerate(lengths_ft, 1)))


def priced(count: Counter, *lengths_ft: float, **inputs: object) -> Counted:
    sets = (*BARE, *(f"{name}={value}" for name, value in inputs.items()))
    return count(home_runs(*lengths_ft), *sets, compared="ac-first", packages=COIL_250)


@pytest.mark.parametrize("case", worked("cable_priced"), ids=lambda c: c["id"])
def test_the_coil_remainder_worked_by_hand(count: Counter, case: dict[str, str]):
    inputs = {name: case[name] for name in ("cable_priced_by", "stock_value_pct")}
    runs = [float(ft) for ft in case["runs_ft"].split()]
    sums = row(priced(count, *runs, **inputs), "plan_sums")
    by_feet = row(priced(count, *runs), "plan_sums")
    assert sums["coil_remainder"] == pytest.approx(float(case["remainder_usd"]))
    assert sums["feet_material"] == pytest.approx(by_feet["material_cost"])
    assert sums["material_cost"] == pytest.approx(by_feet["material_cost"] + float(case["remainder_usd"]))
    assert sums["installed_cost"] - by_feet["installed_cost"] == pytest.approx(float(case["remainder_usd"]))


def test_the_bid_follows_with_escalation_and_tax_on_a_line_of_its_own(count: Counter):
    """122 ft at 0.78 USD; catalog prices of 2026-01-01 rise 4 % a year to 2026-12-31 (364 days), 7 % tax on all."""
    more = {"install_date": "2026-12-31", "material_tax_pct": 7}
    feet, packages = (priced(count, 120, 120, 120, cable_priced_by=way, **more) for way in WAYS[:2])
    before, after = row(feet, "bid"), row(packages, "bid")
    bare, escalation = 122 * 0.78, 122 * 0.78 * 0.04 * 364 / 365
    assert (before["coil_usd"], after["coil_usd"]) == (0, pytest.approx(bare))
    assert after["today_usd"] == pytest.approx(before["today_usd"])
    assert after["escalation_usd"] - before["escalation_usd"] == pytest.approx(escalation)
    assert after["tax_usd"] - before["tax_usd"] == pytest.approx(0.07 * (bare + escalation))
    # 10 % overhead, 8 % profit on cost, rounded to a dollar
    gap = (bare + escalation) * 1.07
    assert after["unrounded_usd"] - before["unrounded_usd"] == pytest.approx(gap * 1.10 * 1.08)
    assert row(packages, "plan_sums")["coil_remainder"] == pytest.approx(gap)


def test_boxes_circuits_areas_and_the_swap_stay_by_the_foot_and_the_sums_still_add_up():
    feet, packages = (
        compute(Options(SAMPLES / "two-story.csv", inputs=SAMPLES / "bid.toml", sets=(f"cable_priced_by={way}",)))
        for way in WAYS[:2]
    )
    for table, name in (
        ("each", "material_usd"),
        ("verdicts", "installed_usd"),
        ("area_totals", "installed_usd"),
        ("swap", "gross_usd"),
        ("simplicity", "simplicity_usd"),
    ):
        assert list(packages.book.values(table, name)) == list(feet.book.values(table, name)), table
    for sums in rows(packages, "plan_sums"):
        areas = sum(a["installed_usd"] for a in rows(packages, "area_totals", plan=sums["plan"]))
        assert sums["installed_cost"] == pytest.approx(areas + sums["coil_remainder"])
        assert sums["coil_remainder"] != 0
        parts = sum(p["usd"] for p in rows(packages, "parts", plan=sums["plan"]))
        assert parts == pytest.approx(sums["installed_cost"])  # what totals rest on is a share of all of it
    assert packages.book.values("proofs", "open").sum() == 0
    assert "material = material by area + coil remainder" in set(packages.book.values("proofs", "proof"))


def test_the_three_ways_stand_beside_each_other_whatever_is_chosen():
    """Each way is what the total becomes where it is chosen."""
    builds = {w: compute(Options(SAMPLES / "two-story.csv", sets=(f"cable_priced_by={w}",))) for w in WAYS}
    columns = dict(zip(WAYS, ("feet_usd", "packages_usd", "less_stock_usd"), strict=True))
    for build in builds.values():
        for way, column in columns.items():
            expected = builds[way].book.values("plan_sums", "installed_cost")
            assert list(build.book.values("cable_priced", column)) == pytest.approx(list(expected)), way


def moving(count: Counter) -> Build:
    """Wire-type cable is dearer by the foot; the other comes on reels of 1000 ft alone."""
    packages = COILS + "reel,cable,ac-12-2,ft,1000,reel of 1000 ft,test\nonly-250,cable,mc-wire-12-2,ft,250,coil,test\n"
    found = count(home_runs(120, 120, 120), *BARE, compared="ac-first,mc-wire-first", packages=packages)
    return found.build


def test_it_is_said_where_the_order_of_the_plans_changes(count: Counter):
    build = moving(count)
    found = {line["plan"]: line for line in rows(build, "cable_priced")}
    assert [found[p]["feet_place"] for p in ("ac-first", "mc-wire-first")] == [1, 2]
    assert [found[p]["packages_place"] for p in ("ac-first", "mc-wire-first")] == [2, 1]
    assert [found[p]["moves"] for p in found] == [1, 1]
    one = priced(count, 120, 120, 120)
    assert row(one, "cable_priced")["moves"] == 0


def test_a_job_without_cable_is_priced_alike_in_every_way(count: Counter):
    for way in WAYS:
        found = count(home_runs(30), f"cable_priced_by={way}", compared="emt")
        assert row(found, "plan_sums")["coil_remainder"] == 0
        assert row(found, "cable_priced")["state"] == "as on the build"


CHOICE = Change("way", "Inputs", "cable_priced_by", "value (input)", "packages-less-stock")
RUN = Change("run", "Schedule", "B2", "run, ft (input)", 130)
COIL = Change("coil", "Prices", "only-250", "holds, ft or ea (input)", 300)
TRADED = [Change("run", "Schedule", f"B{n}", "run, ft (input)", ft) for n, ft in ((1, 110), (2, 130))]


@pytest.mark.libreoffice
def test_the_choice_is_live_and_a_stale_plan_is_said_beside_the_price(
    recalculate: Callable[[list[Path]], list[Path]], count: Counter, tmp_path: Path
):
    built = priced(count, 120, 120, 120).build
    write_outputs(built, tmp_path / "o.xlsx", None)
    chosen = priced(count, 120, 120, 120, cable_priced_by="packages-less-stock").build
    write_outputs(chosen, tmp_path / "chosen.xlsx", None)
    changes = ([CHOICE], [CHOICE, RUN], [CHOICE, COIL], [CHOICE, *TRADED])
    files = [tmp_path / f"changed-{n}.xlsx" for n in range(len(changes))]
    for file, made in zip(files, changes, strict=True):
        change_cells(tmp_path / "o.xlsx", file, made)
    again = recalculate(files)
    formulas = office.formulas(tmp_path / "chosen.xlsx")
    assert list(office.differences(office.values(tmp_path / "chosen.xlsx"), office.values(again[0]), formulas)) == []
    states = [{v for (s, _), v in office.values(f).items() if s == "Breakdown"} for f in again]
    assert ["STALE: build again" in found for found in states] == [False, True, True, True]


def test_a_plan_priced_in_every_way_is_said_to_the_cent(count: Counter):
    """33.3 ft at 0.78 USD a foot, 25.974 USD: with labor and the rest of the material that is no whole cent."""
    counted = priced(count, 33.3)
    ways, plan = row(counted, "cable_priced"), row(counted, "plan_sums")
    exact = plan["labor_cost"] + plan["material_cost"]
    assert abs(exact * 100 - round(exact * 100)) > 1e-6
    assert ways["feet_usd"] == round(exact, 2)
    assert all(
        ways[n] * 100 == pytest.approx(round(ways[n] * 100), abs=1e-9) for n in ("packages_usd", "less_stock_usd")
    )
