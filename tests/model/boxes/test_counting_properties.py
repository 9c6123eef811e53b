"""Properties that hold for any wiring, and the counting rules written a second time as a plain loop."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from takeoff.build import Options, compute
from takeoff.report.results import results_of

TOTALS = ("circuit_terminations", "ground_terminations", "circuit_splices", "ground_splices", "entries")
MONEY = ("labor_hours", "material_cost", "labor_cost", "installed_cost")
COMPARED = "ac-first,mc-wire-first,mc-armor-first,emt"
LEADS = {"luminaire": 2, "equipment-1p": 2}
TERMINALS = {"duplex": 2, "gfci": 2, "duplex+duplex": 4, "junction": 0}


@dataclass(frozen=True)
class Row:
    """A row of a generated schedule; `parent` is the place of the box in its circuit that feeds it, -1 the panel."""

    device: str
    feet: int
    parent: int


Circuit = tuple[tuple[Row, ...], int]
"""The rows of a circuit, and how often it is built."""


@st.composite
def circuits(draw: st.DrawFn) -> Circuit:
    count = draw(st.integers(1, 6))
    rows = tuple(
        Row(
            draw(st.sampled_from([*TERMINALS, *LEADS])),
            draw(st.integers(1, 200)),
            draw(st.integers(-1 if n == 0 else 0, n - 1)) if n else -1,
        )
        for n in range(count)
    )
    return rows, draw(st.integers(1, 3))


jobs = st.lists(circuits(), min_size=1, max_size=4)
fast = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def text_of(job: list[Circuit], names: str = "P") -> str:
    lines = ["box,circuit,device,run_ft,fed_from,repeat"]
    for c, (rows, repeat) in enumerate(job):
        for n, row in enumerate(rows):
            parent = "panel" if row.parent < 0 else f"{names}{c}.{row.parent}"
            lines.append(f"{names}{c}.{n},{names}-{c},{row.device},{row.feet},{parent},{repeat}")
    return "\n".join(lines) + "\n"


def results(folder: Any, text: str) -> dict[str, Any]:
    path = folder / "s.csv"
    path.write_text(text)
    return results_of(compute(Options(path, plans=COMPARED)))


def totals(folder: Any, text: str) -> dict[str, dict[str, float]]:
    found = results(folder, text)["plans"]
    return {c: {n: t[n] for n in (*TOTALS, *MONEY)} for c, t in found.items()}


def close(one: dict[str, dict[str, float]], other: dict[str, dict[str, float]]) -> bool:
    return all(one[c] == pytest.approx(other[c], rel=1e-9) for c in one)


@fast
@given(job=jobs, order=st.randoms(use_true_random=False))
def test_the_order_of_circuits_changes_no_total(tmp_path, job: list[Circuit], order):
    shuffled = list(enumerate(job))
    order.shuffle(shuffled)
    before = totals(tmp_path, text_of(job))
    assert close(before, totals(tmp_path, text_of([c for _, c in shuffled])))


@fast
@given(rows=circuits())
def test_repeat_three_is_three_copies(tmp_path, rows: Circuit):
    repeated, copies = [(rows[0], 3)], [(rows[0], 1)] * 3
    assert close(totals(tmp_path, text_of(repeated)), totals(tmp_path, text_of(copies)))


@fast
@given(job=jobs, device=st.sampled_from([*TERMINALS, *LEADS]), at=st.integers(0, 99))
def test_adding_a_box_never_lowers_a_total(tmp_path, job: list[Circuit], device: str, at: int):
    rows, repeat = job[0]
    longer = [((*rows, Row(device, 10, at % len(rows))), repeat), *job[1:]]
    before, after = totals(tmp_path, text_of(job)), totals(tmp_path, text_of(longer))
    for plan, values in before.items():
        for name in (*TOTALS, *MONEY):
            assert after[plan][name] >= values[name] * (1 - 1e-12), f"{plan} {name}"


@fast
@given(job=jobs)
def test_an_armor_type_ground_never_has_more_terminations_than_a_wire_type(tmp_path, job: list[Circuit]):
    found = results(tmp_path, text_of(job))["boxes"]
    by_box: dict[str, dict[str, Any]] = {}
    for box in found:
        by_box.setdefault(box["box"], {})[box["plan"]] = box
    for boxes in by_box.values():
        for armor in ("ac-first", "mc-armor-first"):
            for wire in ("mc-wire-first", "emt"):
                assert boxes[armor]["ground_terminations"] <= boxes[wire]["ground_terminations"]
                assert boxes[armor]["ground_splices"] == 0
                assert boxes[armor]["fill_in3"] <= boxes[wire]["fill_in3"]
        assert len({boxes[c]["circuit_terminations"] for c in boxes}) == 1


def by_hand(device: str, entries: int, wire: bool) -> tuple[int, int, int, int]:
    """Count one box of 12 AWG two-wire runs straight from the words of the counting rules."""
    terminations = splices = 0
    devices = device.split("+")
    on_terminals = sum(d in ("duplex", "gfci") for d in devices)
    on_leads = sum(d in LEADS for d in devices)
    for _role in ("hot", "neutral"):
        ends = entries + on_terminals + on_leads
        if ends == 1:
            terminations += 1  # capped
        elif entries == 1 and on_terminals == 1 and not on_leads:
            terminations += 1  # lands
        else:
            splices += 1
            terminations += ends + on_terminals  # every end in the connector, every pigtail on its terminal
    if not wire:
        return terminations, splices, 2 * on_terminals + on_leads, 0
    bonds = on_terminals + on_leads
    if entries + bonds == 1:
        return terminations, splices, 1, 0
    return terminations, splices, entries + bonds + 1 + 1 + on_terminals, 1


@fast
@given(job=jobs)
def test_every_box_against_the_rules_written_as_a_loop(tmp_path, job: list[Circuit]):
    names = ("circuit_terminations", "circuit_splices", "ground_terminations", "ground_splices")
    for box in results(tmp_path, text_of(job))["boxes"]:
        circuit, place = (int(n) for n in box["box"].removeprefix("P").split("."))
        rows = job[circuit][0]
        entries = 1 + sum(r.parent == place for r in rows)
        wire = box["plan"] in ("mc-wire-first", "emt")
        assert box["entries"] == entries
        assert tuple(box[n] for n in names) == by_hand(rows[place].device, entries, wire)


@fast
@given(job=jobs)
def test_runs_have_two_ends_and_boxes_are_all_sized(tmp_path, job: list[Circuit]):
    found = results(tmp_path, text_of(job))["plans"]
    runs = sum(len(rows) * repeat for rows, repeat in job)
    for totals_of in found.values():
        assert totals_of["entries"] + totals_of["panel_ends"]["home_runs"] == 2 * runs
        assert sum(totals_of["boxes"].values()) + totals_of["boxes_without_size"] == runs


@fast
@given(rows=circuits(), feet=st.integers(1, 500))
def test_a_longer_run_never_costs_less(tmp_path, rows: Circuit, feet: int):
    first, *rest = rows[0]
    longer = ((replace(first, feet=first.feet + feet), *rest), rows[1])
    before, after = totals(tmp_path, text_of([rows])), totals(tmp_path, text_of([longer]))
    for plan in before:
        assert after[plan]["labor_hours"] > before[plan]["labor_hours"]
        assert after[plan]["material_cost"] > before[plan]["material_cost"]
        assert all(after[plan][n] == before[plan][n] for n in TOTALS)
