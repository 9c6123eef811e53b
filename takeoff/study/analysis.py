"""What the readings of a time study say: times, differences, and one figure for what no test tells apart."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from takeoff.catalog.rows import Catalogs, Row
from takeoff.study.columns import ALL, PERIODS, WHOLE_BOX
from takeoff.study.readings import Observation
from takeoff.study.statistics import (
    FAR,
    Difference,
    Spread,
    holm,
    modified_z,
    paired,
    spread_of,
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

    `period` is before or after a change, or nothing; `spread` is of the normal times; `flagged` are readings far from
    the others with their score; `judged` says whether there was a scale to judge by.
    """

    operation: str
    construction: str
    box: str
    period: str
    readings: Sequence[Observation]
    observed_s: float
    spread: Spread
    flagged: Sequence[tuple[Observation, float]]
    judged: bool

    @property
    def name(self) -> str:
        """The operation, or the box that was timed whole."""
        return name_of(self.operation, self.box)

    @property
    def label(self) -> str:
        """The construction, and before or after a change where it was timed so."""
        return f"{self.construction}, {self.period}" if self.period else self.construction

    def by(self, kind: str) -> dict[str, float]:
        """Return the mean normal seconds of each worker or each crew: readings of one resemble one another."""
        times: dict[str, list[float]] = {}
        for reading in self.readings:
            times.setdefault(getattr(reading, kind), []).append(reading.normal_s)
        return {key: sum(t) / len(t) for key, t in times.items()}

    @property
    def by_worker(self) -> dict[str, float]:
        """Mean normal seconds of each worker."""
        return self.by("worker")


@dataclass(frozen=True)
class Comparison:
    """Two constructions timed at the same work, or one before and after a change.

    `unit` is what one figure of the test stands for: pairs, workers, crews or readings; `of` is worker or crew. `aside`
    are those whom the pairs leave out. Where there is no test, `why` says why not.
    """

    first: Timing
    second: Timing
    unit: str
    difference: Difference | None
    aside: Sequence[str] = ()
    why: str = ""
    of: str = "worker"

    @property
    def mixed(self) -> bool:
        """Whether the two differ in the construction and in before and after, so that neither alone is tested."""
        return self.first.construction != self.second.construction and self.first.period != self.second.period

    @property
    def shown(self) -> bool:
        """Whether the data show a difference."""
        return self.difference is not None and self.difference.shown


def name_of(operation: str, box: str) -> str:
    """Return how a piece of work is called: the operation, or the box that was timed whole."""
    return f"{operation}: {box}" if box else operation


def timings_of(readings: Iterable[Observation], catalogs: Catalogs, wanted: Wanted) -> list[Timing]:
    """Return the timings in working order, whole boxes last, constructions in catalog order."""
    groups: dict[tuple[str, str, str, str], list[Observation]] = {}
    for reading in readings:
        key = (reading.operation, reading.box, reading.construction, reading.period)
        groups.setdefault(key, []).append(reading)
    steps = {str(r["operation"]): float(str(r["step"])) for r in catalogs["operations"]}
    operations = sorted(steps, key=lambda o: steps[o])
    places = {name: n for n, name in enumerate([*operations, WHOLE_BOX])}
    order = {name: n for n, name in enumerate([ALL, *catalogs["constructions"].keys])}
    keys = sorted(groups, key=lambda k: (places[k[0]], k[1], order[k[2]], ["", *PERIODS].index(k[3])))
    return [_timing(groups[key], wanted) for key in keys]


def _timing(readings: Sequence[Observation], wanted: Wanted) -> Timing:
    times = [r.normal_s for r in readings]
    spread = spread_of(times, wanted.confidence)
    scores = modified_z(times)
    return Timing(
        readings[0].operation,
        readings[0].construction,
        readings[0].box,
        readings[0].period,
        readings,
        sum(r.seconds_each for r in readings) / len(readings),
        spread,
        [(r, z) for r, z in zip(readings, scores or [], strict=False) if abs(z) > FAR],
        scores is not None,
    )


def comparisons_of(timings: Sequence[Timing], wanted: Wanted) -> list[Comparison]:
    """Return every two constructions that were timed at the same work, and each one before and after a change.

    Of several tests at one piece of work each says the p-value and the answer that Holm's method leaves it.
    """
    done: list[Comparison] = []
    works = dict.fromkeys((t.operation, t.box) for t in timings)
    for work in works:
        mine = [t for t in timings if (t.operation, t.box) == work]
        done += _by_holm([_compare(a, b, wanted.confidence) for a, b in _pairs(mine)], wanted.confidence)
    return done


def _pairs(timings: Sequence[Timing]) -> Iterator[tuple[Timing, Timing]]:
    """Yield what differs in construction or period; in both only where nothing else can be compared."""
    periods: dict[str, set[str]] = {}
    for t in timings:
        periods.setdefault(t.construction, set()).add(t.period)
    for first, second in combinations(timings, 2):
        alike, named = first.construction == second.construction, {first.construction, second.construction}
        if first.period == second.period:
            wanted = ALL not in named
        elif "" in (first.period, second.period):
            wanted = False
        else:
            wanted = alike or (ALL not in named and not set.intersection(*(periods[c] for c in named)))
        if wanted:
            yield first, second


def _by_holm(comparisons: Sequence[Comparison], confidence: float) -> list[Comparison]:
    tested = [c.difference for c in comparisons if c.difference]
    corrected = iter(holm([d.p for d in tested]))
    changed = []
    for c in comparisons:
        if c.difference:
            p = next(corrected)
            changed.append(replace(c, difference=replace(c.difference, p=p, shown=p < 1 - confidence)))
        else:
            changed.append(c)
    return changed


def _compare(first: Timing, second: Timing, confidence: float) -> Comparison:
    """Test by pairs where two workers or more did both; else workers against workers, else readings.

    Before and after a change crews stand for workers where every reading names one.
    """
    kind = "worker"
    if first.period != second.period and all(r.crew for t in (first, second) for r in t.readings):
        kind = "crew"
    one, other = first.by(kind), second.by(kind)
    both = [w for w in one if w in other]
    if len(both) > 1:
        found = paired([one[w] for w in both], [other[w] for w in both], confidence)
        aside = [w for w in {**one, **other} if w not in both]
        why = "" if found else "every pair differs by the same"
        return Comparison(first, second, "pairs", found, aside, why, kind)
    if min(len(one), len(other)) > 1:
        found = welch(list(one.values()), list(other.values()), confidence)
        why = "" if found else f"no spread between {kind}s"
        return Comparison(first, second, f"{kind}s", found, (), why, kind)
    times = [[r.normal_s for r in t.readings] for t in (first, second)]
    found = welch(times[0], times[1], confidence)
    few = min(map(len, times)) < 2
    why = "" if found else "one reading is not enough" if few else "no spread between readings"
    return Comparison(first, second, "readings", found, (), why, kind)


def row_for(catalogs: Catalogs, operation: str, construction: str) -> Row | None:
    """Return the catalog row whose minutes hold: the construction's own, else the row for all, else none."""
    operations = catalogs["operations"]
    keys = (f"{operation}|{construction}", f"{operation}|{ALL}")
    return next((operations[key] for key in keys if key in operations), None)
