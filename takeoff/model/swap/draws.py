"""The risk of a saving: draws from three-point ranges, and what they come to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy import special

from takeoff.engine.expr import Array

PERT = "pert"
PERCENTS = tuple(range(0, 101, 5))
"""Chances, in percent, for which the curve gives the saving that is not exceeded with them."""


@dataclass(frozen=True)
class Range:
    """A three-point range: factors of what was estimated, low <= likely <= high.

    Ranges of one `cause` are drawn together: `together`, 0 to 1, is the correlation of the normal scores behind two of
    them where both say the same, else the root of the product of both.
    """

    low: float
    likely: float
    high: float
    cause: str = ""
    together: float = 0


def draw(ranges: Mapping[str, Range], shape: str, count: int, seed: int) -> dict[str, Array]:
    """Return `count` factors for every range; those of one cause move together, all others apart.

    A normal score of each range is made of the score of its cause and one of its own, and what part of the scores is
    under it is the part of the range that is under the draw: a normal copula of one factor for each cause.

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
    causes = {cause: generator.standard_normal(count) for cause in dict.fromkeys(r.cause for r in ranges.values())}
    found = {}
    for key, r in ranges.items():
        own = generator.standard_normal(count)
        score = np.sqrt(r.together) * causes[r.cause] + np.sqrt(1 - r.together) * own
        found[key] = quantile(r, shape, special.ndtr(score))
    return found


def quantile(r: Range, shape: str, part: Array) -> Array:
    """Return the factors under which parts, 0 to 1, of a range are."""
    width = r.high - r.low
    if width == 0:
        return np.full(len(part), r.likely)
    if shape == PERT:
        a, b = 1 + 4 * (r.likely - r.low) / width, 1 + 4 * (r.high - r.likely) / width
        return np.asarray(r.low + width * special.betaincinv(a, b, part))
    rising = np.sqrt(part * width * (r.likely - r.low))
    falling = np.sqrt((1 - part) * width * (r.high - r.likely))
    return np.where(part * width < r.likely - r.low, r.low + rising, r.high - falling)


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
