"""Route factors that are invented: the hours that they add or take off stay invented when all else is stated.

Worked by hand: 100 ft of cable at 0.16 min for a foot take 16 min at a factor of 1, 16 x factor at another.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from takeoff.build import Build
from takeoff.model.givens.cables import cable_of
from takeoff.report.standing import still_invented
from tests.model.cost.test_basis import LENGTHS, RATES, catalog, overlay, sourced
from tests.priced import priced
from tests.tables import row, rows, schedule

RUN = schedule({"run_ft": 100, "awg": 10, "breaker_a": 30})
FOUR_RUNS = schedule({"run_ft": 100, "awg": 10, "breaker_a": 30, "repeat": 4, "area": "shaft"})


def factored(folder: Path, source: str, cables: dict[str, float], **more: object) -> Build:
    """Build with minutes, prices, waste, boxes and rates stated; cables are sheath items with their route factors."""
    laid = [
        {**r, "route_factor": str(cables[r["sheath_item"]]), "route_source": source}
        for r in catalog("cables")
        if r["sheath_item"] in cables
    ]
    told = sourced(cables=overlay("cables", laid))
    return priced(folder, *LENGTHS, *RATES, catalogs=told, **{"schedule": RUN, **more})


@pytest.mark.parametrize(("factor", "minutes"), [(1.15, 2.4), (0.8, 3.2), (1, 0)])
def test_an_invented_factor_leaves_the_hours_invented_that_it_adds_or_takes_off(
    tmp_path: Path, factor: float, minutes: float
) -> None:
    build = factored(tmp_path, "illustrative", {"mc-wire-10-2": factor, "ac-10-2": 1})
    hours = {r["plan"]: r["invented_hours"] for r in rows(build, "parts", part="labor")}
    assert hours == pytest.approx({"ac-first": 0, "mc-wire-first": minutes / 60}, abs=1e-9)
    labor = row(build, "parts", part="labor", plan="mc-wire-first")
    assert labor["sound_usd"] == pytest.approx((labor["hours"] - minutes / 60) * 70)
    found = {f["key"]: f["weight_usd"] for f in still_invented(build.book) if f["weight_usd"]}
    assert found == pytest.approx({"mc-wire": minutes / 60 * 70} if minutes else {})


def test_a_stated_factor_weighs_nothing(tmp_path: Path) -> None:
    build = factored(tmp_path, "our own log", dict.fromkeys(("ac-10-2", "mc-wire-10-2"), 1.15))
    assert {r["invented_hours"] for r in rows(build, "parts")} == {0}
    assert still_invented(build.book) == []


def test_two_factors_invented_apart_count_both_in_the_difference_of_two_plans(tmp_path: Path) -> None:
    """2.4 min of the one and 3.2 min of the other, four times built, at 1.45 times the minutes from a scaffold."""
    build = factored(
        tmp_path,
        "illustrative",
        {"mc-wire-10-2": 1.15, "ac-10-2": 0.8},
        schedule=FOUR_RUNS,
        toml='[areas."shaft"]\nheight = "from-scaffold"\n',
    )
    found = row(build, "pair_parts", part="labor")
    assert found["off_routed_h"] == pytest.approx((2.4 + 3.2) * 4 * 1.45 / 60)
    assert found["off_usd"] == pytest.approx(70 * (found["off_routed_h"] + found["off_work_h"]))


def test_raceway_is_weighed_by_its_own_minutes(tmp_path: Path) -> None:
    """100 ft of raceway at 1.2 min for a foot: half as much again is an hour."""
    build = factored(tmp_path, "illustrative", {"emt-1/2": 1.5}, compared="emt,mc-wire-first")
    assert row(build, "parts", part="labor", plan="emt")["routed_hours"] == pytest.approx(1)


def test_where_routing_is_timed_by_the_foot_alone_no_factor_moves_an_hour(tmp_path: Path) -> None:
    (timed,) = (r for r in catalog("operations") if r["operation"] == "route-cable")
    by_foot = overlay("operations", [{**timed, "driver": "cable_ft"}])
    build = priced(tmp_path, catalogs={"operations": by_foot}, schedule=RUN)
    assert "route_hours" not in build.book.tables


def test_the_cable_of_a_run_is_the_one_that_its_row_finds(sample_build: Build) -> None:
    """The smallest with enough conductors, in every construction: told apart by its item and its conductors."""
    found = {(r["kind"], r["construction"]): (r["sheath_item"], r["in_cable"]) for r in rows(sample_build, "runs")}
    for (kind, construction), (item, conductors) in found.items():
        cable = cable_of(sample_build.frame, kind, construction)
        assert (item, conductors) == ((cable["sheath_item"], cable["conductors"]) if cable else ("none", 0))
