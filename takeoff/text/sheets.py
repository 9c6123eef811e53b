"""Which sheets of a workbook are the table: alike ones are read as one, and what is not read is said.

The first visible sheet with entries gives the headings. A sheet that has at least three of them is read with it,
column by column by heading; one that has none is left out and named; one between the two is asked about.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from takeoff.text.places import SheetRow
from takeoff.text.problems import Problem, fail
from takeoff.text.words import plain
from takeoff.text.workbook_sheet import Sheet

ALIKE = 3
"""Headings in common, or all where there are fewer, that make two sheets one table."""

ROOMS = ("rooms", "roomtypes")
"""Titles, in plain letters, of a sheet of room types beside the table; one of its headings begins with `room`."""

SHOWN = 12
"""Rows named one by one."""

Rows = list[tuple[int, list[str]]]


def rooms_apart(sheets: Sequence[Sheet]) -> tuple[list[Sheet], list[Sheet]]:
    """Return the sheets of the table, and apart from them the sheet of room types where there is one behind them."""
    shown = [sheet for sheet in sheets if sheet.rows and not sheet.hidden]
    rooms = [
        sheet
        for sheet in shown[1:]
        if plain(sheet.title) in ROOMS and any(title.startswith("room") for title in _headings(sheet))
    ]
    return [sheet for sheet in sheets if sheet not in rooms[:1]], rooms[:1]


def one_table(name: str, sheets: Sequence[Sheet]) -> tuple[Rows, list[Problem], list[str]]:
    """Return the rows of the table, headings first, problems and notices, and what was read of each sheet.

    Parameters
    ----------
    name
        Of the file, for messages.
    sheets
        Every sheet, hidden ones too.

    Raises
    ------
    InputError
        Only hidden sheets have entries, or a sheet has some headings of the table and not enough of them.
    """
    filled = [sheet for sheet in sheets if sheet.rows]
    shown = [sheet for sheet in filled if not sheet.hidden]
    if filled and not shown:
        titles = ", ".join(sheet.title for sheet in filled)
        raise fail(name, f"has entries on hidden sheets only: {titles}", "show the sheet that is to be read")
    if not shown:
        return [], [], []
    wanted = _headings(shown[0])
    common = {sheet.title: len({*wanted} & {*_headings(sheet)}) for sheet in shown}
    enough = min(ALIKE, len(wanted))
    unclear = [sheet.title for sheet in shown if 0 < common[sheet.title] < enough]
    if unclear:
        said = f"has some headings of the sheet {shown[0].title} on other sheets: {', '.join(unclear)}"
        raise fail(name, said, "give them the same headings, or hide the sheets that are not to be read")
    table = [sheet for sheet in shown if common[sheet.title] >= enough]
    left_out = [sheet for sheet in filled if sheet not in table]
    rows, columns = _joined(table)
    problems = [p for sheet, places in zip(table, columns, strict=True) for p in _odd(name, sheet, places, table, rows)]
    problems += [_notice(name, "", said) for said in map(_left_out, left_out)]
    for sheet in table:
        title = f"sheet {sheet.title}" if len(sheets) > 1 else ""
        problems += [_notice(name, title, said) for said in _worth_knowing(sheet)]
    return rows, problems, [*map(_receipt, table), *map(_left_out, left_out)]


def _headings(sheet: Sheet) -> list[str]:
    """Return the headings of a sheet as they are compared."""
    return [plain(text) for text in sheet.rows[0][1] if text.strip()]


def _joined(table: Sequence[Sheet]) -> tuple[Rows, list[list[int]]]:
    """Return the rows of sheets under the headings of all, and where each column of a sheet stands there."""
    if len(table) == 1:
        width = max(len(cells) for _, cells in table[0].rows)
        return table[0].rows, [list(range(width))]
    header: list[str] = []
    places: dict[tuple[str, int], int] = {}
    columns: list[list[int]] = []
    for sheet in table:
        seen: Counter[str] = Counter()
        mine = []
        for title in sheet.rows[0][1]:
            word = plain(title)
            place = places.setdefault((word, seen[word]), len(header))
            if place == len(header):
                header.append(title)
            seen[word] += 1
            mine.append(place)
        columns.append(mine)
    rows: Rows = [(SheetRow(table[0].rows[0][0], table[0].title, 0), header)]
    for number, (sheet, mine) in enumerate(zip(table, columns, strict=True)):
        widest = max(len(cells) for _, cells in sheet.rows)
        mine += range(len(header), len(header) + widest - len(mine))
        for row, cells in sheet.rows[1:]:
            line = [""] * max(len(header), *(mine[n] + 1 for n in range(len(cells))))
            for n, text in enumerate(cells):
                line[mine[n]] = text
            rows.append((SheetRow(row, sheet.title, number), line))
    return rows, columns


def _odd(name: str, sheet: Sheet, places: Sequence[int], table: Sequence[Sheet], rows: Rows) -> list[Problem]:
    header = dict(enumerate(text.strip() for text in rows[0][1]))
    found = []
    for odd in sheet.odd:
        row = odd.row if len(table) == 1 else SheetRow(odd.row, sheet.title, table.index(sheet))
        title = header.get(places[odd.place]) or f"column {odd.place + 1}"
        found.append(Problem(name, row, title, odd.value, odd.said, odd.accepted))
    return found


def _left_out(sheet: Sheet) -> str:
    why = "is hidden" if sheet.hidden else "has other headings"
    return f"sheet {sheet.title} {why} and is not read: {len(sheet.rows)} rows with entries"


def _worth_knowing(sheet: Sheet) -> list[str]:
    """Return what a user may not see on the sheet that was read."""
    filled = {number for number, _ in sheet.rows}
    entries = [row for row in sheet.hidden_rows if row in filled]
    said = [f"hidden rows are read like the others: {_listed(entries)}"] if entries else []
    columns = sorted({n + 1 for n in sheet.hidden_columns if any(len(c) > n and c[n].strip() for _, c in sheet.rows)})
    return said + ([f"hidden columns are read like the others: {_listed(columns)}"] if columns else [])


def _listed(numbers: Sequence[int]) -> str:
    more = f" and {len(numbers) - SHOWN} more" if len(numbers) > SHOWN else ""
    return ", ".join(map(str, numbers[:SHOWN])) + more


def _notice(name: str, place: str, said: str) -> Problem:
    return Problem(name, None, place, "", said, "", "notice")


def _receipt(sheet: Sheet) -> str:
    """Return what was read of a sheet."""
    counts = (
        (sheet.blank_rows, "blank rows"),
        (sheet.truths, "TRUE or FALSE as texts"),
        (sheet.dates, "dates as texts"),
        (sheet.formulas, "formulas by their saved value"),
    )
    more = "".join(f", {count} {said}" for count, said in counts if count)
    return f"sheet {sheet.title}: {len(sheet.rows)} rows with entries, the headings one of them{more}"
