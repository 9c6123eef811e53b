"""A whole job estimated by hand, line by line, as on a spreadsheet: what a build must come to.

Three circuits, each a home run of 120 ft to a duplex receptacle in a 4 in square box; 80 USD/h. Minutes and prices are
invented for the estimate; how often each is counted follows from 250.148, 250.146 and 110.14(A) of the NEC.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from takeoff.build import Build
from tests.copies import number, worked
from tests.priced import priced
from tests.swapping import minutes, prices
from tests.tables import NO_TAILS, row, rows, schedule

LINES = worked("estimate")
PLANS = {"wire": "mc-wire-first", "armor": "mc-armor-first"}
SETS = (*NO_TAILS, "cut_waste_ft=0", "labor_rate_usd_per_h=80", "overhead_pct=10", "profit_pct=10")
COILS = "package,family,item,counted_in,count,title,source\n" + "".join(
    f"of-{item},cable,{item},ft,250,coil of 250 ft,test\n" for item in ("mc-wire-12-2", "mc-armor-12-2")
)


def of(kind: str) -> list[dict[str, str]]:
    return [line for line in LINES if line["kind"] == kind]


def estimated(folder: Path, *sets: str) -> Build:
    said = {kind: {line["key"]: number(line["price"]) for line in of(kind)} for kind in ("minutes", "price")}
    return priced(
        folder,
        *SETS,
        *sets,
        schedule=schedule({"device": "duplex", "run_ft": 120, "repeat": 3}),
        compared=",".join(PLANS.values()),
        catalogs={
            "operations": minutes(lambda r: said["minutes"].get(str(r["operation"]), 0)),
            "prices": prices(lambda r: said["price"].get(str(r["item"]), float(str(r["price_usd"])))),
            "families": "family,waste_pct\ncable,5\nbox,0\ncover,0\nfitting,0\njoint,0\n",
            "uses": "use,quantity\n" + "".join(f"{r['use']},0\n" for r in USES),
            "packages": COILS,
        },
    )


USES = [
    {"use": name}
    for name in ("cable-strap", "ground-screw", "ground-pigtail", "ground-tail", "circuit-pigtail", "box-fastener")
]
"""Small parts are left out of the estimate."""


@pytest.fixture(scope="module")
def build(tmp_path_factory: pytest.TempPathFactory) -> Build:
    return estimated(tmp_path_factory.mktemp("estimate"))


def test_the_amounts_of_the_estimate_are_those_of_its_arithmetic() -> None:
    """The sheet itself: lines add up to its totals, totals to the bid."""
    for plan in PLANS:
        total = {line["key"]: number(line[plan]) for line in of("total")}
        assert sum(number(line[plan]) for line in of("minutes")) / 60 == pytest.approx(total["labor_hours"])
        assert sum(number(line[plan]) for line in of("price")) == pytest.approx(total["material_cost"])
        assert total["labor_hours"] * 80 == pytest.approx(total["labor_cost"])
        assert total["labor_cost"] + total["material_cost"] == pytest.approx(total["installed_cost"])
        assert round(total["installed_cost"] * 1.21) == number(of("bid")[0][plan])


@pytest.mark.parametrize("plan", PLANS)
def test_every_line_total_and_bid(build: Build, plan: str) -> None:
    place = list(PLANS).index(plan) + 1
    labor = {r["operation"]: r[f"hours_{place}"] * 60 for r in rows(build, "labor") if r[f"hours_{place}"]}
    assert labor == pytest.approx({line["key"]: number(line[plan]) for line in of("minutes") if number(line[plan])})
    bought = {r["item"]: r[f"usd_{place}"] for r in rows(build, "material") if r[f"usd_{place}"]}
    assert bought == pytest.approx({line["key"]: number(line[plan]) for line in of("price") if number(line[plan])})
    sums = row(build, "plan_sums", plan=PLANS[plan])
    assert {line["key"]: sums[line["key"]] for line in of("total")} == pytest.approx(
        {line["key"]: number(line[plan]) for line in of("total")}
    )
    assert row(build, "bid", plan=PLANS[plan])["bid_usd"] == number(of("bid")[0][plan])


def test_the_coil_remainder(tmp_path: Path) -> None:
    packages = estimated(tmp_path, "cable_priced_by=packages")
    for plan, key in PLANS.items():
        sums = row(packages, "plan_sums", plan=key)
        for line in of("packages"):
            assert sums[line["key"]] == pytest.approx(number(line[plan])), (plan, line["key"])


def test_the_break_evens(build: Build) -> None:
    found = row(build, "decision")
    assert row(build, "pair")["first_plan"] == PLANS["wire"]
    for line in of("decision"):
        assert found[line["key"]] == pytest.approx(number(line["wire"])), line["key"]
