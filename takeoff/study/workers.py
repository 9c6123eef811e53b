"""Workers as a random effect: what a mean is worth for other workers too, and what is still to be timed.

A mixed model with the mean as its fixed part and a shift of every worker as its random part, by restricted maximum
likelihood. Nothing here knows the trade, a file or a catalog.
"""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, sqrt

import numpy as np
from scipy import stats

from takeoff.study.statistics import SAME, needed_by_t

MOST_WORKERS, MOST_EACH = 40, 30
"""Workers, and readings of each, beyond which no study of one job goes."""

FEWEST_WORKERS = 5
"""Workers to ask for where one was timed: how much workers differ is not known then. Common practice, no source."""

ENOUGH, READINGS, WORKERS, OUT_OF_REACH = "enough", "more readings", "more workers", "out of reach"


@dataclass(frozen=True)
class WorkerModel:
    """A mean with its standard error, and the standard deviations between workers and within one.

    `error` and `within` are None with one reading; `between` is None with one worker, and holds both spreads
    where every worker was timed once.
    """

    workers: int
    readings: int
    mean: float
    error: float | None
    between: float | None
    within: float | None

    @property
    def freedom(self) -> int:
        """Degrees of freedom of the interval: workers less one; of one worker alone, readings less one."""
        return (self.workers if self.workers > 1 else self.readings) - 1

    def limits(self, confidence: float) -> tuple[float, float] | None:
        """Return the interval of the mean by Student's t, two-sided; None where one reading shows no spread."""
        if self.error is None:
            return None
        half = _quantile(confidence, self.freedom) * self.error
        return max(0.0, self.mean - half), self.mean + half


@dataclass(frozen=True)
class Advice:
    """What to time next: one of four words, then workers in all, readings of each, and readings still to take."""

    word: str
    workers: int
    each: int
    more: int


def worker_model(times: Sequence[float], workers: Sequence[str]) -> WorkerModel:
    """Return the model of times with the workers who took them.

    Parameters
    ----------
    times
        At least one, positive, in one unit throughout.
    workers
        Of each time.

    Notes
    -----
    Restricted maximum likelihood by statsmodels, as in Pinheiro and Bates, Mixed-Effects Models in S and S-PLUS, 2000.
    Where no worker has two different times, what is within and what is between cannot be told apart, and the model is
    that of the workers' means.
    """
    import pandas as pd  # slow to import, and wanted here only

    values = pd.Series(times, dtype=float)
    by_worker = values.groupby(list(workers), sort=False)
    mean, means = float(values.mean()), by_worker.mean()
    if len(means) == 1:
        within = float(values.std()) if len(values) > 1 else None
        return WorkerModel(1, len(values), mean, within and within / sqrt(len(values)), None, within)
    scatter = sqrt(float(((values - by_worker.transform("mean")) ** 2).sum()))
    fitted = None if scatter <= SAME * mean else _fitted(values.to_numpy() / mean, np.asarray(workers))
    if fitted is None:
        spread = float(means.std())
        error = spread / sqrt(len(means))
        return WorkerModel(len(means), len(values), float(means.mean()), error, spread, 0.0)
    return WorkerModel(len(means), len(values), *(figure * mean for figure in fitted))


def _fitted(values: np.ndarray, names: np.ndarray) -> tuple[float, float, float, float] | None:
    """Return mean, its error, deviations between and within of scaled times; None where no fit is found."""
    from statsmodels.regression.mixed_linear_model import MixedLM  # slow to import, and wanted here only

    with warnings.catch_warnings(), np.errstate(all="ignore"):
        warnings.simplefilter("ignore")  # a spread between workers of nothing is an answer, not a failure
        try:
            found = MixedLM(values, np.ones((len(values), 1)), groups=names).fit(reml=True)
            figures = (
                float(found.fe_params[0]),
                float(found.bse_fe[0]),
                sqrt(max(0.0, float(found.cov_re[0, 0]))),
                sqrt(float(found.scale)),
            )
        except (ValueError, ArithmeticError, np.linalg.LinAlgError):
            return None
    return figures if np.isfinite(figures).all() and min(figures[:2]) > 0 else None


def half_width(model: WorkerModel, workers: int, each: float, confidence: float) -> float:
    """Return half of the interval that so many workers with so many readings each can be expected to give."""
    variance = (model.between or 0) ** 2 / workers + (model.within or 0) ** 2 / (workers * each)
    return _quantile(confidence, workers - 1) * sqrt(variance)


def advise(model: WorkerModel, precision: float, confidence: float) -> Advice:
    """Return what to time until the interval is within a share of the mean, by the fewest readings.

    Parameters
    ----------
    model
        Of the readings so far.
    precision
        Wanted half-width of the interval as a share of the mean.
    confidence
        Of the interval, two-sided, as a share of 1.
    """
    each = max(1, round(model.readings / model.workers))
    if model.workers == 1:
        if model.within is not None:
            each = min(MOST_EACH, max(each, ceil(needed_by_t(model.mean, model.within, precision, confidence) / 5)))
        return Advice(WORKERS, FEWEST_WORKERS, each, FEWEST_WORKERS * each - model.readings)
    wanted = precision * model.mean * (1 + SAME)
    low, high = model.limits(confidence) or (0.0, np.inf)
    if max(high - model.mean, model.mean - low) <= wanted:
        return Advice(ENOUGH, model.workers, each, 0)
    same = next(
        (n for n in range(each + 1, MOST_EACH + 1) if half_width(model, model.workers, n, confidence) <= wanted), None
    )
    others = next(
        (w for w in range(model.workers + 1, MOST_WORKERS + 1) if half_width(model, w, each, confidence) <= wanted),
        None,
    )
    found = []
    if same and model.within:
        found.append(Advice(READINGS, model.workers, same, max(1, same * model.workers - model.readings)))
    if others:
        found.append(Advice(WORKERS, others, each, (others - model.workers) * each))
    return min(found, key=lambda a: a.more, default=Advice(OUT_OF_REACH, model.workers, each, 0))


def _quantile(confidence: float, freedom: int) -> float:
    return float(stats.t.ppf((1 + confidence) / 2, freedom))
