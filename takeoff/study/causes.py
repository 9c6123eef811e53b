"""Readings that stand apart, by what probably made them so. No sentence is about a person.

A reading is held against the readings of the same work in the same construction. Nothing is taken out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from takeoff.study.analysis import Timing
from takeoff.study.learning import Practice, curve_of, times_of_curve
from takeoff.study.readings import Observation

THROUGHOUT, SLIP, LEARNED, INTERRUPTED, SHORT = "throughout", "slip", "learned", "interruption", "short"

WORDS = {
    THROUGHOUT: "one set of sheets stands apart all through",
    SLIP: "a slip of the unit or the count",
    LEARNED: "the first of work that is being learned",
    INTERRUPTED: "an interruption that was not written down",
    SHORT: "a start or a stop that was missed",
}

NEXT = {
    THROUGHOUT: "nothing to mend: people and places differ, the intervals hold it; look at room, tools and parts",
    SLIP: "look at the sheet; correct the line where it shows the slip",
    LEARNED: "nothing to mend: times fall with practice as the others' do; leave them in",
    INTERRUPTED: "ask what happened; write the seconds as interruption, or the reason in leave_out",
    SHORT: "look at the start and stop points; write the reason in leave_out where one is known",
}

STEADY = 1.25
"""Times the others' on average, or one by it, from which a set of sheets stands apart. Common practice, no source."""

SAME_SIDE = 0.8
"""Part of its readings that lie on that side."""

FEWEST_READINGS, FEWEST_WORKS = 5, 2
MINUTES_AS_SECONDS = (40, 90)
"""Around 60: with a spread as large as times have."""

NEAR = 0.25
"""How near a count a ratio must be to be taken for it."""


@dataclass(frozen=True)
class Stray:
    """A reading that stands apart: of which timing, how many times the others, what may explain it.

    `on_curve` says that it lies where the learning curve of these readings has it.
    """

    timing: Timing
    reading: Observation
    score: float
    times_others: float
    why: str = ""
    on_curve: bool = False


@dataclass(frozen=True)
class Doubt:
    """Readings with one probable cause; `factor` is how many times the others' those of a set are, throughout."""

    cause: str
    strays: Sequence[Stray]
    factor: float = 1


def doubts_of(timings: Sequence[Timing]) -> list[Doubt]:
    """Return the readings that stand apart, grouped by probable cause: those throughout first, one by one last."""
    factors = _throughout(timings)
    strays = [_stray(t, reading, score) for t in timings for reading, score in t.flagged]
    doubts = []
    for worker, factor in factors.items():
        mine = [s for s in strays if s.reading.worker == worker and _near(s.times_others, factor, 0.5)]
        strays = [s for s in strays if s not in mine]
        doubts.append(Doubt(THROUGHOUT, mine, factor))
    for cause in (SLIP, LEARNED, INTERRUPTED, SHORT):
        found = [s for s in strays if _cause(s) == cause]
        if found:
            doubts.append(Doubt(cause, found))
    return doubts


def _throughout(timings: Sequence[Timing]) -> dict[str, float]:
    """Return how many times the others' the readings of a worker are, where they stand apart all through."""
    ratios: dict[str, list[float]] = {}
    works: dict[str, set[str]] = {}
    for t in timings:
        for worker, mean in t.by_worker.items():
            others = [m for w, m in t.by_worker.items() if w != worker]
            if len(others) < 2 or median(others) <= 0 or mean <= 0:
                continue
            mine = [r.normal_s / median(others) for r in t.readings if r.worker == worker]
            ratios.setdefault(worker, []).extend(mine)
            works.setdefault(worker, set()).add(t.name)
    found = {}
    for worker, mine in ratios.items():
        factor = median(mine)
        limit = STEADY if factor > 1 else 1 / STEADY
        beyond = sum((r >= limit) == (factor > 1) for r in mine) / len(mine)
        outside = factor >= STEADY or factor <= 1 / STEADY
        if outside and beyond >= SAME_SIDE and len(mine) >= FEWEST_READINGS and len(works[worker]) >= FEWEST_WORKS:
            found[worker] = factor
    return found


def _stray(timing: Timing, reading: Observation, score: float) -> Stray:
    others = [r for r in timing.readings if r is not reading]
    ratio = reading.normal_s / median(r.normal_s for r in others)
    usual = median(r.count for r in others)
    low, high = MINUTES_AS_SECONDS
    why = ""
    if low <= ratio <= high:
        why = "60 times the others: was the time in another unit?"
    elif low <= 1 / ratio <= high:
        why = "a 60th of the others: minutes written as seconds?"
    elif reading.count == 1 and usual >= 2 and _near(ratio, usual, NEAR):
        why = f"{usual:g} times the others, which were {usual:g} at a time: is the count missing?"
    elif reading.count >= 2 and _near(1 / ratio, reading.count, NEAR):
        why = f"one {reading.count:g}th of the others with a count of {reading.count:g}: was it one?"
    return Stray(timing, reading, score, ratio, why, _on_curve(timing, reading))


def _on_curve(timing: Timing, reading: Observation) -> bool:
    """Say whether a reading is no further from the learning curve of all of them than sets of sheets are apart."""
    practice = [Practice(r.worker, r.date, r.normal_s, r.count) for r in timing.readings]
    curve = curve_of(practice)
    if curve is None or not curve.shown:
        return False
    place = next(n for n, r in enumerate(timing.readings) if r is reading)
    return 1 / STEADY < reading.normal_s / times_of_curve(curve, practice)[place] < STEADY


def _cause(stray: Stray) -> str:
    if stray.why:
        return SLIP
    if stray.on_curve:
        return LEARNED
    return INTERRUPTED if stray.times_others > 1 else SHORT


def _near(value: float, other: float, share: float) -> bool:
    return abs(value / other - 1) <= share
