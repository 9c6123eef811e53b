"""The learning curve that a study's own dates show, and when the crew reaches an estimate.

Unit theory, as in the book: time of unit x = time of the first x x^b. Nothing here knows the trade, a file or a
catalog.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil, exp, inf, log, log2
from statistics import median

import numpy as np
from scipy import stats

FEWEST_DAYS = 3
"""Days under which a trend is no curve."""

LONGEST_DAYS = 3_650
"""Beyond these the estimate is out of reach."""


@dataclass(frozen=True)
class Practice:
    """One reading: who, on which day, seconds for one, and how many units were made in it."""

    worker: str
    date: dt.date
    seconds_each: float
    units: float = 1


@dataclass(frozen=True)
class LearningCurve:
    """A fitted curve: seconds of a worker's first unit, exponent, and the test of the exponent against nothing.

    `done` are units of a worker so far, `per_day` those of a worker on a day of the study, on average; `last` is its
    last day; `shown` says whether times fall by more than chance.
    """

    first_s: float
    exponent: float
    p: float
    shown: bool
    done: float
    per_day: float
    last: dt.date

    @property
    def rate(self) -> float:
        """The part of its time that a doubling of units leaves: 0.80 for a curve of 80 %."""
        return float(2**self.exponent)

    @property
    def now_s(self) -> float:
        """Seconds of the next unit."""
        return seconds_of_unit(self.first_s, self.rate, self.done + 1)


@dataclass(frozen=True)
class Reached:
    """When an estimate is reached: units still to make by a worker, working days for it; 0 is now.

    Both are None where the curve does not come to it: nothing is learned, or over ten years.
    """

    units: int | None
    days: int | None


def seconds_of_unit(first_s: float, rate: float, unit: float) -> float:
    """Return the time of a unit: first x unit^log2(rate).

    Parameters
    ----------
    first_s
        Time of the first unit, in any unit of time.
    rate
        Part of its time that a doubling leaves, over 0 and at most 1.
    unit
        Its number, 1 or more.

    Notes
    -----
    Crawford's unit theory of the learning curve.
    """
    return float(first_s * unit ** log2(rate))


def unit_at(first_s: float, rate: float, target_s: float) -> float:
    """Return the number of the first unit that takes a time or less, 1 or more; infinity where none does."""
    if target_s >= first_s:
        return 1
    return inf if rate >= 1 or target_s <= 0 else exp(min(700.0, log(target_s / first_s) / log2(rate)))


def curve_of(practice: Iterable[Practice], confidence: float = 0.95) -> LearningCurve | None:
    """Return the curve through the readings of all workers; None where there are too few days to see one.

    Parameters
    ----------
    practice
        Readings of one kind of work. Their dates give the order; units made before the study are not known, so a curve
        begins with the study.
    confidence
        Of the one-sided test that times fall, as a share of 1.

    Notes
    -----
    Least squares of log seconds on log units with a level of each worker, so that who is fast by habit makes no curve.
    A reading stands at the middle of its units.
    """
    ordered = sorted(practice, key=lambda p: (p.worker, p.date))
    days = {p.date for p in ordered}
    if len(days) < FEWEST_DAYS or min(p.seconds_each for p in ordered) <= 0 or min(p.units for p in ordered) <= 0:
        return None
    x, y, names = _logs(ordered)
    workers = set(names)
    inner_x, inner_y = _inner(x, names), _inner(y, names)
    square, freedom = float(inner_x @ inner_x), len(x) - len(workers) - 1
    if square <= 1e-12 or freedom < 1:
        return None
    exponent = float(inner_x @ inner_y) / square
    rest = inner_y - exponent * inner_x
    error = (float(rest @ rest) / freedom / square) ** 0.5
    p = float(stats.t.cdf(exponent / error, freedom)) if error > 1e-12 else float(exponent >= 0)
    worked = len({(r.worker, r.date) for r in ordered})
    level = float(np.mean(y)) - exponent * float(np.mean(x))
    done = sum(r.units for r in ordered)
    return LearningCurve(exp(level), exponent, p, p < 1 - confidence, done / len(workers), done / worked, max(days))


def times_of_curve(curve: LearningCurve, practice: Sequence[Practice]) -> list[float]:
    """Return the seconds that a curve gives each reading, at the level of its worker.

    The level is the median of what the worker's readings are beside the curve, so that one odd reading moves no other.
    """
    order = sorted(range(len(practice)), key=lambda n: (practice[n].worker, practice[n].date))
    x, y, names = _logs([practice[n] for n in order])
    beside: dict[str, list[float]] = {}
    for x_n, y_n, name in zip(x, y, names, strict=True):
        beside.setdefault(name, []).append(y_n - curve.exponent * x_n)
    found = [0.0] * len(practice)
    for n, x_n, name in zip(order, x, names, strict=True):
        found[n] = exp(median(beside[name]) + curve.exponent * x_n)
    return found


def _logs(ordered: Sequence[Practice]) -> tuple[list[float], list[float], list[str]]:
    """Return the logs of the units at the middle of each reading and of its seconds, and whose it is."""
    made: dict[str, float] = {}
    x, y = [], []
    for reading in ordered:
        before = made.get(reading.worker, 0.0)
        made[reading.worker] = before + reading.units
        x.append(log(before + (reading.units + 1) / 2))
        y.append(log(reading.seconds_each))
    return x, y, [reading.worker for reading in ordered]


def reached(curve: LearningCurve, target_s: float, per_day: float | None = None) -> Reached:
    """Return how long until a unit takes the target.

    Parameters
    ----------
    curve
        Of curve_of.
    target_s
        Estimate for one unit, in the seconds of the readings.
    per_day
        Units that a worker makes on a working day of the job; those of a day of the study where not given.
    """
    if curve.now_s <= target_s:
        return Reached(0, 0)
    pace = curve.per_day if per_day is None else per_day
    unit = unit_at(curve.first_s, curve.rate, target_s)
    if not curve.shown or pace <= 0 or unit - curve.done > pace * LONGEST_DAYS:
        return Reached(None, None)
    units = ceil(round(unit - curve.done, 9))
    return Reached(units, ceil(round(units / pace, 9)))


def _inner(values: Sequence[float], names: Sequence[str]) -> np.ndarray:
    """Return values less the mean of their worker."""
    array, keys = np.asarray(values), np.asarray(names)
    return np.asarray(array - [array[keys == key].mean() for key in names])
