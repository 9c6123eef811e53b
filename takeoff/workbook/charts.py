"""Charts with axis titles, cached points for previewers, patterns beside colors, and a description."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from openpyxl.chart import BarChart, LineChart, ScatterChart
from openpyxl.chart.data_source import (
    AxDataSource,
    NumData,
    NumDataSource,
    NumRef,
    NumVal,
    StrData,
    StrRef,
    StrVal,
)
from openpyxl.chart.layout import Layout, ManualLayout
from openpyxl.chart.legend import Legend, LegendEntry
from openpyxl.chart.marker import Marker
from openpyxl.chart.series import Series, SeriesLabel
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.chart.text import RichText
from openpyxl.drawing.fill import ColorChoice, PatternFillProperties
from openpyxl.drawing.line import LineProperties
from openpyxl.drawing.text import CharacterProperties, Font, Paragraph, ParagraphProperties, RichTextProperties

from takeoff.engine.tables import Book
from takeoff.workbook.file.styles import FONT
from takeoff.workbook.layout import Spot, heading

AnyChart = TypeVar("AnyChart", BarChart, LineChart, ScatterChart)
COLORS = ("2E4A52", "E0B040", "8FA3A8")
DASHES = ("solid", "dash", "sysDot", "lgDashDot")
MARKS = ("circle", "square", "triangle", "diamond", "x", "plus")
"""Dashes and marks that tell lines apart in black and white."""


def small(chart: AnyChart) -> AnyChart:
    """Return a chart with letters that fit a small one."""
    letters = CharacterProperties(sz=700, b=False)
    for part in (chart.title, chart.x_axis.title, chart.y_axis.title):
        for paragraph in part.tx.rich.p:
            paragraph.pPr = ParagraphProperties(defRPr=CharacterProperties(sz=900, b=True))
            for run in paragraph.r:
                run.rPr = CharacterProperties(sz=900, b=True)
    if isinstance(chart, BarChart):
        chart.x_axis.tickLblSkip = 1
    for axis in (chart.x_axis, chart.y_axis):
        axis.txPr = RichText(
            bodyPr=RichTextProperties(), p=[Paragraph(pPr=ParagraphProperties(defRPr=letters), endParaRPr=letters)]
        )
    return chart


def tight(chart: AnyChart, left: float, top: float, wide: float, high: float) -> AnyChart:
    """Return a low chart with letters of 9 points, its plot where parts of its width and height say."""
    small(chart)
    face = Font(typeface=FONT)
    for part, size, bold in (
        (chart.title, 1000, True),
        (chart.x_axis.title, 900, False),
        (chart.y_axis.title, 900, False),
    ):
        for paragraph in part.tx.rich.p:
            for run in paragraph.r:
                run.rPr = CharacterProperties(sz=size, b=bold, latin=face)
    for axis in (chart.x_axis, chart.y_axis):
        letters = CharacterProperties(sz=900, b=False, latin=face)
        for paragraph in axis.txPr.p:
            paragraph.pPr, paragraph.endParaRPr = ParagraphProperties(defRPr=letters), letters
    if chart.legend is not None:
        letters = CharacterProperties(sz=900, b=False, latin=face)
        said = Paragraph(pPr=ParagraphProperties(defRPr=letters), endParaRPr=letters)
        chart.legend.txPr = RichText(bodyPr=RichTextProperties(), p=[said])
    place = ManualLayout(layoutTarget="inner", xMode="edge", yMode="edge", x=left, y=top, w=wide, h=high)
    chart.layout = Layout(manualLayout=place)
    return chart


def bars(
    book: Book, spot: Spot, columns: Sequence[str], title: str, across: str, up: str, *, stacked: bool
) -> BarChart:
    """Return a bar chart of columns of a table, one group for each of its rows.

    Parameters
    ----------
    columns
        Columns of the table, one series each.
    title, across, up
        Titles of the chart and of its two axes.
    """
    chart = BarChart()
    chart.type, chart.grouping, chart.overlap = "col", "stacked" if stacked else "clustered", 100 if stacked else 0
    chart.title, chart.style, chart.height, chart.width = title, 2, 9.0, 11.0
    chart.x_axis.title, chart.y_axis.title = across, up
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.y_axis.numFmt = "#,##0"
    chart.legend.position = "b"
    for part in (chart.title, chart.x_axis.title, chart.y_axis.title, chart.legend):
        part.overlay = False  # beside the plot, never on it
    names = [str(n) for n in book.values(spot.table.name, spot.table.fields[0].name)]
    for place, name in enumerate(columns):
        chart.series.append(_series(book, spot, name, names, place))
    said = "; ".join(
        f"{n}: " + ", ".join(f"{title_of(spot, c)} {book.values(spot.table.name, c)[row]:,.0f}" for c in columns)
        for row, n in enumerate(names)
    )
    chart.words = f"{title} by {across}, in {up}. As built: {said}."  # read by people who do not see the chart
    return chart


def _sideways(
    book: Book, spot: Spot, names: str, columns: Sequence[str], title: str, along: str
) -> tuple[BarChart, list[str]]:
    """Return sideways bars of columns, the first row on top, and what each bar is called."""
    chart = BarChart()
    chart.type, chart.grouping, chart.overlap, chart.gapWidth = "bar", "clustered", 100, 40
    chart.title, chart.style, chart.height, chart.width = title, 2, 9.0, 15.0
    chart.x_axis.title, chart.y_axis.title = title_of(spot, names), along
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.x_axis.tickLblPos, chart.x_axis.scaling.orientation = "low", "maxMin"
    chart.y_axis.numFmt = "#,##0"
    chart.legend.position = "b"
    for part in (chart.title, chart.x_axis.title, chart.y_axis.title, chart.legend):
        part.overlay = False
    bars_of = [str(n) for n in book.values(spot.table.name, names)]
    for place, name in enumerate(columns):
        chart.series.append(_series(book, spot, name, bars_of, place, names))
    return chart, bars_of


def bands(book: Book, spot: Spot, names: str, start: str, span: str, title: str, along: str) -> BarChart:
    """Return sideways bars that float: each from a start, as long as its span, the first row on top.

    Parameters
    ----------
    names, start, span
        Columns of the table: what each bar is called, where it begins and how long it is.
    title, along
        Titles of the chart and of the axis along the bars.
    """
    chart, bars_of = _sideways(book, spot, names, (start, span), title, along)
    chart.grouping, chart.gapWidth, chart.width = "stacked", 60, 24.0
    chart.y_axis.scaling.min, chart.legend = 0, None
    chart.series[0].graphicalProperties = GraphicalProperties(noFill=True)
    ends = zip(bars_of, *(book.values(spot.table.name, c) for c in (start, span)), strict=True)
    said = "; ".join(f"{n}: {a:,.0f} to {a + b:,.0f}" for n, a, b in ends)
    chart.words = f"{title}: {along}. As built: {said}."
    return chart


def lines(book: Book, spot: Spot, across: str, columns: Sequence[str], title: str, up: str) -> LineChart:
    """Return a line chart of columns of a table over another one of its columns.

    Parameters
    ----------
    across
        Column along the axis.
    columns
        Columns of the table, one line each; lines differ by dash and mark, not by color alone.
    title, up
        Titles of the chart and of the axis upwards.
    """
    chart = LineChart()
    chart.title, chart.style, chart.height, chart.width = title, 2, 15.0, 30.0
    chart.x_axis.title, chart.y_axis.title = title_of(spot, across), up
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.y_axis.numFmt = "#,##0"
    chart.legend.position = "r"
    for part in (chart.title, chart.x_axis.title, chart.y_axis.title, chart.legend):
        part.overlay = False
    points = [f"{v:g}" for v in book.values(spot.table.name, across)]
    for place, name in enumerate(columns):
        series = _series(book, spot, name, points, place, across)
        line = LineProperties(w=22000, prstDash=DASHES[place % len(DASHES)], solidFill=COLORS[place % len(COLORS)])
        series.graphicalProperties = GraphicalProperties(ln=line)
        series.marker = Marker(symbol=MARKS[place % len(MARKS)], size=6)
        series.smooth = False
        chart.series.append(series)
    values = {title_of(spot, c): book.values(spot.table.name, c) for c in columns}
    ends = "; ".join(f"{name}: from {v[0]:,.0f} to {v[-1]:,.0f}" for name, v in values.items())
    chart.words = f"{title}: {up} over {title_of(spot, across)}. As built: {ends}."
    return chart


def across(book: Book, spot: Spot, names: str, columns: Sequence[str], title: str, along: str) -> BarChart:
    """Return sideways bars of columns that start from nothing, such as what an estimate moves at either end.

    Parameters
    ----------
    names
        Column with the names of the bars, the first on top.
    columns
        The columns of signed amounts, one or more.
    title, along
        Titles of the chart and of the axis along the bars.
    """
    chart, bars_of = _sideways(book, spot, names, columns, title, along)
    values = zip(*(book.values(spot.table.name, c) for c in columns), strict=True)
    said = "; ".join(f"{n}: " + " and ".join(f"{v:+,.0f}" for v in row) for n, row in zip(bars_of, values, strict=True))
    chart.words = f"{title}: {' and '.join(title_of(spot, c) for c in columns)}. As built: {said}."
    if len(columns) == 1:
        chart.legend = None
    return chart


def curve(book: Book, spot: Spot, across: str, up: str, title: str, *, percent: bool = True) -> ScatterChart:
    """Return a smooth-free curve of one column of numbers over another; `percent` where that goes from 0 to 100."""
    chart = ScatterChart()
    chart.title, chart.style, chart.height, chart.width, chart.scatterStyle = title, 2, 9.0, 13.2, "lineMarker"
    chart.x_axis.title, chart.y_axis.title = title_of(spot, across), title_of(spot, up)
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.x_axis.numFmt = chart.y_axis.numFmt = "#,##0"
    chart.x_axis.tickLblPos = chart.y_axis.tickLblPos = "low"
    if percent:
        chart.y_axis.scaling.min, chart.y_axis.scaling.max = 0, 100
    chart.legend = None
    for part in (chart.title, chart.x_axis.title, chart.y_axis.title):
        part.overlay = False
    values = [float(v) for v in book.values(spot.table.name, across)]
    series = _series(book, spot, up, [], 0)
    points = [NumVal(idx=n, v=repr(v)) for n, v in enumerate(values)]
    cache = NumData(formatCode="#,##0", ptCount=len(values), pt=points)
    series.cat, series.yVal, series.val = None, series.val, None
    series.xVal = AxDataSource(numRef=NumRef(f=_cells(spot, spot.letter(across)), numCache=cache))
    series.graphicalProperties = GraphicalProperties(ln=LineProperties(w=22000, solidFill=COLORS[0]))
    series.marker, series.smooth = Marker(symbol=MARKS[0], size=5), False
    chart.series.append(series)
    ups = book.values(spot.table.name, up)
    said = "; ".join(f"{u:.0f} at {v:,.0f}" for u, v in zip(ups, values, strict=True))
    chart.words = f"{title}: {title_of(spot, up)} over {title_of(spot, across)}. As built: {said}."
    return chart


def marked(book: Book, spot: Spot, across: str, up: str, said: str, title: str) -> ScatterChart:
    """Return a line through the rows of a table, each a mark named in the legend by its cell of the column `said`."""
    chart = curve(book, spot, across, up, title, percent=False)
    (line,) = chart.series
    line.marker, line.tx = Marker(symbol="none"), None
    for row, text in enumerate(book.values(spot.table.name, said)):
        mark = _series(book, spot, up, [], row + 1)
        for name, place in ((across, "xVal"), (up, "yVal")):
            value = NumVal(idx=0, v=repr(float(book.values(spot.table.name, name)[row])))
            number = NumRef(f=_cell(spot, name, row), numCache=NumData(formatCode="#,##0", ptCount=1, pt=[value]))
            data = AxDataSource(numRef=number) if place == "xVal" else NumDataSource(numRef=number)
            setattr(mark, place, data)
        mark.cat = mark.val = None
        cache = StrData(ptCount=1, pt=[StrVal(idx=0, v=str(text))])
        mark.tx = SeriesLabel(strRef=StrRef(f=_cell(spot, said, row), strCache=cache))
        mark.graphicalProperties = GraphicalProperties(ln=LineProperties(noFill=True))
        look = GraphicalProperties(solidFill=COLORS[row % len(COLORS)])
        mark.marker = Marker(symbol=MARKS[3 * row % len(MARKS)], size=8, spPr=look)
        chart.series.append(mark)
    chart.legend = Legend(legendPos="b", legendEntry=[LegendEntry(idx=0, delete=True)])
    chart.legend.overlay = False
    return chart


def _cell(spot: Spot, column: str, row: int) -> str:
    return f"'{spot.sheet}'!${spot.letter(column)}${spot.first_row + row}"


def title_of(spot: Spot, column: str) -> str:
    """Return the heading of a column."""
    return heading(next(c for c in spot.table if c.name == column))


def _series(book: Book, spot: Spot, column: str, names: list[str], place: int, across: str = "") -> Series:
    letter, first = spot.letter(column), spot.letter(across or spot.table.fields[0].name)
    values = [float(v) for v in book.values(spot.table.name, column)]
    points = [NumVal(idx=n, v=repr(v)) for n, v in enumerate(values)]
    numbers = NumRef(f=_cells(spot, letter), numCache=NumData(formatCode="#,##0", ptCount=len(values), pt=points))
    labels = StrData(ptCount=len(names), pt=[StrVal(idx=n, v=v) for n, v in enumerate(names)])
    label = StrData(ptCount=1, pt=[StrVal(idx=0, v=title_of(spot, column))])
    series = Series(idx=place, order=place)
    series.val = NumDataSource(numRef=numbers)
    series.cat = AxDataSource(strRef=StrRef(f=_cells(spot, first), strCache=labels))
    series.tx = SeriesLabel(strRef=StrRef(f=f"'{spot.sheet}'!${letter}${spot.header_row}", strCache=label))
    color = COLORS[place % len(COLORS)]
    if place % 2:
        ink, paper = ColorChoice(srgbClr=COLORS[0]), ColorChoice(srgbClr=color)
        look = GraphicalProperties(pattFill=PatternFillProperties(prst="wdUpDiag", fgClr=ink, bgClr=paper))
    else:
        look = GraphicalProperties(solidFill=color)
    series.graphicalProperties = look
    return series


def _cells(spot: Spot, letter: str) -> str:
    return f"'{spot.sheet}'!${letter}${spot.first_row}:${letter}${spot.last_row}"
