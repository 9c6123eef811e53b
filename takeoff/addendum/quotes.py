"""Changed prices of quotes, and prices added, as quote files."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from takeoff.addendum.edits import NOT_THERE, Edit
from takeoff.addendum.found import plain_text
from takeoff.build import Build
from takeoff.catalog.packages import by_length
from takeoff.job.quotes import FREE, QUOTED, QuoteLine
from takeoff.job.sources import table_text
from takeoff.model.frame import NOTHING
from takeoff.text.dates import iso
from takeoff.workbook.file.reading import Formula, Value

ITEM = "item"
HEADINGS = ("item", "unit", "price", "date", "valid until", "discount_pct", "coil_ft", "kind", "note")
CHANGED = ("item", "per", "price_usd", "discount_pct", "date", "valid_until", "kind", "note")
"""Cells of a quoted price that a person changes."""

ADDED = "added-by-hand"
"""Quote file of prices that were added without the name of one; a second one where an item has two, and so on."""


class QuoteFiles:
    """Quotes by file; those that nothing changes stay as they are."""

    def __init__(self, files: Mapping[str, str], fresh: Build) -> None:
        self.files, self.fresh = dict(files), fresh
        self._lines: dict[str, list[QuoteLine]] = {}

    def lay(self, edit: Edit) -> str:
        """Lay a changed cell or an added price into its quote, or return why it has no place."""
        if edit.added:
            return self._add(edit)
        quote, item = edit.key
        if item == NOTHING:
            return "no quote was given: the line stands for nothing"
        lines = self._of(quote)
        place = next((n for n, line in enumerate(lines) if line.item.casefold() == item.casefold()), None)
        if place is None:
            return "the new build has no such price in a quote of this name"
        if edit.column not in CHANGED:
            return "it is no input: change it in the quote and build again"
        if edit.column == ITEM:
            item = plain_text(edit.edited)
            why = self._not_accepted(item, lines)
            lines[place] = lines[place] if why else replace(lines[place], item=item)
            return why
        made = self._with(lines[place], {edit.column: edit.edited})
        if isinstance(made, str):
            return made
        lines[place] = made
        return ""

    def texts(self) -> dict[str, str]:
        """Return every quote as text."""
        return {**self.files, **{name: _text(lines) for name, lines in self._lines.items()}}

    def _of(self, quote: str) -> list[QuoteLine]:
        """Return the lines of a quote, to be changed."""
        if quote not in self._lines and quote in self.files:
            self._lines[quote] = [line for line in self.fresh.quotes.lines if line.file == quote]
        return self._lines.get(quote, [])

    def _add(self, edit: Edit) -> str:
        quote, item = edit.key
        name = quote if quote in self.files else _file_name(quote) or self._name_for(item)
        lines = self._of(name) if name in self.files else self._lines.setdefault(name, [])
        if why := self._not_accepted(item, lines):
            return why
        row = max((line.row for line in lines), default=1) + 1
        unit = plain_text(edit.added.get("unit", ""))
        per = float(str(self.fresh.catalogs["units"][unit]["count"])) if unit in self.fresh.catalogs["units"] else 1.0
        nothing = QuoteLine(name, row, item, unit, per, 0.0, 0.0, 0, 0, QUOTED, "")
        made = self._with(nothing, {n: v for n, v in edit.added.items() if n in CHANGED and n != ITEM})
        if isinstance(made, str):
            return made
        lines.append(made)
        return ""

    def _name_for(self, item: str) -> str:
        """Return the file of a price that names no quote: the first that has no price for the item."""
        names = (f"{ADDED}{n}.csv" for n in ("", *(f"-{more}" for more in range(2, 100))))
        return next(n for n in names if not any(line.item.casefold() == item.casefold() for line in self._of(n)))

    def _not_accepted(self, item: str, lines: list[QuoteLine]) -> str:
        """Return why a quote with these lines may have no price for an item; nothing where it may."""
        if item in ("", NOTHING):
            return "a price was typed, and no item for it was chosen"
        if item not in self.fresh.catalogs["prices"]:
            return "a price was added for an item that is not in the price list"
        if any(line.item.casefold() == item.casefold() for line in lines):
            return "the quote has a price for this item already"
        return ""

    def _with(self, line: QuoteLine, cells: Mapping[str, Value]) -> QuoteLine | str:
        """Return a price with changed cells, or why they are not accepted."""
        made = line
        for name, value in cells.items():
            if isinstance(value, Formula):
                return value.why_not
            if name in ("kind", "note"):
                made = replace(made, **{name: plain_text(value)})  # type: ignore[arg-type]
                continue
            number = 0.0 if value == NOT_THERE else value
            if isinstance(number, str):
                return f'"{number}" is not a number'
            if name == "per":
                unit = self._unit(made, number)
                if not unit:
                    return f"no unit of measure buys {plain_text(number)}: each 1, C 100, M 1000, or feet of a coil"
                made = replace(made, unit=unit, per=number)
            elif name in ("date", "valid_until"):
                made = replace(made, **{name: int(number)})  # type: ignore[arg-type]
            else:
                made = replace(made, **{name: number})  # type: ignore[arg-type]
        return made

    def _unit(self, line: QuoteLine, per: float) -> str:
        """Return the unit of measure that buys so many pieces or feet; a coil does for any length."""
        units, long = self.fresh.catalogs["units"], by_length(line.item, self.fresh.catalogs)
        fits = [k for k in units.keys if float(str(units[k]["count"])) == per and (long or k != "ft")]
        if line.unit in fits or (long and line.unit == "coil"):
            return line.unit
        return ("ft" if "ft" in fits else fits[0]) if fits else "coil" if long else ""


def _text(lines: list[QuoteLine]) -> str:
    """Return a quote as CSV, each price in the row where it stood."""
    rows: list[tuple[int, tuple[object, ...]]] = [(1, HEADINGS)]
    for line in sorted(lines, key=lambda x: x.row):
        coil = plain_text(line.per) if line.unit == "coil" else ""
        days = [iso(day) if day else "" for day in (line.date, line.valid_until)]
        figures = [plain_text(line.price_usd), *days, plain_text(line.discount_pct) if line.discount_pct else ""]
        rows.append((max(line.row, 2), (line.item, line.unit, *figures, coil, line.kind, line.note)))
    return table_text(rows)


def _file_name(quote: str) -> str:
    """Return the name of a quote file for prices added under a name; nothing where they have none."""
    name = "" if quote == FREE.file else re.sub(r"[^\w. -]+", "-", quote).strip(" .-")
    return (name if name.casefold().endswith(".csv") else f"{name}.csv") if name else ""
