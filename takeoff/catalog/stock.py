"""Which boxes a shop stocks, by family: the table `stocked` of an inputs file, laid over the boxes of the catalog."""

from __future__ import annotations

from takeoff.catalog.rows import Catalog, Catalogs, Row
from takeoff.text.problems import Problems, nearest

STOCKED = "stocked"
"""The table of an inputs file: for each family that it names, the boxes that are stocked, and no others of it."""


def with_own_stock(catalogs: Catalogs, own: object, file: str) -> Catalogs:
    """Return the catalogs with the stock of the inputs file; families that it does not name stay as they are.

    Parameters
    ----------
    own
        The table `stocked` of the file: keys of boxes by family, as a list or as one text.
    file
        Name of the inputs file, for messages.

    Raises
    ------
    InputError
        No table, a family or a box that is unknown, a box of another family.
    """
    problems = Problems(file)
    sizes = catalogs["box_sizes"]
    if not isinstance(own, dict):
        accepted = 'a table [stocked] with lines such as square = ["square-4x1.5"]'
        problems.error(None, STOCKED, str(own), "is no table of families:", accepted)
        own = {}
    rows: list[Row] = []
    for family, value in own.items():
        column, boxes = f"{STOCKED}.{family}", boxes_named(value)
        mine = [row for row in sizes if row["family"] == family]
        if not mine:
            problems.error(None, column, family, "is not a family of boxes:", nearest(family, sizes.texts("family")))
        for box in boxes if mine else ():
            _check(box, family, column, sizes, problems)
        wanted = {box.casefold() for box in boxes}
        rows += [
            {**row, STOCKED: int(str(row["key"]).casefold() in wanted), "source": _stated(str(row["source"]))}
            for row in mine
        ]
    problems.stop_on_errors()
    return {**catalogs, "box_sizes": sizes.laid_over(rows)}


def _stated(source: str) -> str:
    """Return the source of a box without what says that its stock is invented."""
    return "; ".join(said for said in source.split("; ") if not said.startswith("illustrative")) or "convention"


def _check(box: str, family: str, column: str, sizes: Catalog, problems: Problems) -> None:
    if box not in sizes:
        problems.error(None, column, box, "is not a box of the catalog:", nearest(box, sizes.keys))
    elif sizes[box]["family"] != family:
        problems.error(None, column, box, f"is a box of the family {sizes[box]['family']}:", "a box of this family")


def boxes_named(value: object) -> list[str]:
    """Return the boxes of a family as the table says them, as a list or as one text."""
    return [str(part).strip() for part in (value if isinstance(value, list) else str(value).split())]
