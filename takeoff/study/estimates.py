"""When a piece of work reaches the minutes that an estimate gave it: the learning curve of a study beside them."""

from __future__ import annotations

from dataclasses import dataclass

from takeoff.study.figures import Figure
from takeoff.study.learning import LearningCurve, Practice, Reached, curve_of, reached


@dataclass(frozen=True)
class Standing:
    """Where the workers of a study stand against an estimate, with the allowance of the study.

    `now_s` are the standard seconds of the next unit, or the mean where times do not fall; `rate` the part that a
    doubling of units leaves, 1 where times do not fall; `when` how many more units of each worker, and days like those
    of the study, it takes.
    """

    rate: float
    now_s: float
    when: Reached


def curve_of_figure(figure: Figure, confidence: float) -> LearningCurve | None:
    """Return the learning curve that the dates of a figure's readings show, None where they are too few.

    Parameters
    ----------
    figure
        Its readings count at the normal pace; a reading is as many units as its count.
    confidence
        Of the test that times fall, as a share of 1.
    """
    practice = [Practice(r.worker, r.date, r.normal_s, r.count) for r in figure.readings]
    return curve_of(practice, confidence)


def standing_of(figure: Figure, estimate_s: float, confidence: float) -> Standing | None:
    """Return where a figure stands against an estimate; None where the days of the study are too few to say.

    Parameters
    ----------
    figure
        Readings of one piece of work.
    estimate_s
        Standard seconds that the estimate gave one unit, over 0.
    confidence
        Of the test that times fall, as a share of 1.
    """
    curve = curve_of_figure(figure, confidence)
    if curve is None:
        return None
    allowed = figure.standard_s / figure.model.mean
    if not curve.shown:
        there = figure.standard_s <= estimate_s
        return Standing(1.0, figure.standard_s, Reached(0, 0) if there else Reached(None, None))
    return Standing(curve.rate, curve.now_s * allowed, reached(curve, estimate_s / allowed))
