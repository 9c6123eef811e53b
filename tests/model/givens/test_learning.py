"""The learning curve by unit theory (Crawford) against published figures, and on the boxes of a type."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

from takeoff.build import Build
from tests.conftest import ROOT
from tests.priced import priced
from tests.tables import row, rows

EIGHT = "box,circuit,device,run_ft\n" + "".join(f"B{n},P-{n},duplex,20\n" for n in range(1, 9))
"""Eight boxes of one type, each with a home run of its own."""
MINUTES = {
    r["operation"]: float(r["minutes"])
    for r in csv.DictReader((ROOT / "catalogs" / "operations.csv").read_text(encoding="utf-8").splitlines())
}


def curve(folder: Path, percent: float) -> Build:
    return priced(folder, f"learning_rate_pct={percent}", schedule=EIGHT, compared="mc-wire-first")


def part(build: Build, unit: int) -> float:
    return row(build, "learning", unit=unit)["part"]


def test_fifty_minutes_at_80_percent_become_40_and_32(tmp_path):
    """A public page on learning curves: 80 %, the first unit 50 min, the second 40, the fourth 32."""
    build = curve(tmp_path, 80)
    assert (50 * part(build, 2), 50 * part(build, 4)) == pytest.approx((40, 32))


def test_812_hours_at_75_percent_come_to_82_at_unit_250_and_120_at_unit_100_go_back_to_811(tmp_path):
    """A textbook of project management: 75 %, 812 h: unit 250, 82.10 h (recomputed); 120 h at unit 100 "about" 812."""
    build = curve(tmp_path, 75)
    exponent = row(build, "learning_slope")["exponent"]
    assert exponent == pytest.approx(math.log(0.75) / math.log(2))
    assert 812 * 250**exponent == pytest.approx(82.10, abs=0.005)
    assert 120 / part(build, 100) == pytest.approx(811.44, abs=0.005)


def test_eight_units_at_80_percent_take_534_hours_and_not_those_of_the_cumulative_average(tmp_path):
    """First unit 100 h: 534.59 by unit theory; Wright's cumulative average would give 8 x 100 x 0.8^3 = 409.60."""
    build = curve(tmp_path, 80)
    together = 100 * row(build, "learning", unit=8)["together"]
    assert together == pytest.approx(534.59, abs=0.005)
    assert together == pytest.approx(100 * sum(n ** (math.log(0.8) / math.log(2)) for n in range(1, 9)))
    assert abs(together - 409.60) > 100


def hours_of(build: Build, operation: str) -> float:
    return row(build, "labor", operation=operation)["hours_1"]


def learned(count: int, rate: float, until: int = 10_000) -> float:
    """Return the time of a number of units, in times of the first: unit theory, worked apart."""
    return sum(min(n, until) ** (math.log(rate) / math.log(2)) for n in range(1, count + 1))


@pytest.mark.parametrize(
    ("sets", "times"),
    [
        ((), 8),
        (("learning_rate_pct=80",), 5.345915),  # as above
        (("learning_rate_pct=80", "learning_until_unit=4"), 1 + 0.8 + 0.8 ** math.log2(3) + 5 * 0.64),
        (("learning_rate_pct=80", "learning_until_unit=1"), 8),
        # the minutes hold for the fourth box: the first takes 1 / 0.64 of them
        (("learning_rate_pct=80", "learning_at_unit=4"), 5.345915 / 0.64),
        (("learning_rate_pct=90", "learning_at_unit=100", "learning_until_unit=100"), learned(8, 0.9) / 0.9 ** math.log2(100)),
        (("learning_rate_pct=50",), sum(1 / n for n in range(1, 9))),  # b = -1
    ],
)  # fmt: skip
def test_the_boxes_of_a_type_take_their_part_of_the_minutes(tmp_path, sets, times):
    build = priced(tmp_path, *sets, schedule=EIGHT, compared="mc-wire-first")
    assert hours_of(build, "mount-box") * 60 == pytest.approx(times * MINUTES["mount-box"], rel=1e-6)
    # nothing is learned along the run: 20 ft of each
    assert hours_of(build, "route-cable") * 60 == pytest.approx(8 * 20 * MINUTES["route-cable"])
    assert hours_of(build, "measure-cut") * 60 == pytest.approx(8 * MINUTES["measure-cut"])
    assert build.book.values("master", "open")[0] == 0


def test_a_circuit_built_again_is_learned_on_and_other_types_start_anew(tmp_path):
    schedule = "box,circuit,device,run_ft,repeat\nB1,P-1,duplex,20,8\nB2,P-2,gfci,20,1\n"
    build = priced(tmp_path, "learning_rate_pct=80", schedule=schedule, compared="mc-wire-first")
    assert hours_of(build, "mount-box") * 60 == pytest.approx((5.345915 + 1) * MINUTES["mount-box"], rel=1e-6)


def test_conditions_of_the_work_come_on_top(tmp_path):
    schedule = EIGHT.replace("run_ft\n", "run_ft,area\n").replace(",20\n", ",20,hall\n")
    toml = '[areas.hall]\noccupancy = "occupied"\n'
    build = priced(tmp_path, "learning_rate_pct=80", schedule=schedule, compared="mc-wire-first", toml=toml)
    assert hours_of(build, "mount-box") * 60 == pytest.approx(1.15 * 5.345915 * MINUTES["mount-box"], rel=1e-6)


def test_a_hundred_and_more_boxes_go_on_at_the_last_pace(tmp_path):
    schedule = "box,circuit,device,run_ft,repeat\nB1,P-1,duplex,20,300\n"
    sets = ("learning_rate_pct=85", "learning_until_unit=100")
    build = priced(tmp_path, *sets, schedule=schedule, compared="mc-wire-first")
    assert hours_of(build, "mount-box") * 60 == pytest.approx(learned(300, 0.85, 100) * MINUTES["mount-box"])


def test_it_is_off_by_default_and_the_other_inputs_then_change_nothing(tmp_path):
    off = priced(tmp_path / "a")
    other = priced(tmp_path / "b", "learning_at_unit=50", "learning_until_unit=3")
    assert {r["factor"] for r in rows(off, "type_practice")} == {1.0}
    for table in ("totals", "each", "box_outcomes", "labor_lines", "bid"):
        assert rows(off, table) == rows(other, table)
