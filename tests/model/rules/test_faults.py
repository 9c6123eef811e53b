"""The ground path under a fault: loop, current, pickup, longest run, heat, melting; by hand and by a general solve.

Table 8 at 75 C, ohm/kft: copper 12 AWG 1.98, 10 AWG 1.24, 8 AWG 0.778; aluminum 10 AWG 2.04, 8 AWG 1.28. The figures of
armor and raceway are given by the tests themselves: 2.0 for Type AC, 3.0 for Type MC, 0.66 for the raceway.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from takeoff.build import Options, compute
from tests.conftest import ALL_PLANS, PLAN_OF, Counted, Counter
from tests.copies import published
from tests.networks import GROUND, Network
from tests.tables import NO_TAILS, row, rows, schedule

NO_SOURCE = (*NO_TAILS, "source_mohm=0")
KINDS = ["ac", "mc-wire", "mc-armor", "ac-redundant", "mc-redundant", "emt-wire"]
ARMOR = {"ac": 2.0, "mc-wire": 0.0, "mc-armor": 3.0, "ac-redundant": 2.0, "mc-redundant": 3.0, "emt-wire": 0.66}
CABLES = "construction,awg,conductors,armor_ohm_per_kft\n" + "".join(
    f"{kind},{awg},2,{ohm}\n" for kind, ohm in ARMOR.items() for awg in (12, 10)
)
PATHS = {
    "ac": [2.0],
    "mc-wire": [1.98],
    "mc-armor": [3.0, 2.04],
    "ac-redundant": [2.0, 1.98],
    "mc-redundant": [3.0, 2.04, 1.98],
    "emt-wire": [0.66, 1.98],
}
"""Ohm/kft of every path back of a 12 AWG run: armor or raceway, bare 10 AWG aluminum, 12 AWG copper."""


def side_by_side(ohms: list[float]) -> float:
    return 1 / sum(1 / ohm for ohm in ohms)


def one_run(count: Counter, *sets: str, cables: str = CABLES, **cells: object) -> Counted:
    box = {"device": "equipment-1p", "wires": "A N", "awg": 12, "run_ft": 100, **cells}
    return count(schedule(box), *(sets or NO_SOURCE), compared=ALL_PLANS, cables=cables)


def fault(counted: Counted, construction: str = "mc-wire") -> dict[str, Any]:
    """Return the fault of the one circuit in the plan that prefers a construction, which it must be wired in."""
    return row(counted, "faults", plan=PLAN_OF[construction], wired_as=construction)


# The loop, by hand


def test_a_loop_of_12_awg_there_and_back(count: Counter):
    """120 V, 100 ft, 12 AWG copper out and back, no source: 120 / (2 x 0.198) = 303 A, an upper bound."""
    found = fault(one_run(count))
    assert (found["phase_ohm"], found["egc_ohm"]) == (pytest.approx(0.198), pytest.approx(0.198))
    assert found["fault_a"] == pytest.approx(303.03, abs=0.005)
    assert found["times_pickup"] == pytest.approx(303.03 / 200, abs=1e-4)  # ten times 20 A


@pytest.mark.parametrize("construction", KINDS)
def test_every_credited_path_lies_beside_the_others(count: Counter, construction: str):
    """NEC 250.118: a wire-type EGC, armor with its strip or aluminum, or both where a cable has both."""
    found = fault(one_run(count), construction)
    assert found["egc_ohm"] == pytest.approx(side_by_side(PATHS[construction]) / 10, abs=1e-12)
    assert found["fault_a"] == pytest.approx(120 / (0.198 + found["egc_ohm"]), rel=1e-12)


@pytest.mark.parametrize(("redundant", "armor"), [("ac-redundant", "ac"), ("mc-redundant", "mc-armor")])
def test_redundant_constructions_are_wire_and_armor_in_parallel(count: Counter, redundant: str, armor: str):
    counted = one_run(count)
    both, wire, metal = (fault(counted, c)["egc_ohm"] for c in (redundant, "mc-wire", armor))
    assert 1 / both == pytest.approx(1 / wire + 1 / metal, rel=1e-12)


def test_the_armor_of_a_cable_with_a_wire_type_egc_only_is_never_credited(count: Counter):
    """NEC 250.118(10)(a): interlocked armor alone is no EGC, whatever its resistance."""
    overlay = "construction,awg,conductors,armor_ohm_per_kft\nmc-wire,12,2,0.1\n"
    assert fault(one_run(count, cables=overlay))["egc_ohm"] == pytest.approx(0.198, abs=1e-12)


@pytest.mark.parametrize("construction", ["mc-armor", "ac"])
def test_without_an_armor_figure_an_armor_type_path_is_not_tested(count: Counter, construction: str):
    """0 stands where the armor is not credited; aluminum is never credited alone, so that nothing is left to test."""
    overlay = f"construction,awg,conductors,armor_ohm_per_kft\n{construction},12,2,0\n"
    counted = one_run(count, cables=overlay)
    assert row(counted, "ohms", key=f"{construction}|12|2|0")["bare_s"] == 0
    found = fault(counted, construction)
    assert (found["outcome"], found["longest_ft"]) == ("untested", 0)


@pytest.mark.parametrize("construction", ["mc-redundant", "ac-redundant"])
def test_without_an_armor_figure_the_wire_beside_it_is_all_there_is(count: Counter, construction: str):
    overlay = f"construction,awg,conductors,armor_ohm_per_kft\n{construction},12,2,0\n"
    assert fault(one_run(count, cables=overlay), construction)["egc_ohm"] == pytest.approx(0.198, abs=1e-12)


def test_the_source_is_added(count: Counter):
    """20 mohm at the panel: 120 / (0.020 + 0.396) = 288.46 A."""
    assert fault(one_run(count, *NO_TAILS, "source_mohm=20"))["fault_a"] == pytest.approx(288.4615, abs=1e-4)


def test_the_voltage_is_that_to_ground(count: Counter):
    """480Y/277 V: 277 / 0.396 A; 240 V between the lines of a single-phase system: 120 / 0.396 A."""
    for volts, poles, to_ground in ((480, 3, 277), (277, 1, 277), (240, 2, 120), (208, 3, 120)):
        found = fault(one_run(count, volts=volts, poles=poles))
        assert found["fault_a"] == pytest.approx(to_ground / 0.396, rel=1e-12)


def test_copper_and_aluminum_cool_each_by_its_own_coefficient(count: Counter):
    """Table 8 note 2: 1 - 55 x 0.00323 = 0.82235 for copper, 1 - 55 x 0.00330 = 0.8185 for aluminum and armor."""
    counted = one_run(count, *NO_SOURCE, "conductor_temp_c=20")
    found = fault(counted, "mc-armor")
    assert found["phase_ohm"] == pytest.approx(0.198 * 0.82235, rel=1e-12)
    assert found["egc_ohm"] == pytest.approx(side_by_side([3.0, 2.04]) / 10 * 0.8185, rel=1e-12)


def test_tails_are_part_of_the_loop(count: Counter):
    """100 ft, 6 ft at the panel and 1 ft at the box: 107 ft of 3.96 ohm/kft."""
    found = fault(one_run(count, "source_mohm=0"))
    assert found["loop_ohm"] == pytest.approx(0.107 * 3.96, rel=1e-12)


# Which box


def test_the_fault_is_at_the_farthest_box(count: Counter):
    boxes = [
        {"box": "N", "device": "duplex", "run_ft": 40},
        {"box": "F", "device": "duplex", "run_ft": 60, "fed_from": "N"},
        {"box": "S", "device": "duplex", "run_ft": 30, "fed_from": "N"},
    ]
    counted = count(schedule(*boxes), *NO_SOURCE, cables=CABLES)
    assert fault(counted)["box"] == "F"
    assert fault(counted)["fault_a"] == pytest.approx(303.03, abs=0.005)


def test_the_fault_is_at_the_box_with_the_longest_loop_not_the_longest_conductor(count: Counter):
    """12 AWG, 100 ft: 0.198 ohm out and back. 8 AWG, 250 ft: 0.1945 out, but 0.31 back on its 10 AWG EGC."""
    boxes = [
        {"box": "N", "device": "equipment-1p", "run_ft": 100, "awg": 12, "construction": "mc-wire"},
        {"box": "F", "device": "equipment-1p", "run_ft": 250, "awg": 8},
    ]
    counted = count(schedule(*boxes), *NO_SOURCE, compared="mc-wire-first")
    assert fault(counted)["fault_a"] == pytest.approx(120 / 0.5045, rel=1e-9)


def test_a_run_without_a_cable_is_no_perfect_path(count: Counter):
    """Held to Type AC, whose home run of 4 AWG the catalog lacks: the loop is not known, nothing is tested."""
    boxes = [
        {"box": "J", "run_ft": 100, "awg": 4, "construction": "ac"},
        {"box": "X", "device": "equipment-1p", "run_ft": 100, "awg": 12, "fed_from": "J"},
    ]
    counted = count(schedule(*boxes), *NO_SOURCE, compared="ac-first", cables=CABLES)
    assert row(counted, "verdicts")["cable_check"] == "fails"
    assert row(counted, "verdicts")["fault_path_check"] == "untested"


# Ratio and longest run


@pytest.mark.parametrize(
    ("sets", "longest_ft"),
    [
        pytest.param([], 151.515, id="120/200 = 0.6 ohm over 3.96 ohm/kft"),
        pytest.param(["source_mohm=20"], 146.465, id="0.58 ohm are left"),
        pytest.param(["wanted_ratio=2"], 75.758, id="twice the pickup: 0.3 ohm"),
        pytest.param(["pickup_times_rating=5"], 303.030, id="pickup at 100 A: 1.2 ohm"),
        pytest.param(["source_mohm=700"], 0, id="the source alone is too much"),
    ],
)
def test_the_longest_run_by_hand(count: Counter, sets: list[str], longest_ft: float):
    found = fault(one_run(count, *NO_SOURCE, *sets))
    assert found["longest_ft"] == pytest.approx(longest_ft, abs=0.0005)


@pytest.mark.parametrize("construction", KINDS)
@pytest.mark.parametrize("sets", [(), ("source_mohm=35", "wanted_ratio=1.5", "pickup_times_rating=6")])
def test_a_run_of_the_longest_length_has_just_the_ratio_wanted(
    count: Counter, construction: str, sets: tuple[str, ...]
):
    wanted = 1.5 if sets else 1
    longest = fault(one_run(count, *NO_SOURCE, *sets), construction)["longest_ft"]
    just = fault(one_run(count, *NO_SOURCE, *sets, run_ft=f"{longest:.12f}"), construction)
    assert just["times_pickup"] == pytest.approx(wanted, rel=1e-9)
    shorter, longer = (
        fault(one_run(count, *NO_SOURCE, *sets, run_ft=f"{longest * share:.6f}"), construction)["outcome"]
        for share in (0.999, 1.001)
    )
    assert shorter in ("meets", "screening")  # by whether all figures are stated
    assert longer == "look"


def test_a_fault_that_does_not_trip_is_looked_at_and_never_fails(count: Counter):
    counted = one_run(count, *NO_SOURCE, run_ft=1000)
    for found in rows(counted, "verdicts"):
        assert (found["fault_path_check"], found["failed"]) == ("look", 0)


def test_the_length_chart_says_the_same(count: Counter):
    """Times pickup over length: 25 ft of 12 AWG there and back, 120 / 0.099 / 200 = 6.06; twelve points."""
    counted = one_run(count, *NO_SOURCE)
    curve = row(counted, "curves", construction="mc-wire")
    assert (curve["awg"], curve["ohm_per_kft"]) == ("12", pytest.approx(3.96))
    assert curve["longest_ft"] == pytest.approx(151.515, abs=0.0005)
    points = rows(counted, "lengths")
    place = KINDS.index("mc-wire") + 1
    assert [p["length_ft"] for p in points] == [25 * n for n in range(1, 13)]
    assert [p[f"times_{place}"] for p in points] == pytest.approx([120 / (0.099 * n) / 200 for n in range(1, 13)])


# Heat and melting


def test_short_time_test_currents_are_the_fusing_currents_of_the_copper(count: Counter):
    """Printed: 470 A for 12 AWG and 750 A for 10 AWG over 4 s, UL 467; worked by hand from 40 C: 469.3 and 746.0 A."""
    found = {r["awg"]: r for r in rows(one_run(count), "short_times")}
    assert [found[a]["copper_a"] for a in ("12", "10")] == pytest.approx([469.3, 746.0], abs=0.05)
    for test in published("short_time"):
        if test["awg"] in found:
            assert found[test["awg"]]["copper_a"] == pytest.approx(float(test["test_a"]), rel=0.02)
            assert found[test["awg"]]["copper_pct"] == pytest.approx(100, abs=2)


def test_aluminum_alone_melts_in_the_test_of_its_circuit(count: Counter):
    """10 AWG aluminum in place of 12 AWG copper, 40 to 657 C over 4 s: about 418 A, under the 470 A of the test."""
    found = row(one_run(count), "short_times", awg="12")
    assert (found["aluminum_awg"], found["alone"]) == ("10", "melts in the test")
    assert found["aluminum_a"] == pytest.approx(418, abs=0.5)
    assert {r["alone"] for r in rows(one_run(count), "short_times")} <= {"melts in the test", "-"}


def test_insulation_is_whole_up_to_a_third_of_the_melting_current(count: Counter):
    """ICEA P-32-382, 75 to 150 C: 172.9 A for 4 s on 12 AWG, 119,576 A2 s; 274.8 A on 10 AWG."""
    found = {r["awg"]: r for r in rows(one_run(count), "short_times")}
    assert [(found[a]["insulated_a2s"] / 4) ** 0.5 for a in ("12", "10")] == pytest.approx([172.9, 274.8], abs=0.05)
    assert found["12"]["test_a2s"] == 470 * 470 * 4


def test_the_start_temperature_moves_the_melting_current(count: Counter):
    """12 AWG over 4 s from 25 C: 477.7 A."""
    found = row(one_run(count, *NO_SOURCE, "fusing_ambient_c=25"), "short_times", awg="12")
    assert found["copper_a"] == pytest.approx(477.7, abs=0.05)


@pytest.mark.parametrize(
    ("construction", "held_awg", "withstand"),
    [
        pytest.param("mc-wire", "12", 4 * 172.9**2, id="wire: its insulation"),
        pytest.param("ac-redundant", "12", 4 * 172.9**2, id="wire beside armor: its insulation"),
        pytest.param("ac", "12", 4 * 470**2, id="armor: the test of its fittings"),
        pytest.param("mc-armor", "12", 4 * 470**2, id="armor and aluminum: the test of its fittings"),
    ],
)
def test_heat_is_held_against_what_carries_it(count: Counter, construction: str, held_awg: str, withstand: float):
    """303 A for 0.05 s are 4591 A2 s."""
    found = fault(one_run(count, *NO_SOURCE, "clearing_s=0.05"), construction)
    assert found["held_awg"] == held_awg
    assert found["withstand_a2s"] == pytest.approx(withstand, rel=0.001)
    heat = (120 / (0.198 + side_by_side(PATHS[construction]) / 10)) ** 2 * 0.05
    assert found["heat_a2s"] == pytest.approx(heat, rel=1e-12)
    assert found["heat_share"] == pytest.approx(100 * heat / withstand, rel=0.001)


# Against a general circuit solve


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    tree=st.lists(st.tuples(st.integers(0, 99), st.integers(1, 300)), min_size=1, max_size=8),
    awg=st.sampled_from(["12", "10"]),
    source_mohm=st.integers(1, 100),
)
def test_any_tree_against_nodal_analysis(tmp_path: Path, tree: list[tuple[int, int]], awg: str, source_mohm: int):
    """Source, conductor and every path back, bolted at each box in turn; the least fault is the one reported."""
    parents = [number % (n + 1) - 1 for n, (number, _) in enumerate(tree)]
    boxes = [
        {"box": f"B{n}", "run_ft": feet, "awg": awg, "fed_from": "panel" if parents[n] < 0 else f"B{parents[n]}"}
        for n, (_, feet) in enumerate(tree)
    ]
    overlay = tmp_path / "catalogs"
    overlay.mkdir(exist_ok=True)
    (overlay / "cables.csv").write_text(CABLES)
    (tmp_path / "s.csv").write_text(schedule(*boxes))
    sets = (*NO_TAILS, f"source_mohm={source_mohm}")
    built = compute(Options(tmp_path / "s.csv", overlay, None, sets, ALL_PLANS))
    copper, aluminum = {"12": (1.98, 2.04), "10": (1.24, 1.28)}[awg]
    for construction in KINDS:
        back = {
            "armor": ARMOR[construction] if construction != "mc-wire" else 0,
            "bare": aluminum if construction in ("mc-armor", "mc-redundant") else 0,
            "wire": copper if construction not in ("ac", "mc-armor") else 0,
        }
        least = min(
            bolted(tree, parents, copper, [o for o in back.values() if o], source_mohm, n) for n in range(len(tree))
        )
        assert row(built, "faults", plan=PLAN_OF[construction], wired_as=construction)["fault_a"] == pytest.approx(
            least, rel=1e-9
        )


def bolted(
    tree: list[tuple[int, int]], parents: list[int], copper: float, back: list[float], source_mohm: float, at: int
) -> float:
    """Return the current of a fault at one box: 120 V over what one ampere drops from its conductor to its ground."""
    network = Network()
    network.resistor(GROUND, ("hot", -1), source_mohm / 1000)
    for n, (_, feet) in enumerate(tree):
        network.resistor(("hot", parents[n]), ("hot", n), copper * feet / 1000)
        for ohm in back:
            network.resistor(("back", parents[n]) if parents[n] >= 0 else GROUND, ("back", n), ohm * feet / 1000)
    network.draw(("hot", at), ("back", at), 1)
    volts = network.solve()
    return 120 / (volts["back", at] - volts["hot", at]).real
