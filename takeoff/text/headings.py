"""Read the headings of a user's table: known ones by name, others kept, wrong ones reported."""

from __future__ import annotations

from collections.abc import Mapping

from takeoff.text.problems import Problems
from takeoff.text.read import RawTable
from takeoff.text.words import plain as plain

LONGEST_HEADING = 100
"""Characters of a heading: a table of the workbook takes 255, with words of ours added."""


def read_header(
    table: RawTable, known: Mapping[str, str], problems: Problems
) -> tuple[dict[str, int], list[tuple[str, int]]]:
    """Return the place of each known column, and the other columns with their places.

    Parameters
    ----------
    table
        The table as text.
    known
        Names of the columns, by their plain heading.
    problems
        Takes headings that are missing over entries, stand twice, or cannot be shown.
    """
    places: dict[str, int] = {}
    extra: list[tuple[str, int]] = []
    seen: set[str] = set()
    row = table.header_row
    for place, header in enumerate(table.header):
        title = " ".join(header.split())
        name = known.get(plain(header), title)
        if not title:
            if any(len(cells) > place and cells[place].strip() for _, cells in table.rows):
                problems.error(row, f"column {place + 1}", "", "has entries but no heading", "give it a name")
        elif name.casefold() in seen:
            problems.error(row, name, header, "stands twice in the header:", "one column of each name")
        elif not title.isprintable() or len(title) > LONGEST_HEADING:
            problems.error(
                row, f"column {place + 1}", header, "is no heading:", f"at most {LONGEST_HEADING} characters that print"
            )
        elif plain(header) in known:
            places[name] = place
        else:
            extra.append((title, place))
        seen.add(name.casefold())
    return places, extra
