"""What a conductor takes in a box in the edition in force: each size and each part once, for all types."""

from __future__ import annotations

from takeoff.engine.expr import Expr, col, given
from takeoff.engine.lookups import At, Match
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame


def size_in3(awg: Expr) -> Expr:
    """Return the allowance of a conductor of a size in the edition in force, 0 where its table has none."""
    return At("sizes_in_force", "volume_in3", Match("sizes_in_force", "awg", awg, missing_ok=True), 0)


def _in_force(frame: Frame, catalog: str, key: str) -> tuple[list[str], Expr]:
    """Return the keys of a catalog by edition, and the row of each in the edition in force, 0 where it has none."""
    keys = list(dict.fromkeys(str(row[key]) for row in frame.catalogs[catalog]))
    return keys, Match(catalog, "key", given("code_edition") & "|" & col(key), missing_ok=True)


def sizes_in_force_table(frame: Frame) -> Table:
    """Volume of a conductor of each size: Table 314.16(B)."""
    sizes, row = _in_force(frame, "allowances", "awg")
    return Table(
        "sizes_in_force",
        "Volume of a conductor in the edition in force",
        [Field("awg", "size", "AWG", role="key")],
        [
            Column("row", "row in the catalog", "no.", row),
            Column(
                "volume_in3", "volume", "in3", At("allowances", "volume_in3", col("row"), 0), "Table 314.16(B)", "0.00"
            ),
        ],
        {"awg": sizes},
        key="awg",
    )


def parts_in_force_table(frame: Frame) -> Table:
    """Allowances of each part that takes room: 314.16(B)(1) to (5)."""
    parts, row = _in_force(frame, "fill_parts", "part")
    return Table(
        "parts_in_force",
        "Allowances of each part in the edition in force",
        [Field("part", "what takes room", role="key", width=18)],
        [
            Column("row", "row in the catalog", "no.", row),
            Column(
                "each", "allowances each", "ea", At("fill_parts", "allowances_each", col("row"), 0), "314.16(B)", "0.00"
            ),
        ],
        {"part": parts},
        key="part",
    )
