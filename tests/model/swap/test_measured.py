"""Intervals of a time study in the ranges of the swap: weighed by hours, worked by hand; the rest as it was stated."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from takeoff.build import Build, Options, compute
from takeoff.cli import app
from takeoff.report.output import write_outputs
from tests import office
from tests.conftest import ROOT
from tests.swapping import Rebuild, minutes, overlay
from tests.tables import NO_TAILS, row, rows, schedule

RANGES = ("operation", "construction", "low_minutes", "high_minutes", "confidence_pct", "source")
STUDY = "time study, n=12, 4 workers, 2026-03-02, allowance none"


@pytest.fixture
def rebuild(tmp_path: Path) -> Rebuild:
    return Rebuild(tmp_path)


def timed(rebuild: Rebuild, each: dict[str, float], ranges: dict[str, tuple[float, float]]) -> Build:
    """Build 100 home runs to a junction box; only these operations take time, and these were timed."""
    found = [
        {
            "operation": o,
            "construction": "all",
            "low_minutes": low,
            "high_minutes": high,
            "confidence_pct": 95,
            "source": STUDY,
        }
        for o, (low, high) in ranges.items()
    ]
    catalogs = {
        "operations": minutes(lambda r: each.get(str(r["operation"]), 0)),
        "minute_ranges": overlay(RANGES, found),
    }
    return rebuild(schedule({"run_ft": 85, "repeat": 100}), *NO_TAILS, catalogs=catalogs)


def range_of(build: Build, key: str) -> dict[str, Any]:
    return next(r for r in rows(build, "spreads") if r["range"] == key)


def test_what_is_all_measured_has_the_measured_interval(rebuild: Rebuild):
    """Only landing on the box screw takes time: 7.2 min, measured from 6.48 to 8.64: 90 and 120 %."""
    build = timed(rebuild, {"ground-screw": 7.2}, {"ground-screw": (6.48, 8.64)})
    found = range_of(build, "ground_minutes")
    assert (found["low"], found["likely"], found["high"]) == pytest.approx((0.9, 1, 1.2))
    assert range_of(build, "other_minutes")["low"] == 0.8  # as stated: nothing else was timed
    shown = next(r for r in rows(build, "tornado") if r["title"] == "minutes on grounds")
    assert (shown["low_pct"], shown["high_pct"], shown["lean"]) == (pytest.approx(90), pytest.approx(120), "YES")
    assert shown["measured_pct"] == 100


def test_what_is_measured_in_part_is_weighed_by_hours(rebuild: Rebuild):
    """In the wire plan 100 screws x 6 min = 10 h, measured from 90 to 110 %; 10 h of other ground work as stated.

    An EGC is prepared at the box and at the panel, 200 x 3 min = 10 h: 60 to 140 %. Halves: 75 to 125 %.
    """
    build = timed(rebuild, {"ground-screw": 6, "prepare-egc": 3}, {"ground-screw": (5.4, 6.6)})
    found = row(build, "measured_ranges", range="ground_minutes")
    assert (found["hours"], found["measured_pct"]) == pytest.approx((20, 50))
    assert (found["low"], found["high"]) == pytest.approx((0.75, 1.25))
    assert range_of(build, "ground_minutes")["low"] == pytest.approx(0.75)


def test_the_draws_rest_on_what_was_measured(rebuild: Rebuild):
    """A narrower range of the only minutes that differ makes a narrower outcome."""
    each = {"ground-screw": 7.2}
    wide, narrow = (row(timed(rebuild, each, r), "risk") for r in ({}, {"ground-screw": (7.1, 7.3)}))
    assert narrow["sd_usd"] < wide["sd_usd"]


def test_without_a_time_study_nothing_of_it_is_there(rebuild: Rebuild):
    build = timed(rebuild, {"ground-screw": 7.2}, {})
    assert not {"measured_lines", "measured_ranges"} & set(build.book.tables)
    assert range_of(build, "ground_minutes")["low"] == 0.6


def test_a_study_calibrated_into_a_folder_is_the_range_of_the_swap(tmp_path: Path):
    """Three workers land an EGC on the screw in 5, 6 and 7 min, once each; no other operation takes time.

    By hand: mean 6, standard deviation 1, Student's t with 2 degrees of freedom at 97.5 % is 4.3027 (tables of t):
    6 +- 4.3027 / sqrt(3) = 6 +- 2.4842 min, 58.6 to 141.4 % of the estimate, which is the mean.
    """
    folder, times = tmp_path / "cal", tmp_path / "times.csv"
    folder.mkdir()
    (folder / "operations.csv").write_text(minutes(lambda _: 0), encoding="utf-8")
    lines = [f"2026-03-0{n},W{n},mc-wire,ground-screw,1,{m}:00" for n, m in ((2, 5), (3, 6), (4, 7))]
    times.write_text("\n".join(["date,worker_code,construction,operation,count,seconds", *lines]), encoding="utf-8")
    done = CliRunner().invoke(app, ["calibrate", str(times), "-o", str(folder)])
    assert done.exit_code == 0, done.output
    (tmp_path / "s.csv").write_text(schedule({"run_ft": 85, "repeat": 100}), encoding="utf-8")
    build = compute(Options(tmp_path / "s.csv", folder, sets=NO_TAILS, plans="mc-wire-first,mc-armor-first"))
    half = 4.3027 / 3**0.5 / 6
    found = range_of(build, "ground_minutes")
    assert (found["low"], found["high"]) == pytest.approx((1 - half, 1 + half), abs=2e-3)
    shown = next(r for r in rows(build, "tornado") if r["title"] == "minutes on grounds")
    assert (shown["low_pct"], shown["high_pct"]) == pytest.approx((58.6, 141.4), abs=0.2)
    assert shown["measured_pct"] == 100
    # 100 home runs x 6 min = 10 h are saved; at either end the saving moves by that part of them
    rate = row(build, "labor_rate")["usd_per_h"]
    assert (shown["low_usd"], shown["high_usd"]) == pytest.approx((-half * 10 * rate, half * 10 * rate), rel=5e-3)


@pytest.mark.libreoffice
def test_a_folder_of_calibrate_feeds_the_ranges_and_recalculates(
    tmp_path: Path, recalculate: Callable[[list[Path]], list[Path]]
):
    done = CliRunner().invoke(app, ["calibrate", str(ROOT / "samples" / "times.csv"), "-o", str(tmp_path / "cal")])
    assert done.exit_code == 0
    build = compute(Options(ROOT / "samples" / "small.csv", catalogs=tmp_path / "cal"))
    assert 0 < row(build, "measured_ranges", range="ground_minutes")["measured_pct"] < 100
    assert 0.6 < range_of(build, "ground_minutes")["low"] < 0.95
    write_outputs(build, tmp_path / "s.xlsx", None)
    office.poison(tmp_path / "s.xlsx", tmp_path / "poisoned.xlsx")
    (again,) = recalculate([tmp_path / "poisoned.xlsx"])
    formulas = office.formulas(tmp_path / "s.xlsx")
    assert list(office.differences(office.values(tmp_path / "s.xlsx"), office.values(again), formulas)) == []
