"""The learning curve of a study's dates, against printed tables of unit theory and curves made by its definition."""

from __future__ import annotations

import datetime as dt
from math import inf, log2

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from takeoff.study.learning import Practice, Reached, curve_of, reached, seconds_of_unit, unit_at

UNIT_THEORY = [(80, 2, 0.8), (80, 3, 0.702), (80, 4, 0.64), (80, 10, 0.477), (85, 5, 0.686), (85, 10, 0.583), (90, 20, 0.634), (95, 100, 0.711)]  # fmt: skip
"""Rate in percent, unit, its time in times of the first: learning-curve coefficients as tables of operations management
print them for unit theory (from memory)."""

MONDAY = dt.date(2026, 3, 2)


def days(
    count: int, per_day: int, first_s: float, rate: float, worker: str = "W1", factor: float = 1
) -> list[Practice]:
    """Return one reading for each unit, each exactly on a curve."""
    return [
        Practice(worker, MONDAY + dt.timedelta(n // per_day), factor * first_s * (n + 1) ** log2(rate))
        for n in range(count * per_day)
    ]


@pytest.mark.parametrize(("rate_pct", "unit", "part"), UNIT_THEORY)
def test_unit_times_of_printed_tables(rate_pct: float, unit: int, part: float):
    assert seconds_of_unit(1, rate_pct / 100, unit) == pytest.approx(part, abs=6e-4)
    assert unit_at(1, rate_pct / 100, seconds_of_unit(1, rate_pct / 100, unit)) == pytest.approx(unit)


def test_a_worked_example_of_operations_management():
    """First unit 100,000 h, curve of 85 %: the fourth takes 72,250 h by two doublings (worked so in textbooks)."""
    assert seconds_of_unit(100_000, 0.85, 4) == pytest.approx(72_250)


def test_the_curve_of_readings_made_on_it():
    """Ten units a day for four days at 80 %, from 200 s: the curve comes back; half of the first unit's time is reached
    at unit 2^(log 0.5 / log 0.8) = 2^3.106 = 8.61, so that it is over; 50 s at unit 2^6.213 = 74.2, 35 units, 4 days on.
    """
    curve = curve_of(days(4, 10, 200, 0.8))
    assert curve is not None
    assert (curve.rate, curve.first_s) == (pytest.approx(0.8), pytest.approx(200))
    assert (curve.done, curve.per_day, curve.last) == (40, 10, MONDAY + dt.timedelta(3))
    assert curve.shown
    assert reached(curve, 100) == Reached(0, 0)
    assert reached(curve, 50) == Reached(35, 4)
    assert reached(curve, 50, per_day=5) == Reached(35, 7)


def test_who_is_fast_by_habit_makes_no_curve():
    """A slow worker timed early and a fast one late, neither faster with practice: nothing is learned."""
    early = [Practice("W1", MONDAY + dt.timedelta(n), 100 + n % 2) for n in range(6)]
    late = [Practice("W2", MONDAY + dt.timedelta(n), 50 + n % 2) for n in range(6, 12)]
    curve = curve_of([*early, *late])
    assert curve is not None
    assert not curve.shown
    assert reached(curve, 40) == Reached(None, None)


def test_workers_of_their_own_level_give_one_rate():
    curve = curve_of([*days(3, 8, 100, 0.9), *days(3, 8, 100, 0.9, "W2", 1.7)])
    assert curve is not None
    assert curve.rate == pytest.approx(0.9)
    assert curve.done == 24


def test_times_that_grow_reach_nothing():
    curve = curve_of(days(4, 5, 100, 1.1))
    assert curve is not None
    assert (curve.shown, reached(curve, 90)) == (False, Reached(None, None))


@pytest.mark.parametrize("readings", [[], days(2, 10, 100, 0.8), [Practice("W1", MONDAY, 0.0)] * 9])
def test_too_few_days_are_no_curve(readings: list[Practice]):
    assert curve_of(readings) is None


def test_what_is_out_of_reach_says_so():
    assert unit_at(100, 1, 50) == inf
    curve = curve_of(days(4, 10, 200, 0.97))
    assert curve is not None
    assert reached(curve, 1) == Reached(None, None)


@given(st.floats(0.6, 0.98), st.floats(1, 5000), st.integers(3, 8), st.integers(2, 9))
@settings(max_examples=50, deadline=None)
def test_the_estimate_is_met_at_the_unit_named_and_not_before(rate: float, first_s: float, count: int, per_day: int):
    curve = curve_of(days(count, per_day, first_s, rate))
    assert curve is not None
    target = curve.now_s * 0.9
    found = reached(curve, target)
    if found.units is not None:
        assert seconds_of_unit(first_s, rate, curve.done + found.units) <= target * (1 + 1e-6)
        assert seconds_of_unit(first_s, rate, curve.done + found.units - 1) > target * (1 - 1e-6)
