"""Supplier quotes: prices laid over the price list, each with its unit of measure, its date and how long it holds."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from takeoff.catalog.packages import by_length, packages_of
from takeoff.catalog.rows import Catalogs
from takeoff.job.cells import CellReader
from takeoff.text.dates import ACCEPTED, day_number
from takeoff.text.headings import plain, read_header
from takeoff.text.odd import is_date
from takeoff.text.problems import InputError, Problem, Problems, nearest
from takeoff.text.read import RawTable, read_table

NEEDED = ("item", "unit", "price_usd")
COLUMNS = (*NEEDED, "date", "valid_until", "discount_pct", "coil_ft", "kind", "note")
ALIASES = {"price": "price_usd", "unit of measure": "unit", "discount": "discount_pct"}
LENGTHS = ("ft", "coil")
"""Units of measure that only what is bought by length can have."""

NOTHING = "none"
"""Row of the price list that stands where nothing is bought: no quote has a price for it."""

QUOTED, SAMPLE = "quoted", "illustrative"
"""What the price of a row is: a supplier's, or invented for a sample."""

LARGEST_USD = 1e7
LONGEST_COIL_FT = 10_000
LONGEST_NOTE = 200


@dataclass(frozen=True)
class QuoteLine:
    """One price of one quote: `price_usd` buys `per` pieces or feet; a day is a number, 0 where it is not given."""

    file: str
    row: int
    item: str
    unit: str
    per: float
    price_usd: float
    discount_pct: float
    date: int
    valid_until: int
    kind: str
    note: str


FREE = QuoteLine("typed here", 0, NOTHING, "-", 1, 0, 0, 0, 0, QUOTED, "-")
"""A row of the workbook that waits for a quote."""


@dataclass(frozen=True)
class Quotes:
    """The lines of all quotes, in the order in which they were given, and what the user should know of them.

    `files` are the names of the quotes with the SHA-256 of what was read.
    """

    lines: Sequence[QuoteLine] = ()
    notices: Sequence[Problem] = ()
    files: Sequence[tuple[str, str]] = ()


def read_quotes(paths: Iterable[Path], catalogs: Catalogs) -> Quotes:
    """Return the lines of quotes.

    Parameters
    ----------
    paths
        CSV files, or workbooks with the quote on the first sheet.
    catalogs
        `prices` names the items, `units` the units of measure, `packages` the length of a coil.

    Raises
    ------
    InputError
        Everything wrong with every quote, by file, row and column.
    """
    lines: list[QuoteLine] = []
    notices: list[Problem] = []
    errors: list[Problem] = []
    files: dict[str, str] = {}
    for path in paths:
        try:
            table = read_table(path, row_for="each price")
        except InputError as wrong:
            errors += wrong.problems
            continue
        problems = Problems(table.file)
        if table.file in files:
            problems.error(None, "", "", "is the name of two quotes", "another name for one of them")
        files[table.file] = table.sha256
        lines += _parse(table, catalogs, problems)
        errors += problems.errors()
        notices += [p for p in problems.found if p.severity == "notice"]
    if errors:
        raise InputError(errors)
    return Quotes(lines, notices, list(files.items()))


def _parse(table: RawTable, catalogs: Catalogs, problems: Problems) -> list[QuoteLine]:
    places = _header(table, problems)
    days = {plain(name) for name in ("date", "valid_until")}
    problems.found += [p for p in table.problems if not (plain(p.column) in days and is_date(p))]
    if any(p.row in (None, table.header_row) for p in problems.errors()):
        return []
    reader = _LineReader(catalogs, problems)
    columns = {place: name for name, place in places.items()}
    for number, cells in table.rows:
        reader.cell.row = number
        reader.cell.check_row(cells, len(table.header), columns)
        texts = {name: cells[place].strip() if place < len(cells) else "" for name, place in places.items()}
        reader.read(number, texts)
    if not table.rows:
        problems.error(table.header_row + 1, "item", "", "no row follows the header", "one row for each price")
    return reader.lines


def _header(table: RawTable, problems: Problems) -> dict[str, int]:
    known = {plain(c): c for c in COLUMNS} | {plain(said): column for said, column in ALIASES.items()}
    places, extra = read_header(table, known, problems)
    for name in NEEDED:
        if name not in places:
            problems.error(table.header_row, name, "", "is missing from the header", "columns " + ", ".join(COLUMNS))
    if extra:
        names = ", ".join(name for name, _ in extra)
        problems.notice(table.header_row, "", names, "columns of the quote that are not used:")
    return places


class _LineReader:
    """Converts the rows of one quote."""

    def __init__(self, catalogs: Catalogs, problems: Problems) -> None:
        self.catalogs, self.problems = catalogs, problems
        self.cell = CellReader(catalogs, problems)
        self.lines: list[QuoteLine] = []
        self._rows: dict[str, int] = {}

    def read(self, number: int, texts: dict[str, str]) -> None:
        """Convert the row that the cell reader stands at; one without an item is kept as a notice."""
        get = texts.get
        if not get("item", ""):
            said = " ".join(t for t in texts.values() if t)
            self.problems.notice(number, "item", said, "is blank: this price is not used:")
            return
        item = self._item(get("item", ""))
        unit, per = self._unit(item, get("unit", ""), get("coil_ft", ""))
        price = self.cell.number("price_usd", get("price_usd", ""), 0, LARGEST_USD)
        if not get("price_usd", ""):
            self.cell.error("price_usd", "", "is blank", "what one unit of measure costs, USD")
        elif price == 0:
            self.cell.error("price_usd", get("price_usd", ""), "is no price:", "more than 0")
        date, valid_until = (self._day(column, get(column, "")) for column in ("date", "valid_until"))
        if date and valid_until and valid_until < date:
            self.cell.error("valid_until", get("valid_until", ""), "is before the date of the quote:", "a later date")
        if len(get("note", "")) > LONGEST_NOTE:
            self.cell.error("note", get("note", ""), "is too long:", f"at most {LONGEST_NOTE} characters")
        discount = self.cell.number("discount_pct", get("discount_pct", ""), 0, 100) or 0.0
        self.lines.append(
            QuoteLine(
                file=self.problems.file,
                row=number,
                item=item,
                unit=unit,
                per=per,
                price_usd=price or 0.0,
                discount_pct=discount,
                date=date,
                valid_until=valid_until,
                kind=self._kind(get("kind", "")),
                note=get("note", ""),
            )
        )

    def _item(self, text: str) -> str:
        known = self.catalogs["prices"]
        if text not in known or text.casefold() == NOTHING:
            items = [key for key in known.keys if key != NOTHING]
            self.cell.error("item", text, "is not an item of the price list:", nearest(text, items))
            return ""
        item = str(known[text]["key"])
        first = self._rows.setdefault(item, self.cell.row)
        if first != self.cell.row:
            self.cell.error("item", text, f"stands in row {first} too:", "one price for each item in a quote")
        return item

    def _unit(self, item: str, text: str, coil: str) -> tuple[str, float]:
        """Return the unit of measure, and how many pieces or feet one price buys."""
        units = self.catalogs["units"]
        accepted = [*units.keys, "coil"]
        spelled = {key.casefold(): key for key in accepted}
        unit = spelled.get(text.casefold(), "")
        if not unit:
            self.cell.error("unit", text, "is not a unit of measure:", "accepted: " + ", ".join(accepted))
            return "", 1
        if unit in LENGTHS and item and not by_length(item, self.catalogs):
            self.cell.error("unit", text, f"does not fit {item}, which is counted by the piece:", "each, C or M")
        if unit != "coil":
            if coil:
                self.cell.error("coil_ft", coil, "is given, but the unit of measure is not coil:", "leave it blank")
            return unit, float(str(units[unit]["count"]))
        length = self.cell.number("coil_ft", coil, 1, LONGEST_COIL_FT)
        lengths = [count for _, count in packages_of(item, self.catalogs)] if item else []
        if item and not coil and not lengths:
            self.cell.error("coil_ft", "", "is blank", f"the feet of one coil; the catalog has no package for {item}")
        return unit, length or min(lengths, default=1.0)

    def _kind(self, text: str) -> str:
        if text and text.casefold() not in (QUOTED, SAMPLE):
            accepted = f"{QUOTED}, or {SAMPLE} for an invented price; blank is {QUOTED}"
            self.cell.error("kind", text, "is not a kind of price:", accepted)
        return text.casefold() or QUOTED

    def _day(self, column: str, text: str) -> int:
        day = day_number(text) if text else 0
        if day is None:
            self.cell.error(column, text, "is not a date:", ACCEPTED)
        return day or 0
