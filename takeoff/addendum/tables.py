"""The tables of the sheet Changes: what moved and by which cause, what was changed by hand, what else is new."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from takeoff.addendum.altered import Difference, input_differences, schedule_differences
from takeoff.addendum.carry import Carried
from takeoff.addendum.edits import Edit, given_tables, keys_of, shown
from takeoff.addendum.found import plain_text
from takeoff.addendum.moves import CAUSES, Moves, moves
from takeoff.build import Build
from takeoff.engine.expr import Expr, call, col
from takeoff.engine.tables import Column, Field, Table

NOTHING = "-"
FORM, SIGNED = "#,##0.00;-#,##0.00;0", "+#,##0.00;-#,##0.00;0"
WIDTHS = (14, 34, 18, 15, 14, 13, 13, 9, 9)
"""Widths of the columns: the tables stand below each other, figures over texts, on one page of paper."""


def change_tables(old: Build, new: Build, hand: Sequence[tuple[Edit, str]]) -> tuple[list[Table], Moves]:
    """Return the tables of the sheet Changes, and the moves in them.

    Parameters
    ----------
    old
        The earlier build as it stood, changed by hand.
    new
        The new build.
    hand
        What was changed by hand in the earlier workbook, each with what became of it.
    """
    found = moves(old, new)
    made = [
        _moves_table(found),
        _hand_table(hand, found),
        _differences_table("schedule", "Boxes and circuits", schedule_differences(old, new)),
        _differences_table("inputs", "Inputs, prices, minutes and catalogs", input_differences(old, new)),
    ]
    return made, found


def fates(done: Carried) -> list[tuple[Edit, str]]:
    """Return what was changed by hand, each with what became of it: not carried first."""
    now = _now(done.fresh)
    refused = [(r.edit, f"NOT CARRIED: {r.why}") for r in done.refused]
    return [*refused, *((e, _fate(e, now)) for e in done.placed)]


def _fate(edit: Edit, now: Mapping[tuple[str, ...], str]) -> str:
    """Say that a change was carried, and what the new build has there by itself where it is not as it was."""
    alone = now.get((edit.title, edit.row, edit.column))
    if edit.added or alone is None or alone == edit.shown(edit.shipped):
        return "carried"
    if alone == edit.shown(edit.edited):
        return "carried; the new build says the same"
    return f"carried over {alone}, which the new build says here"


def _now(build: Build) -> dict[tuple[str, ...], str]:
    """Return what stands in every cell of the inputs of a build, by table, row and column."""
    found: dict[tuple[str, ...], str] = {}
    for table, _ in given_tables(build):
        keys = list(zip(*([plain_text(v) for v in table.data[n]] for n in keys_of(table, build)), strict=True))
        for column in table.fields:
            for key, value in zip(keys, table.data[column.name], strict=True):
                typed = value if isinstance(value, str) else float(str(value))
                found[table.title, " | ".join(key), column.name] = shown(typed, column.unit)
    return found


def _moves_table(found: Moves) -> Table:
    causes = {cause: cause.replace(" ", "_") for cause in CAUSES}
    explained: Expr = col("after") - col("before")
    for name in causes.values():
        explained = explained - col(name)
    rows = found.figures
    return Table(
        "change_moves",
        "What moved, by cause in this order",
        [
            Field("plan", "plan", role="key", width=WIDTHS[0]),
            Field("figure", "figure of the Summary", role="key", width=WIDTHS[1]),
            Field("before", "before", "in its unit", format=FORM, width=WIDTHS[2]),
            *(
                Field(name, f"by {cause}", "in its unit", format=SIGNED, width=width)
                for (cause, name), width in zip(causes.items(), WIDTHS[3:], strict=False)
            ),
            Field("after", "after", "in its unit", format=FORM, width=12),
        ],
        [
            Column(
                "unexplained",
                "not explained",
                "in its unit",
                call("nine", explained),
                "after less before less every cause: 0, or a step is missing",
                FORM,
                width=10,
            )
        ],
        {
            "plan": [m.plan for m in rows],
            "figure": [m.figure for m in rows],
            "before": [m.before for m in rows],
            "after": [m.after for m in rows],
            **{n: [m.by_cause[cause] for m in rows] for cause, n in causes.items()},
        },
        key="figure",
    )


def _hand_table(hand: Sequence[tuple[Edit, str]], found: Moves) -> Table:
    rows = [
        (e.sheet, fate, e.title, e.row, e.heading or "a row added", e.shown(e.shipped), _typed(e)) for e, fate in hand
    ]
    rows += [("-", said, "What moved", "-", "-", "-", "-") for said in found.joined]
    sides = "as it was written", "as it was changed"
    return _texts("change_hand", "Changed by hand in the earlier workbook", sides, rows)


def _typed(edit: Edit) -> str:
    if edit.added:
        return ", ".join(f"{name} {plain_text(value)}" for name, value in edit.added.items())
    return edit.shown(edit.edited)


def _differences_table(name: str, title: str, found: Sequence[Difference]) -> Table:
    rows = [(d.sheet, d.what, d.table, d.row, d.cell, d.before, d.after) for d in found]
    return _texts(f"change_{name}", title, ("before", "after"), rows)


def _texts(name: str, title: str, sides: tuple[str, str], rows: Sequence[Sequence[str]]) -> Table:
    """Return a table of texts, `sides` being what stood in a cell first and last; without rows it says nothing."""
    fields = [
        Field("sheet", "sheet", role="key", width=WIDTHS[0]),
        Field("fate", "what became of it", width=WIDTHS[1]),
        *(Field(n, n, role="key", width=w) for n, w in zip(("table", "row", "cell"), WIDTHS[2:], strict=False)),
        *(Field(n, said, width=w) for n, said, w in zip(("first", "last"), sides, WIDTHS[5:], strict=False)),
    ]
    lines = list(rows) or [(NOTHING, "nothing", *[NOTHING] * 5)]
    data = {f.name: [line[k] for line in lines] for k, f in enumerate(fields)}
    return Table(name, title, fields, [], data, key="row")
