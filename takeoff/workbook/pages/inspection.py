"""The inspection sheet: what each rule asks, then by panel every circuit with the outcome of each rule."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from math import ceil
from textwrap import wrap

import numpy as np
from openpyxl.formatting.rule import Rule
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.pagebreak import Break

from takeoff.engine.expr import Array
from takeoff.model.rules.circuits import TITLES
from takeoff.model.rules.for_circuits import rules_for
from takeoff.model.rules.inspection import inspected_checks
from takeoff.workbook.file.styles import FAILS, LOOK
from takeoff.workbook.layout import ROW_POINTS
from takeoff.workbook.measure import lines_of
from takeoff.workbook.pages.page import Page, Provenance
from takeoff.workbook.printing import DIGIT, ENDS, FULL, SIDES

BEFORE = (("circuit", 12.0), ("breaker", 10.0), ("wired as", 19.0))
BEHIND = (("fact still missing", 0.0), ("initials", 8.0))
"""Headings and widths of the columns before those of the rules, and behind them; 0 for what is left of the page."""

NARROW = 9.5
"""Width of the column of a rule that says a word."""

WIDER = {**dict.fromkeys(("egc_kind", "egc_size", "fitting", "space", "overcurrent", "load"), 14.5), "fault_path": 19.5}
"""Widths of those of rules with figures."""

RULES = (("section", 3), ("exception that could apply", 4), ("look at on site", 11))
"""Headings of the list of rules, with the columns of the sheet where they stand, counted from 1."""

FIRST = len(BEFORE) + 1
"""Column of the first rule."""

LINED = "computed"
"""Style of a cell with a line under it."""

LIST_ROW = 6
"""Row of the headings of the list of rules."""

PAPER_INCHES, PAPER_POINTS = 17.0 - SIDES, (11.0 - ENDS) * 72
"""Width and height of the large paper between its margins."""

HEAD_POINTS = 28.0
"""Height of the headings that every page repeats."""

ALL_WIDTHS = 271.0
"""Widths of all columns together that a page shows at the smallest scale of a result."""

FOOT_LETTERS, FOOT_COLUMNS = 150, (1, 11)
"""Letters of a line of the foot, and the columns of the sheet in which its two halves begin."""


def _checks_of(page: Page) -> tuple[str, ...]:
    """Return the checks of the sheet."""
    return inspected_checks(page.book.tables["check_list"].data["check"])


def widths(page: Page) -> list[float]:
    """Return the width of every column."""
    checks = _checks_of(page)
    rules = [WIDER.get(check, NARROW) for check in checks]
    before, (_, initials) = [w for _, w in BEFORE], BEHIND[-1]
    return [*before, *rules, ALL_WIDTHS - sum(before) - sum(rules) - initials, initials]


def fill(page: Page, provenance: Provenance) -> None:
    """Write the sheet; its foot lists what is not tested."""
    for number, width in enumerate(widths(page), start=1):
        page.sheet.column_dimensions[get_column_letter(number)].width = width
    page.head("Inspection", "What was tested, circuit by circuit; a check names one rule and says nothing of another.")
    page.sentence(
        *(5, 1, "Plan to be built: ", page.live("base", "inspected_title"), "; code edition "),
        *(page.live("", "code_edition"), "; circuits not settled, as in the stop list: "),
        page.live("open_facts", "inspected"),
    )
    page.put(5, 11, "choose the plan, and answer the facts asked, on the sheet Inputs", "note")
    head_row = _rules(page) + 1
    _headings(page, head_row)
    row = head_row + 1
    panels: dict[str, list[int]] = {}
    for line, circuit in enumerate(_circuit_lines(page).tolist()):
        panels.setdefault(str(page.book.tables["circuits"].data["panel"][circuit]), []).append(line)
    asked = rules_for(page.book, _checks_of(page))
    top = 1
    for panel, lines in panels.items():
        start, row = row, _panel(page, row, panel, lines, asked)
        room = PAPER_POINTS / _scale(page)
        if start > head_row + 1 and _high(page, top, row) > room >= 2 * _high(page, start, row):
            page.sheet.row_breaks.append(Break(id=start - 1))
            top = start
    _mark(page, head_row + 1, row)
    page.sheet.freeze_panes = f"B{head_row + 1}"
    _foot(page, row, provenance)


def _high(page: Page, first: int, last: int) -> float:
    """Return the height of rows in points, those of a page's headings with them."""
    return HEAD_POINTS + sum(page.rows.heights.get(row, ROW_POINTS) for row in range(first, last))


def _rules(page: Page) -> int:
    """Write what each rule asks, once for all circuits; return the next row."""
    page.put(LIST_ROW, 1, "rule", "heading")
    for title, column in RULES:
        page.put(LIST_ROW, column, title, "heading")
    data = page.book.tables["checks"].data
    newest = {str(check): n for n, check in enumerate(data["check"])}
    for row, check in enumerate(_checks_of(page), start=LIST_ROW + 1):
        page.put(row, 1, TITLES[check], "text")
        line = list(page.book.tables["check_list"].data["check"]).index(check)
        page.figure(row, RULES[0][1], "check_list", "section", "General", "text", line=line)
        for name, (_, column) in zip(("exception", "on_site"), RULES[1:], strict=True):
            text = str(data[name][newest[check]])
            page.put(row, column, "-" if text == "none" else text, "text")
    return LIST_ROW + 1 + len(_checks_of(page))


def _headings(page: Page, row: int) -> None:
    """Write the headings of the circuits, which every page repeats."""
    titles = [*(t for t, _ in BEFORE), *(TITLES[check] for check in _checks_of(page)), *(t for t, _ in BEHIND)]
    for column, title in enumerate(titles, start=1):
        page.put(row, column, title, "header", align="wrapped")
    page.rows.heights[row] = HEAD_POINTS
    page.sheet.print_title_rows = f"{row}:{row}"


def _panel(page: Page, row: int, panel: str, lines: list[int], asked: Mapping[str, Array]) -> int:
    """Write the circuits of a panel; return the next row."""
    page.put(row, 1, f"Panel {panel}", "title")
    page.put(row, FIRST, "Inspected by: ____________________   Date: ______________", "text")
    page.rows.heights[row] = 24
    wide = widths(page)
    for line in lines:
        row += 1
        shown = _circuit(page, row, line, asked)
        high = max(_lines_of(text, wide[column - 1]) for column, text in shown.items())
        page.rows.heights[row] = ROW_POINTS * max(2, high) + 2
    return row + 2


@cache
def _lines_of(text: str, width: float) -> int:
    """Return how many lines a text takes; few different ones are said of thousands of circuits."""
    return lines_of(text, width)


def _circuit_lines(page: Page) -> Array:
    """Return the line of its circuit for each stretch that is inspected."""
    return np.array(page.book.tables["inspected"].data["circuit_row"], dtype=int) - 1


def _circuit(page: Page, row: int, line: int, asked: Mapping[str, Array]) -> dict[int, str]:
    """Write a circuit, or another stretch of it: what it is, then every rule that is for it; return what is said."""
    given, inspected = page.book.tables["circuits"].data, page.book.tables["inspected"].data
    name, at = inspected["circuit"][line], int(str(inspected["circuit_row"][line])) - 1
    breaker = f"{float(str(given['breaker_a'][at])):g} A, {given['poles'][at]}P, {given['volts'][at]:g} V"
    repeat = f" ({given['repeat'][at]:g} times)" if given["repeat"][at] != 1 else ""
    page.put(row, 1, f"{name}{repeat}", "key", align="wrapped")
    page.put(row, 2, breaker, LINED, align="wrapped")
    shown = {3: _show(page, row, 3, "wired_as", line)}
    for column, (check, lines) in enumerate(asked.items(), start=FIRST):
        if lines[line]:
            shown[column] = _show(page, row, column, f"{check}_says", line)
        else:
            page.put(row, column, "-", LINED, align="wrapped")
    asks = FIRST + len(asked)
    shown[asks] = _show(page, row, asks, "asks", line)
    page.put(row, asks + 1, "", LINED)
    return shown


def _show(page: Page, row: int, column: int, name: str, line: int) -> str:
    """Show what is said of a circuit; return it."""
    value = page.book.values("inspected", name)[line]
    live = page.refs.live("inspected", name)
    formula = page.refs.formula("inspected", name, line, page.sheet.title) if live else ""
    page.put(row, column, value, LINED, formula=formula, align="wrapped")
    return str(value)


def _mark(page: Page, first: int, last: int) -> None:
    """Let outcomes stand out that a person must look at, beside their words."""
    words = dict(zip(page.book.values("outcomes", "outcome"), page.book.values("outcomes", "short"), strict=True))
    start = get_column_letter(FIRST)
    cells = f"{start}{first}:{get_column_letter(FIRST + len(_checks_of(page)) - 1)}{last}"
    for outcome, look in (("fails", FAILS), ("look", LOOK)):
        word = str(words[outcome])
        test = f'LEFT({start}{first},{len(word)})="{word}"'
        page.sheet.conditional_formatting.add(cells, Rule(type="expression", dxf=look, formula=[test]))


def _foot(page: Page, row: int, provenance: Provenance) -> None:
    """Write how many circuits are open, and what is not tested."""
    page.put(row, 1, "Not tested", "heading")
    page.put(
        row, 2, "Only the rules above were tested. Of what else the code asks for, these limits are known:", "note"
    )
    said = [("text", text) for text in provenance.limits] + [("note", text) for text in provenance.cautions]
    lines = [(style, part) for style, text in said for part in wrap(text, FOOT_LETTERS)]
    half = ceil(len(lines) / 2)
    for column, first in zip(FOOT_COLUMNS, (0, half), strict=True):
        for place, (style, part) in enumerate(lines[first : first + half], start=row + 1):
            page.put(place, column, part, style)
    page.sheet.print_area = f"A1:{get_column_letter(len(widths(page)))}{row + half}"


def set_print(page: Page) -> None:
    """Print on large paper, all columns on one page across; a panel that fits half a page is not cut."""
    setup = page.sheet.page_setup
    page.sheet.page_margins, page.sheet.sheet_format.defaultRowHeight = FULL, ROW_POINTS
    page.sheet.sheet_properties.pageSetUpPr.fitToPage = False
    setup.orientation, setup.paperSize = "landscape", page.sheet.PAPERSIZE_TABLOID
    setup.scale = int(_scale(page) * 100)


def _scale(page: Page) -> float:
    """Return the size of print at which all columns stand on one page."""
    return float(min(1.0, PAPER_INCHES / (sum(widths(page)) * DIGIT / 96)))
