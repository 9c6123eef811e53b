"""Convert entries of one reading, reporting what cannot be converted with its row and column."""

from __future__ import annotations

import datetime as dt
import re

from takeoff.job.cells import YES, CellReader
from takeoff.study.columns import PERIODS
from takeoff.study.sheets import BESIDE
from takeoff.study.watch import ACCEPTED, seconds_of

SHORTEST_S = 0.01
"""Seconds for one piece of work; less is a count or a unit that slipped."""

DAY_S = 86_400
SHORTEST_REASON = 5
"""Characters of a reason: a cross or a yes is none."""


def reason_of(cell: CellReader, text: str) -> tuple[str, str]:
    """Return which reading of the line is left out, nothing for all, and why."""
    numbered = re.fullmatch(r"([1-9]) ?[:.,;] *(.*)", text)
    number, reason = numbered.groups() if numbered else ("", text)
    if text and (reason.casefold() in YES or len(reason) < SHORTEST_REASON):
        cell.error("leave_out", text, "is no reason:", "why the reading is left out, or nothing where it counts")
    return number, reason


def period_of(cell: CellReader, texts: dict[str, str]) -> str | None:
    """Return before or after, or nothing; None where another word stands there."""
    text = (texts.get("period") or texts.get("period" + BESIDE, "")).casefold()
    if text and text not in PERIODS:
        cell.error("period", text, "is not known:", "before or after a change, or nothing")
        return None
    return text


def date_of(cell: CellReader, text: str) -> dt.date | None:
    """Return the day of a reading; None where it is blank or none."""
    accepted = "year-month-day, such as 2026-03-02"
    if not text:
        cell.error("date", "", "is blank", accepted)
        return None
    day = re.fullmatch(r"(\d{4}-\d{2}-\d{2})( 00:00:00)?", text)
    try:
        return dt.date.fromisoformat(day[1] if day else "")
    except ValueError:
        cell.error("date", text, "is not a date:", accepted)
        return None


def seconds_each_of(
    cell: CellReader, texts: dict[str, str], column: str, less: str, count: float | None
) -> float | None:
    """Return the seconds for one, without interruptions; None where a figure is missing or wrong."""
    if not texts.get(column):
        cell.error(column, "", "is blank", "the seconds from start to stop, or a reason in leave_out")
    seconds = _time(cell, column, texts.get(column, ""), 0.1)
    lost = _time(cell, less, texts.get(less, ""), 0)
    if seconds is None or (texts.get(less) and lost is None) or (texts.get("count") and count is None):
        return None
    lost = lost or 0
    if lost >= seconds:
        shown = texts[less]
        cell.error(less, shown, "is not less than the seconds:", f"under {seconds:g}; it is taken off")
        return None
    each = (seconds - lost) / (count or 1)
    if each < SHORTEST_S:
        cell.error("count", texts.get("count", ""), f"leaves under {SHORTEST_S:g} s for one:", "how many were made")
        return None
    return each


def _time(cell: CellReader, column: str, text: str, low: float) -> float | None:
    if not text:
        return None
    seconds = seconds_of(text)
    if seconds is None:
        cell.error(column, text, "is not a time:", ACCEPTED)
        return None
    return cell.within(column, text, seconds, low, DAY_S)
