"""Legs and travelers that no row says: what each run brings, worked out by hand from the order of the devices."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from takeoff.catalog.load import load_catalogs
from takeoff.catalog.rows import Catalogs
from takeoff.job.inputs import load_inputs
from takeoff.job.schedule import read_schedule
from takeoff.report.expanded import expanded_text
from takeoff.text.problems import InputError
from takeoff.wiring.sizing import conditions_of
from takeoff.wiring.tree import Job, wire

shipped = cache(load_catalogs)


def wired(folder: Path, catalogs: Catalogs, *devices: str, head: str = "device") -> Job:
    path = folder / "s.csv"
    lines = [f"box,circuit,run_ft,{head}", *(f"B{n},P-1,10,{device}" for n, device in enumerate(devices, start=1))]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return wire(read_schedule(path, catalogs), catalogs, conditions_of(load_inputs(catalogs)))


CASES = {
    "a switch feeds what is behind it": (["switch", "luminaire", "luminaire"], ["A N", "S1 N", "S1 N"]),
    "the hot goes on where it is used behind": (
        ["switch", "luminaire", "duplex"],
        ["A N", "A S1 N", "A N"],
    ),
    "the next switch has a leg of its own": (
        ["switch", "luminaire", "dimmer", "luminaire"],
        ["A N", "A S1 N", "A N", "S2 N"],
    ),
    "a luminaire before any switch takes the hot": (["luminaire", "switch", "luminaire"], ["A N", "A N", "S1 N"]),
    "two three-way switches": (["switch-3way", "switch-3way", "luminaire"], ["A N", "T1 T2 N", "S1 N"]),
    "a four-way switch between them": (
        ["switch-3way", "switch-4way", "switch-3way", "luminaire"],
        ["A N", "T1 T2 N", "T1 T2 N", "S1 N"],
    ),
    "an exit sign is never switched": (["sensor", "luminaire", "exit-sign"], ["A N", "A S1 N", "A N"]),
    "a dead end has what comes to it": (["switch", "luminaire", "junction"], ["A N", "S1 N", "S1 N"]),
    "a dead end without a leg has the hot": (
        ["switch-3way", "switch-3way", "junction", "junction"],
        ["A N", "T1 T2 N", "S1 N", "S1 N"],
    ),
    "a junction passes the leg on": (["switch", "junction", "luminaire"], ["A N", "S1 N", "S1 N"]),
}


@pytest.mark.parametrize(("devices", "roles"), CASES.values(), ids=CASES)
def test_what_each_run_brings(tmp_path: Path, catalogs: Catalogs, devices: list[str], roles: list[str]):
    job = wired(tmp_path, catalogs, *devices)
    assert [" ".join(b.run.roles) for b in job.boxes] == roles
    assert job.notices[-1].message == "are blank for P-1 and follow from the order of devices:"


def test_an_exit_sign_among_switched_luminaires_takes_the_hot(tmp_path: Path, catalogs: Catalogs):
    job = wired(tmp_path, catalogs, "switch", "luminaire", "exit-sign", "luminaire")
    assert [" ".join(b.run.roles) for b in job.boxes] == ["A N", "A S1 N", "A S1 N", "S1 N"]
    assert [b.taps for b in job.boxes] == [[["A", "S1"]], [["S1", "N"]], [["A", "N"]], [["S1", "N"]]]


def test_branches_each_bring_what_they_use(tmp_path: Path, catalogs: Catalogs):
    devices = ["switch,", "luminaire,B1", "duplex,B1", "luminaire,B2"]
    job = wired(tmp_path, catalogs, *devices, head="device,fed_from")
    assert [" ".join(b.run.roles) for b in job.boxes] == ["A N", "S1 N", "A N", "S1 N"]


UNTOLD = {
    "several switches in a box": (
        ["switch+switch", "luminaire"],
        "B1 holds several switches: which of them feeds what is not told by their order",
    ),
    "a luminaire between three-way switches": (
        ["switch-3way", "luminaire", "switch-3way"],
        "B2 is a luminaire between three-way switches: which run brings its leg is not told by their order",
    ),
    "a four-way switch alone": (["switch-4way", "luminaire"], "B1 is a four-way switch that no three-way switch feeds"),
    "a switch behind what it feeds": (
        ["luminaire", "switch"],
        "switch: needs a switch leg that no run of the box brings; its runs carry",
    ),
}


@pytest.mark.parametrize(("devices", "message"), UNTOLD.values(), ids=UNTOLD)
def test_what_the_order_does_not_tell_is_asked_for(
    tmp_path: Path, catalogs: Catalogs, devices: list[str], message: str
):
    with pytest.raises(InputError) as wrong:
        wired(tmp_path, catalogs, *devices)
    assert [p.message for p in wrong.value.problems] == [message]
    assert "say with wires what each run brings" in wrong.value.problems[0].accepted


def test_boxes_of_one_row_are_asked_for_once(tmp_path: Path, catalogs: Catalogs):
    with pytest.raises(InputError) as wrong:
        wired(tmp_path, catalogs, "switch-3way,", "luminaire,3", "switch-3way,", head="device,count")
    (problem,) = wrong.value.problems
    assert problem.row == 3
    assert ", and 2 more of its row, is a luminaire between three-way switches:" in problem.message


DEVICES = st.sampled_from(["switch", "switch-3way", "switch-4way", "luminaire", "exit-sign", "duplex", "junction"])


@settings(deadline=None, max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(boxes=st.lists(st.tuples(DEVICES, st.integers(0, 30)), min_size=2, max_size=9))
def test_every_run_brings_what_its_parent_has_and_the_expansion_says_the_same(
    tmp_path: Path, boxes: list[tuple[str, int]]
):
    """Any tree of devices: a run goes on with a hot, leg or travelers only from a box that has them or makes them."""
    devices = [f"{device},{'panel' if not at else f'B{back % at + 1}'}" for at, (device, back) in enumerate(boxes)]
    try:
        job = wired(tmp_path, shipped(), *devices, head="device,fed_from")
    except InputError:
        return
    makes = {"switch": "S", "switch-3way": "ST", "switch-4way": "T"}
    for box in job.boxes:
        if box.upstream:
            made = makes.get(box.upstream.source.devices[0], "")
            assert all(role in box.upstream.run.roles or role[0] in made for role in box.run.roles)
    path = tmp_path / "again.csv"
    path.write_text(expanded_text(job), encoding="utf-8")
    again = wire(read_schedule(path, shipped()), shipped(), conditions_of(load_inputs(shipped())))
    assert [(b.run, b.taps) for b in again.boxes] == [(b.run, b.taps) for b in job.boxes]


def test_a_circuit_that_says_wires_anywhere_is_left_alone(tmp_path: Path, catalogs: Catalogs):
    job = wired(tmp_path, catalogs, "switch,", "luminaire,S1 N", head="device,wires")
    assert [b.led for b in job.boxes] == [False, False]
