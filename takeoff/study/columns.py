"""The columns of a time study: their names, the words that stand for them, and what their entries may be."""

from __future__ import annotations

from takeoff.study.sheets import BESIDE, ON_TOP
from takeoff.text.headings import plain

WHOLE_BOX = "whole-box"
"""Stands for an operation where a box was timed from first to last; it is compared, and calibrates nothing."""

ALL = "all"
"""Stands for every construction, as in the catalog of operations."""

ALL_TITLE = "every construction"
"""The same in words."""

WHOLE_BOX_TITLE = "one box, end to end"
"""The same in words."""

COLUMNS = (
    *("date", "worker_code", "crew", "period", "construction", "operation", "box", "count"),
    *("seconds", "interruptions_s", "rating", "leave_out", "note"),
)
PERIODS = ("before", "after")
"""Of a change, such as a training: the same work of the same crew is then compared before and after it."""

MOST_ON_A_LINE = 9
"""Readings on one line: `seconds_1`, `interruptions_1_s` and on."""

SHEET_COLUMNS = ("start_stop", "count_of", "job", "observer")
"""Columns of the blank sheets that guide the observer or name the sheet; they may stay where they are."""

ALIASES = {
    "worker": "worker_code",
    "interruptions": "interruptions_s",
    "remark": "note",
    "work": "operation",
    "how many": "count",
    "pace %": "rating",
    "left out because": "leave_out",
    "remarks": "note",
    "time": "seconds",
    "less": "interruptions_s",
    "start and stop": "start_stop",
    "count, start, stop": "start_stop",
    "of what": "count_of",
    "before or after": "period",
}
NEEDED = ("operation", "construction", "seconds", "worker_code", "date")


def headings() -> dict[str, str]:
    """Return the names of the columns by their plain headings, those of several readings on a line with them."""
    many = {f"{word} {n}": f"seconds_{n}" for n in range(1, MOST_ON_A_LINE + 1) for word in ("seconds", "time")}
    less = {
        word.format(n): f"interruptions_{n}_s"
        for n in range(1, MOST_ON_A_LINE + 1)
        for word in ("interruptions {} s", "interruptions {}", "less {}")
    }
    top = {name + BESIDE: name + BESIDE for name in ON_TOP}
    own = {c: c for c in (*COLUMNS, *SHEET_COLUMNS)}
    return {plain(heading): name for heading, name in (own | ALIASES | many | less | top).items()}
