"""What each circuit is wired in: the first construction of a plan that may serve it, unless the user says otherwise."""

from __future__ import annotations

from takeoff.engine.expr import Expr, call, col, equal, less, same, when
from takeoff.engine.lookups import At, Match
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import PLANNED, Frame


def plan_places_table(frame: Frame) -> Table:
    """Every construction that a plan names, for every circuit, in order."""
    rows = [
        (circuit, plan.key, place, member)
        for circuit in frame.circuit_keys.values()
        for plan in frame.plans
        for place, member in enumerate(plan.members_for(circuit), start=1)
    ]

    def option(name: str) -> Expr:
        return At("options", name, col("option_row"))

    tried = At("plan", "tried", Match("plan", "key", col("plan_key")))
    return Table(
        "plan_places",
        "Constructions of each plan, in order",
        [
            Field("plan_key", "circuit and plan", role="key", width=18),
            Field("circuit_key", "circuit key", role="key"),
            Field("member", "construction", role="key", width=13),
            Field("place", "place", "no."),
            Field("place_key", "circuit, plan and place", width=20),
        ],
        [
            Column(
                "option_row",
                "row of the option",
                "no.",
                Match("options", "key", col("circuit_key") & "|" & col("member")),
            ),
            Column("refused", "passed over", "0/1", option("refused")),
            Column("slot", "plan and passed over", "", col("plan_key") & "|" & col("refused"), width=20),
            Column("tried", "places tried up to", "no.", tried),
            Column(
                "said",
                "passed over because",
                "",
                when(less(col("place"), col("tried")), option("why"), "-"),
                width=70,
            ),
        ],
        {
            "plan_key": [f"{c}|{p}" for c, p, *_ in rows],
            "circuit_key": [c for c, *_ in rows],
            "member": [member for *_, member in rows],
            "place": [place for *_, place, _ in rows],
            "place_key": [f"{c}|{p}|{place}" for c, p, place, _ in rows],
        },
    )


def plan_table(frame: Frame) -> Table:
    """One row for each circuit in each plan compared: what it is wired in, and what was passed over."""
    pairs = [(c, plan) for c in frame.circuit_keys.values() for plan in frame.plans]
    longest = max(len(plan.members) for plan in frame.plans)

    def said(place: int) -> list[Column]:
        row = Match("plan_places", "place_key", col("key") & f"|{place}", missing_ok=True)
        told = At("plan_places", "said", col(f"row_{place}"), "-")
        return [
            Column(f"row_{place}", f"row of place {place}", "no.", row),
            Column(f"said_{place}", f"passed over, {place}", "", told, width=60),
        ]

    served = Match("plan_places", "slot", col("key") & "|0", missing_ok=True)
    planned = At("plan_places", "member", col("used_row"))
    columns = [
        Column("circuit_row", "row of the circuit", "no.", Match("circuits", "key", col("circuit_key"))),
        Column("circuit", "circuit", "", At("circuits", "circuit", col("circuit_row"))),
        Column("first_row", "row of the preferred", "no.", Match("plan_places", "plan_key", col("key"))),
        Column("chosen_row", "row of the first that may serve", "no.", served, "0 where none may"),
        Column("used_row", "row used", "no.", when(equal(col("chosen_row"), 0), col("first_row"), col("chosen_row"))),
        Column("chosen_place", "place in the plan", "no.", At("plan_places", "place", col("used_row"))),
        Column("planned", "as planned", "", planned, width=13),
        Column("held_to", "wired in, as said", "", At("circuits", "held_to", col("circuit_row"))),
        Column("is_free", "left to the plan", "0/1", when(same(col("held_to"), PLANNED), 1, 0)),
        Column(
            "wired_as",
            "wired as",
            "",
            when(equal(col("is_free"), 1), col("planned"), col("held_to")),
            "the first of the plan that may serve, unless the circuit data say otherwise",
            width=13,
        ),
        Column(
            "unserved",
            "no construction may serve",
            "0/1",
            when(equal(col("chosen_row"), 0), col("is_free"), 0),
            "the preferred one is counted all the same, and the total is not complete",
        ),
        Column("tried", "places tried up to", "no.", col("chosen_place") * col("is_free")),
        Column("fell_back", "fell back", "0/1", call("max", 0, col("chosen_place") - 1) * col("is_free")),
        Column("falls", "is a fallback", "0/1", call("sign", col("fell_back"))),
        Column("repeat", "times built", "ea", At("circuits", "repeat", col("circuit_row"))),
        *(column for place in range(1, max(longest, 3)) for column in said(place)),
    ]
    return Table(
        "plan",
        "What each circuit is wired in",
        [
            Field("key", "key", role="key", width=18),
            Field("circuit_key", "circuit key", role="key"),
            Field("construction", "compared as", role="key", width=13),
        ],
        columns,
        {
            "key": [f"{c}|{plan.key}" for c, plan in pairs],
            "circuit_key": [c for c, _ in pairs],
            "construction": [plan.key for _, plan in pairs],
        },
    )
