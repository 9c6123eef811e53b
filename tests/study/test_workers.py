"""Workers as a random effect against published mixed models, closed forms of balanced studies, and advice by hand."""

from __future__ import annotations

import csv
import subprocess
import sys
import warnings

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from takeoff.study.statistics import holm
from takeoff.study.workers import WorkerModel, advise, half_width, worker_model
from tests.conftest import ROOT

EXAMPLES = {
    # mean, its standard error, deviation between groups, deviation within one
    "dyestuff": (1527.50, 19.38, 42.00, 49.51),
    "rail": (66.5, 10.17104, 24.80547, 4.020779),
    "dyestuff2": (5.6656, 0.6784, 0.0, 3.7157),
}
"""Restricted maximum likelihood as printed.

Dyestuff: Davies and Goldsmith, Statistical Methods in Research and Production, 1972, table 6.3; Dyestuff2: Box and Tiao,
Bayesian Inference in Statistical Analysis, 1973, table 5.1.4; both fitted in Bates, lme4: Mixed-effects modeling with R,
2010, chapter 1; of the second nothing lies between batches. Rail: Pinheiro and
Bates, Mixed-Effects Models in S and S-PLUS, 2000, section 1.1. The data were compared value by value with the copies that
the R packages lme4 1.1-31 (Dyestuff, Dyestuff2) and nlme 3.1-162 (Rail) bundle and with those of the open collection
Rdatasets (csv/lme4, csv/nlme), and agree; the figures with printed outputs of these fits in public course notes (of
Dyestuff2 three decimals of 3.7157), not with the books themselves.
"""


def example(name: str) -> tuple[list[float], list[str]]:
    with (ROOT / "tests" / "published" / "mixed_models.csv").open(encoding="utf-8") as file:
        rows = [r for r in csv.DictReader(file) if r["data"] == name]
    return [float(r["value"]) for r in rows], [r["group"] for r in rows]


@pytest.mark.parametrize("name", EXAMPLES)
def test_published_mixed_models(name: str):
    found = worker_model(*example(name))
    mean, error, between, within = EXAMPLES[name]
    assert found.mean == pytest.approx(mean, rel=1e-5)
    assert found.error == pytest.approx(error, rel=5e-4)
    assert found.between == pytest.approx(between, rel=2e-3, abs=0.02)
    assert found.within == pytest.approx(within, rel=5e-4)


def test_the_interval_of_a_balanced_study_is_that_of_its_group_means():
    """Exact for balanced data: t of groups less one x deviation of the group means / root of the groups."""
    values, groups = example("rail")
    means = np.array(values).reshape(6, 3).mean(axis=1)
    wanted = stats.t.interval(0.95, 5, means.mean(), stats.sem(means))
    assert worker_model(values, groups).limits(0.95) == pytest.approx(wanted, rel=1e-4)


def test_readings_of_one_worker_are_not_taken_for_many():
    """Six workers of 40 readings each, alike within and far apart between: more readings of them change nothing."""
    few, many = ([60.0 + 5 * w + n % 2 for w in range(6) for n in range(each)] for each in (2, 40))
    names = [[f"W{w}" for w in range(6) for _ in range(each)] for each in (2, 40)]
    first, second = (worker_model(v, n).limits(0.95) for v, n in zip((few, many), names, strict=True))
    assert first is not None
    assert second is not None
    assert second[1] - second[0] == pytest.approx(first[1] - first[0], rel=0.01)
    naive = 2 * stats.t.ppf(0.975, 239) * np.std(many, ddof=1) / 240**0.5
    assert second[1] - second[0] > 4 * naive


def test_a_worker_timed_often_does_not_outvote_the_others():
    """Three workers at 50, 60, 70 with little spread within: the mean is near theirs, not near the one of 30 readings."""
    values = [49.5, 50.5] * 15 + [59.5, 60.5] + [69.5, 70.5]
    found = worker_model(values, ["A"] * 30 + ["B"] * 2 + ["C"] * 2)
    assert float(np.mean(values)) == pytest.approx(51.76, abs=0.01)
    assert found.mean == pytest.approx(60, abs=0.1)


@pytest.mark.parametrize(
    ("values", "workers"),
    [([50.0, 60.0, 70.0], ["A", "B", "C"]), ([50.0, 50.0, 60.0, 60.0, 70.0, 70.0], ["A", "A", "B", "B", "C", "C"])],
)
def test_without_a_spread_within_the_means_of_workers_count(values: list[float], workers: list[str]):
    found = worker_model(values, workers)
    assert found.limits(0.95) == pytest.approx(stats.t.interval(0.95, 2, 60, stats.sem([50, 60, 70])))


def test_one_worker_speaks_of_himself():
    found = worker_model([10.0, 12.0, 14.0], ["A"] * 3)
    assert (found.between, found.freedom) == (None, 2)
    assert found.limits(0.95) == pytest.approx(stats.t.interval(0.95, 2, 12, stats.sem([10, 12, 14])))
    assert worker_model([10.0], ["A"]).limits(0.95) is None


# advice


@pytest.mark.parametrize(
    ("workers", "each", "between", "within", "word", "need"),
    [
        # t(4) 2.776 x root(4/5 + 1/10) = 2.6, within 5
        pytest.param(5, 2, 2, 1, "enough", 0, id="enough"),
        # t(4) x root(400/5 + ...) = 24.8 > 5; no number of readings brings root(400/5) down, 64 workers would
        pytest.param(5, 10, 20, 1, "out of reach", 0, id="out of reach"),
        # t(5) 2.571 x root(36/6 + 1/12) = 6.34 > 5; 8 workers: t(7) 2.365 x root(36/8 + 1/16) = 5.05; 9: t(8) 2.306 x 2.014 = 4.65
        pytest.param(6, 2, 6, 1, "more workers", 9, id="more workers"),
    ],
)
def test_advice_by_hand(workers: int, each: int, between: float, within: float, word: str, need: int):
    """Half-width: t x root(between^2 / workers + within^2 / (workers x each)); mean 100, within 5 %, 95 %."""
    error = (between**2 / workers + within**2 / (workers * each)) ** 0.5
    found = advise(WorkerModel(workers, workers * each, 100, error, between, within), 0.05, 0.95)
    assert found.word == word
    if need:
        assert (found.workers, found.more) == (need, (need - workers) * each)


def test_more_readings_where_they_are_fewer_than_those_of_another_worker():
    """Four workers, nearly alike, 10 readings each, just too wide: one more reading of each is less than a worker's ten."""
    within = 5 * 40**0.5 / stats.t.ppf(0.975, 3) * 1.02
    found = advise(WorkerModel(4, 40, 100, within / 40**0.5, 0, within), 0.05, 0.95)
    assert (found.word, found.workers, found.each, found.more) == ("more readings", 4, 11, 4)


@given(
    st.floats(0.5, 40), st.floats(0.5, 40), st.integers(2, 12), st.integers(1, 10), st.sampled_from([0.02, 0.05, 0.1])
)
@settings(max_examples=60, deadline=None)
def test_what_is_advised_is_enough(between: float, within: float, workers: int, each: int, precision: float):
    """A study as advised has its expected interval within what was wanted, and one that is enough asks for nothing."""
    error = (between**2 / workers + within**2 / (workers * each)) ** 0.5
    found = advise(WorkerModel(workers, workers * each, 100, error, between, within), precision, 0.95)
    if found.word != "out of reach":
        assert half_width(WorkerModel(2, 2, 100, 1, between, within), found.workers, found.each, 0.95) <= (
            100 * precision * (1 + 1e-6)
        )
    assert (found.more == 0) == (found.word in ("enough", "out of reach"))


# hard cases


@given(st.lists(st.tuples(st.floats(0.01, 86_400), st.sampled_from("ABC")), min_size=1, max_size=12))
@settings(max_examples=60, deadline=None)
def test_every_study_has_a_mean_among_its_times_and_no_warning(readings: list[tuple[float, str]]):
    times, workers = [t for t, _ in readings], [w for _, w in readings]
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        found = worker_model(times, workers)
    assert min(times) * (1 - 1e-6) <= found.mean <= max(times) * (1 + 1e-6)
    limits = found.limits(0.95)
    assert limits is None or limits[0] <= found.mean <= limits[1]
    assert advise(found, 0.05, 0.95).more >= 0


def test_holm_of_a_published_example():
    """Four p-values 0.01, 0.04, 0.03, 0.005 at 5 %: 0.03, 0.06, 0.06, 0.02; an encyclopedia's example (from memory)."""
    assert holm([0.01, 0.04, 0.03, 0.005]) == pytest.approx([0.03, 0.06, 0.06, 0.02])
    assert holm([0.2]) == [0.2]


def test_the_library_of_mixed_models_is_loaded_where_it_is_used_only():
    read = "import sys, takeoff.cli, takeoff.build, takeoff.study.calibrate, takeoff.study.observe"
    done = subprocess.run(
        [sys.executable, "-c", f"{read}; print('statsmodels' in sys.modules)"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stdout.strip() == "False"
