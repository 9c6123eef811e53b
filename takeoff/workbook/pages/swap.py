"""The swap sheet: one plan against another, what is saved, where the saving ends, how sure it is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from functools import reduce
from operator import sub

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.pagebreak import Break

from takeoff.model.swap.swap import CENTS
from takeoff.workbook.charts import AnyChart, across, curve, lines, marked, tight
from takeoff.workbook.layout import Spot
from takeoff.workbook.measure import DIGIT, lines_of, width_for
from takeoff.workbook.pages.page import Page
from takeoff.workbook.pages.swap_lines import COMPARED, LIMITS, RISK
from takeoff.workbook.paging import breaks_below

WIDTHS = {1: 31.8, **dict.fromkeys(range(2, 8), 8.3), 8: 10.2, 9: 10.2}
"""A letter page with cells of 9 pt at full scale; dates stand in the last two columns."""

PAGE_POINTS = 722.0
"""Height of the page of the decision, a little less than the paper between its margins."""

ROW, LOUD, TITLE, GAP = 10.5, 13.5, 19.0, 5.0
"""Points of a row of 9 pt, of one of 11 pt, of the title, of one that only parts others."""

LAST_COLUMN = len(WIDTHS)
MIXED = "mixed_boxes"
PARTS_DRAWN = (10, 90)
"""Percentiles in the chart, beside the net saving as estimated."""
LEFT, RIGHT = 1, 5
"""First columns of the two halves of the page."""

TOP_ROW = 11
"""Row of the headings of both halves."""

RISK_ROW = TOP_ROW + 2 * len(LIMITS) + 1
ROOMS_ROW = RISK_ROW + len(RISK) + 3
BLOCKED_ROW = TOP_ROW + len(COMPARED) + 2
MOST_ROOMS, MOST_REASONS = BLOCKED_ROW - ROOMS_ROW - 3, 5
"""Rooms and reasons on the page of the decision; all are in the tables below it."""

MOST_LINES = 10
"""Lines that the reasons take on it, so that the charts stay readable."""

AXIS, BELOW = 54.0, 84.0
"""Points of a chart to the left of its plot, and below it: figures, title of the axis, marks."""

CHARTS_ROW = BLOCKED_ROW + MOST_REASONS + 3
NEXT_PAGE = CHARTS_ROW + 1
NEXT_CHARTS = 240.0
FIRST_TABLE_ROW = NEXT_PAGE + 5
"""Row of the headings of the first table, on the page after that of the decision, below its charts."""

INVENTED = "demonstration", "says_charts"


def fill(page: Page, spots: Mapping[str, Spot]) -> None:
    """Write the sheet around its table; `spots` are all tables by name."""
    for row in range(2, CHARTS_ROW):
        page.rows.heights[row] = ROW
    _top(page)
    _compared(page)
    _limits(page)
    _rooms(page)
    _blocked(page)
    _charts(page, spots)
    _next_charts(page, spots)
    mine = [spot for spot in spots.values() if spot.sheet == page.sheet.title]
    for row in (CHARTS_ROW, *breaks_below(page.rows, mine, NEXT_PAGE, PAGE_POINTS)):
        page.sheet.row_breaks.append(Break(id=row))
    last = max(spot.last_row for spot in mine)
    page.sheet.print_area = f"A1:{get_column_letter(LAST_COLUMN)}{last}"


def _heads(page: Page, row: int, heads: Mapping[int, str], last: int) -> None:
    """Write headings over columns up to a last one: the first at the left, those of figures at the right."""
    first = min(heads)
    for column in range(first, last + 1):
        said = heads.get(column, "")
        page.put(
            row,
            column,
            f"   {said}" if column == first == RIGHT else said,
            "page head" if column == first else "page figures",
        )


def _compared(page: Page) -> None:
    """Write the left half: what remains in both plans, and from there to what is expected."""
    _heads(page, TOP_ROW, {1: "What remains, if decided today", 2: "from", 3: "to", 4: "saved"}, 4)
    for row, line in enumerate(COMPARED, start=TOP_ROW + 1):
        page.line(row, line, align="flush")
        if line.loud:
            page.rows.heights[row] = LOUD


def _limits(page: Page) -> None:
    """Write the right half: break-evens, each with its meaning, and the risk."""
    _heads(page, TOP_ROW, {5: "Break-even", 8: "today", 9: "there"}, LAST_COLUMN)
    row = TOP_ROW
    for line, meaning in LIMITS:
        page.line(row + 1, line, RIGHT, "flush", "left")
        if meaning:
            page.put(row + 2, RIGHT, meaning, "note", align="left")
        row += 2
    page.figure(row, RIGHT, "break_evens", "decided", "General", "said", "left")
    _heads(page, RISK_ROW, {5: "Risk", 7: "P10", 8: "P50", 9: "P90"}, LAST_COLUMN)
    for row, line in enumerate(RISK, start=RISK_ROW + 1):
        page.line(row, line, RIGHT, "flush", "left")
    shape, draws, seed = (page.live("risk", name) for name in ("shape", "draws", "seed"))
    page.sentence(row + 1, RIGHT, "   P10: one in ten is less; ", shape, ", ", draws, " draws, seed ", seed)
    page.figure(row + 2, RIGHT, "risk", "says", "General", "said", "left")


def _rooms(page: Page) -> None:
    """Write the rooms with most boxes in the schedule, which no input here changes, and all others as one."""
    heads = {5: "Rooms, boxes scheduled", 8: "crew-days", 9: "saved, USD"}
    _heads(page, ROOMS_ROW, heads, LAST_COLUMN)
    names = page.book.values("swap_by_area", "area")
    boxes = Counter(page.book.values("boxes", "area_row").astype(int).tolist())
    shown = sorted(range(len(names)), key=lambda n: -boxes[n + 1])[:MOST_ROOMS]
    figures = ((8, "crew_days"), (9, "saved_usd"))
    for row, line in enumerate(shown, start=ROOMS_ROW + 1):
        page.put(row, RIGHT, _short(str(names[line]), sum(WIDTHS[c] for c in range(RIGHT, 8))), "key", align="left")
        for column, name in figures:
            page.figure(row, column, "swap_by_area", name, CENTS, line=line)
    if len(names) > len(shown):
        page.put(row + 1, RIGHT, f"and {len(names) - len(shown)} more, below", "note", align="left")
        for column, name in figures:
            apart = (page.live("swap_by_area", name, n) for n in shown)
            less = reduce(sub, apart, page.total("swap_by_area", name))
            page.put(row + 1, column, less.value, "computed", formula=less.formula, form=CENTS)


def _short(text: str, width: float) -> str:
    """Return a name that fits a width, its end left out where it must be."""
    while width_for(text, bold=True) > width:
        text = f"{text.removesuffix('..')[:-1].rstrip()}.."
    return text


def _blocked(page: Page) -> None:
    """Write the circuits in a fallback with the reason and what they contribute, as many as the page has room for."""
    row = BLOCKED_ROW
    page.rows.heights[row - 1] = GAP
    heads = {1: "In a fallback: passed over, why", LAST_COLUMN: "saved, USD"}
    _heads(page, row, heads, LAST_COLUMN)
    page.put(row, 2, "circuits, as on the build; saved in them: the whole job", "page head")
    reasons = [] if "blocked" not in page.book.tables else page.book.values("blocked", "why").tolist()
    room, shown = MOST_LINES, 0
    for line, why in enumerate(reasons):
        high = lines_of(str(why), WIDTHS[1])
        if high > room or shown == MOST_REASONS:
            continue
        row, room, shown = row + 1, room - high, shown + 1
        page.rows.heights[row] = ROW * high
        page.figure(row, 1, "blocked", "why", "General", "wrapped", line=line)
        page.put(row, 2, page.book.values("blocked", "circuits")[line], "text")
        page.figure(row, LAST_COLUMN, "blocked", "saved_usd", CENTS, line=line)
    left = len(reasons) - shown
    said = (
        "none: no rule stands against the plan swapped to" if not reasons else f"and {left} more, below" if left else ""
    )
    page.put(row + 1, 1, said, "note")
    for spare in range(row + 1 + bool(said), CHARTS_ROW - 1):
        page.rows.heights[spare] = 1.0


def _charts(page: Page, spots: Mapping[str, Spot]) -> None:
    """Put the three charts of the decision side by side into what the page has left."""
    page.figure(CHARTS_ROW - 1, 1, *INVENTED, "General", "note")
    high = PAGE_POINTS - sum(page.rows.heights[row] for row in range(1, CHARTS_ROW))
    page.rows.heights[CHARTS_ROW] = high
    days = lines(
        page.book,
        spots["decision_days"],
        "later",
        ("net_usd", *(f"p{p}_usd" for p in PARTS_DRAWN)),
        "Net saving by day of decision",
        "USD",
    )
    days.legend.position, days.y_axis.numFmt, days.x_axis.tickLblPos = "b", "#,##0", "low"
    days.x_axis.tickLblSkip = 2
    premium, wage = (
        marked(page.book, spots["break_even_points"], name, f"{name}_net_usd", f"{name}_said", title)
        for name, title in (("premium", "Break-even premium"), ("wage", "Break-even labor rate"))
    )
    for chart in (premium, wage):
        chart.y_axis.title = "net saving, USD"
        chart.y_axis.title.overlay = False
    for chart, letter, columns in ((days, "A", (1, 2)), (premium, "C", range(3, 7)), (wage, "G", range(7, 10))):
        wide = _place(page, chart, letter, CHARTS_ROW, columns, high)
        tight(chart, AXIS / wide, 26 / high, 1 - (AXIS + 14) / wide, 1 - (26 + BELOW) / high)


def _next_charts(page: Page, spots: Mapping[str, Spot]) -> None:
    """Put the charts of the ranges and of the chance on top of the next page."""
    page.figure(NEXT_PAGE, 1, *INVENTED, "General", "note")
    page.rows.heights[NEXT_PAGE + 1] = NEXT_CHARTS
    tornado = across(
        page.book,
        spots["tornado"],
        "title",
        ("low_usd", "high_usd"),
        "Net saving, one range at a time",
        "change of the net saving, USD",
    )
    risk = curve(page.book, spots["risk_curve"], "net_usd", "chance_pct", "Chance of this or less")
    tight(tornado, 0.56, 0.18, 0.4, 0.58)
    tight(risk, 0.17, 0.12, 0.76, 0.64)
    for chart, letter, columns in ((tornado, "A", range(1, 6)), (risk, "F", range(6, 10))):
        _place(page, chart, letter, NEXT_PAGE + 1, columns, NEXT_CHARTS)


def _place(page: Page, chart: AnyChart, letter: str, row: int, columns: Sequence[int], high: float) -> float:
    """Put a chart over columns of a row; return its width, in points of the paper."""
    wide = sum(WIDTHS[column] for column in columns) * DIGIT * 72 / 96
    chart.anchor, chart.width, chart.height = f"{letter}{row}", 2.54 * (wide - 2) / 72, 2.54 * (high - 2) / 72
    page.sheet.add_chart(chart)
    return wide


def _top(page: Page) -> None:
    page.sentence(1, 1, "Swap ", page.live("base", "from_title"), " for ", page.live("base", "to_title"), style="title")
    page.rows.heights[1] = TITLE
    note = "Plans are chosen on Inputs. A saving is positive, a cost negative. Counted: what remains, wired otherwise."
    page.put(2, 1, note, "note")
    page.status(3)
    page.figure(5, 1, "risk", "verdict", "General", "heading")
    page.rows.heights[5] = LOUD
    page.figure(6, 1, "risk", "apart", "General", "said")
    for row, name in ((7, "from"), (8, "to")):
        page.put(row, 1, f"swap {name}", "key")
        page.figure(row, 2, "base", f"{name}_title", "General", "text")
        page.figure(row, 5, "sharing", f"title_{name}", "General", "text")
    from_, to = (page.live("swap", f"open_prices_{which}") for which in ("from", "to"))
    state = page.live("swap", "state")
    page.sentence(9, 1, "Pricing of both is ", state, "; prices to look at: ", from_, " from, ", to, " to")
    _top_mixed(page)


def _top_mixed(page: Page) -> None:
    """Write what boxes where old meets new cost, where the job has any: they are in the saving."""
    if MIXED not in page.book.tables:
        return
    count = len(page.book.tables[MIXED])
    page.put(10, 1, "boxes where old meets new", "key")
    page.put(10, 2, count, "text", form="0")
    for column, name, said in ((4, "over_old_usd", "over old"), (7, "over_new_usd", "over new")):
        total = page.total(MIXED, name)
        page.put(10, column - 1, said, "note")
        page.put(10, column, total.value, "computed", formula=total.formula, form=CENTS)
    page.put(10, 8, "in the saving; below", "note")
