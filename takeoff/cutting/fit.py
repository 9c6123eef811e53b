"""Cutting plans made coil by coil, without an integer program.

References
----------
Martello and Toth, Knapsack Problems, 1990, chapter 8: best fit decreasing.
Gupta and Ho, A new heuristic algorithm for the one-dimensional bin-packing problem, Production Planning and
Control 10, 1999: one coil after the other as full as it goes.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from takeoff.cutting.job import Cut, Job, Pattern, Plan, bought

FILL_WORK, STEP_WORK = 8_000_000_000, 20_000
"""Work after which filling ends, in units of the longest stock length, and what every step costs beyond them."""

FILL_BITS = 1 << 28
"""Bits kept while one coil is filled."""


def best_fit(job: Job, wanted: Pattern, stock: Sequence[int], floor: int) -> Plan:
    """Put each piece, the longest first, where the least is left; open no coil shorter than the floor."""
    smallest = job.sizes[wanted[-1][0]]
    coils: dict[int, list[Cut]] = {}
    rests: list[int] = []
    done: Plan = []

    def put(rest: int, cut: Cut) -> None:
        if rest < smallest:
            done.append(cut)
        elif rest in coils:
            coils[rest].append(cut)
        else:
            coils[rest] = [cut]
            insort(rests, rest)

    for i, count in wanted:
        size, length = job.sizes[i], stock[bisect_left(stock, max(job.sizes[i], floor))]
        while count:
            at = bisect_left(rests, size)
            rest, found = (rests[at], coils[rests[at]].pop()) if at < len(rests) else (length, Cut(length, (), count))
            each = min(rest // size, count)
            alike = min(found.coils, count // each)
            count -= each * alike
            if at < len(rests):
                if alike < found.coils:
                    coils[rest].append(Cut(found.length, found.pattern, found.coils - alike))
                elif not coils[rest]:
                    del coils[rest], rests[at]
            put(rest - each * size, Cut(found.length, (*found.pattern, (i, each)), alike))
    return done + [cut for rest in rests for cut in coils[rest]]


def shrunk(job: Job, plan: Plan) -> Plan:
    """Take for each coil the shortest stock length that holds its pieces, or several shorter ones with fewer feet."""
    out: Plan = []
    for cut in plan:
        used = job.used(cut.pattern)
        length = job.shortest(used)
        best = [Cut(length, cut.pattern, cut.coils)]
        shorter = job.stock[: job.stock.index(length)]
        if job.least(used) < length and job.sizes[cut.pattern[0][0]] <= shorter[-1]:
            for floor in shorter:
                split = [
                    Cut(job.shortest(job.used(c.pattern)), c.pattern, c.coils * cut.coils)
                    for c in best_fit(job, cut.pattern, shorter, floor)
                ]
                best = min([best, split], key=bought)
        out += best
    return out


def parts(counts: Iterable[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    """Split counts so that sums of the parts make every number up to the count: 1, 2, 4, ... and the rest."""
    for i, count in counts:
        part = 1
        while count:
            yield i, min(part, count)
            count -= min(part, count)
            part *= 2


def fullest(job: Job, wanted: Pattern) -> Plan:
    """Fill one coil after the other, begun with the longest piece left, as full as the pieces left allow.

    Of several stock lengths the one is opened that is filled to the largest share. What is left when the work
    is done is put by best fit.
    """
    left = dict(wanted)
    places, first, work, plan = list(left), 0, FILL_WORK, Plan()
    mask = (1 << job.stock[-1] + 1) - 1
    while first < len(places) and work > 0:
        longest = places[first]
        left[longest] -= 1
        sums, steps = 1 << job.sizes[longest], []
        for i, n in parts((places[at], left[places[at]]) for at in range(first, len(places))):
            steps.append((i, n, sums))
            sums |= sums << job.sizes[i] * n & mask
            if sums >> job.stock[-1] or len(steps) * job.stock[-1] > FILL_BITS:
                break
        work -= len(steps) * (job.stock[-1] + STEP_WORK)
        left[longest] += 1
        filled = {s: (sums & (1 << s + 1) - 1).bit_length() - 1 for s in job.stock if s >= job.sizes[longest]}
        length = max(filled, key=lambda s: (Fraction(filled[s], s), s))
        held, rest = Counter([longest]), filled[length]
        for i, n, before in reversed(steps):
            if not before >> rest & 1:
                rest -= job.sizes[i] * n
                held[i] += n
        coils = min(left[i] // n for i, n in held.items())
        plan.append(Cut(length, tuple(sorted(held.items())), coils))
        for i, n in held.items():
            left[i] -= n * coils
        while first < len(places) and not left[places[first]]:
            first += 1
    unfilled = tuple((i, left[i]) for i in places if left[i])
    return plan + (best_fit(job, unfilled, job.stock, job.stock[-1]) if unfilled else [])
