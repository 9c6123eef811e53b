"""What a run brings into a box in each construction, as the table of runs finds it."""

from __future__ import annotations

from takeoff.engine.tables import Book
from takeoff.job.inputs import Inputs
from takeoff.model.boxes.runs import runs_table
from takeoff.model.frame import Frame
from takeoff.model.givens.catalogs import catalog_tables
from takeoff.model.givens.constructions import in_use_table
from takeoff.wiring.seams import End


def ends_of(frame: Frame, given: Inputs) -> dict[tuple[str, str], End]:
    """Return what a run of each kind brings into a box in each construction, by the table of runs."""
    tables = [*catalog_tables(frame), in_use_table(frame), runs_table(frame)]
    names = ("kind", "construction", "wire_egc", "egc_awg", "spare")
    book = Book(tables, given)
    rows = zip(*(book.values("runs", name) for name in names), strict=True)
    return {(str(kind), str(m)): End(int(egcs), str(awg), int(spares)) for kind, m, egcs, awg, spares in rows}
