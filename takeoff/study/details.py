"""What calibrate prints on request: every time, figure, minute and test, what stands apart, and how it was made."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from takeoff.study.analysis import Comparison, Timing, Wanted
from takeoff.study.calibrate import Calibration
from takeoff.study.causes import NEXT, THROUGHOUT, WORDS
from takeoff.study.columns import ALL
from takeoff.study.estimates import curve_of_figure
from takeoff.study.overlay import Change
from takeoff.study.statistics import CONVENTIONS, FAR, OUTLIER_METHOD
from takeoff.study.words import called, how_many, many, shown_s, sure
from takeoff.study.workers import OUT_OF_REACH
from takeoff.text.problems import shorten
from takeoff.text.terminal import aligned

LIMITS = ("low_minutes", "high_minutes")


def details_text(calibration: Calibration) -> str:
    """Return every table of a calibration, readings that stand apart with their rows, and how it was made."""
    parts = [
        _readings(calibration),
        list(_remarks(calibration)),
        _figures(calibration),
        _minutes(calibration),
        list(_learned(calibration)),
        _differences(calibration),
        _methods(calibration),
    ]
    return "\n\n".join("\n".join(lines) for lines in parts if lines)


def _readings(calibration: Calibration) -> list[str]:
    lines = [
        ["", "", "", "", "observed", "normal", ""],
        ["operation", "construction", "n", "workers", "mean", "mean", "sd"],
    ]
    for t in calibration.timings:
        figures = [shown_s(t.observed_s), shown_s(t.spread.mean), shown_s(t.spread.deviation)]
        lines.append([shorten(t.name, 34), t.label, str(t.spread.count), str(len(t.by_worker)), *figures])
    return ["as timed, seconds for one", *aligned(lines, (0, 1))]


def _figures(calibration: Calibration) -> list[str]:
    """Return one line for each figure of minutes: mean, what is between and within workers, interval, what to do."""
    how_sure = f"from and to: {sure(calibration.wanted)} interval, workers at random"
    title = f"one figure for what no test tells apart, seconds for one; {how_sure}"
    lines = [
        ["", "", "", "", "normal", "between", "within", "", "", "", "still"],
        ["operation", "constructions", "n", "workers", "mean", "workers", "one", "from", "to", "next", "to take"],
    ]
    for f in calibration.figures:
        m, low_high = f.model, f.limits_s or (None, None)
        counts = [str(m.readings), str(m.workers)]
        figures = [shown_s(v) for v in (m.mean, m.between, m.within, *low_high)]
        advice = f"{f.advice.word} {how_many(f.advice)}".strip()
        still = "-" if f.advice.word == OUT_OF_REACH else str(f.advice.more)
        lines.append([shorten(f.name, 34), " + ".join(f.constructions), *counts, *figures, advice, still])
    return [title, *aligned(lines, (0, 1, 9))]


def _learned(calibration: Calibration) -> Iterator[str]:
    """Yield the work whose times fall with practice, and when the minutes that held before are reached."""
    mine: dict[int, list[Change]] = {}
    for change in calibration.changes:
        mine.setdefault(id(change.figure), []).append(change)
    for f in calibration.figures:
        curve = curve_of_figure(f, calibration.wanted.confidence)
        if curve is None or not curve.shown:
            continue
        said = f"{called(f, calibration)}: times fall with practice, a curve of {curve.rate * 100:.0f} %"
        yield "; ".join([said, *dict.fromkeys(_reached(c) for c in mine.get(id(f), ()) if c.learned)])


def _reached(change: Change) -> str:
    learned = change.learned
    said = f"the {float(learned['estimate_minutes']):g} min that held before are "
    if learned["reached"] == "now":
        return said + "reached"
    if learned["reached"] == "not-in-sight":
        return said + "out of reach"
    days, units = (many(int(learned[name]), word) for name, word in (("more_days", "more day"), ("more_units", "more")))
    return f"{said}reached after {days} like those of the study, {units} by each"


def _remarks(calibration: Calibration) -> Iterator[str]:
    for doubt in calibration.doubts:
        title = WORDS[doubt.cause] + (f", {doubt.factor:.2g} times the others" if doubt.cause == THROUGHOUT else "")
        yield f"{title}; {NEXT[doubt.cause]}"
        for s in doubt.strays if doubt.cause != THROUGHOUT else ():
            place = f"row {s.reading.row}, {_label(s.timing)}"
            why = f"; {s.why}" if s.why else ""
            yield f"  outlier: {place}: {shown_s(s.reading.normal_s)} s each, modified z {s.score:+.1f}{why}"
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
    lines = [["operation", "construction", "normal", "standard", "low", "high", "before", "change", "from"]]
    for change in calibration.changes:
        before = change.minutes_before
        lines.append(
            [
                change.row["operation"],
                change.row["construction"],
                f"{change.figure.model.mean / 60:.3f}",
                f"{change.minutes:.3f}",
                *(f"{float(change.range[limit]):.3f}" if change.range else "-" for limit in LIMITS),
                "none" if before is None else f"{before:.3f}",
                f"{change.minutes / before - 1:+.0%}" if before else "new",
                shorten(change.source_before.partition(",")[0], 24) or "-",
            ]
        )
    title = f"minutes for one; standard = {_allowance(calibration.wanted)}"
    return [title, *aligned(lines, (0, 1, 8)), *_mixed(calibration.changes)]


def _mixed(changes: Sequence[Change]) -> Iterator[str]:
    """Yield the operations timed in some constructions of the study and not in others: they compare unlike figures."""
    every = [c.row["construction"] for c in changes if c.row["construction"] != ALL]
    constructions = list(dict.fromkeys(every))
    for operation in dict.fromkeys(c.row["operation"] for c in changes):
        timed = [c.row["construction"] for c in changes if c.row["operation"] == operation]
        missing = [c for c in constructions if c not in timed]
        if ALL not in timed and len(timed) > 1 and missing:
            yield f"{operation} was not timed for {', '.join(missing)}: where it occurs there, other minutes hold"


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
            pair = f"{c.second.label} - {c.first.label}"
            remarks.append(f"{c.first.name}, {pair}: {', '.join(c.aside)} did one of the two only, not in the pairs")
    if any(c.unit == "readings" and c.difference for c in calibration.comparisons):
        remarks.append("a test on readings speaks of the workers who were timed, not of others")
    tested = sum(c.difference is not None for c in calibration.comparisons)
    if tested > 1:
        chance = f"{100 - calibration.wanted.confidence * 100:.3g} in 100"
        remarks.append(f"{tested} tests: where there is no difference at all, {chance} such tests show one by chance")
    return [title, *aligned(lines, (0, 1, 2, 3, 8)), *remarks]


def _difference(c: Comparison) -> list[str]:
    names = [shorten(c.first.name, 34), f"{c.second.label} - {c.first.label}"]
    d = c.difference
    if d is None:
        return [*names, "not tested", "-", "-", "-", "-", "-", f"nothing: {c.why}"]
    on = f"{d.counts[0]} {c.of}s in both" if c.unit == "pairs" else f"{d.counts[1]} and {d.counts[0]} {c.unit}"
    faster = c.second.label if d.mean < 0 else c.first.label
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
        f"  spread, intervals, outliers and tests are of the normal times; intervals two-sided, {sure}",
        "  means: a mixed model by restricted maximum likelihood, every worker with a shift taken at random",
        "  interval: Student's t with workers less one; of one worker alone it speaks of no other",
        f"  next: the fewest more readings that bring the interval within {wanted.precision * 100:g} % of the mean",
        "  one figure: constructions that no test tells apart; of before and after a change that differ, after",
        f"  outliers: {OUTLIER_METHOD}, over {FAR:g}",
        "  tests: two-sided; paired on means of workers who did both, else Welch on means of workers, else on readings",
        "  before and after a change: crews stand for workers; p: Holm's, over the tests of one operation",
    ]


def _allowance(wanted: Wanted) -> str:
    if not wanted.allowance_pct:
        return "normal: no allowance was given, see --allowance"
    share, formula = CONVENTIONS[wanted.convention]
    figures = formula.replace("A", f"{wanted.allowance_pct / 100:g}")
    return f"{figures}, allowance {wanted.allowance_pct:g} % {share} ({wanted.convention})"


def _label(timing: Timing) -> str:
    return f"{timing.construction} {timing.name}"
