"""Cutting plans by patterns: what one coil may hold, and how many coils are cut by each.

Where few patterns exist all are listed, and what the integer program over them proves is proven for the job.
Elsewhere patterns are generated: a linear program prices the sizes, and the pattern of highest worth by these
prices joins. Its plan cuts coils in part; rounded to whole ones it is seldom above the bound. Where it is, an
integer program chooses among the patterns generated and those met in rounding: with the generated ones alone it
found a better plan in few jobs, and with several stock lengths it may take many seconds.

References
----------
Gilmore and Gomory, A linear programming approach to the cutting-stock problem, Operations Research 9, 1961.
Farley, A note on bounding a class of linear programming problems, including cutting stock problems, Operations
Research 38, 1990: prices divided by the worth of the best pattern give a bound in every round.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

import numpy as np

from takeoff.cutting.fit import best_fit, fullest, parts, shrunk
from takeoff.cutting.job import Cut, Job, Pattern, Plan, bought
from takeoff.cutting.programs import solve_linear, solve_whole

ALL_PATTERNS = 500
"""Patterns up to which all are listed."""

IP_CELLS, NODES = 20_000, 100
"""Patterns times sizes up to which an integer program chooses among generated ones; nodes of any such program."""

LP_SIZES, LP_CELLS, LP_ROUNDS = 160, 4_000_000, 60
"""Sizes, cells of a pricing table, and rounds up to which patterns are generated."""

ROUNDED = 30
"""Coils cut in part by the linear program that are tried as whole ones."""

ALMOST = 1e-6
"""Noise of the linear program's counts of coils."""

PRICE_SCALE = 1 << 20
"""Prices are whole numbers of this fraction, so that the bound is exact."""


def by_patterns(job: Job, plans: Iterable[Plan], bound: int) -> tuple[Plan, int]:
    """Return the best of the plans or a better one, and the bound or a higher one.

    Parameters
    ----------
    job
        What is to be cut.
    plans
        Plans known; their patterns join those generated.
    bound
        Length known that no plan goes below.
    """
    plans = list(plans)
    best = min(plans, key=bought)
    patterns = _listed(job)
    if patterns is not None:
        better, proven = _chosen(job, patterns, bound, bought(best))
        best = better or best
        return best, bought(best) if proven else bound
    if len(job.sizes) > LP_SIZES:
        return best, bound
    known = [c.pattern for p in plans for c in p]
    patterns, coils, bound = _generated(job, known, bound, bought(best))
    pool = dict.fromkeys([*known, *patterns])
    for plan in _rounded(job, patterns, coils):
        if bought(best) <= bound:
            break
        best = min([best, plan], key=bought)
        pool.update(dict.fromkeys(c.pattern for c in plan))
    if bought(best) > bound and len(job.stock) == 1 and len(pool) * len(job.sizes) <= IP_CELLS:
        best = _chosen(job, list(pool), bound, bought(best))[0] or best
    return best, bound


def _rounded(job: Job, patterns: Sequence[Pattern], coils: Sequence[float]) -> Iterator[Plan]:
    """Yield plans with the whole coils of the linear program, and one by one the coils it cuts in part."""
    left = list(job.counts)
    whole = [math.floor(c + ALMOST) for c in coils]
    plan = shrunk(job, _taken(job, patterns, whole, left))
    in_part = sorted(range(len(coils)), key=lambda p: (whole[p] - coils[p], p))
    for p in in_part[:ROUNDED]:
        rest = tuple((i, n) for i, n in enumerate(left) if n)
        if not rest:
            yield plan
            return
        yield plan + shrunk(job, fullest(job, rest))
        yield plan + shrunk(job, best_fit(job, rest, job.stock, job.stock[-1]))
        plan = plan + shrunk(job, _taken(job, [patterns[p]], [1], left))


def _listed(job: Job) -> list[Pattern] | None:
    """Return every pattern that a stock length holds; nothing where they are too many."""
    if len(job.sizes) > ALL_PATTERNS:
        return None
    found: list[tuple[Pattern, int]] = [((), 0)]
    for i, count in job.wanted:
        size = job.sizes[i]
        for pattern, used in list(found):
            most = min(count, (job.stock[-1] - used) // size)
            found += [((*pattern, (i, n)), used + n * size) for n in range(1, most + 1)]
            if len(found) > ALL_PATTERNS:
                return None
    return [pattern for pattern, _ in found[1:]]


def _matrix(job: Job, patterns: Sequence[Pattern]) -> tuple[Any, Any]:
    """Return pieces of each size (row) in each pattern (column), and what each pattern takes of the stock."""
    pieces = np.zeros((len(job.sizes), len(patterns)))
    for column, pattern in enumerate(patterns):
        for i, n in pattern:
            pieces[i, column] = n
    return pieces, np.array([job.shortest(job.used(p)) for p in patterns], dtype=float)


def _generated(job: Job, known: Iterable[Pattern], bound: int, best: int) -> tuple[list[Pattern], list[float], int]:
    """Return patterns, the coils that the linear program cuts by each, and the highest bound of the rounds."""
    patterns = list(dict.fromkeys(known))
    coils: list[float] = []
    steps = list(parts(job.wanted))
    if len(steps) * (job.stock[-1] + 1) > LP_CELLS:
        return patterns[:0], coils, bound
    for _ in range(LP_ROUNDS):
        pieces, lengths = _matrix(job, patterns)
        solved = solve_linear(lengths, pieces, job.counts)
        if not solved:
            break
        coils, exact = solved
        prices = np.floor(np.maximum(exact, 0) * PRICE_SCALE).astype(np.int64)
        priced = _priced(job, steps, prices)
        worth = int(prices @ np.array(job.counts))
        bound = max(bound, job.least(min(-(-worth * s // v) for s, v, _ in priced)))
        new = [p for s, v, p in priced if v > s * PRICE_SCALE and p not in patterns]
        if bound >= best or not new:
            break
        patterns += new
    return patterns[: len(coils)], coils, bound


def _priced(job: Job, steps: Sequence[tuple[int, int]], prices: Any) -> list[tuple[int, int, Pattern]]:
    """Return for each stock length that holds a piece its pattern of highest worth: length, worth, pattern."""
    worth = np.zeros(job.stock[-1] + 1, dtype=np.int64)
    took = np.zeros((len(steps), len(worth)), dtype=bool)
    for row, (i, n) in enumerate(steps):
        step = job.sizes[i] * n
        if prices[i] and step < len(worth):
            more = worth[:-step] + n * prices[i]
            np.greater(more, worth[step:], out=took[row, step:])
            np.maximum(more, worth[step:], out=worth[step:])
    found = []
    for length in (s for s in job.stock if worth[s]):
        rest, held = length, dict[int, int]()
        for row in reversed(range(len(steps))):
            if took[row, rest]:
                i, n = steps[row]
                held[i] = held.get(i, 0) + n
                rest -= job.sizes[i] * n
        found.append((length, int(worth[length]), tuple(sorted(held.items()))))
    return found


def _chosen(job: Job, patterns: Sequence[Pattern], bound: int, best: int) -> tuple[Plan | None, bool]:
    """Return the best plan of these patterns that is better than the best known, and whether that is proven."""
    pieces, lengths = _matrix(job, patterns)
    costs = lengths / job.step
    low, high = [*job.counts, bound // job.step], [*[np.inf] * len(job.counts), best // job.step - 1]
    coils, proven = solve_whole(costs, np.vstack([pieces, costs]), low, high, NODES)
    if coils is None:
        return None, proven
    return shrunk(job, _taken(job, patterns, coils.tolist(), list(job.counts))), proven


def _taken(job: Job, patterns: Sequence[Pattern], coils: Sequence[int], left: list[int]) -> Plan:
    """Cut coils by patterns, without pieces that are not left, and take the pieces from what is left."""
    plan = Plan()
    for pattern, times in zip(patterns, coils, strict=True):
        more = times
        while more and (held := tuple((i, min(n, left[i])) for i, n in pattern if left[i])):
            alike = min(more, *(left[i] // n for i, n in held))
            plan.append(Cut(job.stock[-1], held, alike))
            more -= alike
            for i, n in held:
                left[i] -= n * alike
    return plan
