"""What openpyxl adds around the rows: widths, frozen headings, tables, validation, print set-up, protection."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from openpyxl.formatting.rule import Rule
from openpyxl.utils import get_column_letter
from openpyxl.workbook.properties import CalcProperties
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.filters import AutoFilter
from openpyxl.worksheet.table import Table as ExcelTable
from openpyxl.worksheet.table import TableColumn, TableStyleInfo
from openpyxl.worksheet.worksheet import Worksheet

from takeoff.engine.guards import CHOICE, NUMBER, TEXT, kind_of, limits_of, one_test_of
from takeoff.engine.tables import Book, Field
from takeoff.model.cost.guards import Guard
from takeoff.workbook.file.rows import SheetRows
from takeoff.workbook.file.styles import FAILS, LOOK
from takeoff.workbook.layout import Spot, heading, width_of
from takeoff.workbook.measure import HEADER, lines_of
from takeoff.workbook.references import References

VALIDATED = {NUMBER: "decimal", TEXT: "textLength"}
"""Kinds of what is accepted, as the file format names them."""

ESCAPE = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")
"""An underscore that the file format would read as the begin of an escape."""

GAP_POINTS = 6.0
"""Points of a row that only parts what stands above it from what stands below."""

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
    placed = enumerate(spot.shown, start=spot.first_column)
    lines = max(lines_of(heading(column), wide[place], HEADER, bold=True) for place, column in placed)
    return 10.5 * lines + 6


def close_up(rows: SheetRows, spots: Sequence[Spot]) -> None:
    """Make the rows low that stand above the headings of tables and hold nothing."""
    for row in {spot.header_row - above for spot in spots for above in (1, 2, 3)}:
        if row not in rows.cells:
            rows.heights.setdefault(row, GAP_POINTS)


def add_table(sheet: Worksheet, spot: Spot) -> None:
    """Make the range a table with a filter on every heading."""
    first, last = get_column_letter(spot.first_column), get_column_letter(spot.first_column + len(spot.shown) - 1)
    table = ExcelTable(displayName=f"table_{spot.table.name}", ref=f"{first}{spot.header_row}:{last}{spot.last_row}")
    table.tableStyleInfo = TableStyleInfo(name="TableStyleLight1", showRowStripes=False)
    table.autoFilter = AutoFilter(ref=table.ref)
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
    else:
        kind = kind_of(spot.table, column)
        low, high = (f"{limit:.15g}" for limit in limits_of(kind, column))
        said = "A text of a length" if kind == TEXT else "A whole number" if column.whole else "A number"
        error = f"{said} from {low} to {high}."
        form = "whole" if column.whole else VALIDATED[kind]
        if column.unit == "date":
            form, error = "date", "A date; 0 where it is not given."
        yield cells, DataValidation(type=form, operator="between", formula1=low, formula2=high, error=error)


def mark_not_accepted(sheet: Worksheet, guards: Sequence[Guard], refs: References) -> None:
    """Let input cells that are not accepted stand out where they are typed, by the test of their guard."""
    for guard in (g for g in guards if refs.spots[g.cells.table].sheet == sheet.title):
        spot = refs.spots[guard.cells.table]
        first = spot.first_row + guard.cells.first - 1
        letter = spot.letter(guard.cells.column)
        if guard.kind == CHOICE:
            low, high = refs.range_of(guard.limits[0], spot.sheet), ""
        elif guard.limits:
            low, high = (f"${spot.letter(cells.column)}{first}" for cells in guard.limits)
        else:
            low, high = (f"{limit:.15g}" for limit in (guard.low, guard.high))
        test = one_test_of(guard.kind, f"{letter}{first}", low, high, guard.blank, guard.whole)
        cells = f"{letter}{first}:{letter}{spot.first_row + guard.cells.last - 1}"
        sheet.conditional_formatting.add(cells, Rule(type="expression", dxf=FAILS, formula=[test]))


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
