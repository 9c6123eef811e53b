"""The proposal: one page with what a public construction contract asks of a change that saves cost."""

from __future__ import annotations

from math import ceil

from takeoff.text.dates import FORMAT as DATE
from takeoff.workbook.pages.page import Page
from takeoff.workbook.pages.swap import HOURS, MONEY, PARTS

WIDTHS = {1: 7.0, 2: 84.0, 3: 16.0, 4: 16.0, 5: 16.0}
LINE = 92.0
"""Characters of a sentence that fit one line of its column."""

ESTIMATE = (
    *PARTS,
    ("work affected, direct cost, USD", "from_usd", "to_usd", "gross_usd", MONEY),
    ("development and implementation, USD", "", "", "one_time_usd", MONEY),
    ("net saving, USD", "", "", "net_usd", MONEY),
)


def fill(page: Page) -> None:
    """Write the proposal."""
    for column, width in WIDTHS.items():
        page.sheet.column_dimensions["ABCDE"[column - 1]].width = width
    inputs = page.book.inputs
    title = f"Proposal of a change that saves cost: {inputs['project']}"
    page.put(1, 1, title, "title", formula='"Proposal of a change that saves cost: "&project')
    page.rows.heights[1] = 22
    page.put(
        2,
        1,
        "Contents as FAR 52.248-3(c) asks in federal construction; elsewhere the contract says what.",
        "note",
    )
    page.status(3)
    row = _words(page, 4, "purpose")
    row = _heading(page, row, "(c)(1)", "Difference, and what speaks for and against each")
    for which, said in (("from", "as the contract has it"), ("to", "as proposed")):
        page.put(row, 2, said, "key")
        page.figure(row, 3, "sharing", f"title_{which}", "General", "text")
        row += 1
        for what in ("pros", "cons"):
            row = _sentence(page, row, "sharing", f"{what}_{which}")
    row = _words(page, row, "functions")
    row = _words(page, row, "effect")
    row = _estimates(page, row)
    row = _shares(page, row)
    page.put(row + 1, 2, "for the contractor, date", "key")
    page.put(row + 1, 4, "for the owner, date", "key")
    page.sheet.print_area = f"A1:E{row + 2}"


def _estimates(page: Page, row: int) -> int:
    row = _heading(page, row, "(c)(2)", "Contract requirements that must change")
    row = _given(page, row, "contract_changes")
    row = _heading(
        page,
        row,
        "(c)(3)",
        "Separate estimates of the work affected; prices and quantities in this workbook",
    )
    for column, head in enumerate(("", "existing", "proposed", "saved"), start=2):
        page.put(row, column, head, "header", align="right" if head else "left")
    for said, *names, form in ESTIMATE:
        row += 1
        page.put(row, 2, said, "key")
        for column, name in enumerate(names, start=3):
            if name:
                page.figure(row, column, "swap", name, form, align="right")
    return _sentence(page, row + 1, "sharing", "says")


def _shares(page: Page, row: int) -> int:
    row = _heading(page, row, "(c)(4)", "Costs to the owner, and how the saving is shared")
    row = _words(page, row, "owner-costs")
    for said, table, name, form in (
        ("owner's cost, USD", "", "owner_cost_usd", MONEY),
        ("owner's share, %", "", "owner_share_pct", "0"),
        ("owner's share, USD", "sharing", "owner_usd", MONEY),
        ("contractor's share, USD", "sharing", "contractor_usd", MONEY),
        ("contract price falls by, USD", "sharing", "price_falls_usd", MONEY),
    ):
        page.put(row, 2, said, "key")
        if table:
            page.figure(row, 3, table, name, form, align="right")
        else:
            page.given(row, 3, name, form, align="right")
        row += 1
    row = _heading(page, row, "(c)(5)", "Effect on the cost of owning")
    row = _words(page, row, "collateral")
    page.put(row, 2, "contractor's share of collateral savings, USD", "key")
    page.figure(row, 3, "sharing", "collateral_usd", MONEY, align="right")
    row = _heading(page, row + 1, "(c)(6)", "Date by which acceptance is needed, and effect on the time of completion")
    for said, table, name, form in (
        ("accept by, for all of the saving", "break_evens", "full_by", DATE),
        ("every day later takes off, USD", "break_evens", "usd_per_day", MONEY),
        ("accepted after this day nothing is saved", "break_evens", "accept_by", DATE),
        ("crew-days saved", "swap", "crew_days", HOURS),
    ):
        page.put(row, 2, said, "key")
        page.figure(row, 3, table, name, form, align="right")
        row += 1
    row = _heading(page, row, "(c)(7)", "Earlier proposals and outcomes")
    row = _given(page, row, "earlier_proposals")
    row = _words(page, row + 1, "status")
    return _words(page, row, "authority")


def _heading(page: Page, row: int, clause: str, title: str) -> int:
    page.put(row, 1, clause, "note")
    page.put(row, 2, title, "heading")
    return row + 1


def _words(page: Page, row: int, part: str) -> int:
    keys = list(page.book.values("proposal", "part"))
    place = keys.index(part) + 1
    text = str(page.book.values("proposal", "text")[place - 1])
    formula = page.refs.cell("proposal", "text", place - 1, page.sheet.title)
    return _wrapped(page, row, text, formula)


def _sentence(page: Page, row: int, table: str, name: str) -> int:
    return _wrapped(page, row, str(page.book.values(table, name)[0]), page.refs.cell(table, name, 0, page.sheet.title))


def _given(page: Page, row: int, name: str) -> int:
    return _wrapped(page, row, str(page.book.inputs[name]), name)


def _wrapped(page: Page, row: int, text: str, formula: str) -> int:
    """Write a sentence, its row high enough for a longer one in its place."""
    page.put(row, 2, text, "wrapped", formula=formula)
    page.rows.heights[row] = 12.5 * ceil((len(text) + 10) / LINE)
    return row + 1
