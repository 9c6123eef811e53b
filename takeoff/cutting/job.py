"""A job of cutting in whole units, what is cut from a coil, and lengths that no purchase goes below.

References
----------
Martello and Toth, Knapsack Problems, 1990, section 8.3: the bound by sizes over half of a bin, L2.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass
from functools import cached_property

import numpy as np

LISTED_SUMS = 1 << 24
"""Sums up to which stock lengths are combined; beyond, a bound is a multiple of what divides them all."""

Pattern = tuple[tuple[int, int], ...]
"""Places in the list of sizes, ascending, each with a count of pieces."""


@dataclass(frozen=True)
class Cut:
    """A number of coils of one length that are cut alike."""

    length: int
    pattern: Pattern
    coils: int


Plan = list[Cut]


@dataclass(frozen=True)
class Job:
    """What is to be cut, from what; all lengths in one unit, the largest that divides them.

    Parameters
    ----------
    sizes
        Different lengths of the pieces, the longest first; none is over the longest stock length.
    counts
        Pieces of each size.
    stock
        Stock lengths, the shortest first.
    """

    sizes: tuple[int, ...]
    counts: tuple[int, ...]
    stock: tuple[int, ...]

    @cached_property
    def wanted(self) -> Pattern:
        """All pieces, as if they came from one coil."""
        return tuple(enumerate(self.counts))

    def used(self, pattern: Pattern) -> int:
        """Return the length of the pieces of a pattern."""
        return sum(self.sizes[i] * n for i, n in pattern)

    def shortest(self, length: int) -> int:
        """Return the shortest stock length that holds a length."""
        return self.stock[bisect_left(self.stock, length)]

    @cached_property
    def step(self) -> int:
        """Length that divides every stock length, and so every purchase."""
        return math.gcd(*self.stock)

    def least(self, length: int) -> int:
        """Return the smallest sum of stock lengths, each as often as wanted, that is not under a length."""
        at = -(-length // self.step)
        higher = (self._short_sums if length <= self.stock[-1] else self._sums) >> at
        return (at + (higher & -higher).bit_length() - 1 if higher else at) * self.step

    @cached_property
    def _short_sums(self) -> int:
        return self._sums_to(self.stock[-1])

    @cached_property
    def _sums(self) -> int:
        """Sums up to twice the job; a bound beyond is a multiple of the step."""
        return self._sums_to(2 * self.used(self.wanted) + self.stock[-1])

    def _sums_to(self, longest: int) -> int:
        """Return sums of stock lengths, in steps, as the bits of a number."""
        last = longest // self.step
        if last > LISTED_SUMS:
            return 0
        sums, mask = 1, (1 << last + 1) - 1
        for length in self.stock:
            shift = length // self.step
            while shift <= last:
                sums |= sums << shift & mask
                shift *= 2
        return sums


def bought(plan: Plan) -> int:
    """Return the length that a plan buys."""
    return sum(c.length * c.coils for c in plan)


def bound_by_sizes(job: Job) -> int:
    """Return a bound by pieces over half of the longest stock length: no two of them share a coil.

    For one stock length, of the pieces from some small size on, what does not fit beside the large ones needs
    coils of its own, and beside a piece that leaves less than that size nothing fits.
    """
    if len(job.stock) > 1:
        large = ((s, n) for s, n in zip(job.sizes, job.counts, strict=True) if 2 * s > job.stock[-1])
        return sum(job.shortest(s) * n for s, n in large)
    room = job.stock[0]
    sizes, counts = np.array(job.sizes[::-1]), np.array(job.counts[::-1])
    feet, pieces = (np.concatenate([[0], np.cumsum(a)]) for a in (sizes * counts, counts))
    half = np.searchsorted(sizes, room // 2, side="right")
    smalls = np.append(sizes[:half], room)
    low = np.minimum(np.searchsorted(sizes, smalls), half)
    high = np.maximum(np.searchsorted(sizes, room - smalls, side="right"), half)
    beside = (pieces[high] - pieces[half]) * room - (feet[high] - feet[half])
    more = np.maximum(-(-(feet[half] - feet[low] - beside) // room), 0)
    return int(pieces[-1] - pieces[half] + more.max()) * room
