"""The order as text files: what to buy in packages, and which runs are cut from which coil."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from takeoff.build import Build
from takeoff.engine.tables import Book
from takeoff.model.order.cables import CUTS, HEADINGS, ORDER, REST, REST_CUTS, REST_ORDER, CableOrder
from takeoff.model.order.order import rest_order
from takeoff.model.order.rest import swapped
from takeoff.report.plain import plain
from takeoff.text.csv_text import csv_text


def order_texts(build: Build) -> dict[str, str]:
    """Return the texts of the files, by name: lengths in ft, counts as bought."""
    rest = swapped(build.book, build.rest.orders)
    return {
        ORDER: csv_text(_packages(build, ORDER, build.book)),
        CUTS: csv_text(_cuts(CUTS, build.orders)),
        REST: csv_text(_rest(build)),
        REST_ORDER: csv_text(_packages(build, REST_ORDER, rest_order(build.book, build.frame, build.rest))),
        REST_CUTS: csv_text(_cuts(REST_CUTS, rest)),
    }


def _rest(build: Build) -> Iterable[Sequence[object]]:
    """Yield what remains by item in both plans of the swap, what goes back, and what that costs."""
    values = build.book.values
    yield HEADINGS[REST]
    names = ("rest_item", "from_quantity", "to_quantity", "back")
    known = dict(zip(*(values("material", n) for n in ("item", "title")), strict=True))
    units = dict(zip(*(values("material", n) for n in ("item", "counted_in")), strict=True))
    count = len(values("rest_list", "rest_item"))
    charged = any(c.name == "restock_usd" for c in build.book.tables["rest_list"].columns)
    charges = values("rest_list", "restock_usd").tolist() if charged else [0.0] * count
    for item, old, new, back, charge in zip(*(values("rest_list", n).tolist() for n in names), charges, strict=True):
        if old or new:
            figures = (plain(round(number, 4)) for number in (old, new, back))
            yield item, known[item], units[item], *figures, plain(round(charge, 2))


def _packages(build: Build, file: str, book: Book) -> Iterable[Sequence[object]]:
    """Yield the order list of a book: that of the job, or of what remains."""
    yield HEADINGS[file]
    columns = [book.values("order_list", n).tolist() for n in ("item", "title", "package", "holds", "by")]
    units = dict(zip(*(build.book.values("material", n) for n in ("item", "counted_in")), strict=True))
    for place, plan in enumerate(build.frame.compared, start=1):
        counts = book.values("order_list", f"buy_{place}").tolist()
        for item, title, package, holds, by, count in zip(*columns, counts, strict=True):
            if count:
                yield plan, item, title, package, plain(holds), units[item], plain(count), by


def _cuts(file: str, orders: Sequence[CableOrder]) -> Iterable[Sequence[object]]:
    yield HEADINGS[file]
    for order in orders:
        coils = [(coil.length_ft, coil.pieces) for coil in order.cutting.coils]
        coils += [(order.pieces[n].cut_ft, (n,)) for n in order.cutting.too_long]
        for number, (length, pieces) in enumerate(coils, start=1):
            for piece in (order.pieces[n] for n in pieces):
                yield (
                    order.plan,
                    order.item,
                    number,
                    plain(length),
                    piece.box,
                    piece.circuit,
                    piece.time,
                    plain(piece.cut_ft),
                )
