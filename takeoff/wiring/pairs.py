"""Where a control pair may begin."""

from __future__ import annotations

from takeoff.job.records import BoxRow
from takeoff.text.problems import Problems
from takeoff.wiring.kinds import Run


def check_home_run(box: BoxRow, run: Run, problems: Problems) -> None:
    """A control pair begins at the box that dims or senses: its end in a panel is counted nowhere."""
    if run.control_awg:
        message = "stands in a home run, and no panel ends a control pair:"
        problems.error(box.row, "wires", " ".join(run.every), message, "D1 D2 from box to box only")
