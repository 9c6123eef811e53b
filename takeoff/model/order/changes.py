"""Whether what a cutting plan was made for is still so: runs, and the coils and reels that cable is sold in."""

from __future__ import annotations

from takeoff.engine.aggregates import SumProducts
from takeoff.engine.expr import Expr, at_most, call, col, given, when
from takeoff.engine.lookups import look
from takeoff.engine.tables import Book, Column, Field, Table
from takeoff.model.frame import Frame

FEET, WHOLE = "#,##0.0", "#,##0"


def changed(now: Expr, built: Expr) -> Expr:
    """Return 1 where a figure is not what it was on the build."""
    return when(at_most(call("absolute", now - built), given("proof_tolerance")), 0, 1)


def package_changes_table(frame: Frame) -> Table:
    """Whether anything sold by length has other packages than on the build; a sum of squares, which none balance."""
    built = sum(float(str(r["count"])) ** 2 for r in frame.catalogs["packages"] if r["counted_in"] == "ft")
    now = SumProducts("packages", ["count", "count"], {"counted_in": "ft"})
    return Table(
        "package_changes",
        "Coils and reels on the build and now",
        [Field("key", "key", role="key"), Field("built", "lengths squared, on the build", "in its unit", format=WHOLE)],
        [
            Column("now", "lengths squared, now", "in its unit", now, format=WHOLE),
            Column("open", "changed since", "0/1", changed(col("now"), col("built"))),
        ],
        {"key": ["packages"], "built": [built]},
    )


def run_sums_table(frame: Frame) -> Table:
    """A sum that moves when two runs of a plan change against each other and their total does not."""
    by_place = SumProducts("each", ["repeat", "sheath_ft", "no"], {"plan": col("plan")})
    return Table(
        "run_sums",
        "Runs by their places",
        [Field("plan", "plan", role="key", width=14)],
        [Column("now", "feet x number of the box", "in its unit", by_place, format=FEET)],
        {"plan": list(frame.compared)},
        key="plan",
    )


def run_changes_table(book: Book, frame: Frame) -> Table:
    """Whether the runs of a plan are as they were on the build."""
    now = look("run_sums", "now", col("plan"), by="plan")
    return Table(
        "run_changes",
        "Runs on the build and now",
        [
            Field("plan", "plan", role="key", width=14),
            Field("built", "feet x number of the box, on the build", "in its unit", format=FEET),
        ],
        [
            Column("now", "feet x number of the box, now", "in its unit", now, format=FEET),
            Column("open", "changed since", "0/1", changed(col("now"), col("built"))),
        ],
        {"plan": list(frame.compared), "built": book.values("run_sums", "now")},
        key="plan",
    )
