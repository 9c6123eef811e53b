"""Dates as worksheets count them: days since 1899-12-30; 0 stands for a date that is not given."""

from __future__ import annotations

import datetime as dt
import re

ACCEPTED = "a date such as 2026-11-25, or a month such as 2026-11"
NOT_GIVEN = "not given"
FORMAT = f'yyyy-mm-dd;;"{NOT_GIVEN}"'
"""Number format of a cell with a day number."""
_ORIGIN = dt.date(1899, 12, 30)
_FIRST, _LAST = dt.date(1990, 1, 1), dt.date(2199, 12, 31)
"""Dates outside are slips of the pen: no price and no job of this tool is so old or so far away."""


def day_number(text: str) -> int | None:
    """Return the day number of an ISO 8601 date, or of the first day of a month; None where the text is neither.

    Parameters
    ----------
    text
        `2026-11-25` or `2026-11`; a time behind the date, as workbooks write it, is passed over.
    """
    match = re.fullmatch(r"(\d{4})-(\d{2})(?:-(\d{2})(?:[ T]00:00(?::00)?)?)?", text.strip(), re.ASCII)
    if not match:
        return None
    try:
        date = dt.date(int(match[1]), int(match[2]), int(match[3] or 1))
    except ValueError:
        return None
    return (date - _ORIGIN).days if _FIRST <= date <= _LAST else None


def iso(day: float) -> str:
    """Return the ISO 8601 text of a day number; 0 is a date that is not given."""
    return (_ORIGIN + dt.timedelta(days=int(day))).isoformat() if day else NOT_GIVEN
