"""A schedule to fill in: headings with notes, lists to pick from, an example in the first rows. It reads back as is."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping, Sequence
from pathlib import Path

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.page import PageMargins
from openpyxl.worksheet.worksheet import Worksheet

from takeoff.catalog.rows import Catalogs, Row
from takeoff.workbook.file.package import save
from takeoff.workbook.file.rows import Cell, SheetRows
from takeoff.workbook.file.styles import Styles

SCHEDULE, NOTES, LISTS = "Schedule", "How to fill it in", "Lists"
LINES = 300
"""Rows of the form; those below it are read as well."""

LAST_ROW = 5000
"""Row down to which the lists are offered."""

ANY = "any"
"""Stands behind the choices of a column that takes other entries too."""

FORM = "schedule.xlsx"


def write_form(path: Path, catalogs: Catalogs, example: Path) -> None:
    """Write the form.

    Parameters
    ----------
    path
        File to write, staged by whoever moves it into place.
    catalogs
        `form_columns` says which columns stand on the form; the lists are those of the other catalogs.
    example
        A schedule whose rows fill the first lines.
    """
    file = Workbook()
    styles = Styles(file)
    columns, lists = list(catalogs["form_columns"]), _lists(catalogs)
    rows = {
        SCHEDULE: _schedule(file.worksheets[0], styles, columns, example),
        NOTES: _notes(file.create_sheet(NOTES), styles, columns),
        LISTS: _listed(file.create_sheet(LISTS), styles, lists),
    }
    _offer(file.worksheets[0], columns, lists)
    save(file, path, rows.__getitem__)


def _title(column: Row) -> str:
    return str(column["column"]).replace("_", " ")


def _schedule(sheet: Worksheet, styles: Styles, columns: Sequence[Row], example: Path) -> SheetRows:
    rows = SheetRows()
    sheet.title = SCHEDULE
    rows.heights[1] = 30
    lines = list(csv.DictReader(example.read_text(encoding="utf-8").splitlines()))
    for place, column in enumerate(columns, start=1):
        sheet.column_dimensions[get_column_letter(place)].width = float(str(column["width"]))
        rows.put(1, place, Cell(_title(column), styles.index("header input", align="wrapped")))
        text = styles.index("input", "@", "left")  # a circuit such as 1-3 is no date
        plain = styles.index("input", align="left")
        style = text if column["column"] in ("circuit", "box", "fed_from", "breaker_a", "area") else plain
        for number in range(LINES):
            entry = lines[number][str(column["column"])] if number < len(lines) else ""
            rows.put(number + 2, place, Cell(_entry(entry), style))
    sheet.freeze_panes = "C2"
    sheet.print_title_rows = "1:1"
    _print(sheet)
    return rows


def _print(sheet: Worksheet) -> None:
    """Landscape, one page wide."""
    sheet.page_setup.orientation = "landscape"
    sheet.page_margins = PageMargins(left=0.3, right=0.3, top=0.5, bottom=0.5)
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True


def _entry(text: str) -> str | float | None:
    return (float(text) if re.fullmatch(r"\d+(\.\d+)?", text) else text) or None


def _notes(sheet: Worksheet, styles: Styles, columns: Sequence[Row]) -> SheetRows:
    rows = SheetRows()
    _print(sheet)
    for letter, width in zip("ABC", (16, 70, 50), strict=True):
        sheet.column_dimensions[letter].width = width
    rows.put(1, 1, Cell(NOTES, styles.index("title")))
    rows.heights[1] = 26
    said = "One row for each box, or for several alike, in wiring order. The first rows are an example: overwrite them."
    rows.put(2, 1, Cell(said, styles.index("text")))
    for place, head in enumerate(("column", "what stands in it", "where it is blank"), start=1):
        rows.put(4, place, Cell(head, styles.index("header", align="wrapped")))
    for number, column in enumerate(columns, start=5):
        texts = _title(column), str(column["note"]), str(column["when_blank"])
        for place, text in enumerate(texts, start=1):
            rows.put(number, place, Cell(text, styles.index("key" if place == 1 else "wrapped")))
        rows.heights[number] = 13.0 * max(1, -(-len(texts[1]) // 72), -(-len(texts[2]) // 52))
    return rows


def _lists(catalogs: Catalogs) -> dict[str, list[str]]:
    """Return what each column with choices offers, by name of the column."""
    found: dict[str, list[str]] = {}
    for column in catalogs["form_columns"]:
        for word in str(column["choices"]).split():
            catalog, dot, key = word.partition(".")
            if word != ANY:
                found.setdefault(str(column["column"]), []).extend(catalogs[catalog].texts(key) if dot else [word])
    return found


def _listed(sheet: Worksheet, styles: Styles, lists: Mapping[str, Sequence[str]]) -> SheetRows:
    rows = SheetRows()
    _print(sheet)
    rows.put(1, 1, Cell(f"{LISTS} of the sheet {SCHEDULE}", styles.index("title")))  # over headings it were a schedule
    for place, (name, words) in enumerate(lists.items(), start=1):
        sheet.column_dimensions[get_column_letter(place)].width = 18
        rows.put(2, place, Cell(name.replace("_", " "), styles.index("header")))
        for number, word in enumerate(words, start=3):
            rows.put(number, place, Cell(_entry(word), styles.index("catalog")))
    return rows


def _offer(sheet: Worksheet, columns: Sequence[Row], lists: Mapping[str, Sequence[str]]) -> None:
    """Show the note of a column where one stands in it, offer its list, refuse other entries where none is taken."""
    for place, column in enumerate(columns, start=1):
        letter, name = get_column_letter(place), str(column["column"])
        offered = DataValidation(allow_blank=True, showInputMessage=True)
        if name in lists:
            at = get_column_letter(list(lists).index(name) + 1)
            offered = DataValidation(
                type="list",
                formula1=f"{LISTS}!${at}$3:${at}${len(lists[name]) + 2}",
                allow_blank=True,
                showInputMessage=True,
                showErrorMessage=ANY not in str(column["choices"]).split(),
            )
        heading = DataValidation(allow_blank=True, showInputMessage=True)
        for rule, cells in ((heading, f"{letter}1"), (offered, f"{letter}2:{letter}{LAST_ROW}")):
            rule.promptTitle = _title(column)[:32]
            rule.prompt = f"{column['note']}. Blank: {column['when_blank']}."[:255]
            rule.add(cells)
            sheet.add_data_validation(rule)
