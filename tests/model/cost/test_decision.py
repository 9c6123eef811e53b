"""What to use: the order of the plans, break-evens worked by hand, and when no plan is named."""

from __future__ import annotations

from math import ceil
from pathlib import Path

import pytest

from takeoff.build import Build
from takeoff.report.results import results_of
from tests.copies import number, worked
from tests.model.cost.test_basis import LENGTHS, THREE_WIRES, stated
from tests.priced import priced
from tests.swapping import Rebuild, by_hand, minutes, prices
from tests.tables import NO_TAILS, called, row, rows, schedule

PLAN = {"a": "mc-armor-first", "b": "mc-wire-first"}
SAME = ("mc-connector-3/8", "mc-ground-connector-3/8")


@pytest.mark.parametrize("case", worked("decision"), ids=lambda c: c["id"])
def test_two_plans_compared_by_hand(tmp_path: Path, case: dict[str, str]) -> None:
    """Home runs to a junction box; only landing the EGC wire takes time, and only the two cables differ in price."""
    cable = {"mc-armor-12-2": case["price_a"], "mc-wire-12-2": case["price_b"]}
    build = Rebuild(tmp_path)(
        schedule({"run_ft": number(case["feet"]) / 100, "repeat": 100}),
        *NO_TAILS,
        f"labor_rate_usd_per_h={case['rate']}",
        catalogs={
            "prices": prices(lambda r: float(cable.get(str(r["item"]), 100 if r["item"] in SAME else r["price_usd"]))),
            "operations": minutes(lambda r: number(case["minutes_b"]) if r["operation"] == "ground-screw" else 0),
            "families": "family,waste_pct\ncable,0\n",
            "uses": "use,quantity\nground-screw,0\n",
        },
    )
    found, pair = row(build, "decision"), row(build, "pair")
    assert pair["first_plan"] == PLAN[case["lowest"]]
    assert found["lead"] == pytest.approx(number(case["lead_usd"]))
    assert found["hours"] == pytest.approx(number(case["hours"]))
    assert found["cable_even"] == pytest.approx(number(case["cable_even"]))
    wage = "none" if case["wage"] == "none" else f"{number(case['wage']):.0f} USD/h"
    assert found["wage_shown"] == wage
    parts = {r["part"]: r["less_usd"] for r in rows(build, "pair_parts")}
    assert sum(parts.values()) == pytest.approx(found["lead"])
    assert parts["grounds"] == pytest.approx(number(case["hours"]) * number(case["rate"]))
    hours = {r["part"]: r["hours"] for r in rows(build, "pair_parts")}
    assert hours["grounds"] == pytest.approx(number(case["hours"]))
    assert sum(hours.values()) == pytest.approx(number(case["hours"]))
    assert [r["less_usd"] for r in rows(build, "pair_bars")][:2] == pytest.approx(
        sorted((parts["cable"], parts["grounds"]), key=abs, reverse=True)
    )


def test_no_plan_is_named_while_invented_figures_can_turn_the_order(tmp_path: Path) -> None:
    """As shipped all is invented: the two cables alone could be off by more than the plans are apart."""
    build = priced(tmp_path)
    found = row(build, "decision")
    assert found["flips"] == 1
    assert found["says"].startswith("No plan is named the lowest: the two lowest are ")
    assert not any(called(plan) in found["says"] for plan in build.frame.compared)
    assert results_of(build)["decision"]["named"] is None


def test_with_every_figure_stated_the_lowest_is_named(tmp_path: Path) -> None:
    build = stated(tmp_path)
    cost = {r["plan"]: r["installed_cost"] for r in rows(build, "plan_sums")}
    lowest = min(cost, key=lambda plan: cost[plan])
    found = row(build, "decision")
    assert (found["flips"], found["off_usd"]) == (0, 0)
    assert found["says"].startswith(f"{called(lowest)} is the lowest installed: {cost[lowest]:.0f} USD, ")
    assert results_of(build)["decision"]["named"] == lowest


def test_how_far_an_invented_figure_may_be_off_is_an_input(tmp_path: Path) -> None:
    """The order may turn where the share that figures may be off, of what differs on them, reaches the lead."""
    found = row(priced(tmp_path / "a"), "decision")
    needed = 100 * found["lead"] / found["off_usd"]
    assert 0 < needed < 100
    assert f"and invented figures {ceil(needed)} % off can turn the order." in found["says"]
    for share, flips in ((needed * 0.99, 0), (needed * 1.01, 1)):
        build = priced(tmp_path / str(flips), f"invented_off_pct={share:.6f}")
        assert row(build, "decision")["flips"] == flips


def test_what_differs_on_invented_figures_is_their_difference_item_by_item(tmp_path: Path) -> None:
    build = priced(tmp_path, *LENGTHS)
    off = {r["part"]: r["off_usd"] for r in rows(build, "pair_parts")}
    material = rows(build, "material")
    for part in ("cable", "boxes", "fittings"):
        gaps = sum(abs(r["usd_1"] - r["usd_2"]) for r in material if r["part"] == part)
        assert off[part] == pytest.approx(gaps), part


def test_a_plan_not_to_be_used_is_never_the_lowest(tmp_path: Path) -> None:
    """A price of 0 is a missing one: the plan that buys the cable is not to be used, however low its total."""
    missing = 'item,price_usd,source\nac-12-2,0,"agreed"\n'
    build = priced(tmp_path, catalogs={"prices": missing})
    assert row(build, "standing", plan="ac-first")["state"] == "not to be used"
    assert row(build, "pair")["first_plan"] == "mc-wire-first"
    assert row(build, "decision")["says"] == (
        "MC wire EGC first is the only plan that may be used: there is none to compare it with."
    )
    assert row(build, "totals", title=called("ac-first"))["difference"] == "n/c"


def test_where_no_plan_may_be_used_that_is_said(tmp_path: Path) -> None:
    missing = 'item,price_usd,source\nsquare-4x1.5,0,"agreed"\nsquare-4x1.25,0,"agreed"\n'
    others = "square-4x2.125", "square-4.69x1.25", "square-4.69x1.5", "square-4.69x2.125"
    stock = "box,stocked\n" + "".join(f"{box},0\n" for box in others)  # a priced box would be chosen instead
    build = priced(tmp_path, catalogs={"prices": missing, "box_sizes": stock})
    assert row(build, "decision")["says"] == "No plan may be used: see the stop list."


def test_the_order_turns_within_a_range_where_a_rebuild_with_it_turns_it(tmp_path: Path) -> None:
    """The cable of the lowest plan at the high end of its range, 112 %, built again: the other plan is the lowest."""
    found = {r["range"]: r for r in rows(priced(tmp_path / "a"), "sureness")}
    dearer = prices(lambda r: float(str(r["price_usd"])) * (1.12 if str(r["item"]).startswith("ac-1") else 1))
    build = priced(tmp_path / "b", catalogs={"prices": dearer})
    cost = {r["plan"]: r["installed_cost"] for r in rows(build, "plan_sums")}
    less = cost["mc-wire-first"] - cost["ac-first"]
    assert found["to_cable"]["least_usd"] == pytest.approx(less)
    assert found["to_cable"]["turns"] == int(less <= 0)


def test_the_heaviest_circuits_are_those_that_differ_most(tmp_path: Path) -> None:
    build: Build = priced(tmp_path)
    circuits = rows(build, "circuit_outcomes")
    apart = {r["circuit"]: abs(r["installed_usd_2"] - r["installed_usd_1"]) for r in circuits}
    expected = sorted(apart, key=lambda circuit: -apart[circuit])
    assert [r["circuit"] for r in rows(build, "heaviest")] == expected[:5]
    assert row(build, "pair")["first_plan"] == build.frame.compared[0]
    less = {r["circuit"]: r["less_usd"] for r in rows(build, "circuit_weights")}
    assert less == pytest.approx({r["circuit"]: r["installed_usd_2"] - r["installed_usd_1"] for r in circuits})


def test_the_circuits_that_weigh_most_say_by_short_titles_what_they_are_wired_in(sample_build: Build):
    """In the two lowest plans; a reason begins with the title of what is passed over, never with a key."""
    pair = row(sample_build, "pair")
    titles = {str(r["key"]): str(r["short_title"]) for r in sample_build.catalogs["constructions"]}
    assert {titles[c] for c in ("ac", "mc-wire")} == {"AC with armor EGC", "MC with wire EGC"}
    wired = {(v["circuit"], v["plan"]): titles[v["wired_as"]] for v in rows(sample_build, "verdicts")}
    lowest, following = (sample_build.frame.compared[int(pair[side]) - 1] for side in ("one", "other"))
    shown = rows(sample_build, "heaviest")
    assert len(shown) == 5
    for found in shown:
        assert found["first_as"] == wired[found["circuit"], lowest]
        assert found["second_as"] == wired[found["circuit"], following]
        assert found["reason"] == "-" or found["reason"].partition(":")[0] in titles.values()
    assert any(found["reason"] != "-" for found in shown)


def test_a_plan_alone_has_no_labor_rate_at_which_another_costs_the_same(tmp_path: Path) -> None:
    found = row(priced(tmp_path, compared="ac-first"), "decision")
    assert (found["hours"], found["wage"], found["lead"]) == (0, 0, 0)


@pytest.mark.parametrize(("minutes_each", "lowest"), [(0.36, "mc-armor-first"), (0, "mc-wire-first")])
def test_cents_make_the_order_and_of_equal_plans_the_first_is_the_first(
    tmp_path: Path, minutes_each: float, lowest: str
) -> None:
    """0.36 min on the EGC wire of one home run are 0.006 h, 60 cents at 100 USD/h; the bids differ by them too."""
    sets = ("labor_rate_usd_per_h=100", "bid_round_usd=0.01")
    build = by_hand(Rebuild(tmp_path), *sets, minutes_each=minutes_each, repeat=1)
    cost = {r["plan"]: r for r in rows(build, "ranks")}
    for name in ("installed_usd", "bid_usd"):
        apart = cost["mc-wire-first"][name] - cost["mc-armor-first"][name]
        assert 0.5 < apart < 1 if minutes_each else apart == pytest.approx(0)
    assert row(build, "pair")["first_plan"] == lowest
    sure = [(r["least_usd"], r["turns"]) for r in rows(build, "sureness")]
    assert all(turns == (least <= 1e-9) for least, turns in sure)
    assert not minutes_each or any(0 < least < 1 for least, _ in sure)
    slots = {r["plan"]: (r["installed_slot"], r["bid_slot"]) for r in rows(build, "ranks")}
    assert slots[lowest] == ("0|0", "0|0")


@pytest.mark.parametrize("base", ["ac-first", "mc-wire-first"])
def test_the_totals_stand_against_the_base(tmp_path: Path, base: str) -> None:
    """Of the base nothing; of the other plan its ground terminations and its bid less those of the base."""
    build = priced(tmp_path, f"base_plan={base}")
    found = {r["title"]: r for r in rows(build, "totals")}
    here, there = (found[called(plan)] for plan in (base, "ac-first" if base[0] == "m" else "mc-wire-first"))
    assert (here["fewer_grounds"], here["difference"]) == (0, 0)
    assert there["fewer_grounds"] == there["ground_terminations"] - here["ground_terminations"] != 0
    assert there["difference"] == pytest.approx(there["bid_usd"] - here["bid_usd"])


def test_a_break_even_labor_rate_is_said_where_two_plans_are_compared(tmp_path: Path) -> None:
    build = by_hand(Rebuild(tmp_path), "labor_rate_usd_per_h=78", premium_usd_per_kft=80)
    assert row(build, "decision")["even_wage"].startswith("Break-even labor rate: ")
    assert row(priced(tmp_path / "one", compared="ac-first"), "decision")["even_wage"] == ""


@pytest.mark.parametrize(
    ("base", "larger", "smaller"), [("ac-first", [0, 1], [0, 0]), ("mc-wire-first", [0, 0], [1, 0])]
)
def test_boxes_are_larger_or_smaller_than_in_the_base(
    tmp_path: Path, base: str, larger: list[int], smaller: list[int]
) -> None:
    """The EGCs of three cables leave no room in one box of 21 in3 of three; it is one of 30.3."""
    build = priced(tmp_path, f"base_plan={base}", schedule=THREE_WIRES)
    assert [r["larger"] for r in rows(build, "totals")] == larger
    assert [r["smaller"] for r in rows(build, "plan_flags")] == smaller
    apart = [r[f"against_base_in3_{n}"] for n in (1, 2) for r in rows(build, "box_outcomes")]
    gap = 30.3 - 21
    assert apart == pytest.approx([0, 0, 0, gap, 0, 0] if base == "ac-first" else [-gap, 0, 0, 0, 0, 0])
