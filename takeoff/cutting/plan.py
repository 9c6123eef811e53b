"""The cutting plan: which uncut runs come out of which coil or reel, so that the fewest feet are bought.

Every run of armored cable is one uncut length, so total feet say too little: runs of 130, 130, 130, 130, 90 and
90 ft are 700 ft and need four coils of 250 ft, not three.

Three methods follow one another, each only where the one before left a gap to the bound and the job is small
enough: best fit decreasing, coils filled one by one as full as they go, and an integer program over patterns.
Nothing is random and nothing looks at a clock: equal input gives an equal plan.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from takeoff.cutting.fit import best_fit, fullest, shrunk
from takeoff.cutting.job import Cut, Job, Plan, bought, bound_by_sizes
from takeoff.cutting.patterns import by_patterns

HUNDREDTHS = 100
"""Units of a foot: lengths are whole hundredths, so that the noise of binary fractions decides nothing."""

FIT_WORK = 400_000
"""Pieces times stock lengths up to which every stock length is tried for opening coils; beyond, the outer two."""

FILL_SIZES = 20_000
"""Different lengths up to which coils are filled one by one."""


@dataclass(frozen=True)
class Coil:
    """One coil or reel bought.

    Parameters
    ----------
    length_ft
        Feet bought.
    pieces
        Places of the pieces cut from it, in the order given to `cut`.
    used_ft
        Feet cut from it, every piece rounded up to a hundredth of a foot.
    """

    length_ft: float
    pieces: tuple[int, ...]
    used_ft: float

    @property
    def leftover_ft(self) -> float:
        """Feet left on the coil."""
        return round(self.length_ft - self.used_ft, 2)


@dataclass(frozen=True)
class CuttingPlan:
    """The coils to buy and what is cut from each.

    Parameters
    ----------
    coils
        The longest first, of equal ones the fullest first.
    bound_ft
        Feet that no purchase goes below, proven, for the pieces that fit.
    too_long
        Places of the pieces that are longer than every stock length; they are in no coil.
    """

    coils: tuple[Coil, ...]
    bound_ft: float
    too_long: tuple[int, ...]

    @property
    def bought_ft(self) -> float:
        """Feet bought."""
        return round(math.fsum(c.length_ft for c in self.coils), 2)

    @property
    def gap_ft(self) -> float:
        """Feet bought above the bound; 0 means that no purchase has fewer."""
        return round(self.bought_ft - self.bound_ft, 2)


def cut(pieces_ft: Sequence[float], stock_ft: Sequence[float]) -> CuttingPlan:
    """Find the coils with the fewest feet from which all pieces can be cut, each uncut.

    Parameters
    ----------
    pieces_ft
        Lengths of the pieces, ft, over zero; rounded up to hundredths.
    stock_ft
        Lengths that are sold, ft, over zero, in any order; rounded down to hundredths. Several may be mixed.

    Raises
    ------
    ValueError
        A length is not a finite number over zero.
    """
    pieces = np.ceil(_hundredths(pieces_ft)).astype(np.int64)
    stock = np.unique(np.floor(_hundredths(stock_ft)).astype(np.int64))
    fits = pieces <= (stock[-1] if len(stock) else 0)
    too_long = tuple(np.flatnonzero(~fits).tolist())
    if not fits.any():
        return CuttingPlan((), 0.0, too_long)
    sizes, counts = np.unique(pieces[fits], return_counts=True)
    stock = stock[stock >= sizes[0]]  # what holds no piece is never bought, and would only lower the bound
    unit = math.gcd(*sizes.tolist(), *stock.tolist())
    job = Job(tuple((sizes[::-1] // unit).tolist()), tuple(counts[::-1].tolist()), tuple((stock // unit).tolist()))
    plan, bound = _planned(job)
    by_size = np.flatnonzero(fits)[np.argsort(-pieces[fits], kind="stable")].tolist()
    starts = np.cumsum((0, *job.counts)).tolist()
    coils = [
        Coil(c.length * unit / HUNDREDTHS, held, job.used(c.pattern) * unit / HUNDREDTHS)
        for c, held in _dealt(plan, by_size, starts)
    ]
    coils.sort(key=lambda c: (-c.length_ft, -c.used_ft, c.pieces))
    return CuttingPlan(tuple(coils), bound * unit / HUNDREDTHS, too_long)


def as_cut(lengths_ft: Sequence[float]) -> list[float]:
    """Return lengths as they are cut: rounded up to hundredths of a foot."""
    return [float(h) / HUNDREDTHS for h in np.ceil(_hundredths(lengths_ft))]


def _hundredths(lengths_ft: Sequence[float]) -> Any:
    """Return hundredths of a foot without the noise of binary fractions, still to be rounded."""
    lengths = np.asarray(lengths_ft, dtype=float)
    wrong = lengths[~(np.isfinite(lengths) & (lengths > 0))]
    if len(wrong):
        raise ValueError(f"a length is a finite number of feet over zero, not {wrong[0]:g}")
    return np.round(lengths * HUNDREDTHS, 6)


def _dealt(plan: Plan, by_size: list[int], starts: list[int]) -> Iterator[tuple[Cut, tuple[int, ...]]]:
    """Give every coil of a plan its pieces, of equal ones those given first."""
    for alike in plan:
        for _ in range(alike.coils):
            held: list[int] = []
            for i, n in alike.pattern:
                held += by_size[starts[i] : starts[i] + n]
                starts[i] += n
            yield alike, tuple(sorted(held))


def _planned(job: Job) -> tuple[Plan, int]:
    """Return the best plan found, and a length that no plan goes below."""
    bound = job.least(max(job.used(job.wanted), bound_by_sizes(job)))
    floors = job.stock if sum(job.counts) * len(job.stock) <= FIT_WORK else (job.stock[0], job.stock[-1])
    plans = [shrunk(job, best_fit(job, job.wanted, job.stock, floor)) for floor in floors]
    if bought(best := min(plans, key=bought)) > bound and len(job.sizes) <= FILL_SIZES:
        plans.append(shrunk(job, fullest(job, job.wanted)))
        best = min(plans, key=bought)
    return by_patterns(job, plans, bound) if bought(best) > bound else (best, bound)
