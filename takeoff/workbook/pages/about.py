"""The about sheet: what the workbook is, how it reads, where it comes from, what it cannot do, its sources."""

from __future__ import annotations

from takeoff.workbook.file.styles import LEGEND
from takeoff.workbook.layout import ROW_POINTS
from takeoff.workbook.measure import lines_of
from takeoff.workbook.pages.page import Page, Provenance
from takeoff.workbook.sheets.order import sheets_of
from takeoff.workbook.sheets.plan import KIND_WORDS

RECORD = (
    "The schedule, inputs, quotes and catalogs that this file was made from, compressed. By them takeoff build "
    "--carry, takeoff edits and takeoff changes know which cells were changed by hand since."
)

TEXT_WIDTH = 132.0
"""Width of the column of sentences; a longer one wraps."""

PURPOSE = (
    (
        "Purpose",
        "Compares constructions of armored cable for the branch wiring of one job: terminations, splices, box sizes, "
        "labor, material, grounding checks.",
    ),
    ("For", "Estimators, project managers, crew leaders, and the engineer who answers for the ground path."),
    (
        "How to use",
        "Start on the summary. Change an input (Inputs, Prices, Minutes, Schedule, Bid lines, figures marked input "
        "in the catalogs): everything follows. Change the schedule or a catalog itself in its file and build again, "
        "with --carry and the name of this file: what was changed here is kept, and a sheet says what moved.",
    ),
    (
        "Direction",
        "Every sheet reads sheets to its right only: from a result to its workings to what one of everything costs. "
        "Inputs and catalogs compute nothing; they stand where people look for them, and any sheet may read them. "
        "What no input can change is written as a fact, without a formula.",
    ),
    ("Signs", "Cost is positive. A difference is a plan less the base: negative costs less."),
    (
        "Checks",
        "A check tests the one rule it names: meets, fails, look (a person must look), screening "
        "(on illustrative figures), "
        "not tested (a figure is missing) or does not apply. "
        "What each outcome says, and does not say, stands on Code tables.",
    ),
)


def fill_about(page: Page, provenance: Provenance) -> None:
    """Write the about sheet."""
    page.head("About this workbook", "What it is, how to use it, what it was built from, and what it cannot do.")
    page.sheet.column_dimensions["A"].width = 33
    page.sheet.column_dimensions["B"].width = TEXT_WIDTH
    row = 5
    for label, text in PURPOSE:
        row = _line(page, row, label, text)
    row = _heading(page, row + 1, "Cautions")
    for number, text in enumerate(provenance.cautions, start=1):
        row = _line(page, row, str(number), text)
    row = _heading(page, row + 1, "Built from")
    for label, text in _built_from(page, provenance):
        row = _line(page, row, label, text)
    row = _heading(page, row + 1, "Known limits")
    for number, text in enumerate(provenance.limits, start=1):
        row = _line(page, row, str(number), text)
    row = _heading(page, row + 1, "Counting rules")
    for label, text in provenance.definitions:
        row = _line(page, row, label, text)
    row = _contents(page, row)
    row = _read_and_sources(page, row, provenance)
    page.sheet.print_area = f"A1:B{row - 1}"
    _record(page, row, provenance)


def _contents(page: Page, row: int) -> int:
    """Write what the looks of cells say, and every sheet with its tables, each a link."""
    row = _heading(page, row + 1, "Cells")
    for style, text in LEGEND:
        page.put(row, 1, style, style)
        page.put(row, 2, text)
        row += 1
    row = _heading(page, row + 1, "Sheets")
    for plan in sheets_of(page.book.tables):
        page.put(row, 1, plan.title, "key")
        page.put(row, 2, f"{KIND_WORDS[plan.kind].partition(':')[0]}. {plan.intro}", "wrapped")
        page.rows.links.append((f"A{row}", f"'{plan.title}'!A1"))
        row += 1
        for name in plan.tables:
            spot = page.refs.spots[name]
            page.put(row, 2, f"      {spot.table.title}", "text")
            page.rows.links.append((f"B{row}", f"'{plan.title}'!{spot.letter(spot.shown[0].name)}{spot.header_row}"))
            row += 1
    return row


def _read_and_sources(page: Page, row: int, provenance: Provenance) -> int:
    """Write the notices on what was read, and the sources that rows cite."""
    row = _heading(page, row + 1, "Notices on what was read")
    for problem in provenance.notices:
        row = _line(page, row, f"row {problem.row}" if problem.row else problem.file, str(problem))
    if not provenance.notices:
        row = _line(page, row, "none", "The reader found nothing to remark.")
    row = _heading(page, row + 1, "Sources, by the id that a cell of a catalog begins with")
    for source, what in provenance.sources:
        row = _line(page, row, source, what)
    return row


def _record(page: Page, row: int, provenance: Provenance) -> None:
    """Write the record below what is printed: each part in one line, of which only the begin shows."""
    row = _heading(page, row + 1, "Record of the build")
    row = _line(page, row, "What it is", RECORD)
    for part in provenance.record:
        page.put(row, 1, "leave as it is", "note")
        page.put(row, 2, part, "wrapped")
        page.rows.heights[row] = ROW_POINTS
        row += 1


def _built_from(page: Page, provenance: Provenance) -> list[tuple[str, str]]:
    inputs = page.book.inputs
    return [
        ("Tool", f"takeoff {provenance.version}"),
        ("Schedule", provenance.schedule_file),
        ("SHA-256 of the schedule", provenance.schedule_sha256),
        ("Code edition at build", str(page.book.inputs["code_edition"])),
        ("Plans compared", "; ".join(provenance.compared)),
        *provenance.options,
        (
            "Chance",
            f"Only the risk of a swap is drawn: {inputs['risk_draws']} draws with the seed {inputs['risk_seed']}, "
            "which give the same figures again. Draws and cutting plans are those of the build.",
        ),
        (
            "Time",
            "No clock time is stored: the same input gives the same file. The date of the estimate is an input.",
        ),
    ]


def _heading(page: Page, row: int, text: str) -> int:
    page.put(row, 1, text, "heading")
    return row + 1


def _line(page: Page, row: int, label: str, text: str) -> int:
    page.put(row, 1, label, "key")
    page.put(row, 2, text, "wrapped")
    page.rows.heights[row] = ROW_POINTS * lines_of(text, TEXT_WIDTH)
    return row + 1
