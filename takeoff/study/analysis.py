"""What the readings of a time study say: times by operation and construction, and differences between constructions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from takeoff.catalog.rows import Catalogs, Row
from takeoff.study.readings import ALL, WHOLE_BOX, Observation
from takeoff.study.statistics import (
    FAR,
    Difference,
    Spread,
    modified_z,
    needed_by_t,
    paired,
    spread_of,
    standard_time,
    welch,
)


@dataclass(frozen=True)
class Wanted:
    """How sure and how near the mean is to be, and how allowances are added; shares of 1 but for the allowance."""

    confidence: float
    precision: float
    allowance_pct: float
    convention: str


@dataclass(frozen=True)
class Timing:
    """One operation, or one whole box, in one construction. Seconds are for one of the operation's driver.

    `spread` is of the normal times; `needed` is how many readings the precision asks for, None where
    one reading shows no spread; `flagged` are readings far from the others with their score; `judged`
    says whether there was a scale to judge by.
    """

    operation: str
    construction: str
    box: str
    readings: Sequence[Observation]
    observed_s: float
    spread: Spread
    needed: int | None
    flagged: Sequence[tuple[Observation, float]]
    judged: bool
    standard_s: float

    @property
    def name(self) -> str:
        """The operation, or the box that was timed whole."""
        return f"{self.operation}: {self.box}" if self.box else self.operation

    @property
    def by_worker(self) -> dict[str, float]:
        """Mean normal seconds of each worker: readings of one worker resemble one another."""
        times: dict[str, list[float]] = {}
        for reading in self.readings:
            times.setdefault(reading.worker, []).append(reading.normal_s)
        return {worker: sum(t) / len(t) for worker, t in times.items()}


@dataclass(frozen=True)
class Comparison:
    """Two constructions timed at the same work.

    `unit` is what one figure of the test stands for: pairs, workers or readings. `aside` are workers
    whom the pairs leave out. Where there is no test, `why` says why not.
    """

    first: Timing
    second: Timing
    unit: str
    difference: Difference | None
    aside: Sequence[str] = ()
    why: str = ""


def timings_of(readings: Iterable[Observation], catalogs: Catalogs, wanted: Wanted) -> list[Timing]:
    """Return the timings in working order, whole boxes last, constructions in catalog order."""
    groups: dict[tuple[str, str, str], list[Observation]] = {}
    for reading in readings:
        groups.setdefault((reading.operation, reading.box, reading.construction), []).append(reading)
    steps = {str(r["operation"]): float(str(r["step"])) for r in catalogs["operations"]}
    operations = sorted(steps, key=lambda o: steps[o])
    places = {name: n for n, name in enumerate([*operations, WHOLE_BOX])}
    order = {name: n for n, name in enumerate([ALL, *catalogs["constructions"].keys])}
    keys = sorted(groups, key=lambda k: (places[k[0]], k[1], order[k[2]]))
    return [_timing(groups[key], wanted) for key in keys]


def _timing(readings: Sequence[Observation], wanted: Wanted) -> Timing:
    times = [r.normal_s for r in readings]
    spread = spread_of(times, wanted.confidence)
    scores = modified_z(times)
    needed = None
    if spread.deviation is not None:
        needed = needed_by_t(spread.mean, spread.deviation, wanted.precision, wanted.confidence)
    return Timing(
        readings[0].operation,
        readings[0].construction,
        readings[0].box,
        readings,
        sum(r.seconds_each for r in readings) / len(readings),
        spread,
        needed,
        [(r, z) for r, z in zip(readings, scores or [], strict=False) if abs(z) > FAR],
        scores is not None,
        standard_time(spread.mean, wanted.allowance_pct, wanted.convention),
    )


def comparisons_of(timings: Sequence[Timing], wanted: Wanted) -> list[Comparison]:
    """Return every two constructions that were timed at the same operation or the same whole box."""
    return [_compare(first, second, wanted.confidence) for first, second in _same_work(timings)]


def _same_work(timings: Sequence[Timing]) -> Iterator[tuple[Timing, Timing]]:
    for first, second in combinations((t for t in timings if t.construction != ALL), 2):
        if (first.operation, first.box) == (second.operation, second.box):
            yield first, second


def _compare(first: Timing, second: Timing, confidence: float) -> Comparison:
    """Test by pairs where two workers or more did both; else workers against workers, else readings."""
    one, other = first.by_worker, second.by_worker
    both = [w for w in one if w in other]
    if len(both) > 1:
        found = paired([one[w] for w in both], [other[w] for w in both], confidence)
        aside = [w for w in {**one, **other} if w not in both]
        return Comparison(first, second, "pairs", found, aside, "" if found else "every pair differs by the same")
    if min(len(one), len(other)) > 1:
        found = welch(list(one.values()), list(other.values()), confidence)
        return Comparison(first, second, "workers", found, (), "" if found else "no spread between workers")
    times = [[r.normal_s for r in t.readings] for t in (first, second)]
    found = welch(times[0], times[1], confidence)
    few = min(map(len, times)) < 2
    why = "" if found else "one reading is not enough" if few else "no spread between readings"
    return Comparison(first, second, "readings", found, (), why)


def row_for(catalogs: Catalogs, operation: str, construction: str) -> Row | None:
    """Return the catalog row whose minutes hold: the construction's own, else the row for all, else none."""
    operations = catalogs["operations"]
    keys = (f"{operation}|{construction}", f"{operation}|{ALL}")
    return next((operations[key] for key in keys if key in operations), None)
