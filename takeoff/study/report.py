"""What calibrate prints: times with their spread, minutes beside those before, differences, and how they were made."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from takeoff.study.analysis import Comparison, Timing, Wanted
from takeoff.study.calibrate import Calibration
from takeoff.study.overlay import Change
from takeoff.study.readings import ALL, WHOLE_BOX
from takeoff.study.statistics import CONVENTIONS, FAR, OUTLIER_METHOD
from takeoff.text.problems import shorten
from takeoff.text.terminal import aligned

CAUTION = (
    "A time study speaks of the people, the work and the days that were timed. Hours decide no question of the code."
)


def calibration_text(calibration: Calibration) -> str:
    """Return the report of a calibration for a terminal."""
    parts = [
        [_head(calibration)],
        _readings(calibration),
        list(_remarks(calibration)),
        _minutes(calibration),
        _differences(calibration),
        _methods(calibration),
        [CAUTION],
    ]
    return "\n\n".join("\n".join(lines) for lines in parts if lines)


def _head(calibration: Calibration) -> str:
    used, out = calibration.observations.used, calibration.observations.left_out
    days = sorted({r.date for r in used})
    workers = len({r.worker for r in used})
    made_up = sum(r.invented for r in used)
    head = f"{calibration.observations.file}: {_many(len(used), 'reading')} of {_many(workers, 'worker')}"
    head += f", {days[0]}" + (f" to {days[-1]}" if len(days) > 1 else "")
    head += f"; {_many(len(out), 'reading')} left out with a reason" if out else ""
    return head + (f"\n{_many(made_up, 'reading')} marked as made up: not a measurement" if made_up else "")


def _readings(calibration: Calibration) -> list[str]:
    sure = f"{calibration.wanted.confidence * 100:g} %"
    title = f"seconds for one, mean and spread; from and to: {sure} interval of the normal time"
    lines = [
        ["", "", "", "", "observed", "normal", "", "", "", "readings", "still"],
        ["operation", "construction", "n", "workers", "mean", "mean", "sd", "from", "to", "needed", "to take"],
    ]
    for t in calibration.timings:
        spread = t.spread
        still = "?" if t.needed is None else str(max(0, t.needed - spread.count))
        figures = [_s(t.observed_s), _s(spread.mean), _s(spread.deviation), _s(spread.low), _s(spread.high)]
        needed = "?" if t.needed is None else str(t.needed)
        counts = [str(spread.count), str(len(t.by_worker))]
        lines.append([shorten(t.name, 34), t.construction, *counts, *figures, needed, still])
    return [title, *aligned(lines, (0, 1))]


def _remarks(calibration: Calibration) -> Iterator[str]:
    for t in calibration.timings:
        for reading, score in t.flagged:
            place = f"row {reading.row}, {_label(t)}, by {reading.worker}"
            yield f"outlier: {place}: {_s(reading.normal_s)} s each, modified z {score:+.1f}; kept in every figure"
    unjudged = [_label(t) for t in calibration.timings if not t.judged]
    if unjudged:
        yield f"not searched for outliers, under five readings or most of them equal: {', '.join(unjudged)}"
    alone = [_label(t) for t in calibration.timings if len(t.by_worker) == 1]
    if alone:
        yield f"timed on one worker only, says nothing of others: {', '.join(alone)}"
    for out in calibration.observations.left_out:
        seconds = f" of {out.seconds} s" if out.seconds else ""
        yield f"left out: row {out.row}, {out.construction} {out.operation}{seconds}: {shorten(out.reason)}"


def _minutes(calibration: Calibration) -> list[str]:
    """Return the minutes of each calibrated row beside what held before, and what else keeps its minutes."""
    if not calibration.changes:
        return ["no operation was timed: there is nothing to calibrate"]
    lines = [["operation", "construction", "normal", "standard", "before", "change", "before from"]]
    timings = {(t.operation, t.construction): t for t in calibration.timings}
    for change in calibration.changes:
        timing = timings[change.row["operation"], change.row["construction"]]
        before = change.minutes_before
        lines.append(
            [
                timing.operation,
                timing.construction,
                f"{timing.spread.mean / 60:.3f}",
                f"{change.minutes:.3f}",
                "none" if before is None else f"{before:.3f}",
                f"{change.minutes / before - 1:+.0%}" if before else "new",
                shorten(change.source_before.partition(",")[0], 24) or "-",
            ]
        )
    title = f"minutes for one; standard = {_allowance(calibration.wanted)}"
    return [title, *aligned(lines, (0, 1, 6)), *_mixed(calibration.changes), *_chance(calibration.comparisons)]


def _mixed(changes: Sequence[Change]) -> Iterator[str]:
    """Yield the operations timed in some constructions of the study and not in others: they compare unlike figures."""
    every = [c.row["construction"] for c in changes if c.row["construction"] != ALL]
    constructions = list(dict.fromkeys(every))
    for operation in dict.fromkeys(c.row["operation"] for c in changes):
        timed = [c.row["construction"] for c in changes if c.row["operation"] == operation]
        missing = [c for c in constructions if c not in timed]
        if ALL not in timed and len(timed) > 1 and missing:
            yield f"{operation} was not timed for {', '.join(missing)}: where it occurs there, other minutes hold"


def _chance(comparisons: Sequence[Comparison]) -> Iterator[str]:
    """Yield the operations whose minutes differ between constructions although no test shows a difference."""
    tested: dict[str, list[Comparison]] = {}
    for c in comparisons:
        if c.first.operation != WHOLE_BOX:
            tested.setdefault(c.first.operation, []).append(c)
    alike = [o for o, found in tested.items() if not any(c.difference and c.difference.shown for c in found)]
    if alike:
        named = ", ".join(alike)
        yield f"no difference shown for {named}: that their minutes differ between constructions may be chance"


def _differences(calibration: Calibration) -> list[str]:
    if not calibration.comparisons:
        return []
    sure = f"{calibration.wanted.confidence * 100:g} %"
    title = f"differences, seconds for one; from and to: {sure} interval"
    lines = [["operation", "second - first", "test", "on", "mean", "from", "to", "p", "the data show"]]
    remarks = []
    for c in calibration.comparisons:
        lines.append(_difference(c))
        if c.aside:
            pair = f"{c.second.construction} - {c.first.construction}"
            remarks.append(f"{c.first.name}, {pair}: {', '.join(c.aside)} did one of the two only, not in the pairs")
    if any(c.unit == "readings" and c.difference for c in calibration.comparisons):
        remarks.append("a test on readings speaks of the workers who were timed, not of others")
    tested = sum(c.difference is not None for c in calibration.comparisons)
    if tested > 1:
        chance = f"{100 - calibration.wanted.confidence * 100:.3g} in 100"
        remarks.append(f"{tested} tests: where there is no difference at all, {chance} such tests show one by chance")
    return [title, *aligned(lines, (0, 1, 2, 3, 8)), *remarks]


def _difference(c: Comparison) -> list[str]:
    names = [shorten(c.first.name, 34), f"{c.second.construction} - {c.first.construction}"]
    d = c.difference
    if d is None:
        return [*names, "not tested", "-", "-", "-", "-", "-", f"nothing: {c.why}"]
    unit = {"pairs": "pair", "workers": "worker", "readings": "reading"}[c.unit]
    on = _many(d.counts[0], unit) if c.unit == "pairs" else f"{d.counts[1]} and {d.counts[0]} {c.unit}"
    faster = c.second.construction if d.mean < 0 else c.first.construction
    says = f"a difference: {faster} is faster" if d.shown else "no difference shown"
    p = "< 0.001" if d.p < 0.001 else f"{d.p:.3f}"
    test = f"{d.method}({d.freedom:.3g}) = {d.t:.2f}"
    return [*names, test, on, *(f"{v:+.1f}" for v in (d.mean, d.low, d.high)), p, says]


def _methods(calibration: Calibration) -> list[str]:
    wanted = calibration.wanted
    sure = f"{wanted.confidence * 100:g} %"
    ratings = {r.rating for r in calibration.observations.used}
    rated = "100 % throughout" if ratings == {100} else f"{min(ratings):g} to {max(ratings):g} %, as the observer wrote"
    return [
        "how the figures are made",
        f"  observed: (seconds - interruptions) / count; normal: observed x rating; rating {rated}",
        f"  spread, interval, outliers and tests are of the normal times; interval: Student's t, two-sided, {sure}",
        "  the interval takes readings as independent; several of one worker are so only in part",
        f"  readings needed: the first number whose t interval is within {wanted.precision * 100:g} % of the mean",
        f"  outliers: {OUTLIER_METHOD}, over {FAR:g}",
        "  tests: two-sided; paired on means of workers who did both, else Welch on means of workers, else on readings",
    ]


def _allowance(wanted: Wanted) -> str:
    if not wanted.allowance_pct:
        return "normal: no allowance was given, see --allowance"
    share, formula = CONVENTIONS[wanted.convention]
    figures = formula.replace("A", f"{wanted.allowance_pct / 100:g}")
    return f"{figures}, allowance {wanted.allowance_pct:g} % {share} ({wanted.convention})"


def _s(seconds: float | None) -> str:
    """Return seconds with three figures or more."""
    if seconds is None:
        return "-"
    return f"{seconds:.1f}" if abs(seconds) >= 10 else f"{seconds:.2f}"


def _label(timing: Timing) -> str:
    return f"{timing.construction} {timing.name}"


def _many(count: int, word: str) -> str:
    return f"{count} {word}" + ("" if count == 1 else "s")
