"""The receipt of a schedule: what each row says in boxes, and that a lost or doubled one is no receipt."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import CliRunner

from takeoff.build import Options, read_job
from takeoff.cli import app
from takeoff.report.totals import receipt_text
from takeoff.wiring.tree import Job

ROOMS = "room,box,device,run_ft\nguest,a,duplex,8\nguest,b,gfci,6\n"
TEXT = (
    "box,circuit,device,count,run_ft,next_ft,room,home_run_ft\n"
    "A,P-1,duplex,,20,,,\n"
    "B,P-1,duplex,3,10,5,,\n"
    ",P-2,,2,,,guest,40\n"
)


def job_of(folder: Path) -> Job:
    (folder / "s.csv").write_text(TEXT)
    (folder / "r.csv").write_text(ROOMS)
    return read_job(Options(folder / "s.csv", rooms=folder / "r.csv", sets=("drops=no",))).job


def test_a_count_and_placed_rooms_are_so_many_boxes_of_their_row(tmp_path: Path):
    """By hand: 1 + 3 + 2 rooms of 2; 20 ft, 10 + 2 times 5, 2 times (40 + 8 + 6)."""
    job = job_of(tmp_path)
    assert job.schedule.counts == {2: 1, 3: 3, 4: 4}
    said = "read s.csv: 4 rows with entries, the heading one of them; in all 8 boxes, 148 ft of runs, each once"
    assert receipt_text(job) == said


def test_drops_are_no_feet_of_the_file(tmp_path: Path):
    job_of(tmp_path)
    options = Options(tmp_path / "s.csv", rooms=tmp_path / "r.csv", sets=("drops=yes",))
    assert "in all 8 boxes, 148 ft of runs" in receipt_text(read_job(options).job)


def test_a_lost_box_a_doubled_one_and_a_lost_row_are_noticed(tmp_path: Path):
    job = job_of(tmp_path)
    for boxes in (job.boxes[:-1], [*job.boxes, job.boxes[-1]]):
        with pytest.raises(ArithmeticError, match=r"rows that became more or fewer boxes than they say: 4$"):
            receipt_text(replace(job, boxes=boxes))
    with pytest.raises(ArithmeticError, match="4 rows were read, and 3 were taken for boxes"):
        receipt_text(replace(job, schedule=replace(job.schedule, rows=4)))


def test_the_form_is_read_by_its_first_sheet_and_the_others_are_named(tmp_path: Path):
    assert CliRunner().invoke(app, ["new", str(tmp_path / "job")]).exit_code == 0
    lines = CliRunner().invoke(app, ["check", str(tmp_path / "job" / "schedule.xlsx")]).stdout.splitlines()
    read = [line.removeprefix("read schedule.xlsx: ").partition(":")[0] for line in lines if line.startswith("read ")]
    assert read == [
        "sheet Schedule",
        "sheet How to fill it in has other headings and is not read",
        "sheet Lists has other headings and is not read",
    ]
