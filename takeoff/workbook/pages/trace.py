"""The sheet Trace: what its figures are of in a sentence, and links from its terms to the rows they come from."""

from __future__ import annotations

from collections.abc import Mapping

from takeoff.workbook.layout import Spot
from takeoff.workbook.pages.page import Page

FETCHED = (("trace_labor", "minutes", "operation"), ("trace_material", "usd_each", ""))
"""Terms that are entries of other tables: table, column, and the key that leads to the same row."""


def fill_trace(page: Page, spots: Mapping[str, Spot]) -> None:
    """Write the sentence below the choice, and the links."""
    choice, says = spots["trace_choice"], page.live("trace_keys", "says")
    page.put(choice.last_row + 1, choice.first_column, says.value, "said", formula=says.formula)
    for table, column, key in FETCHED:
        spot = spots[table]
        for line in range(len(spot.table)):
            target = page.refs.explained(table, column, line)
            for name in filter(None, (column, key)):
                page.rows.links.append((f"{spot.letter(name)}{spot.first_row + line}", target))
