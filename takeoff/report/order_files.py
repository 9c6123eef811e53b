"""The order as text files: what to buy in packages, and which runs are cut from which coil."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from takeoff.build import Build
from takeoff.model.order.cables import CUTS, HEADINGS, ORDER
from takeoff.report.plain import plain
from takeoff.text.csv_text import csv_text


def order_texts(build: Build) -> dict[str, str]:
    """Return the texts of the files, by name: lengths in ft, counts as bought."""
    return {ORDER: csv_text(_packages(build)), CUTS: csv_text(_cuts(build))}


def _packages(build: Build) -> Iterable[Sequence[object]]:
    book = build.book
    yield HEADINGS[ORDER]
    columns = [book.values("order_list", n).tolist() for n in ("item", "title", "package", "holds", "by")]
    units = dict(zip(book.values("material", "item"), book.values("material", "counted_in"), strict=True))
    for place, plan in enumerate(build.frame.compared, start=1):
        counts = book.values("order_list", f"buy_{place}").tolist()
        for item, title, package, holds, by, count in zip(*columns, counts, strict=True):
            if count:
                yield plan, item, title, package, plain(holds), units[item], plain(count), by


def _cuts(build: Build) -> Iterable[Sequence[object]]:
    yield HEADINGS[CUTS]
    for order in build.orders:
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
