"""Circuits that no construction of a plan may serve: they stop a build."""

from __future__ import annotations

from takeoff.engine.tables import Book
from takeoff.model.frame import Frame
from takeoff.text.problems import Problems

ACCEPTED = "another size or space, a plan with another construction, or a construction for the circuit"
"""What helps where no construction of a plan may serve a circuit."""


def stop_on_unserved(book: Book, frame: Frame) -> None:
    """Stop where no construction of a plan may serve a circuit.

    Raises
    ------
    InputError
        Every circuit, or stretch of one, that no construction of a plan may serve, with the checks against each.
    """
    problems = Problems(frame.job.schedule.file)
    rows = {key: stretch.circuit.row for key, stretch in frame.stretches.items()}
    reasons: dict[str, list[str]] = {}
    places = (book.values("plan_places", name) for name in ("plan_key", "option_row"))
    for key, option in zip(*places, strict=True):
        reasons.setdefault(key, []).append(str(book.values("options", "why")[int(option) - 1]))
    plans = book.values("plan", "key")
    columns = ("plan_row", "circuit_key", "circuit", "plan", "unserved")
    for row, key, circuit, plan, unserved in zip(*(book.values("wiring", c) for c in columns), strict=True):
        if unserved:
            why = "; ".join(reasons[plans[int(row) - 1]])
            problems.error(
                rows[key], "circuit", circuit, f"no construction of the plan {plan} may serve it, {why}:", ACCEPTED
            )
    problems.stop_on_errors()
