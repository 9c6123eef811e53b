"""Circuits that no construction of a plan may serve: they stop a build."""

from __future__ import annotations

from takeoff.engine.tables import Book
from takeoff.text.problems import Problems
from takeoff.wiring.tree import Job

ACCEPTED = "another size or space, a plan with another construction, or a construction for the circuit"
"""What helps where no construction of a plan may serve a circuit."""


def stop_on_unserved(book: Book, job: Job) -> None:
    """Stop where no construction of a plan may serve a circuit.

    Raises
    ------
    InputError
        Every circuit that no construction of a plan may serve, with the checks that stand against each.
    """
    problems = Problems(job.schedule.file)
    rows = {c.name: c.row for c in job.circuits}
    reasons: dict[str, list[str]] = {}
    places = (book.values("plan_places", name) for name in ("plan_key", "option_row"))
    for key, option in zip(*places, strict=True):
        reasons.setdefault(key, []).append(str(book.values("options", "why")[int(option) - 1]))
    plans = book.values("plan", "key")
    columns = ("plan_row", "circuit", "plan", "unserved")
    for row, circuit, plan, unserved in zip(*(book.values("wiring", c) for c in columns), strict=True):
        if unserved:
            why = "; ".join(reasons[plans[int(row) - 1]])
            problems.error(
                rows[circuit], "circuit", circuit, f"no construction of the plan {plan} may serve it, {why}:", ACCEPTED
            )
    problems.stop_on_errors()
