"""What each circuit is wired in: the first construction of a plan that may serve it, unless the user says otherwise."""

from __future__ import annotations

from takeoff.engine.expr import Expr, call, col, equal, less, same, when
from takeoff.engine.lookups import At, Match
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import PLANNED, Frame


def plan_places_table(frame: Frame) -> Table:
    """Every construction that a plan names, for every kind of circuit, in order."""
    members = _members(frame)
    rows = [(kind, p, place, m) for (kind, p), found in members.items() for place, m in enumerate(found, start=1)]
    return Table(
        "plan_places",
        "Constructions of each plan, in order",
        [
            Field("plan_key", "kind of circuit and plan", role="key", width=20),
            Field("alike", "kind of circuit", role="key", width=9),
            Field("member", "construction", role="key", width=13),
            Field("place", "place", "no."),
            Field("place_key", "kind of circuit, plan and place", width=22),
        ],
        [
            Column(
                "option_row", "row of the option", "no.", Match("options", "key", col("alike") & "|" & col("member"))
            ),
            Column("refused", "passed over", "0/1", At("options", "refused", col("option_row"))),
            Column("slot", "plan and passed over", "", col("plan_key") & "|" & col("refused"), width=20),
        ],
        {
            "plan_key": [f"{k}|{p}" for k, p, *_ in rows],
            "alike": [k for k, *_ in rows],
            "member": [member for *_, member in rows],
            "place": [place for *_, place, _ in rows],
            "place_key": [f"{k}|{p}|{place}" for k, p, place, _ in rows],
        },
    )


def _members(frame: Frame) -> dict[tuple[str, str], list[str]]:
    """Return the constructions to try, by kind of circuit and plan."""
    first = {kind: key for key, kind in reversed(frame.alike_of.items())}
    return {(kind, plan.key): list(plan.members_for(first[kind])) for kind in frame.alikes for plan in frame.plans}


def _longest(frame: Frame) -> int:
    """Return one more than the places of a plan that may be passed over: at least two are shown."""
    return max(3, *(len(plan.members) for plan in frame.plans))


def plan_table(frame: Frame) -> Table:
    """One row for each kind of circuit in each plan compared: what the plan wires it in, and what is passed over."""
    pairs = [(kind, plan.key) for kind in frame.alikes for plan in frame.plans]

    def said(place: int) -> list[Column]:
        row = Match("plan_places", "place_key", col("key") & f"|{place}", missing_ok=True)
        option = At("plan_places", "option_row", col(f"row_{place}"), 0)
        passed = when(less(place, col("chosen_place")), At("options", "why", option, "-"), "-")
        return [
            Column(f"row_{place}", f"row of place {place}", "no.", row),
            Column(f"said_{place}", f"passed over, {place}", "", passed, width=60),
        ]

    served = Match("plan_places", "slot", col("key") & "|0", missing_ok=True)
    return Table(
        "plan",
        "What each plan wires a kind of circuit in",
        [
            Field("key", "key", role="key", width=18),
            Field("alike", "kind of circuit", role="key", width=9),
            Field("plan", "plan", role="key", width=13),
        ],
        [
            Column("first_row", "row of the preferred", "no.", Match("plan_places", "plan_key", col("key"))),
            Column("chosen_row", "row of the first that may serve", "no.", served, "0 where none may"),
            Column(
                "used_row", "row used", "no.", when(equal(col("chosen_row"), 0), col("first_row"), col("chosen_row"))
            ),
            Column("chosen_place", "place in the plan", "no.", At("plan_places", "place", col("used_row"))),
            Column("planned", "as planned", "", At("plan_places", "member", col("used_row")), width=13),
            *(column for place in range(1, _longest(frame)) for column in said(place)),
        ],
        {
            "key": [f"{k}|{p}" for k, p in pairs],
            "alike": [k for k, _ in pairs],
            "plan": [p for _, p in pairs],
        },
    )


def wiring_table(frame: Frame) -> Table:
    """One row for each stretch of a circuit in each plan compared: what it is wired in, and what was passed over."""
    pairs = [(key, plan.key) for key in frame.stretches for plan in frame.plans]
    circuits = dict(zip(frame.stretches, frame.stretch_circuits, strict=True))
    held, home = ([getattr(s, name) or PLANNED for s in frame.stretches.values()] for name in ("held", "home"))
    said: Expr = At("circuits", "held_to", col("circuit_row"))
    own, homes = [], []
    if set(home) != {PLANNED}:
        homes = [Column("by_circuit", "home run, or as said", "", when(same(said, PLANNED), col("home"), said))]
        said = col("by_circuit")
    if set(held) != {PLANNED}:
        own = [Field("own", "of the run itself", width=13)]
        said = when(same(col("own"), PLANNED), said, col("own"))
    plans = {key: n for n, key in enumerate(_members(frame), start=1)}

    def planned(name: str) -> Expr:
        return At("plan", name, col("plan_row"))

    free = equal(col("is_free"), 1)
    return Table(
        "wiring",
        "What each circuit is wired in",
        [
            Field("key", "key", role="key", width=18),
            Field("circuit_key", "circuit key", role="key"),
            Field("circuit", "circuit", width=13),
            Field("plan", "plan", role="key", width=13),
            Field("alike", "kind of circuit", width=9),
            Field("circuit_row", "row of the circuit", "no."),
            Field("plan_row", "row of the plan", "no."),
            *own,
            *([Field("home", "as a home run", width=13)] if homes else []),
        ],
        [
            *homes,
            Column("held_to", "wired in, as said", "", said),
            Column("is_free", "left to the plan", "0/1", when(same(col("held_to"), PLANNED), 1, 0)),
            Column(
                "wired_as",
                "wired as",
                "",
                when(free, planned("planned"), col("held_to")),
                "the first of the plan that may serve, unless the sheet Schedule says otherwise",
                width=13,
            ),
            Column(
                "place",
                "place of the construction",
                "no.",
                Match("in_use", "construction", col("wired_as")),
                "among the constructions in use",
            ),
            Column(
                "unserved",
                "no construction may serve",
                "0/1",
                when(equal(planned("chosen_row"), 0), col("is_free"), 0),
                "the preferred one is counted all the same, and the total is not complete",
            ),
            Column(
                "falls",
                "is a fallback",
                "0/1",
                call("sign", call("max", 0, planned("chosen_place") - 1)) * col("is_free"),
            ),
            Column(
                "said",
                "passed over first",
                "",
                when(free, planned("said_1"), "-"),
                "construction, reason, section; all that its kind of circuit is passed over in stands with the plan",
                width=40,
            ),
        ],
        {
            "key": [f"{c}|{p}" for c, p in pairs],
            "circuit_key": [c for c, _ in pairs],
            "circuit": [frame.stretch_names[c] for c, _ in pairs],
            "plan": [p for _, p in pairs],
            "circuit_row": [circuits[c] for c, _ in pairs],
            "alike": [frame.alike_of[c] for c, _ in pairs],
            "plan_row": [plans[frame.alike_of[c], p] for c, p in pairs],
            "own": [found for found in held for _ in frame.plans],
            "home": [found for found in home for _ in frame.plans],
        },
    )
