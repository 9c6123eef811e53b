"""What openpyxl adds around the rows: widths, frozen headings, tables, validation, print set-up, protection."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from openpyxl.formatting.rule import Rule
from openpyxl.utils import get_column_letter
from openpyxl.workbook.properties import CalcProperties
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.table import Table as ExcelTable
from openpyxl.worksheet.table import TableColumn, TableStyleInfo
from openpyxl.worksheet.worksheet import Worksheet

from takeoff.engine.tables import Book, Field
from takeoff.workbook.file.styles import FAILS, LOOK
from takeoff.workbook.layout import WORDS_OF_A_LINE, Spot, heading, width_of

LONGEST_TEXT = 1000
"""Characters of a text that is typed into an input cell."""

LARGEST_SIGNED = 1_000_000_000
"""Largest amount, either way, of an input cell that takes a sign."""

ESCAPE = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")
"""An underscore that the file format would read as the begin of an escape."""

CALC = CalcProperties(calcId=191029, fullCalcOnLoad=False)


def protect(sheet: Worksheet) -> None:
    """Guard formulas against a slip of the hand: no password, inputs open, filters and widths usable."""
    protection = sheet.protection
    protection.sheet = True
    protection.autoFilter = protection.sort = protection.formatColumns = protection.formatRows = False


def widths(sheet: Worksheet, spots: Sequence[Spot], book: Book, fixed: Mapping[int, float]) -> dict[int, float]:
    """Give each column of a sheet the largest width that its tables ask for, or a fixed one."""
    wanted: dict[int, float] = {}
    for spot in spots:
        for place, column in enumerate(spot.shown, start=spot.first_column):
            values = (
                spot.table.data[column.name] if isinstance(column, Field) else book.values(spot.table.name, column.name)
            )
            wanted[place] = max(wanted.get(place, 0), width_of(column, values))
    wanted.update(fixed)
    for place, width in wanted.items():
        sheet.column_dimensions[get_column_letter(place)].width = round(width, 1)
    return wanted


def header_height(spot: Spot, wide: Mapping[int, float]) -> float:
    """Return the height in points that shows every heading whole."""
    lines = 1
    for place, column in enumerate(spot.shown, start=spot.first_column):
        line, count = 0.0, 1
        for word in WORDS_OF_A_LINE.split(heading(column)):
            size = len(word) + (not word.endswith("-"))
            if line and line + size > wide[place] * 1.12:
                line, count = 0.0, count + 1
            line += size
        lines = max(lines, count)
    return 11.5 * lines + 5


def add_table(sheet: Worksheet, spot: Spot) -> None:
    """Make the range a table with a filter on every heading."""
    first, last = get_column_letter(spot.first_column), get_column_letter(spot.first_column + len(spot.shown) - 1)
    table = ExcelTable(displayName=f"table_{spot.table.name}", ref=f"{first}{spot.header_row}:{last}{spot.last_row}")
    table.tableStyleInfo = TableStyleInfo(name="TableStyleLight1", showRowStripes=False)
    table._initialise_columns()
    titles = [heading(c) for c in spot.shown]
    if len({t.casefold() for t in titles}) < len(titles):
        raise ValueError(f"two columns of {spot.table.name} have one heading: {sorted(titles)}")
    table.tableColumns = [TableColumn(id=n, name=ESCAPE.sub("_x005F_", t)) for n, t in enumerate(titles, start=1)]
    sheet.add_table(table)


def freeze(sheet: Worksheet, spots: Sequence[Spot]) -> None:
    """Keep the headings and the keys of a sheet with one table in sight, the title of one with more."""
    together = [s for s in spots if not s.beside]
    if len(together) == 1:
        keys = sum(isinstance(c, Field) and c.role == "key" for c in together[0].shown)
        sheet.freeze_panes = f"{get_column_letter(keys + 1)}{together[0].first_row}"
    else:
        sheet.freeze_panes = "A5"


def validate(sheet: Worksheet, spot: Spot, spots: Mapping[str, Spot]) -> None:
    """Say what an input accepts, where it is typed; `spots` are all tables by name."""
    for column in spot.shown:
        if isinstance(column, Field) and column.role == "input":
            for cells, rule in _rules(spot, column, spots):
                rule.errorTitle, rule.showErrorMessage, rule.allow_blank = heading(column)[:31], True, False
                rule.add(cells)
                sheet.add_data_validation(rule)


def _rules(spot: Spot, column: Field, spots: Mapping[str, Spot]) -> Iterator[tuple[str, DataValidation]]:
    """Yield the cells of an input column with the rule for them."""
    letter = spot.letter(column.name)
    cells = f"{letter}{spot.first_row}:{letter}{spot.last_row}"
    if column.listed:
        names = list(spots[column.listed].table.data["name"])
        for row, key in enumerate(spot.table.data[spot.table.key], start=spot.first_row):
            first = spots[column.listed].first_row + names.index(key)
            choice = spots[column.listed].letter("choice")
            listed = f"${choice}${first}:${choice}${first + names.count(key) - 1}"
            yield f"{letter}{row}", DataValidation(type="list", formula1=listed, error="Choose one of the list.")
    elif column.limits:
        low, high = (f"${spot.letter(name)}{spot.first_row}" for name in column.limits)
        error = "A number between the limits to the right."
        yield cells, DataValidation(type="decimal", operator="between", formula1=low, formula2=high, error=error)
    elif column.choices:
        listed = f'"{column.choices}"'
        if "." in column.choices:
            table, _, name = column.choices.partition(".")
            listed = spots[table].reference(name, spot.sheet)
        yield cells, DataValidation(type="list", formula1=listed, error="Choose one of the list.")
    elif column.unit == "date":
        error = "A date; 0 where it is not given."
        yield cells, DataValidation(type="date", operator="greaterThanOrEqual", formula1="0", error=error)
    elif column.signed:
        error = "A number, with a minus where it takes off."
        low, high = str(-LARGEST_SIGNED), str(LARGEST_SIGNED)
        yield cells, DataValidation(type="decimal", operator="between", formula1=low, formula2=high, error=error)
    elif all(not isinstance(v, str) for v in spot.table.data[column.name]):
        error = "A number that is not negative."
        yield cells, DataValidation(type="decimal", operator="greaterThanOrEqual", formula1="0", error=error)
    else:
        error = f"A text of at most {LONGEST_TEXT} characters."
        longest = str(LONGEST_TEXT)
        yield cells, DataValidation(type="textLength", operator="lessThanOrEqual", formula1=longest, error=error)


WORDS = {
    **dict.fromkeys(("fails", "NOT COMPLETE", "OUT OF RANGE", "NOT ACCEPTED"), FAILS),
    **dict.fromkeys(("MISSING", "NOT COUNTED", "STALE: build again"), FAILS),
    **dict.fromkeys(("look", "EXPIRED", "EXPIRED QUOTE", "PROBABLE SLIP"), LOOK),
}
"""Words of outcomes that stand out."""


def mark_outcomes(sheet: Worksheet, spot: Spot) -> None:
    """Let the words of an outcome stand out where they occur."""
    for column in spot.shown:
        if column.name.endswith("_check") or column.name in ("state", "flag", "doubt"):
            letter = spot.letter(column.name)
            cells = f"{letter}{spot.first_row}:{letter}{spot.last_row}"
            for word, look in WORDS.items():
                test = f'{letter}{spot.first_row}="{word}"'
                sheet.conditional_formatting.add(cells, Rule(type="expression", dxf=look, formula=[test]))
