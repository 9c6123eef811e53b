"""Statistics of a time study against published worked examples; each check names its source."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from scipy import stats

from takeoff.study.statistics import (
    MOST_NEEDED,
    modified_z,
    needed_by_normal,
    needed_by_t,
    normal_time,
    paired,
    spread_of,
    standard_time,
    welch,
)


def with_moments(mean: float, deviation: float, count: int) -> list[float]:
    """Return numbers with exactly this mean and standard deviation: for examples published by their moments."""
    raw = np.random.default_rng(count).normal(size=count)
    return [float(v) for v in mean + deviation * (raw - raw.mean()) / raw.std(ddof=1)]


SLEEP = (
    [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0],
    [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4],
)
"""Student, The probable error of a mean, Biometrika 1908: hours of sleep gained by ten patients; from memory."""

OLD = [32, 37, 35, 28, 41, 44, 35, 31, 34, 38, 42]
NEW = [36, 31, 30, 31, 34, 36, 29, 32, 31]
"""NIST/SEMATECH e-Handbook 7.3.1: minutes to assemble a device by the old and the new procedure; from memory."""


# spread


def test_confidence_limits_of_the_handbook():
    """NIST/SEMATECH e-Handbook 1.3.5.2, heat flow meter data (figures from memory)."""
    spread = spread_of(with_moments(9.261460, 0.022789, 195), 0.95)
    assert (spread.low, spread.high) == pytest.approx((9.258242, 9.264679), abs=1.5e-6)


def test_spread_against_scipy():
    times = [41.0, 38.5, 52.25, 47.0, 39.75, 44.5]
    for confidence in (0.8, 0.95, 0.99):
        spread = spread_of(times, confidence)
        low, high = stats.t.interval(confidence, 5, loc=np.mean(times), scale=stats.sem(times))
        assert (spread.low, spread.high) == pytest.approx((low, high))
        assert spread.deviation == pytest.approx(stats.tstd(times))


def test_one_reading_has_no_spread():
    spread = spread_of([12.0], 0.95)
    assert (spread.mean, spread.deviation, spread.low, spread.high) == (12, None, None, None)


# outliers


def test_the_outlying_reading_of_the_handbook_is_flagged_and_no_other():
    """NIST/SEMATECH e-Handbook 1.3.5.17.1 (data from memory): its test too calls 245.57 an outlier, and it alone."""
    scores = modified_z([199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57])
    assert scores is not None
    # by hand: median 201.37; deviations 2.06 1.84 1.18 0.55 0.55 0.58 0.81 44.20, their median 0.995
    assert scores[-1] == pytest.approx(0.6745 * 44.20 / 0.995)
    assert scores[0] == pytest.approx(-0.6745 * 2.06 / 0.995)
    assert [abs(z) > 3.5 for z in scores] == [False] * 7 + [True]


def test_a_spread_that_is_wide_all_over_flags_nothing():
    """NIST/SEMATECH e-Handbook 1.3.5.17.2, residuals of Venus (from memory): there another test calls two outliers;
    the modified z-score of the farthest, by hand 0.6745 x 1.46 / 0.30 = 3.28, stays under 3.5."""
    venus = [-1.40, -0.44, -0.30, -0.24, -0.22, -0.13, -0.05, 0.06, 0.10, 0.18, 0.20, 0.39, 0.48, 0.63, 1.01]
    scores = modified_z(venus)
    assert scores is not None
    assert scores[0] == pytest.approx(-3.2826, abs=1e-3)
    assert max(map(abs, scores)) < 3.5


def test_scores_scale_as_the_normal_distribution_does():
    """0.6745 is the upper quartile of the standard normal: scipy's MAD, scaled so, gives the same scores."""
    times = [31.0, 29.0, 35.0, 28.5, 30.0, 44.0, 27.0]
    scale = stats.median_abs_deviation(times, scale="normal")
    assert modified_z(times) == pytest.approx([(t - 30) / scale for t in times], rel=1e-4)


@pytest.mark.parametrize("times", [[5, 5, 5, 5, 9], [1, 2, 3, 40], [0.1 + 0.2, 0.3, 0.3, 0.3, 0.3]])
def test_without_a_scale_nothing_is_judged(times: list[float]):
    assert modified_z(times) is None


# readings needed


def test_readings_needed_of_an_operations_text():
    """Example 10.3 of an operations management text: z 1.96, s 1, 5 % of 3.00: 170.74, so 171."""
    assert needed_by_normal(3.0, 1.0, 0.05, 0.95) == 171


def test_exactly_121_is_not_122():
    """Exercise of the same text: z 1.65, exactly 121 readings, since 1.65 / 0.15 is 11. A float of it may lie on either side."""
    confidence = 2 * stats.norm.cdf(1.65) - 1
    assert needed_by_normal(3.0, 1.0, 0.05, confidence) == 121
    assert needed_by_normal(3.0, 1.0, 0.05, 0.90) == 121  # with z unrounded, 120.25


@pytest.mark.parametrize(("precision", "count"), [(0.05, 15), (0.10, 4)])
def test_readings_needed_of_a_work_study_form(precision: float, count: int):
    """(40 sqrt(n sum x2 - (sum x)^2) / sum x)^2 for 8, 7, 8, 9, 7: 14.73 at 5 %, 3.68 at 10 % (printed 3.87, garbled).

    The form takes z = 2 and divides the squares by n, not n - 1.
    """
    times = [8, 7, 8, 9, 7]
    confidence = 2 * stats.norm.cdf(2) - 1
    assert needed_by_normal(float(np.mean(times)), float(np.std(times)), precision, confidence) == count


def test_readings_needed_by_t_of_a_published_exercise():
    """99 %, s 17, within 5 points: iterated with a table of t, 81 (an answered exercise on sample size)."""
    assert needed_by_t(100.0, 17.0, 0.05, 0.99) == 81
    assert needed_by_normal(100.0, 17.0, 0.05, 0.99) == 77


@pytest.mark.parametrize(
    ("mean", "deviation", "precision"), [(50, 8, 0.05), (50, 20, 0.1), (3, 0.4, 0.02), (7, 1, 0.3)]
)
def test_the_number_by_t_is_the_first_that_reaches_the_precision(mean: float, deviation: float, precision: float):
    count = needed_by_t(mean, deviation, precision, 0.95)

    def half(n: int) -> float:
        return float(stats.t.interval(0.95, n - 1, scale=deviation / n**0.5)[1])

    assert half(count) <= precision * mean
    assert count == 2 or half(count - 1) > precision * mean
    assert count >= needed_by_normal(mean, deviation, precision, 0.95)


def test_no_spread_needs_two_readings_and_a_wild_one_ends():
    assert needed_by_t(10.0, 0.0, 0.05, 0.95) == 2
    assert needed_by_t(1.0, 1000.0, 0.001, 0.95) == MOST_NEEDED


# normal and standard time


def test_share_of_the_day_of_a_university_handout():
    """Handout of a course in quantitative business analysis: 20, 23, 19, 18, 24, 25; rating 85 %; allowance 10 %."""
    normal = normal_time(float(np.mean([20, 23, 19, 18, 24, 25])), 85)
    assert normal == pytest.approx(18.275)
    assert standard_time(normal, 10, "share-of-day") == pytest.approx(20.31, abs=0.005)


def test_share_of_the_job_of_a_university_quiz():
    """27, 19, 20, 21, 13; rating 120 %; allowance 20 %: 24 and 28.8. As a share of the day it would be 30.0."""
    normal = normal_time(float(np.mean([27, 19, 20, 21, 13])), 120)
    assert normal == pytest.approx(24)
    assert standard_time(normal, 20, "share-of-job") == pytest.approx(28.8)
    assert standard_time(normal, 20, "share-of-day") == pytest.approx(30.0)


def test_share_of_the_day_of_an_operations_text():
    """Quality control test of four elements, normal time 3.234 min, allowance 23 %: 4.2 (from memory).

    Read as a share of the job, by which an answer in print comes to a figure of its own, it would be 3.98.
    """
    assert standard_time(3.234, 23, "share-of-day") == pytest.approx(4.2, abs=0.001)
    assert standard_time(3.234, 23, "share-of-job") == pytest.approx(3.234 * 1.23)


def test_without_allowance_both_conventions_agree():
    assert standard_time(7.5, 0, "share-of-day") == standard_time(7.5, 0, "share-of-job") == 7.5


# differences


def test_welch_of_the_handbook():
    """NIST/SEMATECH e-Handbook 7.3.1: t 2.269, about 15.5 degrees of freedom, the new procedure is faster.

    The handbook tests one side at 5 % (critical 1.749 with the computed degrees); two-sided p is twice its tail.
    """
    found = welch(OLD, NEW, 0.95)
    assert found is not None
    assert -found.t == pytest.approx(2.269, abs=0.001)
    assert found.freedom == pytest.approx(15.5, abs=0.05)
    assert found.mean == pytest.approx(np.mean(NEW) - np.mean(OLD))
    assert found.p == pytest.approx(2 * stats.t.sf(2.2694, 15.533), rel=1e-3)
    assert found.shown
    assert found.low < found.mean < found.high < 0


@pytest.mark.parametrize(
    ("first", "second", "t", "freedom", "two_sided"),
    [
        pytest.param((20.14458, 6.41470, 249), (30.48101, 6.10771, 79), 12.946, 136.87, 2 * 7.855e-26, id="AUTO83B"),
        pytest.param((12, 39**0.5, 11), (15, 87.5**0.5, 13), 0.936, None, 0.360, id="manual"),
    ],
)
def test_welch_of_examples_published_by_their_moments(
    first: tuple[float, float, int], second: tuple[float, float, int], t: float, freedom: float | None, two_sided: float
):
    """NIST AUTO83B as worked in the manual of a C++ library (its tails are one-sided), and an example of SciPy's."""
    found = welch(with_moments(*first), with_moments(*second), 0.95)
    assert found is not None
    assert found.t == pytest.approx(t, abs=0.0006)
    if freedom:
        assert found.freedom == pytest.approx(freedom, abs=0.005)
    assert found.p == pytest.approx(two_sided, rel=2e-3)


def test_welch_does_not_pool():
    """AUTO83B pooled: t 12.62059 with 326 degrees of freedom. That is another test."""
    found = welch(with_moments(20.14458, 6.41470, 249), with_moments(30.48101, 6.10771, 79), 0.95)
    assert found is not None
    assert found.t != pytest.approx(12.62059, abs=0.1)


def test_pairs_of_students_sleep_data():
    """t 4.0621, two-sided p 0.002833 (from memory); unpaired the same figures show nothing, p 0.079."""
    together, apart = paired(*SLEEP, 0.95), welch(*SLEEP, 0.95)
    assert together is not None
    assert apart is not None
    assert (together.t, together.freedom) == (pytest.approx(4.0621, abs=5e-5), 9)
    assert together.p == pytest.approx(0.002833, abs=5e-7)
    assert together.mean == pytest.approx(1.58)
    assert (together.low, together.high) == pytest.approx((0.7001142, 2.4598858), abs=1e-6)  # R manual; from memory
    assert apart.p == pytest.approx(0.07939, abs=5e-6)
    assert (together.shown, apart.shown) == (True, False)


def test_a_mean_saving_can_be_unproven():
    """A statistics exercise: ten workers 5.1 min faster, t 1.96; p is 0.08, so nothing is shown at 95 %."""
    differences = with_moments(-5.1, 5.1 * 10**0.5 / 1.96, 10)
    first = [60.0 + 2 * n for n in range(10)]
    found = paired(first, list(np.add(first, differences)), 0.95)
    assert found is not None
    assert found.t == pytest.approx(-1.96)
    assert found.p == pytest.approx(0.0817, abs=0.0005)
    assert not found.shown
    assert found.low < 0 < found.high
    at_90 = paired(first, list(np.add(first, differences)), 0.90)
    assert at_90 is not None
    assert at_90.shown


@pytest.mark.parametrize(
    ("first", "second"), [([10.0], [12.0]), ([10.0, 11.0, 12.0], [12.0, 13.0, 14.0]), ([5.0, 5.0], [5.0, 5.0])]
)
def test_pairs_without_any_spread_are_not_tested(first: Sequence[float], second: Sequence[float]):
    assert paired(first, second, 0.95) is None


@pytest.mark.parametrize(("first", "second"), [([10.0], [12.0, 13.0]), ([5.0, 5.0, 5.0], [6.0, 6.0])])
def test_groups_without_any_spread_are_not_tested(first: Sequence[float], second: Sequence[float]):
    assert welch(first, second, 0.95) is None
