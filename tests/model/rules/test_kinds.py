"""Kinds of circuit: the rules test circuits that are alike once, so a kind must hold all that a rule sees."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from takeoff.build import Build, Options, compute
from tests.conftest import ALL_PLANS, Counter
from tests.tables import rows, schedule

Box = Mapping[str, object]
NAMES_A_ROW = {"key", "alike", "alike_row", "option", "first", "last", "space_first", "space_last", "space_row", "line"}
"""Columns that say where a row stands, not what the rules found."""


def boxes_of(circuit: str, *cells: Box) -> list[Box]:
    """Return the boxes of a circuit, one after the other along its run."""
    fed = ["panel", *(f"{circuit}.{n}" for n in range(len(cells)))]
    return [{"box": f"{circuit}.{n}", "circuit": circuit, "fed_from": fed[n], **c} for n, c in enumerate(cells)]


BY_CIRCUIT = ("construction_by=circuit",)
"""One construction for a circuit, so that its kind is one too."""


def kinds_of(build: Build) -> dict[str, str]:
    """Return the kind of every circuit by its name."""
    return {name: build.frame.alike_of[key] for name, key in build.frame.circuit_keys.items()}


def found_of(build: Build, kind: str) -> list[dict[str, Any]]:
    """Return what the rules found for a kind in every construction."""
    return [{n: v for n, v in line.items() if n not in NAMES_A_ROW} for line in rows(build, "options", alike=kind)]


DUPLEX = {"device": "duplex", "breaker_a": 20, "awg": 12}
LIGHT = {"device": "luminaire", "wires": "A N", "awg": 12}
LINES = {"device": "receptacle-2p", "wires": "A B", "volts": 240, "poles": 2, "breaker_a": 20, "awg": 12}
LOOP = {"wires": "A S1", "awg": 12}
"""Two conductors to a box without a neutral: a junction, or a switch that is then bare."""

FEED = {"wires": "A B", "volts": 240, "poles": 2, "breaker_a": 20, "awg": 12}


@pytest.mark.parametrize(
    ("one", "other"),
    [
        pytest.param([DUPLEX], [{**DUPLEX, "breaker_a": 15}], id="breaker"),
        pytest.param([DUPLEX], [{**DUPLEX, "space": "damp"}], id="space"),
        pytest.param([DUPLEX, DUPLEX], [DUPLEX, {**DUPLEX, "space": "damp"}], id="space of one box"),
        pytest.param([DUPLEX], [{**DUPLEX, "awg": 10}], id="size"),
        pytest.param([DUPLEX], [{**DUPLEX, "wires": "A N S1"}], id="conductors"),
        pytest.param([FEED], [{**FEED, "wires": "A N"}], id="neutral among them"),
        pytest.param([LINES], [{**LINES, "volts": 208}], id="volts"),
        pytest.param([{**LINES, "volts": 480}], [{**LINES, "volts": 480, "poles": 3}], id="poles"),
        pytest.param([LIGHT, LOOP], [LIGHT, {**LOOP, "device": "switch"}], id="bare switch"),
        pytest.param([LINES, FEED], [LINES, LINES], id="one receptacle against two"),
        pytest.param([FEED], [LINES, LINES], id="no receptacle against two"),
    ],
)
def test_what_a_rule_sees_makes_another_kind(count: Counter, one: list[Box], other: list[Box]):
    text = schedule(*boxes_of("P-1", *one), *boxes_of("P-2", *other), *boxes_of("P-3", *one))
    built = count(text, *BY_CIRCUIT).build
    kinds = kinds_of(built)
    assert kinds["P-1"] == kinds["P-3"]
    assert kinds["P-1"] != kinds["P-2"]


def test_what_no_rule_sees_makes_no_other_kind(count: Counter):
    """Lengths, loads, repeats, areas, and more receptacles where there are several already."""
    boxes = [
        *boxes_of("P-1", DUPLEX),
        *boxes_of("P-2", {**DUPLEX, "run_ft": 240, "repeat": 4, "area": "store", "box_style": "device"}),
        *boxes_of("P-3", DUPLEX, DUPLEX, {**DUPLEX, "device": "gfci"}),
    ]
    built = count(schedule(*boxes)).build
    assert set(kinds_of(built).values()) == {"K001"}
    assert [r["circuits"] for r in rows(built, "alikes")] == [3]


BOXES = st.sampled_from(
    [
        {"device": "junction", "wires": "A N"},
        {"device": "junction", "wires": "A B C N"},
        {"device": "duplex", "wires": "A N"},
        {"device": "receptacle-2p", "wires": "A B"},
        {"device": "switch", "wires": "A S1"},
        {"device": "switch", "wires": "A S1 N"},
    ]
)
SUPPLIES = st.sampled_from([(120, 1, 20), (120, 1, 15), (208, 2, 20), (480, 3, 30)])
circuits = st.tuples(
    SUPPLIES,
    st.lists(
        st.tuples(BOXES, st.sampled_from(["general", "wet", "patient-care"]), st.sampled_from([12, 10])),
        min_size=1,
        max_size=2,
    ),
)


def cells_of(circuit: Any) -> list[Box]:
    """Return the cells of the boxes of a generated circuit."""
    (volts, poles, breaker_a), boxes = circuit
    supply = {"volts": volts, "poles": poles, "breaker_a": breaker_a}
    return [{**supply, **cells, "space": space, "awg": awg} for cells, space, awg in boxes]


def build(folder: Path, *boxes: Box) -> Build:
    (folder / "s.csv").write_text(schedule(*boxes), encoding="utf-8")
    return compute(Options(folder / "s.csv", plans=ALL_PLANS, sets=BY_CIRCUIT))


@settings(max_examples=5, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(jobs=st.lists(circuits, min_size=1, max_size=3), feet=st.integers(1, 300))
def test_the_options_of_a_kind_are_those_of_each_of_its_circuits_alone(tmp_path: Path, jobs: list[Any], feet: int):
    """Every circuit stands twice, once longer; in a job of its own it has what its kind has in the job of all."""
    boxes = {
        f"P-{n}": [{**b, "fed_from": "panel", "run_ft": 20 if n % 2 else feet} for b in boxes_of(f"P-{n}", *cells)]
        for n, cells in enumerate(cells_of(circuit) for circuit in jobs for _ in range(2))
    }
    together = build(tmp_path, *(b for found in boxes.values() for b in found))
    kinds = kinds_of(together)
    for name, mine in boxes.items():
        alone = build(tmp_path, *mine)
        assert found_of(alone, "K001") == found_of(together, kinds[name])
        wired = {r["plan"]: r["wired_as"] for r in rows(alone, "wiring")}
        assert {r["plan"]: r["wired_as"] for r in rows(together, "wiring", circuit=name)} == wired
    assert [kinds[f"P-{n}"] for n in range(0, len(boxes), 2)] == [kinds[f"P-{n}"] for n in range(1, len(boxes), 2)]
