"""Schedules in habits of the trade: each is read as it stands, and its counts are those worked out by hand."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from takeoff.build import Options, compute, read_job
from takeoff.cli import app
from takeoff.report.expanded import expanded_text
from takeoff.wiring.tree import Job
from tests.copies import worked
from tests.tables import rows as table_rows

HABITS = Path(__file__).parent.parent / "habits"
CASES = worked("habits")
KINDS = ("receptacle", "switch", "luminaire", "equipment", "other")
IGNORED = ("ignore_columns=Wire type",)


def job_of(name: str, rooms: str = "", *sets: str) -> Job:
    path = HABITS / f"{rooms}.csv" if rooms else None
    return read_job(Options(HABITS / f"{name}.csv", sets=(*IGNORED, *sets), rooms=path)).job


def counted(job: Job) -> dict[str, Any]:
    """Return the figures of a case, counted from the wired boxes."""
    kinds = [str(device["device_kind"]) for box in job.boxes for device in box.devices]
    home = [box.run_ft for box in job.boxes if box.from_panel]
    figures = {"boxes": len(job.boxes), "circuits": len(job.circuits), "home_runs": len(home)}
    feet = {"home_run_ft": sum(home), "run_ft": sum(box.run_ft for box in job.boxes)}
    endings = ("receptacles", "switches", "luminaires", "equipment", "other")
    return figures | feet | {name: kinds.count(kind) for kind, name in zip(KINDS, endings, strict=True)}


@pytest.mark.parametrize("case", CASES, ids=[case["habit"] for case in CASES])
def test_a_schedule_in_a_habit_of_the_trade_has_the_counts_worked_by_hand(case: dict[str, str]):
    found = counted(job_of(case["habit"], case["options"]))
    assert found == {name: pytest.approx(float(case[name]), abs=0.0001) for name in found}


def test_there_are_ten_of_them():
    assert len(CASES) >= 10


@pytest.mark.parametrize("case", CASES, ids=[case["habit"] for case in CASES])
def test_a_schedule_equals_its_expansion(case: dict[str, str], tmp_path: Path):
    """What is written with counts, rooms, aliases and concluded wires, read again, is the same to the byte."""
    first = job_of(case["habit"], case["options"])
    path = tmp_path / "expanded.csv"
    path.write_text(expanded_text(first), encoding="utf-8")
    again = read_job(Options(path, sets=IGNORED)).job
    assert expanded_text(again) == path.read_text(encoding="utf-8")
    for a, b in zip(first.boxes, again.boxes, strict=True):
        assert (a.source.box, a.run, a.run_ft, a.taps, a.load_va) == (b.source.box, b.run, b.run_ft, b.taps, b.load_va)
        assert (a.upstream and a.upstream.source.box) == (b.upstream and b.upstream.source.box)


def test_the_words_of_the_trade_and_our_own_are_the_same_to_the_byte(tmp_path: Path):
    ours = tmp_path / "ours.csv"
    ours.write_text(
        "panel,circuit,device,count,run_ft,fed_from,breaker_a,poles,volts,awg,space,area,box\n"
        "LP1,LP1-1,duplex,2,85,panel,20,1,120,12,damp,lobby,R\n"
        'LP1,"LP1-2,4",equipment-2p,1,12.5,panel,30,2,208,10,,lobby,W\n'
    )
    trade = tmp_path / "trade.csv"
    trade.write_text(
        "Pnl,Ckt,Device,Qty,Run,From,Brkr,Voltage,Wire size,Environment,Zone,Tag\n"
        "LP1,1,Duplex Receptacles,2,85',LP1,20A/1P,208Y/120,#12,Damp location,lobby,R\n"
        'LP1,"2,4",Water heater,1,"12\'-6""",HR,2P-30,208Y/120,10 AWG,dry,lobby,W\n'
    )
    assert expanded_text(read_job(Options(ours)).job) == expanded_text(read_job(Options(trade)).job)


def test_the_first_attempt_of_an_estimator_says_what_to_mend_and_the_second_builds_63_boxes(tmp_path: Path):
    """29 rows as written from the drawings, with Qty, From, Breaker 30A/2P, Wire #8; two things are unclear in them."""
    first = CliRunner().invoke(app, ["build", str(HABITS / "estimator-first.csv"), "-o", str(tmp_path / "out.xlsx")])
    assert first.exit_code == 2
    assert first.stderr.splitlines() == [
        'estimator-first.csv:1:Wire type: is not a column of the schedule, but its name looks like awg, such as: "THHN"; '
        'rename it, or say that it is none of the kind: ignore_columns = "Wire type"',
        'estimator-first.csv:4:device: is not a device of the catalog: "Floor receptacle"; did you mean duplex (duplex '
        "receptacle) or gfci (receptacle with ground-fault protection) or duplex-hg (hospital grade duplex receptacle)?",
    ]
    assert not (tmp_path / "out.xlsx").exists()
    written = (HABITS / "estimator-first.csv").read_text(), (HABITS / "estimator.csv").read_text()
    changed = [pair for pair in zip(*(text.splitlines() for text in written), strict=True) if pair[0] != pair[1]]
    assert [pair[1] for pair in changed] == [changed[0][0].replace("Floor", "Duplex")]
    build = compute(Options(HABITS / "estimator.csv", sets=IGNORED))
    assert len(table_rows(build, "schedule")) == 63
    heater = table_rows(build, "circuits", circuit="LP1-2,4")[0]
    assert (heater["breaker_a"], heater["poles"]) == (30, 2)
    assert {r["awg"] for r in table_rows(build, "schedule", circuit="LP1-2,4")} == {"8"}
