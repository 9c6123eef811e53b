"""The list of every computed column: where it stands, what it is, and its formula, for whoever checks the workbook."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.engine.tables import Field, Table
from takeoff.workbook.layout import Here, Spot, heading


def column_list(spots: Sequence[Spot]) -> Table:
    """Return a table with one row for each computed column of the tables given."""
    columns = [(spot, c) for spot in spots for c in spot.table.columns]
    formulas = [
        c.expr.text(Here(spot, c)).replace("{r}", str(spot.first_row)).replace("{q}", str(spot.header_row))
        for spot, c in columns
    ]
    return Table(
        "columns",
        "Columns",
        [
            Field("sheet", "sheet", role="key", width=16),
            Field("table", "table", role="key", width=36),
            Field("heading", "column", role="key", width=44),
            Field("letter", "letter", width=8),
            Field("note", "what it is, and the rule it follows", width=70),
            Field("formula", "formula of its first row", width=80),
        ],
        [],
        {
            "sheet": [spot.sheet for spot, _ in columns],
            "table": [spot.table.title for spot, _ in columns],
            "heading": [heading(c) for _, c in columns],
            "letter": [spot.letter(c.name) for spot, c in columns],
            "note": [c.note for _, c in columns],
            "formula": formulas,
        },
    )
