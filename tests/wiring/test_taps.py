"""Taps: what a connection of a device accepts, runs without a live conductor, boxes with too few gangs."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from takeoff.cli import app
from tests.conftest import Counter

HEAD = "box,circuit,device,run_ft,fed_from,wires,taps,gangs\n"


def check(folder: Path, rows: str) -> tuple[int, list[str], list[str]]:
    """Check a schedule; return the exit code and the lines of stdout and stderr."""
    (folder / "s.csv").write_text(HEAD + rows, encoding="utf-8")
    done = CliRunner().invoke(app, ["check", str(folder / "s.csv")])
    return done.exit_code, done.stdout.splitlines(), done.stderr.splitlines()


def two(device: str, taps: str, wires: str = "A B N", onward: str = "S1 T1 T2 N") -> str:
    """Return a box X with the device, and a junction that X feeds."""
    return f"X,P-1,{device},20,panel,{wires},{taps},\nY,P-1,junction,9,X,{onward},,\n"


MISMATCHES = [
    ("switch", "N N", "needs a hot, not N"),
    ("switch", "A N", "needs a switch leg, not N"),
    ("switch", "A B", "needs a switch leg, not B"),
    ("switch", "A T1", "needs a switch leg, not T1"),
    ("switch", "T1 S1", "needs a hot, not T1"),
    ("switch", "S1 S1", "connects S1 twice"),
    ("duplex", "N A", "needs a hot, not N"),
    ("duplex", "A B", "needs a neutral, not B"),
    ("duplex", "A S1", "needs a neutral, not S1"),
    ("duplex", "T1 N", "needs a hot, not T1"),
    ("receptacle-2p", "A A", "connects A twice"),
    ("receptacle-2p", "A N", "needs a hot, not N"),
    ("equipment-3p", "A B A", "connects A twice"),
    ("luminaire", "N N", "needs a switch leg or a hot, not N"),
    ("luminaire", "T1 N", "needs a switch leg or a hot, not T1"),
    ("luminaire", "S1 A", "needs a neutral, not A"),
    ("sensor-neutral", "A S1 A", "needs a neutral, not A"),
    ("switch-3way", "T1 T1 T2", "needs a hot or a switch leg, not T1"),
    ("switch-3way", "N T1 T2", "needs a hot or a switch leg, not N"),
    ("switch-3way", "A S1 T1", "needs a traveler, not S1"),
    ("switch-3way", "A T1 N", "needs a traveler, not N"),
    ("switch-4way", "T1 T2 T1 A", "needs a traveler, not A"),
    ("duplex-ig", "A N N", "needs an isolated ground, not N"),
    ("duplex-ig", "A N B", "needs an isolated ground, not B"),
]


@pytest.mark.parametrize(("device", "taps", "what"), MISMATCHES, ids=[f"{d} {t}" for d, t, _ in MISMATCHES])
def test_a_tap_of_the_wrong_kind_is_refused(tmp_path: Path, device: str, taps: str, what: str):
    carried = 'its runs carry "A B N; S1 T1 T2 N"; correct wires, or say with taps what it uses'
    assert check(tmp_path, two(device, taps)) == (2, [], [f"s.csv:2:taps: {device}: {what}; {carried}"])


def test_an_isolated_ground_is_no_neutral(tmp_path: Path):
    code, _, errors = check(tmp_path, two("duplex", "A IG", "A N IG", "A N"))
    assert (code, errors) == (
        2,
        [
            's.csv:2:taps: duplex: needs a neutral, not IG; its runs carry "A N IG; A N"; '
            "correct wires, or say with taps what it uses"
        ],
    )


def test_the_second_device_of_a_box_is_named(tmp_path: Path):
    code, _, errors = check(tmp_path, two("duplex+switch", "A N A N"))
    assert (code, errors) == (
        2,
        [
            's.csv:2:taps: switch: needs a switch leg, not N; its runs carry "A B N; S1 T1 T2 N"; '
            "correct wires, or say with taps what it uses"
        ],
    )


@pytest.mark.parametrize(
    ("device", "taps"),
    [
        ("switch", "B S1"),
        ("switch", "S1 S2"),  # a leg may feed a second switch
        ("duplex", "S1 N"),  # a receptacle may hang on a leg
        ("luminaire", "B N"),
        ("duplex+duplex", "A N A N"),  # two devices may share what one of them may not name twice
        ("switch-3way", "S1 T1 T2"),
    ],
)
def test_a_tap_of_the_right_kind_is_taken(count: Counter, device: str, taps: str):
    taken = count(HEAD + two(device, taps, onward="S1 S2 T1 T2 N")).build.job.boxes[0].taps
    assert [role for roles in taken for role in roles] == taps.split()


def test_only_travelers_may_stand_on_both_sides_of_a_device(count: Counter):
    """A four-way switch: one name for the pair that comes in and the pair that goes on."""
    rows = (
        "W1,P-1,switch-3way,30,panel,A N,A T1 T2,\nW2,P-1,switch-4way,20,W1,T1 T2 N,T1 T2 T1 T2,\n"
        "W3,P-1,switch-3way,20,W2,T1 T2 N,S1 T1 T2,\nL,P-1,luminaire,8,W3,S1 N,S1 N,\n"
    )
    counted = count(HEAD + rows)
    assert counted.build.job.boxes[1].taps == [["T1", "T2", "T1", "T2"]]
    # four travelers land, the neutral passes spliced
    assert counted.counts("W2", "ac-first")[:2] == (4 + 2, 1)


@pytest.mark.parametrize("wires", ["N", "IG", "N IG", "NA NB", "n"])
def test_a_run_without_a_live_conductor_is_refused(tmp_path: Path, wires: str):
    """NEC 300.3(B): the conductors of a circuit run together."""
    rows = f"X,P-1,junction,20,panel,A B N NA NB IG,,\nY,P-1,junction,9,X,{wires},,\n"
    assert check(tmp_path, rows) == (
        2,
        [],
        [
            f's.csv:3:wires: carries neither a hot nor a switch leg nor a traveler: "{wires.upper()}"; '
            "the roles of a circuit, 300.3(B)"
        ],
    )


@pytest.mark.parametrize("wires", ["A", "S1", "T1", "S1 N", "T1 T2 N"])
def test_a_leg_or_a_traveler_is_a_live_conductor(tmp_path: Path, wires: str):
    code, _, errors = check(tmp_path, f"X,P-1,junction,20,panel,A N,,\nY,P-1,junction,9,X,{wires},,\n")
    assert (code, errors) == (0, [])


@pytest.mark.parametrize(
    ("device", "gangs", "needs"),
    [("duplex+duplex", 1, 2), ("duplex", 0, 1), ("receptacle-2p-wide", 1, 2), ("duplex+receptacle-2p-wide", 2, 3)],
)
def test_fewer_gangs_than_the_yokes_need_are_noticed(tmp_path: Path, device: str, gangs: int, needs: int):
    code, out, errors = check(tmp_path, f"X,P-1,{device},20,panel,A B N,,{gangs}\n")
    assert (code, errors) == (0, [])
    told = [line for line in out if ":gangs:" in line]
    assert told == [
        f'notice: s.csv:2:gangs: gangs are fewer than the {needs} that its devices need: "{gangs}"; taken as given'
    ]


@pytest.mark.parametrize(("device", "gangs"), [("duplex+duplex", 2), ("duplex", 2), ("luminaire", 0), ("duplex", "")])
def test_enough_gangs_are_not_noticed(tmp_path: Path, device: str, gangs: object):
    code, out, _ = check(tmp_path, f"X,P-1,{device},20,panel,A N,,{gangs}\n")
    assert code == 0
    assert [line for line in out if "gangs" in line] == []


def test_fewer_gangs_are_taken_as_given(count: Counter):
    """Two yokes in a box of one gang: its ring has one gang, and both yokes take their room."""
    counted = count(HEAD + "X,P-1,duplex+duplex,20,panel,A N,,1\n", compared="ac-first")
    assert counted.box("X", "ac-first")["fill_in3"] == (2 + 2 * 2) * 2.25
    assert counted.total("material_by_item", "ac-first")["ring-4-1gang"] == 1
    assert [p["column"] for p in counted.results["problems"]] == ["gangs"]


@pytest.mark.parametrize(("device", "taps"), [("switch-3way", "A T1 T1"), ("switch-4way", "T1 T1 T1 T1")])
def test_a_traveler_lands_once_and_on_a_four_way_switch_twice(tmp_path: Path, device: str, taps: str):
    """Common practice, no source: a three-way switch has two travelers, a four-way switch two in and two out."""
    rows = f"box,circuit,device,run_ft,wires,taps\nX,P-1,{device},9,A T1 T2 N,{taps}\n"
    (tmp_path / "s.csv").write_text(rows)
    done = CliRunner().invoke(app, ["check", str(tmp_path / "s.csv")])
    assert done.exit_code == 2
    assert "connects T1 twice" in done.stderr
