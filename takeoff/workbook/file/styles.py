"""How cells look. Inputs are told by a frame, a fill and a word in the heading, never by color alone."""

from __future__ import annotations

from openpyxl import Workbook
from openpyxl.cell import Cell
from openpyxl.styles import Alignment, Border, Font, NamedStyle, PatternFill, Protection, Side
from openpyxl.styles.differential import DifferentialStyle

FONT = "Arial"
INK, PAPER, SAND, MIST, SLATE = "FF1F2D33", "FFFFFFFF", "FFFFF3D6", "FFF1F4F4", "FF2E4A52"
TABS = {"input": "FFE0B040", "working": "FF8FA3A8", "result": "FF2E4A52", "catalog": "FFC9D3D6"}
"""Color of the sheet tabs, by kind of sheet; the sheet's second line names the kind too."""

_HAIR = Side(style="hair", color="FF9AA8AC")
_DASH = Side(style="dashed", color="FF9A6A00")
_THIN = Side(style="thin", color=SLATE)


def _style(
    name: str,
    *,
    bold: bool = False,
    italic: bool = False,
    size: float = 9,
    color: str = INK,
    fill: str = "",
    border: Border | None = None,
    align: Alignment | None = None,
    locked: bool = True,
) -> NamedStyle:
    return NamedStyle(
        name=f"takeoff {name}",
        font=Font(name=FONT, size=size, bold=bold, italic=italic, color=color),
        fill=PatternFill("solid", fgColor=fill) if fill else PatternFill(),
        border=border or Border(),
        alignment=align or Alignment(vertical="top"),
        protection=Protection(locked=locked),
    )


_WRAP = Alignment(vertical="top", wrap_text=True)
_MIDDLE = Alignment(horizontal="center", vertical="top")
_CREW = 9.5
"""Size of the text of the crew pages; they print at 0.95 of it or more."""

STYLES = {
    "crew title": _style("crew title", bold=True, size=14, align=Alignment(vertical="center")),
    "crew side": _style("crew side", bold=True, size=10),
    "crew text": _style("crew text", size=_CREW),
    "crew loud": _style("crew loud", bold=True, size=_CREW),
    "crew wrapped": _style("crew wrapped", size=_CREW, align=_WRAP),
    "crew cell": _style("crew cell", size=_CREW, border=Border(bottom=_HAIR), align=_WRAP),
    "crew bold": _style("crew bold", bold=True, size=_CREW, border=Border(bottom=_HAIR), align=_WRAP),
    "crew figure": _style("crew figure", size=_CREW, border=Border(bottom=_HAIR), align=_MIDDLE),
    "crew blank": _style(
        "crew blank", size=_CREW, border=Border(_THIN, _THIN, _THIN, _THIN), align=_WRAP, locked=False
    ),
    "crew head": _style(
        "crew head",
        bold=True,
        size=_CREW,
        border=Border(top=_THIN, bottom=_THIN),
        align=Alignment(vertical="center", wrap_text=True),
    ),
    "crew middle": _style(
        "crew middle",
        bold=True,
        size=_CREW,
        border=Border(top=_THIN, bottom=_THIN),
        align=Alignment(horizontal="center", vertical="center", wrap_text=True),
    ),
    "title": _style("title", bold=True, size=15, color=SLATE),
    "heading": _style("heading", bold=True, size=11, color=SLATE),
    "front": _style("front", bold=True, size=10, color=SLATE),
    "text": _style("text"),
    "wrapped": _style("wrapped", align=_WRAP),
    "note": _style("note", italic=True),
    "status": _style("status", bold=True, border=Border(bottom=_THIN)),
    "said": _style("said", bold=True),
    "band": _style(
        "band", bold=True, size=8, align=Alignment(horizontal="right", vertical="bottom", shrink_to_fit=True)
    ),
    "small head": _style(
        "small head", italic=True, align=Alignment(horizontal="right", vertical="bottom", wrap_text=True)
    ),
    "header": _style(
        "header", bold=True, size=8, color=PAPER, fill=SLATE, align=Alignment(vertical="center", wrap_text=True)
    ),
    "header front": _style(
        "header front", bold=True, color=PAPER, fill=SLATE, align=Alignment(vertical="center", wrap_text=True)
    ),
    "header input": _style(
        "header input",
        bold=True,
        size=8,
        fill=SAND,
        border=Border(_DASH, _DASH, _DASH, _DASH),
        align=Alignment(vertical="center", wrap_text=True),
    ),
    "page head": _style("page head", bold=True, color=PAPER, fill=SLATE),
    "page figures": _style(
        "page figures", bold=True, color=PAPER, fill=SLATE, align=Alignment(horizontal="right", vertical="top")
    ),
    "key": _style("key", bold=True, border=Border(bottom=_HAIR)),
    "fact": _style("fact", fill=MIST, border=Border(bottom=_HAIR)),
    "catalog": _style("catalog", fill=MIST, border=Border(bottom=_HAIR)),
    "input": _style("input", fill=SAND, border=Border(_DASH, _DASH, _DASH, _DASH), locked=False),
    "computed": _style("computed", border=Border(bottom=_HAIR)),
    "working": _style("working", size=8, color="FF5B6B70", border=Border(bottom=_HAIR)),
}
"""Every style of the workbook. Facts are read from the schedule, catalog entries from a catalog."""

LEGEND = (
    ("input", "input: change it here, everything follows"),
    ("fact", "fact: read from the schedule; change the schedule and build again"),
    ("catalog", "catalog: read from a catalog; lay your own rows over it with --catalogs"),
    ("key", "key: names the row"),
    ("computed", "computed: a live formula"),
    ("working", "working: a row number or helper that a formula to its right uses"),
)


class Styles:
    """Registers the styles in a workbook and gives the index a cell needs."""

    def __init__(self, book: Workbook) -> None:
        # widths of columns are counted in digits of the font of plain cells: it must be one that every machine has
        book._named_styles["Normal"].font = Font(name=FONT, size=10)
        book._fonts[0] = book._named_styles["Normal"].font
        for style in STYLES.values():
            book.add_named_style(style)
        # a cell that stands on no sheet lets openpyxl keep its own tables of formats
        self._cell = Cell(book.worksheets[0])
        self._known: dict[tuple[str, str, str], int] = {}

    def index(self, name: str, number_format: str = "General", align: str = "") -> int:
        """Return the index of a style with a number format; `align` is a word of `ALIGN` or nothing."""
        key = name, number_format, align
        if key not in self._known:
            self._cell.style = f"takeoff {name}"
            self._cell.number_format = number_format
            if align:
                self._cell.alignment = ALIGN[align, name.startswith("header")]
            self._known[key] = int(self._cell.style_id)
        return self._known[key]


ALIGN = {
    ("left", False): Alignment(horizontal="left", vertical="top", indent=1),
    ("right", False): Alignment(horizontal="right", vertical="top", indent=1),
    ("flush", False): Alignment(horizontal="right", vertical="top"),
    ("wrapped", False): Alignment(horizontal="left", vertical="top", indent=1, wrap_text=True),
    ("left", True): Alignment(horizontal="left", vertical="center", indent=1, wrap_text=True),
    ("right", True): Alignment(horizontal="right", vertical="center", indent=1, wrap_text=True),
    ("wrapped", True): Alignment(horizontal="left", vertical="center", indent=1, wrap_text=True),
}
"""Alignment by its word, for cells and for headings; text stands off from a number to its left, flush has no indent."""

FAILS = DifferentialStyle(font=Font(bold=True, color="FF8A1C1C"), fill=PatternFill(bgColor="FFF6D5D0"))
LOOK = DifferentialStyle(font=Font(italic=True, color="FF7A5200"), fill=PatternFill(bgColor="FFFCE9BD"))
"""Looks of an outcome, beside its word."""
CHANGED = DifferentialStyle(fill=PatternFill(bgColor="FFDDDDDD"))
"""Look of a line of the crew pages that changes, beside its word."""
