"""What openpyxl adds around the rows: widths, frozen headings, tables, validation, print set-up, protection."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from openpyxl.formatting.rule import Rule
from openpyxl.utils import get_column_letter
from openpyxl.workbook.properties import CalcProperties
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.page import PageMargins
from openpyxl.worksheet.table import Table as ExcelTable
from openpyxl.worksheet.table import TableColumn, TableStyleInfo
from openpyxl.worksheet.worksheet import Worksheet

from takeoff.engine.tables import Book, Field
from takeoff.workbook.file.styles import FAILS, LOOK, TABS
from takeoff.workbook.layout import Spot, heading, width_of

CAUTION = "Counts and estimates only. The adopted code, the authority having jurisdiction and licensed practice decide."
LONGEST_TEXT = 1000
"""Characters of a text that is typed into an input cell."""

LARGEST_SIGNED = 1_000_000_000
"""Largest amount, either way, of an input cell that takes a sign."""

ESCAPE = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")
"""An underscore that the file format would read as the begin of an escape."""

CALC = CalcProperties(calcId=191029, fullCalcOnLoad=False)


NARROW = 160.0
"""Widths of all columns together that a small sheet of paper shows in readable size; wider ones take a large sheet."""


def print_setup(sheet: Worksheet, kind: str, one_page: bool = False, upright: bool = False) -> None:
    """Landscape or upright, one page wide, with file, sheet, page, date and caution on every page.

    The columns must have their widths: they decide on the size of the paper.
    """
    width = sum(d.width for d in sheet.column_dimensions.values())
    sheet.sheet_properties.tabColor = TABS[kind]
    sheet.page_setup.orientation = "portrait" if upright else "landscape"
    sheet.page_setup.paperSize = sheet.PAPERSIZE_LETTER if width <= NARROW else sheet.PAPERSIZE_TABLOID
    sheet.page_setup.fitToWidth = 1
    sheet.page_setup.fitToHeight = 1 if one_page else 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.page_margins = PageMargins(left=0.4, right=0.4, top=0.7, bottom=0.7, header=0.3, footer=0.3)
    sheet.oddHeader.left.text, sheet.oddHeader.center.text, sheet.oddHeader.right.text = "&F", "&A", "&D"
    sheet.oddFooter.left.text, sheet.oddFooter.right.text = CAUTION, "Page &P of &N"
    sheet.oddFooter.left.size = 7
    sheet.sheet_view.showGridLines = False
    sheet.sheet_view.zoomScale = 90


def protect(sheet: Worksheet) -> None:
    """Guard formulas against a slip of the hand: no password, inputs open, filters and widths usable."""
    protection = sheet.protection
    protection.sheet = True
    protection.autoFilter = protection.sort = protection.formatColumns = protection.formatRows = False


def widths(sheet: Worksheet, spots: Sequence[Spot], book: Book, fixed: Mapping[int, float]) -> dict[int, float]:
    """Give each column of a sheet the largest width that its tables ask for, or a fixed one."""
    wanted: dict[int, float] = {}
    for spot in spots:
        for place, column in enumerate(spot.table, start=spot.first_column):
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
    for place, column in enumerate(spot.table, start=spot.first_column):
        line, count = 0.0, 1
        for word in heading(column).split():
            size = len(word) + 1
            if line and line + size > wide[place] * 1.2:
                line, count = 0.0, count + 1
            line += size
        lines = max(lines, count)
    return 11.5 * lines + 5


def add_table(sheet: Worksheet, spot: Spot) -> None:
    """Make the range a table with a filter on every heading."""
    first, last = get_column_letter(spot.first_column), get_column_letter(spot.first_column + len(list(spot.table)) - 1)
    table = ExcelTable(displayName=f"table_{spot.table.name}", ref=f"{first}{spot.header_row}:{last}{spot.last_row}")
    table.tableStyleInfo = TableStyleInfo(name="TableStyleLight1", showRowStripes=False)
    table._initialise_columns()
    titles = [heading(c) for c in spot.table]
    if len({t.casefold() for t in titles}) < len(titles):
        raise ValueError(f"two columns of {spot.table.name} have one heading: {sorted(titles)}")
    table.tableColumns = [TableColumn(id=n, name=ESCAPE.sub("_x005F_", t)) for n, t in enumerate(titles, start=1)]
    sheet.add_table(table)


def freeze(sheet: Worksheet, spots: Sequence[Spot]) -> None:
    """Keep the headings and the keys of a single table in sight; repeat its headings on every page."""
    if len(spots) == 1:
        keys = sum(isinstance(c, Field) and c.role == "key" for c in spots[0].table)
        sheet.freeze_panes = f"{get_column_letter(keys + 1)}{spots[0].first_row}"
        sheet.print_title_rows = f"{spots[0].header_row}:{spots[0].header_row}"
    else:
        sheet.freeze_panes = "A4"
        sheet.print_title_rows = "1:3"


def validate(sheet: Worksheet, spot: Spot, spots: Mapping[str, Spot]) -> None:
    """Say what an input accepts, where it is typed; `spots` are all tables by name."""
    for column in spot.table.fields:
        if column.role == "input":
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
        listed = column.choices if "." in column.choices else f'"{column.choices}"'
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
    for column in spot.table.columns:
        if column.name.endswith("_check") or column.name in ("state", "flag", "doubt"):
            letter = spot.letter(column.name)
            cells = f"{letter}{spot.first_row}:{letter}{spot.last_row}"
            for word, look in WORDS.items():
                test = f'{letter}{spot.first_row}="{word}"'
                sheet.conditional_formatting.add(cells, Rule(type="expression", dxf=look, formula=[test]))
