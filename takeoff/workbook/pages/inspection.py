"""The inspection sheet: by panel and circuit every rule tested, its section, figures and outcome, and what is open."""

from __future__ import annotations

from math import ceil
from textwrap import wrap

from openpyxl.formatting.rule import Rule
from openpyxl.worksheet.pagebreak import Break

from takeoff.model.rules.circuits import TITLES
from takeoff.model.rules.options import CHECKS
from takeoff.workbook.file.styles import FAILS, LOOK
from takeoff.workbook.pages.page import Page, Provenance

WIDTHS = (23.0, 21.0, 17.0, 40.0, 22.0, 36.0, 44.0, 40.0, 9.0)
HEADINGS = (
    *("rule", "section", "asked", "found", "outcome"),
    *("exception that could apply", "fact still missing", "look at on site", "initials"),
)
PARTS = {2: "section", 3: "asked", 4: "found", 5: "word", 7: "question"}
LINED = "computed"
"""Style of a cell with a line under it."""

EXCEPTION, ON_SITE = 6, 8
"""Columns of the sheet, counted from 1."""

LETTERS = 1.22
"""Letters that a unit of a column's width takes, on the average."""

NOT_RULES = ("cable",)
"""Checks of the catalog, which an inspector does not look for."""

HEAD_ROW, FIRST_ROW = 6, 7
"""Row of the headings, which every page repeats, and of the first panel."""

PAPER_INCHES, SPARE = 16.2, 1.03
"""Width of the large paper between its margins; what programs take more than these measures say."""

FOOT_LETTERS = 300
"""Letters of a line of the foot."""


def fill(page: Page, provenance: Provenance) -> None:
    """Write the sheet; its foot lists what is not tested."""
    for letter, width in zip("ABCDEFGHI", WIDTHS, strict=True):
        page.sheet.column_dimensions[letter].width = width
    page.head("Inspection", "What was tested, circuit by circuit; a check names one rule and says nothing of another.")
    page.sentence(
        *(5, 1, "Plan to be built: ", page.live("", "inspected_plan"), "; code edition "),
        *(page.live("", "code_edition"), "; circuits not settled, as in the stop list: "),
        page.live("open_facts", "inspected"),
    )
    page.put(5, 5, "choose the plan, and answer the facts asked, on the sheet Inputs", "note")
    for column, text in enumerate(HEADINGS, start=1):
        page.put(HEAD_ROW, column, text, "header")
    page.rows.heights[HEAD_ROW] = 15
    page.sheet.print_title_rows = f"{HEAD_ROW}:{HEAD_ROW}"
    row = FIRST_ROW
    circuits = page.book.tables["circuits"].data
    panels: dict[str, list[int]] = {}
    for line, panel in enumerate(circuits["panel"]):
        panels.setdefault(str(panel), []).append(line)
    for panel, lines in panels.items():
        row = _panel(page, row, panel, lines)
        page.sheet.row_breaks.append(Break(id=row - 1))
    _mark(page, row)
    page.sheet.freeze_panes = f"A{FIRST_ROW}"
    _foot(page, row, provenance)


def _panel(page: Page, row: int, panel: str, lines: list[int]) -> int:
    """Write the circuits of a panel; return the next row."""
    page.put(row, 1, f"Panel {panel}", "title")
    page.put(row, 6, "Inspected by: ____________________   Date: ______________", "text")
    page.rows.heights[row] = 24
    row += 1
    for line in lines:
        row = _circuit(page, row, line)
    return row + 1


def _circuit(page: Page, row: int, line: int) -> int:
    """Write a circuit: what it is, then every rule that is for it."""
    given = page.book.tables["circuits"].data
    breaker = f"{float(str(given['breaker_a'][line])):g} A, {given['poles'][line]} pole, {given['volts'][line]:g} V"
    repeat = f", built {given['repeat'][line]:g} times" if given["repeat"][line] != 1 else ""
    page.put(row, 1, str(given["circuit"][line]), "heading")
    page.put(row, 2, f"{breaker}{repeat}", "text")
    _show(page, row, 4, "wired_as", line, "heading")
    _show(page, row, 6, "passed", line, "note", before="passed over first: ")
    page.rows.heights[row] = 17
    row += 1
    for check in _checks(page, line):
        _rule(page, row, check, line)
        row += 1
    return row


def _checks(page: Page, line: int) -> list[str]:
    """Return the checks whose rule is for a circuit at all, whatever it is wired in."""
    book, given = page.book, page.book.tables["circuits"].data
    kind = int(str(given["alike_row"][line])) - 1
    beside = {
        "switch_neutral": given["bare_switches"][line],
        "multiwire": given["multiwire"][line],
        "isolated": given["isolated"][line],
        "receptacle": given["receptacles"][line],
        "knockout": book.values("voltages", "to_ground_v")[kind]
        > book.values("code", "value")[_figure(page, "knockout_v")],
    }
    return [c for c in CHECKS if c not in NOT_RULES and beside.get(c, 1)]


def _figure(page: Page, name: str) -> int:
    return list(page.book.tables["code"].data["key"]).index(name)


def _rule(page: Page, row: int, check: str, line: int) -> None:
    words = _words(page, check)
    page.put(row, 1, TITLES[check], "key")
    shown = {column: _show(page, row, column, f"{check}_{part}", line) for column, part in PARTS.items()}
    shown |= {EXCEPTION: words["exception"], ON_SITE: words["on_site"]}
    for column in (EXCEPTION, ON_SITE):
        page.put(row, column, shown[column], LINED, align="wrapped")
    page.put(row, len(WIDTHS), "", LINED)
    high = max(ceil(len(text) / (WIDTHS[column - 1] * LETTERS)) for column, text in shown.items())
    page.rows.heights[row] = 12.5 * max(1, high) + 2


def _words(page: Page, check: str) -> dict[str, str]:
    """Return the exception of a check and what is looked at, as the catalog has them for the newest edition."""
    data = page.book.tables["checks"].data
    row = max(n for n, name in enumerate(data["check"]) if name == check)
    found = {name: str(data[name][row]) for name in ("exception", "on_site")}
    return {name: "-" if text == "none" else text for name, text in found.items()}


def _show(page: Page, row: int, column: int, name: str, line: int, style: str = LINED, before: str = "") -> str:
    """Show a figure of a circuit; return what it says."""
    definition = next(c for c in page.book.tables["inspected"].columns if c.name == name)
    value = page.book.values("inspected", name)[line]
    live = page.refs.live("inspected", name)
    formula = page.refs.formula("inspected", name, line, page.sheet.title) if live else ""
    if before:
        value, formula = f"{before}{value}", f'"{before}"&{formula}'
    align = "wrapped" if style == LINED else ""
    page.put(row, column, value, style, formula=formula, form=definition.format or "General", align=align)
    return str(value)


def _mark(page: Page, last: int) -> None:
    """Let outcomes stand out that a person must look at, beside their words."""
    words = dict(zip(page.book.values("outcomes", "outcome"), page.book.values("outcomes", "word"), strict=True))
    cells = f"E{FIRST_ROW}:E{last}"
    for outcome, look in (("fails", FAILS), ("look", LOOK)):
        test = f'$E{FIRST_ROW}="{words[outcome]}"'
        page.sheet.conditional_formatting.add(cells, Rule(type="expression", dxf=look, formula=[test]))


def _foot(page: Page, row: int, provenance: Provenance) -> None:
    """Write how many circuits are open, and what is not tested."""
    page.put(row, 1, "Not tested", "heading")
    page.put(
        row, 2, "Only the rules above were tested. Of what else the code asks for, these limits are known:", "note"
    )
    for style, texts in (("text", provenance.limits), ("note", provenance.cautions)):
        for text in texts:
            for part in wrap(text, FOOT_LETTERS):
                row += 1
                page.put(row, 1, part, style)
    page.sheet.print_area = f"A1:I{row}"


def set_print(page: Page) -> None:
    """Print on large paper, all columns on one page across, every panel on pages of its own."""
    setup, inches = page.sheet.page_setup, sum(width * 7 + 5 for width in WIDTHS) / 96 * SPARE
    page.sheet.sheet_properties.pageSetUpPr.fitToPage = False
    setup.orientation, setup.paperSize = "landscape", page.sheet.PAPERSIZE_TABLOID
    setup.scale = int(min(1.0, PAPER_INCHES / inches) * 100)
