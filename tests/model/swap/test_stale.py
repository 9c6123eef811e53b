"""What is typed after the build makes draws and cutting plans stale: only what rests on it, and by what it says."""

from __future__ import annotations

from typing import Any

import pytest

from takeoff.build import Build
from tests.priced import priced
from tests.tables import row, rows
from tests.typed import Cell, typed

RUN, STATE, DONE, COIL = (
    *(("schedule", "run_ft"), ("circuits", "work_state"), ("areas", "installed_pct"), ("packages", "count")),
)


@pytest.fixture(scope="module")
def build(tmp_path_factory: pytest.TempPathFactory) -> Build:
    """Runs of 46, 12, 12, 38 and 20 ft, each with the tails of its two ends: 7 ft from the panel, else 2."""
    return priced(tmp_path_factory.mktemp("stale"))


def state(found: Build) -> tuple[Any, ...]:
    """Return feet x number of the box of both plans, what is begun, and how many changes each of four places counts."""
    feet = [r["now"] for r in rows(found, "run_sums")]
    rest, order = row(found, "rest_state"), row(found, "order_state")
    return feet, row(found, "rest_now")["now"], rest["open"], order["open"], row(found, "package_changes")["open"]


def test_nothing_typed_is_as_on_the_build(build: Build) -> None:
    """53 x 1 + 14 x 2 + 14 x 3 + 45 x 4 + 27 x 5 = 438; three circuits and three areas, 1 + 2 + 3 each, are 12."""
    same = typed(build)
    assert state(same) == ([438, 438], 12, 0, 0, 0)
    assert row(same, "order_state")["state"] == "as on the build"
    assert (row(same, "risk")["changed"], row(same, "risk")["says"]) == (0, "computed on the build; inputs as then")


@pytest.mark.parametrize(
    ("cells", "found"),
    [
        # a foot more for box 2 in both plans: their runs, and the two cables cut from them
        ({(*RUN, 2): 13}, ([440, 440], 12, 2, 4, 0)),
        # and a foot less for box 3: all feet are as they were
        ({(*RUN, 2): 13, (*RUN, 3): 11}, ([437, 437], 12, 2, 2, 0)),
        ({(*STATE, 2): "pulled"}, ([438, 438], 12 - 2, 1, 0, 0)),
        # no longer left to its area, but left by itself: less 2, and 2 + 2 x 2 more
        ({(*STATE, 2): "not started"}, ([438, 438], 12 - 2 + 2 + 4, 1, 0, 0)),
        ({(*DONE, 2): 50}, ([438, 438], 12 - 2 * 0.5, 1, 0, 0)),
        # another coil: of either cable
        ({(*COIL, 1): 251}, ([438, 438], 12, 0, 2, 1)),
    ],
)
def test_what_is_typed_is_counted_where_it_matters(build: Build, cells: dict[Cell, object], found: object) -> None:
    assert state(typed(build, cells)) == found


def test_other_plans_of_the_swap_are_another_rest(build: Build) -> None:
    rest = row(typed(build, swap_from="ac-first", swap_to="mc-wire-first"), "rest_state")
    assert (rest["moved"], rest["other"], rest["open"]) == (0, 1, 1)


def test_a_changed_wage_is_the_one_figure_that_the_draws_do_not_know(build: Build) -> None:
    found = typed(build, labor_rate_usd_per_h=71)
    assert [r["figure"] for r in rows(found, "risk_basis", changed=1)] == ["rate"]
    risk = row(found, "risk")
    assert (risk["changed"], risk["says"]) == (1, "STALE: inputs changed, build again")
    assert (row(found, "order_state")["open"], row(found, "rest_state")["open"]) == (0, 0)


@pytest.mark.parametrize(
    ("column", "value", "changed"),
    [
        ("low_pct", 61, "low_changed"),
        ("likely_pct", 101, "likely_changed"),
        ("high_pct", 139, "high_changed"),
        ("cause", "wage", "tied_changed"),
        ("correlation_pct", 49, "tied_changed"),
    ],
)
def test_a_changed_range_is_the_one_that_the_draws_do_not_know(
    build: Build, column: str, value: object, changed: str
) -> None:
    """The second range, 60 to 140 %, drawn at 50 % with those of its cause."""
    found = typed(build, {("ranges", column, 2): value})
    (line,) = rows(found, "risk_ranges", changed=1)
    assert line["range"] == "ground_minutes"
    names = ("low_changed", "likely_changed", "high_changed", "tied_changed")
    assert [name for name in names if line[name]] == [changed]
    assert (row(found, "risk")["changed"], row(found, "risk")["says"]) == (1, "STALE: inputs changed, build again")


def test_another_shape_is_a_change_of_its_own(build: Build) -> None:
    shapes = {"triangular", "pert"} - {row(build, "risk")["shape"]}
    found = row(typed(build, risk_shape=shapes.pop()), "risk")
    assert (found["reshaped"], found["changed"]) == (1, 1)


@pytest.mark.parametrize(
    ("cells", "state"),
    [({(*RUN, 2): 13}, "look first"), ({(*DONE, 2): 50}, "look first"), ({(*STATE, 2): "begun"}, "not to be used")],
)
def test_what_is_stale_reaches_the_state_of_every_plan(build: Build, cells: dict[Cell, object], state: str) -> None:
    """Draws and cutting plans may be made again; a word that no list has stops every total."""
    assert [r["state"] for r in rows(build, "standing")] == ["complete", "complete"]
    found = rows(typed(build, cells), "standing")
    assert [r["state"] for r in found] == [state, state]
    assert [r["stopped"] for r in found] == [int(state == "not to be used")] * 2


@pytest.mark.parametrize(
    ("cells", "first"),
    [
        ({(*RUN, 2): -5}, "schedule.run_ft 2"),
        ({(*STATE, 3): "begun"}, "circuits.work_state 3"),
        ({(*RUN, 2): -5, (*STATE, 3): "begun"}, "schedule.run_ft 2"),
    ],
)
def test_the_first_cell_that_is_not_accepted_is_named_for_the_whole_job(
    build: Build, cells: dict[Cell, object], first: str
) -> None:
    assert row(typed(build), "job_stops")["first"] == ""
    assert first in row(typed(build, cells), "job_stops")["first"]
