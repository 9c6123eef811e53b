"""The risk of a saving: draws from three-point ranges, and what they come to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from takeoff.engine.expr import Array

PERT = "pert"
PERCENTS = tuple(range(0, 101, 5))
"""Chances, in percent, for which the curve gives the saving that is not exceeded with them."""


@dataclass(frozen=True)
class Range:
    """A three-point range: factors of what was estimated, low <= likely <= high."""

    low: float
    likely: float
    high: float


def draw(ranges: Mapping[str, Range], shape: str, count: int, seed: int) -> dict[str, Array]:
    """Return `count` factors for every range, drawn independently of one another.

    Parameters
    ----------
    ranges
        By key; their order decides which draws each gets.
    shape
        `triangular`, or `pert`: a beta distribution between the ends with mean (low + 4 likely + high) / 6.
    count, seed
        Draws, and the seed of the generator: the same seed gives the same draws.
    """
    generator = np.random.default_rng(seed)
    return {key: _draw(r, shape, count, generator) for key, r in ranges.items()}


def _draw(r: Range, shape: str, count: int, generator: np.random.Generator) -> Array:
    width = r.high - r.low
    if width == 0:
        return np.full(count, r.likely)
    if shape == PERT:
        a, b = 1 + 4 * (r.likely - r.low) / width, 1 + 4 * (r.high - r.likely) / width
        return r.low + width * generator.beta(a, b, count)
    return generator.triangular(r.low, r.likely, r.high, count)


@dataclass(frozen=True)
class Outcome:
    """What draws of a saving come to: mean, standard deviation, chance of more than nothing, and the curve."""

    mean_usd: float
    sd_usd: float
    chance_pct: float
    curve_usd: Sequence[float]

    def at(self, percent: int) -> float:
        """Return the saving that is not exceeded with a chance of the curve, in percent."""
        return self.curve_usd[PERCENTS.index(percent)]


def outcome_of(savings_usd: Array) -> Outcome:
    """Return what draws of a saving come to; percentiles are interpolated between the draws."""
    return Outcome(
        float(savings_usd.mean()),
        float(savings_usd.std(ddof=1)),
        float((savings_usd > 0).mean() * 100),
        [float(v) for v in np.percentile(savings_usd, PERCENTS)],
    )
