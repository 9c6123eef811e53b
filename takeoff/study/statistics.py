"""Statistics of a time study: spread, outliers, readings needed, standard time, and the test of a difference.

Nothing here knows the trade, a file or a catalog. Times are positive and have one unit throughout.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil, sqrt
from typing import Any

import numpy as np
from scipy import stats

FAR = 3.5
"""Modified z-score above which a reading is flagged."""

FEWEST = 5
"""Readings under which none is judged: the median of fewer says too little of the others."""

MOST_NEEDED = 100_000
"""The search for the readings needed ends here."""

SAME = 1e-9
"""Spread, as a share of the mean, that is noise of binary fractions."""

OUTLIER_METHOD = "modified z-score, Iglewicz and Hoaglin (1993), as in NIST/SEMATECH e-Handbook 1.3.5.17"

CONVENTIONS = {"share-of-day": ("of the day", "normal / (1 - A)"), "share-of-job": ("of the job", "normal x (1 + A)")}
"""The two readings of an allowance that are in print: of what it is a share, and the standard time."""


@dataclass(frozen=True)
class Spread:
    """Mean of times, their standard deviation, and the limits of the interval for the mean; one time has no spread."""

    count: int
    mean: float
    deviation: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True)
class Difference:
    """Difference of two means, second less first, with its interval and the test of it against nothing.

    `p` is two-sided; `shown` says whether it is under one less the confidence.
    """

    method: str
    counts: tuple[int, int]
    mean: float
    low: float
    high: float
    t: float
    freedom: float
    p: float
    shown: bool


def spread_of(times: Sequence[float], confidence: float) -> Spread:
    """Return the spread of times.

    Parameters
    ----------
    times
        At least one.
    confidence
        Of the interval for the mean, two-sided, by Student's t, as a share of 1.

    Notes
    -----
    NIST/SEMATECH e-Handbook 1.3.5.2, confidence limits for the mean.
    """
    count, mean = len(times), float(np.mean(times))
    if count < 2:
        return Spread(count, mean, None, None, None)
    deviation = float(np.std(times, ddof=1))
    half = _quantile(confidence, count - 1) * deviation / sqrt(count)
    return Spread(count, mean, deviation, mean - half, mean + half)


def modified_z(times: Sequence[float]) -> list[float] | None:
    """Return how far each time stands from the others: 0.6745 (x - median) / MAD.

    MAD is the median of the absolute deviations from the median. None where there are fewer than five
    times, or where MAD is 0 because more than half of them are equal: no scale to judge by.

    Notes
    -----
    Iglewicz and Hoaglin, How to Detect and Handle Outliers, 1993; NIST/SEMATECH e-Handbook 1.3.5.17.
    """
    values = np.asarray(times, dtype=float)
    if len(values) < FEWEST:
        return None
    scale = float(stats.median_abs_deviation(values))
    if scale <= SAME * abs(float(np.median(values))):
        return None
    return [float(z) for z in 0.6745 * (values - np.median(values)) / scale]


def needed_by_normal(mean: float, deviation: float, precision: float, confidence: float) -> int:
    """Return the readings needed by the textbook formula, (z s / (k x))^2 rounded up.

    It takes the spread as known and so asks for too few where readings are few.

    Parameters
    ----------
    mean, deviation
        Of the readings so far.
    precision
        Wanted half-width of the interval as a share of the mean.
    confidence
        Of the interval, two-sided, as a share of 1.
    """
    z = float(stats.norm.ppf((1 + confidence) / 2))
    return ceil(round((z * deviation / (precision * mean)) ** 2, 9))


def needed_by_t(mean: float, deviation: float, precision: float, confidence: float) -> int:
    """Return the smallest number of readings, at least two, whose t interval is within the precision.

    The same as needed_by_normal with Student's t for z, which depends on the number itself; the
    numbers are tried from the one by z upwards. Ends at MOST_NEEDED.
    """
    count = max(2, needed_by_normal(mean, deviation, precision, confidence))
    while count < MOST_NEEDED:
        half = _quantile(confidence, count - 1) * deviation / sqrt(count)
        if half <= precision * mean * (1 + SAME):
            return count
        count += 1
    return MOST_NEEDED


def normal_time(observed: float, rating_pct: float) -> float:
    """Return the time at a normal pace: observed time x rating."""
    return observed * rating_pct / 100


def standard_time(normal: float, allowance_pct: float, convention: str) -> float:
    """Return the normal time with its allowance, by one of CONVENTIONS.

    Two formulas are in print and differ: with 20 %, a normal time of 24 gives 30.0 where the allowance
    is a share of the day, and 28.8 where it is a share of the job.
    """
    share = allowance_pct / 100
    return normal / (1 - share) if convention == "share-of-day" else normal * (1 + share)


def paired(first: Sequence[float], second: Sequence[float], confidence: float) -> Difference | None:
    """Test the differences of pairs against nothing; None with fewer than two, or without any spread.

    Parameters
    ----------
    first, second
        As many each, in the same order.
    confidence
        As a share of 1.

    Notes
    -----
    NIST/SEMATECH e-Handbook 7.3.1.1, analysis of paired observations.
    """
    differences = np.subtract(second, first)
    scale = max(float(np.mean(first)), float(np.mean(second)))
    if len(differences) < 2 or float(np.std(differences, ddof=1)) <= SAME * scale:
        return None
    return _difference("paired t", stats.ttest_rel, first, second, confidence)


def welch(first: Sequence[float], second: Sequence[float], confidence: float) -> Difference | None:
    """Test the difference of two means without taking their spreads as equal; None where neither has any.

    Notes
    -----
    NIST/SEMATECH e-Handbook 7.3.1, with the degrees of freedom by Welch and Satterthwaite.
    """
    if min(len(first), len(second)) < 2:
        return None
    if all(float(np.std(s, ddof=1)) <= SAME * abs(float(np.mean(s))) for s in (first, second)):
        return None

    def test(a: Sequence[float], b: Sequence[float]) -> Any:
        return stats.ttest_ind(a, b, equal_var=False)

    return _difference("Welch t", test, first, second, confidence)


def holm(p_values: Sequence[float]) -> list[float]:
    """Return p-values corrected for there being several tests of one question.

    Notes
    -----
    Holm, A simple sequentially rejective multiple test procedure, Scandinavian Journal of Statistics 6, 1979.
    """
    from statsmodels.stats.multitest import multipletests  # slow to import, and wanted here only

    return [float(p) for p in multipletests(p_values, method="holm")[1]] if len(p_values) > 1 else list(p_values)


def _difference(
    method: str, test: Callable[..., Any], first: Sequence[float], second: Sequence[float], confidence: float
) -> Difference:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # one side without a spread is tested all the same
        result = test(np.asarray(second, dtype=float), np.asarray(first, dtype=float))
        limits = result.confidence_interval(confidence)
    return Difference(
        method,
        (len(first), len(second)),
        float(np.mean(second) - np.mean(first)),
        float(limits.low),
        float(limits.high),
        float(result.statistic),
        float(result.df),
        float(result.pvalue),
        float(result.pvalue) < 1 - confidence,
    )


def _quantile(confidence: float, freedom: int) -> float:
    return float(stats.t.ppf((1 + confidence) / 2, freedom))
