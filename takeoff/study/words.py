"""Words and figures that the first page and the details of a calibration have in common."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.study.analysis import Wanted
from takeoff.study.calibrate import Calibration
from takeoff.study.figures import Figure
from takeoff.study.workers import READINGS, WORKERS, Advice
from takeoff.text.problems import shorten

WIDTH = 80
"""Columns of a terminal; with 24 rows it is a screen, which the first page fits."""


def called(figure: Figure, calibration: Calibration) -> str:
    """Return how a figure is called: its work, with its constructions where the work has several figures."""
    several = sum((f.operation, f.box) == (figure.operation, figure.box) for f in calibration.figures) > 1
    where = f" in {', '.join(figure.constructions)}" if several else ""
    return shorten(figure.name, 34) + where


def how_many(advice: Advice) -> str:
    """Return the workers in all, or the readings of each worker, that an advice asks for; nothing where none."""
    return {READINGS: str(advice.each), WORKERS: str(advice.workers)}.get(advice.word, "")


def listed(title: str, names: Sequence[str]) -> str:
    """Return names behind their title on one line of the terminal; those that find no room are counted."""
    line = title + shorten(names[0], WIDTH - len(title) - len(" and 999 more"))
    for place, name in enumerate(names[1:], start=1):
        rest = f", {name}" + (f" and {len(names) - place - 1} more" if place < len(names) - 1 else "")
        if len(line + rest) > WIDTH:
            return f"{line} and {len(names) - place} more"
        line += f", {name}"
    return line


def sure(wanted: Wanted) -> str:
    """Return the confidence of intervals and tests."""
    return f"{wanted.confidence * 100:g} %"


def shown_s(seconds: float | None) -> str:
    """Return seconds with three figures or more."""
    if seconds is None:
        return "-"
    return f"{seconds:.1f}" if abs(seconds) >= 10 else f"{seconds:.2f}"


def many(count: int, word: str) -> str:
    """Return a count with its word, in the plural where there are several."""
    return f"{count} {word}" + ("" if count == 1 else "s")
