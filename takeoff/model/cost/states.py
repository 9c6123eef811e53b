"""In which state the stop list leaves every plan, whether it is a demonstration, and what every sheet says of it."""

from __future__ import annotations

from functools import reduce
from operator import add, and_

from takeoff.catalog.rows import Row
from takeoff.engine.aggregates import SumProducts
from takeoff.engine.chains import Highest
from takeoff.engine.expr import Expr, as_expr, call, col, equal, flag, given, less, same, when
from takeoff.engine.lookups import At, Match, Total
from takeoff.engine.tables import YES_NO, Column, Field, Table
from takeoff.model.cost.guards import NAMES
from takeoff.model.cost.proofs import proof_count
from takeoff.model.cost.stops import COMPLETE, LOOK_FIRST, NOT_TO_BE_USED
from takeoff.model.frame import Frame
from takeoff.model.givens.inputs import BY_FEET
from takeoff.model.givens.wages import only

GUARDS = tuple(NAMES.values())
FIRST_CELL = f"{GUARDS[0]}_first"
"""Column of `job_stops` that names the first input cell that is not accepted."""


def job_stops_table(frame: Frame) -> Table:
    """What stands against every total of the job."""
    rows = {str(r["stop"]): r for r in frame.catalogs["stops"] if r["counted"] == "job"}
    stale_cable = when(same(given("cable_priced_by"), BY_FEET), 0, call("sign", Total("cable_priced", "open")))
    seen: dict[str, Expr] = {
        "inputs": reduce(add, (Total(table, "open") for table in GUARDS)),
        "errors": Total("error_cells", "errors"),
    }
    # an error is counted above: what cannot be said for it counts as nothing
    unsure: dict[str, Expr] = {
        "proofs": Total("proofs", "open"),
        "stale_order": call("sign", only("order_state", "open")),
        "stale_risk": call("sign", only("risk", "changed")),
        "stale_cable": stale_cable,
        "uncounted": At("bid", "uncounted", as_expr(1)),
    }
    counts = seen | {name: call("no_error", expr) for name, expr in unsure.items()}
    columns = [Column(name, str(rows[name]["title"]), "ea", expr) for name, expr in counts.items()]

    def together(name: str, title: str, state: str) -> Column:
        found = [col(stop) for stop in counts if rows[stop]["state"] == state]
        return Column(name, title, "ea", reduce(add, found, as_expr(0)))

    both = (together("stopped", "that stop every plan", NOT_TO_BE_USED), together("to_look", "to look at", LOOK_FIRST))
    says = [
        Column(
            f"{name}_says", f"said of it: {rows[name]['title']}", "", when(equal(col(name), 0), "", _said(rows[name]))
        )
        for name in counts
    ]
    return Table(
        "job_stops",
        "What stands against every total",
        [Field("key", "key", role="key")],
        [
            *columns,
            *both,
            *says,
            *_first_cell(),
            Column(
                "says",
                "said of the job",
                "",
                reduce(and_, (col(c.name) for c in says[1:]), col(says[0].name) & col("first")),
            ),
        ],
        {"key": ["job"]},
        exposed=["says", "first", FIRST_CELL],
    )


def _first_cell() -> list[Column]:
    """Return the columns that name the first input cell that is not accepted, by kind of what is accepted."""
    found: list[Column] = []
    first: Expr = as_expr("-")
    for table in reversed(GUARDS):
        row, name, kind = f"{table}_row", f"{table}_first", table.partition("_")[2]
        cell = At(table, "cell", call("max", 1, col(row)))
        found += [
            Column(row, f"row of the first, {kind}", "no.", Match(table, "open", 1, missing_ok=True)),
            Column(name, f"first cell down to {kind}", "", when(equal(col(row), 0), first, cell)),
        ]
        first = col(name)
    said = as_expr("First cell: ") & first & ". "
    return [*found, Column("first", "first cell not accepted", "", when(equal(col("inputs"), 0), "", said))]


def _said(row: Row) -> Expr:
    """Return what is said of a stop of the whole job."""
    return as_expr(f"{row['title']}: ") & col(str(row["stop"])) & f" ({row['look_at']}). "


def standing_table(frame: Frame) -> Table:
    """In which state the stop list leaves every plan, and the list for every plan added up."""

    def counted(state: str, of_job: str) -> Expr:
        mine = call("no_error", SumProducts("stop_list", [("counts", col("place"))], {"state": state}))
        return mine + only("job_stops", of_job)

    return Table(
        "standing",
        "State of every plan",
        [
            Field("title", "plan", role="key", width=20),
            Field("plan", "plan key"),
            Field("place", "place of the plan", "no."),
        ],
        [
            Column("stopped", "things that stop its use", "ea", counted(NOT_TO_BE_USED, "stopped")),
            Column("to_look", "things to look at first", "ea", counted(LOOK_FIRST, "to_look")),
            Column("unusable", "not to be used", "0/1", call("sign", col("stopped")), format=YES_NO),
            Column(
                "only_to_look",
                "only to look at first",
                "0/1",
                call("sign", col("to_look")) * (as_expr(1) - col("unusable")),
                format=YES_NO,
            ),
            Column("looks", "state without the stops", "", when(equal(col("to_look"), 0), COMPLETE, LOOK_FIRST)),
            Column(
                "state",
                "state",
                "",
                when(equal(col("unusable"), 0), col("looks"), NOT_TO_BE_USED),
                "by the stop list: nothing else was tested",
                width=15,
            ),
        ],
        {
            "title": list(frame.titles.values()),
            "plan": list(frame.compared),
            "place": list(range(1, len(frame.compared) + 1)),
        },
        key="plan",
    )


def demonstration_table(frame: Frame) -> Table:
    """How much of a total rests on illustrative figures at most, and what every sheet says of it.

    Where it is more than the user allows, that it is a demonstration.
    """

    def highest(name: str, title: str, table: str, column: str) -> Column:
        share = Highest(table, column, as_expr(1), col("plans"))
        return Column(name, title, "%", share, "the plan with the largest share", "0.0")

    share = call("no_error", col("worst_pct"))
    says = col("begins") & " to " & call("up", share) & " % of a total rests on invented figures. "
    hours = (
        as_expr("Minutes: up to ")
        & call("up", col("hours_pct"))
        & " % of the hours rest on invented ones. No target for anybody."
    )
    money = as_expr("In the charts below up to ") & call("up", col("installed_pct")) & " % of the money is invented."
    return Table(
        "demonstration",
        "Demonstration, until invented figures are replaced",
        [Field("key", "key", role="key"), Field("plans", "plans compared", "no.")],
        [
            highest("hours_pct", "hours on illustrative minutes", "basis", "hours_invented_pct"),
            highest("installed_pct", "installed cost on illustrative figures", "basis", "invented_pct"),
            highest("bid_pct", "bid on illustrative figures", "bid", "invented_pct"),
            Column(
                "worst_pct",
                "largest of them",
                "%",
                call("nine", call("max", col("hours_pct"), col("installed_pct"), col("bid_pct"))),
                format="0.0",
            ),
            Column(
                "on",
                "more than demo_share_pct",
                "0/1",
                call("no_error", flag(less(given("demo_share_pct"), col("worst_pct")))),
            ),
            Column("begins", "how that begins", "", when(equal(col("on"), 0), "Up", "DEMONSTRATION: up")),
            Column("says", "what every sheet says", "", when(equal(share, 0), "", says), width=60),
            Column("says_hours", "what every crew page says", "", hours, width=60),
            Column("says_charts", "what stands above charts of money", "", money, width=60),
        ],
        {"key": ["demonstration"], "plans": [len(frame.compared)]},
        exposed=["on", "worst_pct", "says", "says_hours", "says_charts"],
    )


def master_table(frame: Frame) -> Table:
    """What every sheet says: demonstration or not, the state of the plans, the arithmetic proofs, the inputs."""
    plans = f" of {len(frame.compared)} plans"
    unusable = Total("standing", "unusable")
    looked = Total("standing", "only_to_look")
    return Table(
        "master",
        "What every sheet says",
        [Field("key", "key", role="key"), Field("proofs", "arithmetic proofs", "ea")],
        [
            Column("inputs", "inputs not accepted", "ea", only("job_stops", "inputs")),
            Column("open_proofs", "proofs that do not agree", "ea", only("job_stops", "proofs")),
            Column(
                "open",
                "proofs, inputs and errors that are open",
                "ea",
                col("open_proofs") + col("inputs") + only("job_stops", "errors"),
            ),
            Column("unusable", "plans not to be used", "ea", unusable),
            Column("looked", "plans to look at first", "ea", looked),
            Column(
                "looks",
                "but for what stops a plan",
                "",
                when(
                    equal(col("looked"), 0),
                    "Stop list: nothing. ",
                    as_expr("Look first: ") & col("looked") & f"{plans}. ",
                ),
            ),
            Column(
                "states",
                "state of the plans",
                "",
                when(
                    equal(col("unusable"), 0),
                    col("looks"),
                    as_expr("NOT TO BE USED: ") & col("unusable") & f"{plans}. ",
                ),
            ),
            Column("agree", "proofs that agree", "ea", col("proofs") - col("open_proofs")),
            Column(
                "proved",
                "arithmetic proofs",
                "",
                as_expr("Arithmetic proofs: ") & col("agree") & " of " & col("proofs") & " agree. ",
            ),
            Column(
                "says",
                "what every sheet shows",
                "",
                only("demonstration", "says") & col("states") & col("proved") & only("job_stops", "says"),
                width=60,
            ),
        ],
        {"key": ["status"], "proofs": [proof_count(frame)]},
        named="says",
    )
