"""Boxes alike are made up once: the make-up found so is the one that each box has by itself."""

from __future__ import annotations

from pathlib import Path

import pytest

from takeoff.build import Options, read_job
from takeoff.catalog.load import areas_cmil
from takeoff.wiring.makeup import box_make_up, make_ups_of_boxes
from tests.benchmarks.generate import write_schedule


@pytest.mark.parametrize("seed", [3, 20])
def test_boxes_made_up_together_are_what_each_is_by_itself(tmp_path: Path, seed: int):
    write_schedule(tmp_path / "job.csv", 400, seed)
    read = read_job(Options(tmp_path / "job.csv"))
    rank = areas_cmil(read.catalogs)
    found = make_ups_of_boxes(read.job.boxes, read.catalogs, rank)
    assert found == [box_make_up(box, read.catalogs, rank) for box in read.job.boxes]
    assert len(set(map(id, found))) < len(found) / 4
