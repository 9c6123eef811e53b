"""The inputs as tables: numbers with their limits, choices with what they accept, and what only a build changes."""

from __future__ import annotations

from takeoff.catalogs import Row
from takeoff.expr import at_most, call, col, when
from takeoff.model.frame import Frame
from takeoff.settings import Inputs, choices_of
from takeoff.tables import Column, Field, Table

BASE = "base_construction"
"""The input that stands on the summary, where the comparison is shown and changed."""


def _table(
    name: str,
    title: str,
    rows: list[Row],
    inputs: Inputs,
    role: str,
    accepted: list[str],
    limits: list[Field],
    columns: list[Column],
) -> Table:
    """Return a table of inputs; all of them have the same columns in the same place."""
    return Table(
        name,
        title,
        [
            Field("title", "input", role="key", width=36),
            Field("key", "name for --set", role="key", width=22),
            Field("value", "value", "by row" if limits else "", role, width=22),
            Field("unit", "unit", width=11),
            Field("accepted", "accepted", width=22),
            Field("note", "what it changes", width=54),
            Field("source", "source", width=54),
            *limits,
        ],
        columns,
        {
            "key": [r["name"] for r in rows],
            "value": [inputs[str(r["name"])] for r in rows],
            "accepted": list(accepted),
            **{n: [r[n] for r in rows] for n in ("title", "unit", "note", "source")},
            **{f.name: [float(str(r[f.name])) for r in rows] for f in limits},
        },
    )


def numbers_table(frame: Frame, inputs: Inputs) -> Table:
    """Inputs that are numbers; a value outside the limits is flagged, never changed."""
    rows = [r for r in frame.catalogs["inputs"] if r["kind"] == "number" and r["live"]]
    inside = call("all", at_most(col("minimum"), col("value")), at_most(col("value"), col("maximum")))
    limits = [Field("minimum", "not under", "by row"), Field("maximum", "not above", "by row")]
    flag = Column("flag", "range", "", when(inside, "in range", "OUT OF RANGE"), width=15)
    accepted = [f"{r['minimum']} to {r['maximum']} {r['unit']}" for r in rows]
    return _table("numbers", "Inputs that are numbers", rows, inputs, "input", accepted, limits, [flag])


def choices_table(frame: Frame, inputs: Inputs) -> Table:
    """Inputs that are a choice or a text."""
    rows = [r for r in frame.catalogs["inputs"] if r["kind"] != "number" and r["live"] and r["name"] != BASE]
    return _table(
        "choices", "Inputs that are a choice or a text", rows, inputs, "input", _accepted(rows, frame), [], []
    )


def built_with_table(frame: Frame, inputs: Inputs) -> Table:
    """Inputs that take effect on the next build only: they decide what was read and wired."""
    rows = [r for r in frame.catalogs["inputs"] if not r["live"]]
    title = "Used in the build: change with --set and build again"
    return _table("built_with", title, rows, inputs, "fact", _accepted(rows, frame), [], [])


def _accepted(rows: list[Row], frame: Frame) -> list[str]:
    return [", ".join(choices_of(r, frame.catalogs)) if r["kind"] == "choice" else "any text" for r in rows]
