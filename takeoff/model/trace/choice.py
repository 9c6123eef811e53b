"""The choice of plan and scope, its figures as terms and as they stand elsewhere, and what the bid adds to them."""

from __future__ import annotations

from takeoff.engine.aggregates import Pick, SumProducts
from takeoff.engine.expr import Expr, as_expr, call, col, ratio
from takeoff.engine.lookups import At, CellAt, Match, Total
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.scopes import LEVELS, WHOLE_JOB
from takeoff.model.givens.wages import only
from takeoff.model.givens.words import word_for

CENTS = "#,##0.00;-#,##0.00;-"

FIGURES = {
    "hours": ("labor", "h"),
    "labor_usd": ("labor", "USD"),
    "material_usd": ("material", "USD"),
    "installed_usd": ("installed", "USD"),
}
"""What is traced: title and unit by column."""

STANDS = {
    "hours": (("plan_sums", "labor_hours"), ("area_totals", "hours"), ("verdicts", "hours")),
    "material_usd": (("plan_sums", "material_cost"), ("area_totals", "material_usd"), ("verdicts", "material_usd")),
    "installed_usd": (("plan_sums", "installed_cost"), ("area_totals", "installed_usd"), ("verdicts", "installed_usd")),
}
"""Where a figure of the job, of an area and of a circuit stands; that of one box stands on Boxes."""

REST = "direct expenses, contingency, overhead, profit, lines of the bid, late changes, bond, rounding: sheet Bid"


def chosen(name: str) -> Expr:
    """Return what the choice comes to."""
    return only("trace_keys", name)


def in_scope() -> Pick:
    """Return the condition on lines of boxes that they are of the plan and in the scope chosen."""
    return Pick("codes", chosen("level"), chosen("code"))


def trace_choice_table(frame: Frame) -> Table:
    """The two cells to choose in."""
    return Table(
        "trace_choice",
        "Choose a plan and a scope",
        [
            Field("plan", "plan", role="input", choices="compared.title", width=24),
            Field("scope", "scope", role="input", choices="scopes.scope", width=46),
        ],
        [],
        {"plan": list(frame.titles.values())[:1], "scope": [WHOLE_JOB]},
        key="plan",
    )


def trace_keys_table(_: Frame) -> Table:
    """What the choice comes to: rows and codes; a choice that is not of the lists finds nothing."""
    scope_row, place = col("scope_row"), col("plan_place")
    # not MATCH: names of the user may hold what it takes for a pattern
    found = SumProducts("scopes", ["row"], {"scope": only("trace_choice", "scope")})

    def first(level: str) -> Expr:
        return At("scopes", f"{level}_first", scope_row, 0)

    def row(level: str) -> Column:
        of_plan = (first(level) - 1 + place) * call("sign", first(level)) * col("chosen")
        return Column(f"{level}_row", f"row of the {level}", "no.", of_plan)

    return Table(
        "trace_keys",
        "What was chosen",
        [Field("key", "choice", role="key", width=12)],
        [
            Column(
                "plan_place",
                "place of the plan",
                "no.",
                Match("compared", "title", only("trace_choice", "plan"), missing_ok=True),
            ),
            Column("scope_row", "row of the scope", "no.", call("no_error", found)),
            Column("chosen", "both are of the lists", "0/1", call("sign", place * scope_row)),
            Column("level", "level of the scope", "no.", At("scopes", "level", scope_row, 1)),
            Column("code", "code of the lines", "no.", (At("scopes", "before", scope_row, 0) + place) * col("chosen")),
            *(row(level) for level in LEVELS[:-1]),
            Column("box_row", "row of the box", "no.", first(LEVELS[-1]) * col("chosen")),
            Column("says", "what stands below", "", word_for("trace", col("chosen") & "|" & col("level")), width=44),
        ],
        {"key": ["chosen"]},
    )


def trace_figures_table(_: Frame) -> Table:
    """The figures of the scope, as the terms add up and as they stand elsewhere."""

    def figure(stem: str, name: str, expr: Expr) -> Column:
        title, unit = FIGURES[name]
        return Column(f"{stem}_{name}", f"{title}, {stem}", unit, expr, format=CENTS)

    def elsewhere(name: str) -> list[Column]:
        places = zip(LEVELS, STANDS[name], strict=False)
        found = [figure(level, name, At(*where, chosen(f"{level}_row"), 0)) for level, where in places]
        found.append(figure("box", name, _of_box(name)))
        job, area, circuit, box = (col(column.name) for column in found)
        return [*found, figure("there", name, job + area + circuit + box)]

    return Table(
        "trace_figures",
        "Figures of the scope",
        [Field("key", "figures", role="key", width=12)],
        [
            figure("here", "hours", Total("trace_labor", "hours")),
            figure("here", "labor_usd", Total("trace_labor", "usd")),
            figure("here", "material_usd", Total("trace_material", "usd")),
            figure("here", "installed_usd", col("here_labor_usd") + col("here_material_usd")),
            *(column for name in STANDS for column in elsewhere(name)),
            figure("there", "labor_usd", col("there_installed_usd") - col("there_material_usd")),
        ],
        {"key": ["of the scope"]},
        {side: [f"{side}_{name}" for name in FIGURES] for side in ("here", "there")},
    )


def _of_box(name: str) -> Expr:
    """Return a figure of the box as Boxes has it, for all times that it is built."""
    row, plan = chosen("box_row"), call("max", 1, chosen("plan_place"))
    one = CellAt("box_outcomes", "minutes" if name == "hours" else name, call("max", 1, row), plan)
    times = At("box_outcomes", "repeat", row, 0)
    return ratio(one * times, 60, 0) if name == "hours" else one * times


def trace_sums_table(_: Frame) -> Table:
    """Each figure as the terms below add up, as it stands elsewhere, and the difference."""
    places = list(range(1, len(FIGURES) + 1))

    def side(name: str, title: str) -> Column:
        return Column(
            name, title, "USD or as named", CellAt("trace_figures", name, as_expr(1), col("place")), "", CENTS
        )

    return Table(
        "trace_sums",
        "Figures of the plan in the scope",
        [Field("figure", "figure", role="key", width=24), Field("place", "place", "no.")],
        [
            side("here", "the terms below add up to"),
            side("there", "as it stands elsewhere"),
            Column("difference", "difference", "USD or as named", call("nine", col("here") - col("there")), "", CENTS),
        ],
        {"figure": [", ".join(figure) for figure in FIGURES.values()], "place": places},
        key="figure",
    )


def trace_bid_table(_: Frame) -> Table:
    """What the bid of the plan has beyond labor and material of the whole job."""
    place = chosen("plan_place")
    return Table(
        "trace_bid",
        "What the bid has beyond labor and material",
        [Field("what", "bid", role="key", width=24), Field("rest", "the rest is", width=46)],
        [
            Column("installed_usd", "installed", "USD", At("plan_sums", "installed_cost", place, 0), format=CENTS),
            Column("bid_usd", "bid", "USD", At("bid", "bid_usd", place, 0), format=CENTS),
            Column("rest_usd", "the rest", "USD", col("bid_usd") - col("installed_usd"), format=CENTS),
        ],
        {"what": ["of the plan, whole job"], "rest": [REST]},
        key="what",
    )
