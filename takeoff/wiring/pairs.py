"""Control pairs that come with a run: what a row says of them, and what is wrong with it."""

from __future__ import annotations

from takeoff.catalog.rows import Catalogs
from takeoff.job.records import BoxRow
from takeoff.text.problems import Problems
from takeoff.wiring.kinds import PAIR, Run

USUAL_PAIR = "16"
"""Size of a control pair that the schedule does not say, AWG: common practice, no source."""


def size_of_pair(box: BoxRow, catalogs: Catalogs, problems: Problems) -> str:
    """Return the size of the control pair that comes with the run of a box; nothing where none does."""
    named = [role for role in box.wires if role in PAIR]
    if not named:
        for column, said in (("control_awg", box.control_awg), ("control_ft", "apart" if box.control_apart else "")):
            if said:
                problems.error(box.row, column, said, "stands without a control pair:", "D1 D2 in wires, or blank")
        return ""
    if len(named) < len(PAIR):
        problems.error(box.row, "wires", " ".join(box.wires), "names one conductor of a control pair:", "D1 and D2")
    known = catalogs["control_cables"].keys
    awg = box.control_awg or USUAL_PAIR
    if awg not in known:
        problems.error(box.row, "control_awg", awg, "is no size of a control pair:", "accepted: " + ", ".join(known))
    return awg


def check_home_run(box: BoxRow, run: Run, problems: Problems) -> None:
    """A control pair begins at the box that dims or senses: its end in a panel is counted nowhere."""
    if run.control_awg:
        message = "stands in a home run, and no panel ends a control pair:"
        problems.error(box.row, "wires", " ".join(run.every), message, "D1 D2 from box to box only")
