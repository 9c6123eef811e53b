"""The proposal: two pages with what a public construction contract asks of a change that saves cost."""

from __future__ import annotations

from collections.abc import Sequence

from openpyxl.worksheet.pagebreak import Break

from takeoff.model.swap.sharing import BLANK
from takeoff.text.dates import FORMAT as DATE
from takeoff.workbook.measure import lines_of
from takeoff.workbook.pages.page import Line, Page
from takeoff.workbook.pages.swap_lines import HOURS, PARTS, saved

WIDTHS = {1: 6.0, 2: 60.0, 3: 11.5, 4: 11.5, 5: 11.5}
"""A letter page with cells of 9 pt at full scale."""

PAGE_POINTS, ROW = 722.0, 12.5
"""Height of a page, a little less than the paper between its margins; of a row."""

NOT_SIGNED = "nothing to sign: a demonstration"
"""Stands where the parties would sign, while too much of the figures is invented."""

DATE_OR_BLANK = f'{DATE.partition(";")[0]};;"{BLANK[:9]}"'
"""A date, and a blank to fill where none is given: no longer than its cell, or a program shows ### there."""

LETTERHEAD = (("to", "addressee"), ("agency or owner", "agency"), ("contract number", "contract_number"))
NAMED_IN_A_ROW, MOST_NAMED = 9, 243
"""Circuits named in a row, and on the page."""

LONGER = 10
"""Letters by which a sentence may grow in the workbook and still be shown whole."""

ESTIMATE = (
    *PARTS,
    saved("work affected, direct cost, USD", ("from_usd", "to_usd", "gross_usd")),
    Line("built the old way until the cable is on site, USD", {4: ("swap", "-waited_usd")}),
    Line("development and implementation, USD", {4: ("swap", "-one_time_usd")}),
    Line("net saving, USD", {4: ("swap", "net_usd")}),
)
SHARES = (
    Line("owner's cost, USD", {2: ("sharing", "owner_cost_usd_filled")}),
    Line("owner's share, %", {2: ("", "owner_share_pct")}, "0"),
    Line("owner's share, USD", {2: ("sharing", "owner_usd")}),
    Line("contractor's share, USD", {2: ("sharing", "contractor_usd")}),
    Line("contract price falls by, USD", {2: ("sharing", "price_falls_usd")}),
)
SUBCONTRACTS = (Line("subcontractors' part, USD", {4: ("sharing", "subcontract_usd_filled")}),)
COLLATERAL = (
    Line("saving of a typical year, USD", {2: ("sharing", "collateral_usd_per_year_filled")}),
    Line("contract price, USD", {2: ("sharing", "contract_usd_filled")}),
    Line("least cap, USD", {2: ("", "collateral_cap_usd")}),
    Line("contractor's share of collateral savings, USD", {2: ("sharing", "collateral_usd")}),
)
PRIVATE = (
    Line("direct cost of the change, USD", {2: ("sharing", "change_usd")}),
    Line("overhead, USD", {2: ("sharing", "change_overhead_usd")}),
    Line("profit, USD", {2: ("sharing", "change_profit_usd")}),
    Line("CHANGE ORDER, USD; negative: a credit", {2: ("sharing", "change_order_usd")}),
)
DATES = (
    Line("accept by, for all of the saving", {2: ("break_evens", "full_by")}, DATE),
    Line("every day later takes off, USD", {2: ("break_evens", "-usd_per_day")}),
    Line("accepted after this day nothing is saved", {2: ("break_evens", "accept_by")}, DATE),
    Line("crew-days saved", {2: ("swap", "crew_days")}, HOURS),
)


def fill(page: Page) -> None:
    """Write the proposal."""
    for column, width in WIDTHS.items():
        page.sheet.column_dimensions["ABCDE"[column - 1]].width = width
    page.put(1, 1, "Proposal of a change that saves cost", "title")
    page.rows.heights[1] = 22
    page.put(
        2,
        1,
        "Contents as FAR 52.248-3(c) asks in federal construction; elsewhere the contract says what.",
        "note",
    )
    page.status(3)
    row = _words(page, 5, "edition")
    row = _letterhead(page, row)
    row = _words(page, row, "purpose")
    row = _heading(page, row, "(c)(1)", "Difference, and what speaks for and against each")
    for which, said in (("from", "as the contract has it"), ("to", "as proposed")):
        page.put(row, 2, said, "key")
        page.figure(row, 3, "sharing", f"title_{which}", "General", "text")
        row += 1
        for what in ("pros", "cons"):
            row = _sentence(page, row, "sharing", f"{what}_{which}")
    row = _circuits(page, row)
    row = _words(page, row, "functions")
    row = _sentence(page, row, "sharing", "function_effect_filled")
    row = _words(page, row, "effect")
    row = _estimates(page, row)
    row = _shares(page, row)
    for column, who in ((2, "contractor"), (3, "owner")):
        live, line = page.live("demonstration", "on"), f"for the {who}, date"
        shown = f'IF({live.formula}=0,"{line}","{NOT_SIGNED}")'
        page.put(row + 1, column, NOT_SIGNED if live.value else line, "key", formula=shown)
    page.sheet.print_area = f"A1:E{row + 2}"
    page.sheet.row_breaks.append(Break(id=_break(page, row + 2)))


def _break(page: Page, last: int) -> int:
    """Return the row after which the second page begins: the last one above a heading that the first page holds."""
    ends, high = [], 0.0
    for row in range(1, last + 1):
        if 1 in page.rows.cells.get(row, {}) and str(page.rows.cells[row][1].value).startswith("("):
            ends.append((row - 1, high))
        high += page.rows.heights.get(row, ROW)
    return max(row for row, points in ends if points <= PAGE_POINTS)


def _letterhead(page: Page, row: int) -> int:
    """Write who proposes what to whom and when, each a blank to fill where it is not given."""
    for place, (said, name) in enumerate(LETTERHEAD, start=row):
        page.put(place, 2, said, "key")
        page.figure(place, 3, "sharing", f"{name}_filled", "General", "text")
    row += len(LETTERHEAD)
    page.put(row, 2, "project", "key")
    page.given(row, 3, "project", "General", "text")
    row += 1
    page.put(row, 2, "date", "key")
    page.given(row, 3, "proposal_date", DATE_OR_BLANK, align="left")
    return row + 2


def _circuits(page: Page, row: int) -> int:
    """Write how much is changed, and the circuits by name as long as they are few enough."""
    circuits, boxes = page.live("swap", "circuits"), page.live("swap", "boxes_said")
    page.sentence(row, 2, "Circuits changed: ", circuits, "; boxes left to build in them: ", boxes, style="key")
    keys = range(len(page.book.values("swap_circuits", "circuit")))
    for first in range(0, min(len(keys), MOST_NAMED), NAMED_IN_A_ROW):
        row += 1
        texts, parts = [], []
        for line in keys[first : first + NAMED_IN_A_ROW]:
            said = page.live("swap_circuits", "said", line)
            texts.append(str(said.value))
            parts.append(said.formula)
        page.put(row, 2, "".join(texts), "text", formula="&".join(parts))
    if len(keys) > MOST_NAMED:
        row += 1
        page.put(row, 2, "and those further down on the sheet Wiring, circuits of the swap", "text")
    return row + 1


def _estimates(page: Page, row: int) -> int:
    row = _heading(page, row, "(c)(2)", "Contract requirements that must change")
    row = _sentence(page, row, "sharing", "contract_changes_filled")
    page.put(row, 2, "wording proposed", "key")
    row = _sentence(page, row + 1, "sharing", "spec_wording_filled")
    row = _heading(
        page,
        row,
        "(c)(3)",
        "Separate estimates of the work affected; prices and quantities in this workbook",
    )
    for column, head in enumerate(("", "existing", "proposed", "saved"), start=2):
        page.put(row, column, head, "header", align="right" if head else "left")
    row = _lines(page, row + 1, ESTIMATE)
    row = _words(page, row, "subcontracts")
    row = _lines(page, row, SUBCONTRACTS)
    return _sentence(page, row, "sharing", "says")


def _shares(page: Page, row: int) -> int:
    row = _heading(page, row, "(c)(4)", "Costs to the owner, and how the saving is shared")
    row = _words(page, row, "owner-costs")
    row = _lines(page, row, SHARES)
    row = _heading(page, row, "(c)(5)", "Effect on the cost of owning")
    row = _words(page, row, "collateral")
    row = _lines(page, row, COLLATERAL)
    row = _heading(page, row, "(c)(6)", "Date by which acceptance is needed, and effect on the time of completion")
    row = _lines(page, row, DATES)
    page.put(row, 2, "effect on the time of completion", "key")
    row = _sentence(page, row + 1, "sharing", "completion_effect_filled")
    row = _heading(page, row, "(c)(7)", "Earlier proposals and outcomes")
    row = _sentence(page, row, "sharing", "earlier_proposals_filled")
    row = _heading(page, row, "", "The same change in a private contract")
    row = _words(page, row, "private")
    row = _lines(page, row, PRIVATE)
    row = _words(page, row, "status")
    return _words(page, row, "authority")


def _lines(page: Page, row: int, lines: Sequence[Line]) -> int:
    for place, line in enumerate(lines, start=row):
        page.line(place, line, first=2)
    return row + len(lines)


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
    live = page.live(table, name)
    return _wrapped(page, row, live.text, live.formula)


def _wrapped(page: Page, row: int, text: str, formula: str) -> int:
    """Write a sentence, its row high enough for a longer one in its place."""
    page.put(row, 2, text, "wrapped", formula=formula)
    page.rows.heights[row] = ROW * lines_of(text + "n" * LONGER, WIDTHS[2])
    return row + 1
