"""Which rules are for a circuit at all, whatever it is wired in: of the others nothing is said to be met."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from takeoff.engine.expr import Array
from takeoff.engine.tables import Book
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
    figures = dict(zip(book.tables["code"].data["key"], book.values("code", "value").tolist(), strict=True))

    def true(table: str, name: str) -> Array:
        return np.array([bool(value) for value in book.tables[table].data[name]])

    pairs = "control_asked" in book.tables["options"].data
    asked = {
        **dict.fromkeys((*CIRCUIT_CHECKS, "fault_path"), first),
        "switch_neutral": true("alikes", "bare_switches")[kinds] | (first & true("circuits", "switches")[circuits]),
        "multiwire": first & true("circuits", "multiwire")[circuits],
        "isolated": first & true("circuits", "isolated")[circuits],
        "receptacle": first & true("circuits", "receptacles")[circuits],
        "control": true("options", "control_asked")[kinds * len(book.tables["in_use"])] if pairs else none,
        "knockout": (book.values("voltages", "to_ground_v") > figures["knockout_v"])[kinds],
    }
    return {check: asked.get(check, every) for check in checks}
