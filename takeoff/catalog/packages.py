"""How things are sold: coils and reels of a standard length, cartons of a standard count."""

from __future__ import annotations

from takeoff.catalog.rows import Catalogs, Row

FEET, PIECES = "ft", "ea"
LENGTH_COLUMNS = ("sheath_item", "wire_item", "egc_item")
"""Columns of the cables catalog that name what is bought by length."""


def by_length(item: str, catalogs: Catalogs) -> bool:
    """Say whether an item is bought by length: cable, raceway or single conductors."""
    listed = any(row[column] == item for row in catalogs["cables"] for column in LENGTH_COLUMNS)
    return listed or any(row["sheath_item"] == item for row in catalogs["control_cables"])


def counted_in(item: Row, catalogs: Catalogs) -> str:
    """Return ft for what is bought by length, ea for the rest."""
    return FEET if by_length(str(item["item"]), catalogs) else PIECES


def packages_of(item: str, catalogs: Catalogs) -> list[tuple[str, float]]:
    """Return the packages an item is sold in, smallest first: key and how many feet or pieces one holds.

    Rows for the item itself come before rows for its family; an item without either is sold by the piece.
    """
    price = catalogs["prices"][item]
    unit = counted_in(price, catalogs)
    rows = [r for r in catalogs["packages"] if r["item"] == item]
    rows = rows or [
        r
        for r in catalogs["packages"]
        if r["item"] == "none" and (r["family"], r["counted_in"]) == (price["family"], unit)
    ]
    return sorted(((str(r["package"]), float(str(r["count"]))) for r in rows), key=lambda p: p[1])
