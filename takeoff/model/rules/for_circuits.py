"""Which rules are for a circuit at all, whatever it is wired in: of the others nothing is said to be met."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from takeoff.engine.expr import Array
from takeoff.engine.tables import Book
from takeoff.model.givens.constructions import NOT_FOR_IT
from takeoff.model.rules.options import CIRCUIT_CHECKS


def rules_for(book: Book, checks: Iterable[str]) -> dict[str, Array]:
    """Return for each check whether its rule is for each line of the table inspected, whatever that is wired in.

    What holds for a circuit as a whole is told with its first line.
    """
    data = book.tables["inspected"].data
    circuits, kinds = (np.array(data[name], dtype=int) - 1 for name in ("circuit_row", "alike_row"))
    none, every = np.zeros(len(circuits), dtype=bool), np.ones(len(circuits), dtype=bool)
    first = none.copy()
    first[np.unique(circuits, return_index=True)[1]] = True
    options = kinds * len(book.tables["in_use"])

    def applies(table: str, check: str, rows: Array) -> Array:
        return np.asarray(book.values(table, f"{check}_check")[rows] != NOT_FOR_IT)

    def true(table: str, name: str) -> Array:
        return np.array([bool(value) for value in book.tables[table].data[name]])

    pairs = "control_asked" in book.tables["options"].data
    asked = {
        "fault_path": first,
        **{check: first & applies("circuit_tests", check, circuits) for check in CIRCUIT_CHECKS},
        "switch_neutral": true("alikes", "bare_switches")[kinds] | (first & true("circuits", "switches")[circuits]),
        "control": true("options", "control_asked")[options] if pairs else none,
        "knockout": applies("options", "knockout", options),
    }
    return {check: asked.get(check, every) for check in checks}
