"""What calibrate prints first: what differs, what to do next, what to look at. It fits a screen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from takeoff.study.analysis import Comparison
from takeoff.study.calibrate import Calibration
from takeoff.study.causes import SLIP, THROUGHOUT, WORDS, Doubt
from takeoff.study.words import WIDTH, called, how_many, listed, many, shown_s, sure
from takeoff.study.workers import ENOUGH, OUT_OF_REACH, READINGS, WORKERS
from takeoff.text.problems import shorten

SHEET = "!"
"""Stands between sheet and row in a workbook. A sheet is called as its worker is coded: no such row is on the page."""

CAUTION = (
    "A time study speaks of the people, the work and the days that were timed.",
    "Hours decide no question of the code.",
)


DO_NEXT = {
    ENOUGH: "enough",
    READINGS: "more readings, of each worker",
    WORKERS: "more workers, in all",
    OUT_OF_REACH: "out of reach (widen --precision, or split)",
}
CORRECT_FIRST = "  correct the slips below, calibrate again: "
"""Advice in words, and what the figure behind each piece of work is."""

MOST_DIFFERENCES, MOST_LOOKED_AT = 4, 3


def first_page(calibration: Calibration) -> str:
    """Return what a reader needs first: what differs, what to do next, what to look at. It fits a screen."""
    count = len(calibration.changes)
    rows = f"minutes: {many(count, 'row')}" if count else "no operation timed: no minutes"
    parts = [
        _head(calibration).split("\n"),
        list(_what_differs(calibration)),
        list(_what_next(calibration)),
        list(_look_at(calibration)),
        [f"{rows}; --details shows every time, minute and method", *CAUTION],
    ]
    return "\n".join(line for part in parts for line in part)


def _what_differs(calibration: Calibration) -> Iterator[str]:
    comparisons = calibration.comparisons
    yield f"what differs, seconds for one ({sure(calibration.wanted)} interval)"
    shown = sorted((c for c in comparisons if c.shown), key=lambda c: c.difference.p if c.difference else 1)
    for c in shown[:MOST_DIFFERENCES]:
        yield from _said(c)
    if len(shown) > MOST_DIFFERENCES:
        yield f"  and {many(len(shown) - MOST_DIFFERENCES, 'more difference')}"
    differ, tested = _names(shown), _names([c for c in comparisons if c.difference])
    alike = [n for n in tested if n not in differ]
    if alike:
        yield listed("  no difference shown, so one figure for all: ", alike)
    untested = [n for n in _names(comparisons) if n not in tested]
    if untested:
        yield listed("  too little to test: ", untested)
    if any(c.mixed for c in comparisons):
        yield "  another construction after than before: the days may make the difference"
    if not comparisons:
        yield "  nothing was timed in two constructions, nor before and after a change"


def _said(c: Comparison) -> list[str]:
    """Return a difference as a sentence, the shorter time first; a long name of the work has a line of its own."""
    d = c.difference
    assert d is not None
    less, more = (c.second, c.first) if d.mean < 0 else (c.first, c.second)
    low, high = sorted((abs(d.low), abs(d.high)))
    if c.first.construction == c.second.construction:
        names = f"{c.first.construction} {less.period} takes", more.period
    elif c.first.period == c.second.period:
        names = " ".join(filter(None, (less.period, less.construction, "takes"))), more.construction
    else:
        names = f"{less.label} takes", more.label
    span = f"{shown_s(abs(d.mean))} ({shown_s(low)} to {shown_s(high)})"
    said = f": {names[0]} {span} less than {names[1]}"
    if len(c.first.name) + len(said) <= WIDTH - 2:
        return [f"  {c.first.name}{said}"]
    return [f"  {shorten(c.first.name, WIDTH - 3)}:", f"    {said.removeprefix(': ')}"]


def _names(comparisons: Sequence[Comparison]) -> list[str]:
    return list(dict.fromkeys(c.first.name for c in comparisons))


def _what_next(calibration: Calibration) -> Iterator[str]:
    wanted = calibration.wanted
    yield f"what to do next, for a mean within {wanted.precision * 100:g} %"
    slips = {id(s.reading) for d in calibration.doubts if d.cause == SLIP for s in d.strays}
    spoilt = [f for f in calibration.figures if any(id(r) in slips for r in f.readings)]
    if spoilt:
        yield listed(CORRECT_FIRST, [called(f, calibration) for f in spoilt])
    for word, title in DO_NEXT.items():
        mine = [f for f in calibration.figures if f.advice.word == word and f not in spoilt]
        if mine:
            yield listed(f"  {title}: ", [f"{called(f, calibration)} {how_many(f.advice)}".strip() for f in mine])


def _look_at(calibration: Calibration) -> Iterator[str]:
    doubts = calibration.doubts
    if not doubts:
        return
    yield "what to look at; all of it is kept in every figure"
    lines = [line for doubt in doubts for line in _doubt(doubt)]
    yield from lines[:MOST_LOOKED_AT]
    if len(lines) > MOST_LOOKED_AT:
        yield f"  and {many(len(lines) - MOST_LOOKED_AT, 'more line')}"


def _doubt(doubt: Doubt) -> list[str]:
    if doubt.cause == THROUGHOUT:
        return [f"  {WORDS[THROUGHOUT]}, {doubt.factor:.2g} times the others"]
    rows = list(dict.fromkeys(str(s.reading.row) for s in doubt.strays))
    if any(SHEET in row for row in rows):
        return [f"  probably {WORDS[doubt.cause]}: {many(len(rows), 'line')}, --details says which"]
    return [listed(f"  probably {WORDS[doubt.cause]}: row ", rows)]


def _head(calibration: Calibration) -> str:
    used, out = calibration.observations.used, calibration.observations.left_out
    days = sorted({r.date for r in used})
    workers = len({r.worker for r in used})
    made_up = sum(r.invented for r in used)
    file = shorten(calibration.observations.file, WIDTH // 4)
    head = f"{file}: {many(len(used), 'reading')} of {many(workers, 'worker')}"
    head += f", {days[0]}" + (f" to {days[-1]}" if len(days) > 1 else "")
    rest = [f"{many(len(out), 'reading')} left out with a reason"] if out else []
    rest += [f"{many(made_up, 'reading')} made up: not a measurement"] if made_up else []
    return head + ("\n" + "; ".join(rest) if rest else "")
