"""Voltage drop and resistance from the panel to every box: by hand, and against a general circuit solve.

Stranded copper of Chapter 9 Table 8 at 75 C, ohm/kft: 16 AWG 4.99, 14 AWG 3.14, 12 AWG 1.98, 10 AWG 1.24, 8 AWG 0.778,
2 AWG 0.194.
"""

from __future__ import annotations

from cmath import rect
from math import pi, sqrt
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from takeoff.build import Build, Options, compute
from tests.conftest import Counted, Counter
from tests.copies import published
from tests.networks import GROUND, Network
from tests.tables import NO_TAILS, row, rows, schedule

OHM_PER_KFT = {r["awg"]: float(r["copper_ohm_per_kft"]) for r in published("resistance") if int(r["strands"]) > 1}
EMT = "emt-wire"


def place(counted: Counted | Build, box: str) -> dict[str, Any]:
    return row(counted, "paths", box=box)


def load(va: float, **cells: object) -> dict[str, object]:
    return {"device": "equipment-1p", "load_va": va, "run_ft": 100, "awg": 12, "construction": EMT, **cells}


# One run, by hand


def test_a_single_phase_circuit(count: Counter):
    """16 A at 120 V over 100 ft of 12 AWG: 2 x 1.98 x 0.1 x 16 = 6.336 V, 5.28 %."""
    found = place(count(schedule(load(16 * 120)), *NO_TAILS), "X")
    assert (found["amps"], found["volts"], found["path_ft"]) == (16, 120, 100)
    assert found["path_ohm"] == pytest.approx(0.198, abs=1e-12)
    assert found["drop_v"] == pytest.approx(6.336, abs=1e-9)
    assert found["drop_pct"] == pytest.approx(5.28, abs=1e-9)


def test_negative_a_published_answer_on_12_awg_16_a_100_ft(count: Counter):
    """Examination question, printed with 6.4 V and with 5.3 V; Table 8 gives 6.18 V solid, 6.34 V stranded."""
    drop_v = place(count(schedule(load(16 * 120)), *NO_TAILS), "X")["drop_v"]
    solid_v = 2 * 1.93 * 0.1 * 16
    assert solid_v < drop_v < 6.4 - 0.05


def test_a_published_example_on_24_v(count: Counter):
    """Control wiring text, page 135: 16 AWG of 4.99 ohm/kft, 100 ft, 4 A, 24 V: printed 4.0 V and 16.7 %.

    The printed percent is that of the rounded 4.0 V; by hand 2 x 0.499 x 4 is 3.992 V, 16.633 %.
    """
    found = place(count(schedule(load(96, awg=16, volts=24, breaker_a=15)), *NO_TAILS), "X")
    assert found["amps"] == 4
    printed_v = round(found["drop_v"], 1)
    assert (printed_v, round(100 * printed_v / found["volts"], 1)) == (4.0, 16.7)
    assert found["drop_v"] == pytest.approx(3.992, abs=1e-9)
    assert found["drop_pct"] == pytest.approx(16.633, abs=0.0005)


def test_a_published_three_phase_example(count: Counter):
    """Electrician's practice test, question 5: 18 kVA at 208 V three phase over 100 ft of 2 AWG: 49.96 A, 1.68 V."""
    box = load(18000, device="equipment-3p", wires="A B C", poles=3, volts=208, neutral="no", awg=2, breaker_a=60)
    found = place(count(schedule(box), *NO_TAILS), "X")
    assert found["amps"] == pytest.approx(49.96, abs=0.005)
    assert found["drop_v"] == pytest.approx(1.679, abs=0.0005)  # sqrt(3) x 49.96 x 0.0194
    assert found["drop_pct"] == pytest.approx(0.807, abs=0.0005)


def test_a_load_between_two_lines(count: Counter):
    """4160 VA at 208 V: 20 A there and back over 100 ft of 12 AWG, 2 x 0.198 x 20 = 7.92 V."""
    box = load(4160, device="equipment-2p", wires="A B", poles=2, volts=208, neutral="no")
    found = place(count(schedule(box), *NO_TAILS), "X")
    assert (found["amps"], found["run_a_a"], found["run_b_a"], found["run_c_a"]) == (20, 20, 20, 0)
    assert found["drop_v"] == pytest.approx(7.92, abs=1e-9)
    assert found["drop_pct"] == pytest.approx(7.92 / 2.08, abs=1e-9)


def test_a_load_to_neutral_on_a_wye_is_on_its_voltage_to_neutral(count: Counter):
    """1200 VA on one line of 208Y/120 V: 10 A at 120 V."""
    found = place(count(schedule(load(1200, wires="A B N", poles=2, volts=208)), *NO_TAILS), "X")
    assert (found["volts"], found["amps"]) == (120, 10)


def test_tails_are_part_of_the_way(count: Counter):
    """100 ft from the panel with 6 ft there and 1 ft here, then 50 ft with 1 ft at both ends: 107 and 159 ft."""
    boxes = [load(0), load(1200, box="Y", fed_from="X", run_ft=50)]
    counted = count(schedule(*boxes), "panel_tail_ft=6", "box_tail_ft=1")
    assert [place(counted, b)["path_ft"] for b in ("X", "Y")] == [107, 159]
    assert place(counted, "Y")["drop_v"] == pytest.approx(2 * 1.98 * 0.159 * 10, abs=1e-9)


def test_conductors_at_20_c_have_82_percent_of_the_resistance(count: Counter):
    """Table 8 note 2: 1 + 0.00323 x (20 - 75) = 0.8224; the copper factor of 20 to 75 C is 1.216, 1/1.216 = 0.8224."""
    cold, warm = (
        place(count(schedule(load(1920)), *NO_TAILS, f"conductor_temp_c={t}"), "X")["drop_v"] for t in (20, 75)
    )
    assert cold / warm == pytest.approx(0.82, rel=0.01)
    assert cold / warm == pytest.approx(1 / 1.216, rel=0.001)


# Loads where they sit


def test_loads_along_a_chain(count: Counter):
    """Three loads of 5 A, 100 ft apart on 12 AWG: 2 x 0.198 x 15 = 5.94 V, then 3.96 V and 1.98 V more."""
    boxes = [load(600, box="B1"), load(600, box="B2", fed_from="B1"), load(600, box="B3", fed_from="B2")]
    counted = count(schedule(*boxes), *NO_TAILS)
    found = [place(counted, b) for b in ("B1", "B2", "B3")]
    assert [f["run_a_a"] for f in found] == [15, 10, 5]
    assert [f["drop_v"] for f in found] == pytest.approx([5.94, 9.90, 11.88], abs=1e-9)
    assert row(counted, "far_ends")["drop_pct"] == pytest.approx(9.9, abs=1e-9)


def test_loads_in_branches(count: Counter):
    """A junction feeds 5 A and 10 A, 100 ft off: 15 A to it, 5.94 V; 1.98 V and 3.96 V more behind it."""
    boxes = [load(0, box="J"), load(600, box="L", fed_from="J"), load(1200, box="R", fed_from="J")]
    counted = count(schedule(*boxes), *NO_TAILS)
    assert [place(counted, b)["run_a_a"] for b in ("J", "L", "R")] == [15, 5, 10]
    assert [place(counted, b)["drop_v"] for b in ("J", "L", "R")] == pytest.approx([5.94, 7.92, 9.90], abs=1e-9)


def test_home_runs_of_one_circuit_do_not_add(count: Counter):
    boxes = [load(600, box="L"), load(1200, box="R")]
    counted = count(schedule(*boxes), *NO_TAILS)
    assert [place(counted, b)["drop_v"] for b in ("L", "R")] == pytest.approx([1.98, 3.96], abs=1e-9)


def test_the_order_of_rows_changes_nothing(count: Counter):
    """A branch that stands behind its neighbor's boxes in the schedule is laid out with its own."""
    boxes = [
        load(600, box="A1"),
        load(600, box="B1", fed_from="A1"),
        load(600, box="A2", fed_from="A1"),
        load(600, box="B2", fed_from="B1"),
    ]
    one, other = (count(schedule(*order), *NO_TAILS) for order in (boxes, [boxes[n] for n in (0, 2, 1, 3)]))
    wanted = {"A1": 7.92, "A2": 9.90, "B1": 11.88, "B2": 13.86}
    for counted in (one, other):
        assert {b: place(counted, b)["drop_v"] for b in wanted} == pytest.approx(wanted, abs=1e-9)


def test_multiwire_loads_are_on_their_own_hots(count: Counter):
    """10 A on A at the first box, 5 A on B 100 ft behind it: A drops 3.96 V there, B 1.98 V and 1.98 V more."""
    shared = {"wires": "A B N", "poles": 2}
    boxes = [load(1200, box="B1", taps="A N", **shared), load(600, box="B2", taps="B N", fed_from="B1", **shared)]
    counted = count(schedule(*boxes), *NO_TAILS)
    first, second = place(counted, "B1"), place(counted, "B2")
    assert (first["run_a_a"], first["run_b_a"], second["run_a_a"], second["run_b_a"]) == (10, 5, 0, 5)
    assert (first["drop_v"], second["drop_v"]) == (pytest.approx(3.96, abs=1e-9), pytest.approx(3.96, abs=1e-9))
    found = row(counted, "circuit_tests")
    assert (found["on_a_a"], found["on_b_a"], found["load_a"]) == (10, 5, 10)


def test_two_devices_of_a_box_on_two_hots_share_its_load(count: Counter):
    """360 VA of two receptacles, one on A and one on B: 180 VA and 1.5 A each."""
    box = load(360, device="duplex+duplex", wires="A B N", taps="A N B N", poles=2)
    found = place(count(schedule(box), *NO_TAILS), "X")
    assert (found["alone_a_a"], found["alone_b_a"]) == (1.5, 1.5)
    assert found["drop_v"] == pytest.approx(2 * 0.198 * 1.5, abs=1e-9)


def test_a_switch_leg_belongs_to_the_hot_of_its_switch(count: Counter):
    boxes = [
        load(0, box="S", device="switch", wires="A B N", taps="B S1", poles=2),
        load(240, box="L", device="luminaire", wires="S1 N", fed_from="S"),
        load(240, box="K", device="luminaire", wires="S1 N", fed_from="L"),
    ]
    counted = count(schedule(*boxes), *NO_TAILS)
    assert [place(counted, b)["run_a_a"] for b in ("S", "L", "K")] == [0, 0, 0]
    assert [place(counted, b)["run_b_a"] for b in ("S", "L", "K")] == [4, 4, 2]


def test_three_phase_loads_beside_single_ones_add_up_on_their_hots(count: Counter):
    """3603 VA three phase is 10 A on each line; 600 VA to neutral puts 5 A more on A."""
    shared = {"wires": "A B C N", "poles": 3, "volts": 208}
    boxes = [
        load(10 * 208 * sqrt(3), box="M", device="equipment-3p", **shared),
        load(600, box="L", fed_from="M", **shared),
    ]
    counted = count(schedule(*boxes), *NO_TAILS)
    found = place(counted, "M")
    assert [found[f"run_{x}_a"] for x in "abc"] == pytest.approx([15, 10, 10], abs=1e-9)
    # the line that carries most decides: 1.732 x 0.198 x 15
    assert found["drop_v"] == pytest.approx(sqrt(3) * 0.198 * 15, abs=1e-9)


# Against a general circuit solve


@st.composite
def trees(draw: st.DrawFn) -> list[dict[str, Any]]:
    """Boxes in any tree of one circuit: length, size, load, the hot it is on, and the box that feeds each."""
    count = draw(st.integers(1, 9))
    return [
        {
            "parent": draw(st.integers(-1, n - 1)),
            "feet": draw(st.integers(1, 300)),
            "awg": draw(st.sampled_from(["12", "10", "8"])),
            "va": draw(st.integers(0, 2000)),
            "hot": draw(st.sampled_from("ABC")),
        }
        for n in range(count)
    ]


any_tree = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def build_tree(folder: Path, tree: list[dict[str, Any]], *sets: str, **cells: object) -> Build:
    boxes = [
        {
            **load(b["va"], box=f"B{n}", run_ft=b["feet"], awg=b["awg"], **cells),
            "fed_from": "panel" if b["parent"] < 0 else f"B{b['parent']}",
            "taps": f"{b['hot']} N" if "wires" in cells else "",
        }
        for n, b in enumerate(tree)
    ]
    path = folder / "s.csv"
    path.write_text(schedule(*boxes), encoding="utf-8")
    return compute(Options(path, sets=sets, plans="emt"))


def run_ohm(box: dict[str, Any], panel_tail: float, box_tail: float) -> float:
    tails = box_tail + (panel_tail if box["parent"] < 0 else box_tail)
    return (box["feet"] + tails) * OHM_PER_KFT[box["awg"]] / 1000


@any_tree
@given(tree=trees(), panel_tail=st.integers(0, 10), box_tail=st.integers(0, 3))
def test_any_tree_of_loads_against_nodal_analysis(
    tmp_path: Path, tree: list[dict[str, Any]], panel_tail: int, box_tail: int
):
    """Every run is two resistors, every load a current source; the panel holds its voltage."""
    network = Network()
    for n, box in enumerate(tree):
        ohm = run_ohm(box, panel_tail, box_tail)
        for wire in ("hot", "neutral"):
            network.resistor((wire, box["parent"]) if box["parent"] >= 0 else GROUND, (wire, n), ohm)
        network.draw(("hot", n), ("neutral", n), box["va"] / 120)
    volts = network.solve()
    built = build_tree(tmp_path, tree, f"panel_tail_ft={panel_tail}", f"box_tail_ft={box_tail}")
    for n in range(len(tree)):
        drop = (volts["neutral", n] - volts["hot", n]).real
        assert place(built, f"B{n}")["drop_v"] == pytest.approx(drop, rel=1e-9, abs=1e-9)
    most = max(p["drop_pct"] for p in rows(built, "paths"))
    assert row(built, "far_ends")["drop_pct"] == most


@any_tree
@given(tree=trees())
def test_a_shared_neutral_is_taken_on_the_safe_side(tmp_path: Path, tree: list[dict[str, Any]]):
    """Three hots of a wye with loads to one neutral, as phasors: the drop found is never under the true one.

    It is that of the loads on the hot alone, as if the neutral carried all of their current and none of the others'.
    """
    angle = {"A": 0.0, "B": -2 * pi / 3, "C": 2 * pi / 3}
    network = Network()
    for n, box in enumerate(tree):
        ohm = run_ohm(box, 0, 0)
        for wire in "ABCN":
            network.resistor((wire, box["parent"]) if box["parent"] >= 0 else GROUND, (wire, n), ohm)
        network.draw((box["hot"], n), ("N", n), rect(box["va"] / 120, angle[box["hot"]]))
    volts = network.solve()
    built = build_tree(tmp_path, tree, *NO_TAILS, wires="A B C N", poles=3, volts=208)
    for n, box in enumerate(tree):
        at_load = rect(120, angle[box["hot"]]) + volts[box["hot"], n] - volts["N", n]
        assert place(built, f"B{n}")["drop_v"] >= 120 - abs(at_load) - 1e-9


@any_tree
@given(tree=trees())
def test_any_tree_of_three_phase_loads_against_phasors(tmp_path: Path, tree: list[dict[str, Any]]):
    """Balanced loads between three lines: the drop between lines is 1.732 times that of one conductor."""
    network = Network()
    for n, box in enumerate(tree):
        ohm = run_ohm(box, 0, 0)
        amperes = box["va"] / (208 * sqrt(3))
        for wire, turn in (("A", 0.0), ("B", -2 * pi / 3), ("C", 2 * pi / 3)):
            network.resistor((wire, box["parent"]) if box["parent"] >= 0 else GROUND, (wire, n), ohm)
            network.draw((wire, n), GROUND, rect(amperes, turn))
    volts = network.solve()
    boxes = [
        {
            **load(b["va"], box=f"B{n}", device="equipment-3p", run_ft=b["feet"], awg=b["awg"], wires="A B C"),
            "fed_from": "panel" if b["parent"] < 0 else f"B{b['parent']}",
            "poles": 3,
            "volts": 208,
            "neutral": "no",
        }
        for n, b in enumerate(tree)
    ]
    path = tmp_path / "s.csv"
    path.write_text(schedule(*boxes), encoding="utf-8")
    built = compute(Options(path, sets=NO_TAILS, plans="emt"))
    for n in range(len(tree)):
        drop = abs(volts["A", n] - volts["B", n])
        assert place(built, f"B{n}")["drop_v"] == pytest.approx(drop, rel=1e-9, abs=1e-9)
