"""The figures of minutes of a study: one for what no test tells apart, separate ones for what a test does."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from takeoff.study.analysis import Comparison, Timing, Wanted, name_of
from takeoff.study.columns import ALL, PERIODS
from takeoff.study.readings import Observation
from takeoff.study.statistics import standard_time
from takeoff.study.workers import Advice, WorkerModel, advise, worker_model


@dataclass(frozen=True)
class Figure:
    """One figure of minutes: an operation in the constructions that no test tells apart.

    Seconds are for one of the operation's driver. `model` is that of its workers, `limits_s` its interval at the normal
    pace; the standard ones hold the allowance. `apart` says whether a test shows a difference to another figure.
    """

    operation: str
    box: str
    timings: Sequence[Timing]
    model: WorkerModel
    limits_s: tuple[float, float] | None
    advice: Advice
    standard_s: float
    standard_limits_s: tuple[float, float] | None
    apart: bool

    @property
    def constructions(self) -> list[str]:
        """The constructions whose readings it holds."""
        return list(dict.fromkeys(t.construction for t in self.timings))

    @property
    def readings(self) -> list[Observation]:
        """The readings, construction by construction."""
        return [r for t in self.timings for r in t.readings]

    @property
    def name(self) -> str:
        """The operation, or the box that was timed whole."""
        return name_of(self.operation, self.box)


def figures_of(timings: Sequence[Timing], comparisons: Sequence[Comparison], wanted: Wanted) -> list[Figure]:
    """Return one figure for what no test tells apart, and separate ones for what a test does, in working order.

    Where times before and after a change differ, those after it hold. Constructions stand together where every two of
    them are joined by tests that show nothing, and no test among them shows a difference; else each stands alone.
    """
    shown = [{_place(c.first), _place(c.second)} for c in comparisons if c.shown]
    left = [t for t in timings if not _overtaken(t, comparisons)]
    done: list[Figure] = []
    for work in dict.fromkeys((t.operation, t.box) for t in left):
        mine = [t for t in left if (t.operation, t.box) == work]
        for group in _together(mine, shown):
            others = [t for t in mine if t not in group]
            apart = any({_place(a), _place(b)} in shown for a in group for b in others)
            done.append(_figure(group, apart, wanted))
    return done


def _overtaken(timing: Timing, comparisons: Sequence[Comparison]) -> bool:
    """Say whether times after a change differ from these, which were taken before it."""
    mine = [c for c in comparisons if c.shown and timing in (c.first, c.second)]
    return timing.period == PERIODS[0] and any(c.first.construction == c.second.construction for c in mine)


def _place(timing: Timing) -> tuple[str, ...]:
    return (timing.operation, timing.box, timing.construction, timing.period)


def _together(timings: Sequence[Timing], shown: Sequence[set[tuple[str, ...]]]) -> list[list[Timing]]:
    """Return the timings of one piece of work in groups; what stands for all constructions stands alone."""
    by_construction: dict[str, list[Timing]] = {}
    for t in timings:
        by_construction.setdefault(t.construction, []).append(t)
    rest = [c for c in by_construction if c != ALL]

    def differ(one: str, other: str) -> bool:
        return any({_place(a), _place(b)} in shown for a in by_construction[one] for b in by_construction[other])

    alone = [c for c in rest if all(differ(c, other) for other in rest if other != c)]
    joined = [c for c in rest if c not in alone]
    if any(differ(a, b) for a, b in combinations(joined, 2)):
        alone, joined = rest, []
    groups = [[c] for c in by_construction if c == ALL or c in alone] + ([joined] if joined else [])
    if len(rest) == 1:
        groups = [[c] for c in by_construction]
    first = {c: n for n, c in enumerate(by_construction)}
    groups.sort(key=lambda group: first[group[0]])
    return [[t for c in group for t in by_construction[c]] for group in groups]


def _figure(timings: Sequence[Timing], apart: bool, wanted: Wanted) -> Figure:
    readings = [r for t in timings for r in t.readings]
    model = worker_model([r.normal_s for r in readings], [r.worker for r in readings])
    limits = model.limits(wanted.confidence)

    def standard(seconds: float) -> float:
        return standard_time(seconds, wanted.allowance_pct, wanted.convention)

    return Figure(
        timings[0].operation,
        timings[0].box,
        timings,
        model,
        limits,
        advise(model, wanted.precision, wanted.confidence),
        standard(model.mean),
        limits and (standard(limits[0]), standard(limits[1])),
        apart,
    )
