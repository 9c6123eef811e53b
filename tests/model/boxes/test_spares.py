"""Spare conductors of a catalog cable, and ends that nothing uses: what they take, what they cost, what they count.

The rules are conventions of this project, definitions.csv `spare` and `capped`; the room is NEC 314.16(B)(1).
"""

from __future__ import annotations

import pytest

from tests.conftest import ALL_PLANS, PLAN_OF, Counter

HEAD = "box,circuit,device,run_ft,fed_from,wires,awg,repeat\n"
LOOP = HEAD + "X,P-1,switch,20,panel,A N,,\nL,P-1,junction,10,X,S1,,\n"
"""A switch X, and a box L to which its leg goes alone: no cable of the catalog has a single conductor."""

JOINT_WASTE = 1.05
"""Wire connectors are bought with 5 % waste."""


@pytest.mark.parametrize(
    ("construction", "at_switch", "at_leg"),
    [
        # X: A, N, S1, a yoke of two, one spare: 6 x 2.25; L: S1 and one spare: 2 x 2.25; a wire-type EGC adds 2.25
        ("ac", 13.5, 4.5),
        ("mc-armor", 13.5, 4.5),
        ("mc-wire", 15.75, 6.75),
        ("ac-redundant", 15.75, 6.75),
        ("mc-redundant", 15.75, 6.75),
        # raceway has no spare: X 5 x 2.25, L 1 x 2.25, and the EGC in both
        ("emt-wire", 13.5, 4.5),
    ],
)
def test_a_spare_conductor_takes_room_in_both_boxes(count: Counter, construction, at_switch: float, at_leg: float):
    plan = PLAN_OF[construction]
    counted = count(LOOP, compared=plan)
    assert [counted.box(b, plan)["fill_in3"] for b in ("X", "L")] == [at_switch, at_leg]


@pytest.mark.parametrize("construction", ["ac", "mc-wire", "emt-wire"])
def test_a_spare_conductor_is_no_termination(count: Counter, construction: str):
    plan = PLAN_OF[construction]
    counted = count(LOOP, compared=plan)
    assert counted.counts("X", plan)[:2] == (3, 0)  # A and S1 land, N is capped
    assert counted.counts("L", plan)[:2] == (1, 0)  # S1 is capped


def test_a_spare_conductor_is_capped_at_both_ends(count: Counter):
    counted = count(LOOP, compared=ALL_PLANS)
    hours = {c: counted.total("labor_hours_by_operation", PLAN_OF[c]) for c in ("ac", "mc-wire", "emt-wire")}
    # one spare with two ends, 0.2 min each; two unused ends, N at X and S1 at L, 0.2 min each
    for construction in ("ac", "mc-wire"):
        assert hours[construction]["cap-spare"] == pytest.approx(2 * 0.2 / 60)
        assert hours[construction]["cap-end"] == pytest.approx(2 * 0.2 / 60)
    assert "cap-spare" not in hours["emt-wire"]
    assert hours["emt-wire"]["cap-end"] == pytest.approx(2 * 0.2 / 60)


def test_the_caps_of_spare_conductors_are_bought(count: Counter):
    counted = count(LOOP, compared=ALL_PLANS)
    bought = {c: counted.total("material_by_item", PLAN_OF[c]) for c in ("ac", "mc-wire", "emt-wire")}
    # N at X, S1 at L, the spare at X and at L
    assert bought["ac"]["joint-small"] == pytest.approx(4 * JOINT_WASTE)
    assert "joint-medium" not in bought["ac"]
    # grounds at X: 2 runs, the switch, the box, four ends of 12 AWG; the EGC at L lands alone
    assert bought["mc-wire"]["joint-small"] == pytest.approx(4 * JOINT_WASTE)
    assert bought["mc-wire"]["joint-medium"] == pytest.approx(1 * JOINT_WASTE)
    assert bought["emt-wire"]["joint-small"] == pytest.approx(2 * JOINT_WASTE)


def test_raceway_gets_the_conductors_of_the_run_and_no_more(count: Counter):
    bought = count(LOOP, compared="emt").total("material_by_item", "emt")
    # X: 20 + 1 + 6 ft with two conductors and an EGC; L: 10 + 1 + 1 ft with one and an EGC; 4 % waste
    assert bought["wire-12"] == pytest.approx((27 * 3 + 12 * 2) * 1.04)


def test_a_home_run_of_one_hot_has_a_spare_in_its_box_and_at_the_panel(count: Counter):
    counted = count(HEAD + "X,P-1,junction,20,panel,A,,3\n", compared=ALL_PLANS)
    assert counted.box("X", "ac-first")["fill_in3"] == 2 * 2.25
    assert counted.box("X", "emt")["fill_in3"] == 2 * 2.25  # the hot and the EGC
    assert counted.total("panel_ends", "ac-first") == {
        "home_runs": 3,
        "circuit_terminations": 3,
        "ground_terminations": 0,
    }
    # three circuits, a spare with two ends each
    assert counted.total("labor_hours_by_operation", "ac-first")["cap-spare"] == pytest.approx(6 * 0.2 / 60)
    # three hots capped in boxes, six spare ends capped in boxes and at the panel
    assert counted.total("material_by_item", "ac-first")["joint-small"] == pytest.approx(9 * JOINT_WASTE)


def test_each_of_several_runs_brings_its_own_spare(count: Counter):
    rows = "X,P-1,switch+switch,20,panel,A N,,\nL,P-1,junction,10,X,S1,,\nK,P-1,junction,10,X,S2,,\n"
    counted = count(HEAD + rows)
    # A, N, S1, S2, two yokes of two, two spares
    assert counted.box("X", "ac-first")["fill_in3"] == (4 + 4 + 2) * 2.25
    # two spares with two ends each
    assert counted.total("labor_hours_by_operation", "ac-first")["cap-spare"] == pytest.approx(4 * 0.2 / 60)


def test_a_spare_takes_the_room_of_its_size(count: Counter):
    """Five 10 AWG: one construction has a cable of six, the other none so large; no cable is no spare."""
    row = "X,P-1,junction,20,panel,A B C NA NB,10,"
    counted = count(HEAD + row + "\n")
    assert counted.box("X", "mc-wire-first")["fill_in3"] == (5 + 1 + 1) * 2.5  # conductors, spare, EGC
    assert counted.box("X", "ac-first")["wired_as"] == "mc-wire"
    held = count(HEAD.replace("\n", ",construction\n") + row + ",ac\n")
    assert held.box("X", "ac-first")["fill_in3"] == 5 * 2.5
    assert held.total("runs_without_cable", "ac-first") == 1
    assert held.total("complete", "ac-first") is False
    assert "cap-spare" not in held.total("labor_hours_by_operation", "ac-first")


def test_a_cable_that_fits_leaves_no_spare(count: Counter):
    row = (
        "construction,awg,conductors,egc_awg,bare_awg,sheath_item,wire_item,egc_item,fitting_size,route_factor,source\n"
    )
    counted = count(LOOP, cables=row + "ac,12,1,none,16,ac-12-2,none,none,3/8,1,test\n")
    assert [counted.box(b, "ac-first")["fill_in3"] for b in ("X", "L")] == [5 * 2.25, 2.25]
    assert "cap-spare" not in counted.total("labor_hours_by_operation", "ac-first")
    assert counted.total("material_by_item", "ac-first")["joint-small"] == pytest.approx(2 * JOINT_WASTE)


@pytest.mark.parametrize(("wiring_kind", "pulled", "allowances"), [("raceway", "wire-12", 2), ("cable", "none", 4)])
def test_only_a_cable_has_spares(count: Counter, wiring_kind: str, pulled: str, allowances: int):
    """One configuration of four conductors for a run of two: two spares as a cable, none as a raceway."""
    counted = count(
        HEAD + "X,P-1,junction,20,panel,A N,,\n",
        compared="of-four-first",
        constructions="construction,title,wiring_kind,egc_kind,egc_size_rule,armor,bond_strip,bare_conductor,"
        "anti_short_bushing,fitting_family,support_near_in,support_interval_ft,support_section,source\n"
        f"of-four,construction of the test,{wiring_kind},wire,copper,0,0,0,0,emt,36,10,358.30,test\n",
        cables="construction,awg,conductors,egc_awg,bare_awg,sheath_item,wire_item,egc_item,fitting_size,"
        f"route_factor,source\nof-four,12,4,12,none,emt-1/2,{pulled},{pulled},1/2,1,test\n",
    )
    assert counted.box("X", "of-four-first")["fill_in3"] == (allowances + 1) * 2.25  # and the EGC


def test_a_single_end_that_nothing_uses_is_capped(count: Counter):
    counted = count(HEAD + "J,P-1,junction,10,panel,A N,,\n")
    assert counted.counts("J", "ac-first") == (2, 0, 0, 0)  # hot and neutral: a termination each, no splice
    # a connector for each, and nothing else in the job is joined
    bought = counted.total("material_by_item", "ac-first")
    assert {item: n for item, n in bought.items() if item.startswith("joint")} == {
        "joint-small": pytest.approx(2 * JOINT_WASTE)
    }
    hours = counted.total("labor_hours_by_operation", "ac-first")
    assert hours["cap-end"] == pytest.approx(2 * 0.2 / 60)
    assert not {"splice-circuit", "circuit-pigtail"} & hours.keys()


def test_two_ends_that_nothing_uses_are_spliced_instead(count: Counter):
    counted = count(HEAD + "J,P-1,junction,10,panel,A N,,\nK,P-1,junction,10,J,A N,,\n")
    assert counted.counts("J", "ac-first") == (4, 2, 0, 0)
    assert counted.counts("K", "ac-first") == (2, 0, 0, 0)
    # J: one connector for each role; K: one cap for each
    assert counted.total("material_by_item", "ac-first")["joint-small"] == pytest.approx(4 * JOINT_WASTE)


def test_a_cap_has_the_size_of_its_end_and_stands_in_every_repeat(count: Counter):
    counted = count(HEAD + "J,P-1,junction,10,panel,A N,8,3\n")
    bought = counted.total("material_by_item", "ac-first")
    # the catalog joins up to two 8 AWG with the medium heavy connector: two caps in three circuits
    assert {item: n for item, n in bought.items() if item.startswith("joint")} == {
        "joint-heavy-medium": pytest.approx(6 * JOINT_WASTE)
    }


def test_a_cap_of_a_spare_costs_as_an_item_and_at_its_box(count: Counter):
    """Only the quantity of the cap changes between the builds: both routes of the cost move by the same sum."""
    with_cap = count(LOOP, compared="ac-first")
    box, total = with_cap.box("L", "ac-first")["material_cost"], with_cap.total("material_cost", "ac-first")
    without = count(LOOP, compared="ac-first", uses="use,quantity\nspare-cap,0\n")
    cap = 0.09 * JOINT_WASTE  # 9 USD for a hundred
    assert box - without.box("L", "ac-first")["material_cost"] == pytest.approx(cap)
    assert total - without.total("material_cost", "ac-first") == pytest.approx(2 * cap)
