"""Control pairs that come with a run: their conductors, and what may be wrong with what a row says of them."""

from __future__ import annotations

from takeoff.catalog.rows import Catalogs
from takeoff.job.records import BoxRow
from takeoff.text.problems import Problems

PAIR = ("D1", "D2")
"""Roles of a control pair."""

USUAL_PAIR = "16"
"""Size of a control pair that the schedule does not say, AWG: common practice, no source."""


def check_pair(box: BoxRow, catalogs: Catalogs, problems: Problems) -> None:
    """Report what is wrong with the control pair of a row."""
    named = [role for role in box.wires if role in PAIR]
    if not named:
        for column, said in (("control_awg", box.control_awg), ("control_ft", "apart" if box.control_apart else "")):
            if said:
                problems.error(box.row, column, said, "stands without a control pair:", "D1 D2 in wires, or blank")
    elif len(named) < len(PAIR):
        problems.error(box.row, "wires", " ".join(box.wires), "names one conductor of a control pair:", "D1 and D2")
    awg, known = size_of_pair(box) or box.control_awg, catalogs["control_cables"].keys
    if awg and awg not in known:
        problems.error(box.row, "control_awg", awg, "is no size of a control pair:", "accepted: " + ", ".join(known))


def size_of_pair(box: BoxRow) -> str:
    """Return the size of the control pair that comes with the run of a box; nothing where none does."""
    return (box.control_awg or USUAL_PAIR) if any(role in PAIR for role in box.wires) else ""
