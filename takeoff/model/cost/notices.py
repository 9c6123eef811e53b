"""What the user should know of the prices in use: expired quotes, missing prices, probable slips of the unit."""

from __future__ import annotations

from collections.abc import Iterator

from takeoff.engine.tables import Book
from takeoff.model.frame import Frame
from takeoff.text.problems import Problem

NOTICE = "notice"


def price_notices(book: Book, frame: Frame) -> list[Problem]:
    """Return a notice for every price that must be looked at before a total is used.

    Parameters
    ----------
    book
        The computed book: only what some plan buys is spoken of, except slips, which may hide in any quote.
    frame
        Its quotes.
    """
    return [*_untested(book, frame), *_slips(book, frame), *_expired(book, frame), *_missing(book, frame)]


def _untested(book: Book, frame: Frame) -> Iterator[Problem]:
    if not book.inputs["estimate_date"] and any(line.valid_until for line in frame.quotes):
        said = "is not given: no quote was tested for having expired"
        yield Problem("inputs", None, "estimate_date", "", said, "the date of the estimate", NOTICE)


def _slips(book: Book, frame: Frame) -> Iterator[Problem]:
    names = ("slip", "above_lowest", "above_catalog", "above_lowest_slip")
    columns = [book.values("quote_lines", n).tolist() for n in names]
    for line, slip, above_lowest, above_catalog, among_quotes in zip(frame.quotes, *(c for c in columns), strict=False):
        if slip:
            times, other = (above_lowest, "the lowest quote") if among_quotes else (above_catalog, "the price list")
            shown = f"{times:,.0f}" if times > 1 else f"{times:.2g}"
            said = f"is {shown} times {other} for {line.item}: a slip of the unit of measure?"
            yield Problem(line.file, line.row, "price_usd", f"{line.price_usd:g} {line.unit}", said, "", NOTICE)


def _used(book: Book, frame: Frame, flag: str) -> list[str]:
    """Return the items that any plan uses and that have a flag."""
    used = sum(book.values("material", f"net_{n}") for n, _ in enumerate(frame.compared, start=1))
    flagged = (used > 0) & (book.values("unit_costs", flag) > 0)
    return [str(item) for item in book.values("unit_costs", "item")[flagged]]


def _expired(book: Book, frame: Frame) -> Iterator[Problem]:
    rows = dict(zip(book.values("unit_costs", "item"), book.values("unit_costs", "expired_row"), strict=True))
    for item in _used(book, frame, "expired"):
        line = frame.quotes[int(rows[item]) - 1]
        said = "has expired, and no other quote of the item holds: it is used and flagged"
        yield Problem(line.file, line.row, "valid_until", item, said, "", NOTICE)


def _missing(book: Book, frame: Frame) -> Iterator[Problem]:
    for item in _used(book, frame, "missing"):
        said = "has no price: totals that need it are not complete"
        yield Problem("prices", None, "price_usd", item, said, "a price list row or a quote", NOTICE)
