"""The inputs as tables: numbers with their limits, choices with what they accept, and what only a build changes."""

from __future__ import annotations

from dataclasses import replace

from takeoff.catalog.rows import Row
from takeoff.engine.expr import Expr, call, col, equal, same, when
from takeoff.engine.lookups import look
from takeoff.engine.tables import Column, Field, Table
from takeoff.job.inputs import PLAN_KEYS, Inputs, choices_of
from takeoff.model.frame import INVENTED, MEASURED, Frame
from takeoff.text.dates import ACCEPTED, NOT_GIVEN

BY_FEET = "feet"
"""What the input cable_priced_by says where cable is priced by feet with waste."""

BASE, SWAP_FROM, SWAP_TO, INSPECTED = ("base_plan", "swap_from", "swap_to", "inspected_plan")
"""Inputs that choose among the plans compared, not among those of the catalog."""


STATED, MEASURED_KIND, PUBLISHED = "stated", "measured", "published"
KINDS = (INVENTED, STATED, MEASURED_KIND, PUBLISHED)
"""What a number rests on: invented for the demonstration, stated by the user, a time study, a source that is named."""


HELD = (
    *("labor_rate_usd_per_h", "material_tax_pct", "contingency_pct", "overhead_pct", "overhead_usd_per_h"),
    *("profit_pct", "bond_pct", "source_mohm", "pickup_times_rating", "copper_usd_per_lb", "aluminum_usd_per_lb"),
    *("box_tail_ft", "panel_tail_ft", "stock_value_pct"),
)
"""Inputs that totals or outcomes rest on beside what is counted and priced."""


def sound(name: str) -> Expr:
    """Return 1 where one of the inputs in `HELD` does not rest on an illustrative figure, else 0."""
    return look("held_inputs", "sound", name)


def held_inputs_table(frame: Frame) -> Table:
    """Inputs that totals or outcomes rest on: whether each rests on an illustrative figure.

    A value other than the shipped one is the user's, also where its row still says illustrative.
    """
    invented = call("all", same(_number("kind"), INVENTED), equal(_number("value"), col("shipped")))
    return Table(
        "held_inputs",
        "Inputs that totals rest on",
        [Field("key", "name for --set", role="key", width=22), Field("shipped", "as shipped", "in its unit")],
        [Column("sound", "not illustrative", "0/1", when(invented, 0, 1), "as its row on the sheet Inputs says")],
        {"key": list(HELD), "shipped": [float(str(frame.catalogs["inputs"][name]["value"])) for name in HELD]},
    )


def invented_in_build(frame: Frame, name: str) -> int:
    """Return 1 where an input that only a build changes is illustrative and nobody has stated it, else 0."""
    source = str(frame.catalogs["inputs"][name]["source"])
    return int(name not in frame.stated and kind_of(source) == INVENTED)


def _number(name: str) -> Expr:
    return look("numbers", name, col("key"))


def kind_of(source: str) -> str:
    """Return what a figure of a catalog rests on, by the first words of its source."""
    words = {INVENTED: INVENTED, MEASURED: MEASURED_KIND}
    return next((kind for begin, kind in words.items() if source.casefold().startswith(begin)), PUBLISHED)


def _table(
    name: str,
    title: str,
    rows: list[Row],
    inputs: Inputs,
    value: Field,
    accepted: list[str],
    more: list[Field],
) -> Table:
    """Return a table of inputs; all of them have the same columns in the same place."""
    return Table(
        name,
        title,
        [
            Field("title", "input", role="key", width=36),
            Field("key", "name for --set", role="key", width=22),
            value,
            Field("unit", "unit", width=11),
            Field("accepted", "accepted", width=22),
            Field("note", "what it changes", width=54),
            Field("source", "source", width=54),
            *more,
        ],
        [],
        {
            "key": [r["name"] for r in rows],
            "value": [inputs[str(r["name"])] for r in rows],
            "accepted": list(accepted),
            **{n: [r[n] for r in rows] for n in ("title", "unit", "note", "source")},
            **{f.name: [float(str(r[f.name])) for r in rows] for f in more},
        },
    )


def _live(frame: Frame, kind: str) -> list[Row]:
    return [r for r in frame.catalogs["inputs"] if r["kind"] == kind and r["live"]]


def numbers_table(frame: Frame, inputs: Inputs) -> Table:
    """Inputs that are numbers; a value outside the limits is flagged, never changed."""
    rows = _live(frame, "number")
    limits = [Field("minimum", "not under", "in its unit"), Field("maximum", "not above", "in its unit")]
    value = Field("value", "value", "in its unit", "input", width=22, limits=("minimum", "maximum"))
    table = _table("numbers", "Inputs that are numbers", rows, inputs, value, _accepted(rows, frame), limits)
    kind = Field("kind", "rests on", "", "input", ",".join(KINDS), width=12)
    kinds = [STATED if r["name"] in frame.stated else kind_of(str(r["source"])) for r in rows]
    return replace(table, fields=[*table.fields, kind], data={**table.data, "kind": kinds})


def dates_table(frame: Frame, inputs: Inputs) -> Table:
    """Inputs that are dates; 0 is a date that is not given."""
    rows = _live(frame, "date")
    value = Field("value", "value", "date", "input", width=22)
    accepted = [f"{ACCEPTED}; 0: {NOT_GIVEN}"] * len(rows)
    return _table("dates", "Inputs that are dates", rows, inputs, value, accepted, [])


def choices_table(frame: Frame, inputs: Inputs) -> Table:
    """Inputs that are a choice; one that is not accepted is flagged."""
    rows = _live(frame, "choice")
    value = Field("value", "value", "", "input", width=22, listed="accepted")
    return _table("choices", "Inputs that are a choice", rows, inputs, value, _accepted(rows, frame), [])


def texts_table(frame: Frame, inputs: Inputs) -> Table:
    """Inputs that are a text."""
    rows = _live(frame, "text")
    value = Field("value", "value", "", "input", width=22)
    return _table("texts", "Inputs that are a text", rows, inputs, value, _accepted(rows, frame), [])


def built_with_table(frame: Frame, inputs: Inputs) -> Table:
    """Inputs that take effect on the next build only: they decide what was read and wired."""
    rows = [r for r in frame.catalogs["inputs"] if not r["live"]]
    title = "Used in the build: change with --set and build again"
    return _table("built_with", title, rows, inputs, Field("value", "value", width=22), _accepted(rows, frame), [])


def accepted_table(frame: Frame, _: Inputs) -> Table:
    """What each choice accepts: the lists behind the cells."""
    rows = [(r, c) for r in _live(frame, "choice") for c in _choices(r, frame)]
    return Table(
        "accepted",
        "What each choice accepts",
        [Field("name", "name for --set", role="key"), Field("choice", "accepted"), Field("key", "key", role="key")],
        [],
        {
            "name": [r["name"] for r, _ in rows],
            "choice": [c for _, c in rows],
            "key": [f"{r['name']}|{c}" for r, c in rows],
        },
    )


def _choices(row: Row, frame: Frame) -> list[str]:
    """Return what a choice accepts in the workbook: of the plans, those that are compared in it."""
    return frame.compared if row["choices"] == PLAN_KEYS else choices_of(row, frame.catalogs)


def _accepted(rows: list[Row], frame: Frame) -> list[str]:
    return [_accepts(row, frame) for row in rows]


def _accepts(row: Row, frame: Frame) -> str:
    if row["kind"] == "number":
        low, high = (f"{float(str(row[n])):,.10g}" for n in ("minimum", "maximum"))
        return f"{low} to {high} {row['unit']}"
    return ", ".join(_choices(row, frame)) if row["kind"] == "choice" else "any text"
