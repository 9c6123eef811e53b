"""Kinds of space: what the rules say of each construction there, and of the spaces of each kind of circuit."""

from __future__ import annotations

from takeoff.engine.expr import Expr, col, equal, given, when
from takeoff.engine.lookups import At, Match
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame


def space_outcomes_table(frame: Frame) -> Table:
    """What the rules of the edition in force say of each construction in each kind of space."""
    rows = [(s, m) for s in frame.catalogs["spaces"].keys for m in frame.constructions]
    rule = given("code_edition") & "|" & col("construction") & "|" & col("space")
    return Table(
        "space_outcomes",
        "Constructions by kind of space",
        [
            Field("space", "kind of space", role="key"),
            Field("construction", "construction", role="key", width=13),
        ],
        [
            Column("rule_row", "row of the rule", "no.", Match("space_rules", "key", rule, missing_ok=True)),
            Column("outcome", "outcome", "", At("space_rules", "outcome", col("rule_row"), "untested")),
            Column("section", "section", "", At("space_rules", "section", col("rule_row"), "-"), width=20),
            Column("reason", "reason", "", At("space_rules", "reason", col("rule_row"), "-"), width=60),
        ],
        {"space": [s for s, _ in rows], "construction": [m for _, m in rows]},
        key="space",
    )


def space_tests_table(frame: Frame) -> Table:
    """Every kind of space that a kind of circuit has boxes in, in each construction."""
    rows = [
        (kind, space, construction)
        for kind in frame.alikes
        for construction in frame.constructions
        for space in frame.spaces_of(kind)
    ]

    def said(name: str, title: str, width: float = 0) -> Column:
        found = when(equal(col("asked"), 0), At("space_outcomes", name, col("line")), answered(name))
        return Column(name, title, "", found, "where a fact decides, as answered", width=width)

    def answered(name: str) -> Expr:
        return At("space_answers", name, col("asked"), "-")

    asked = {case: n for n, case in enumerate(frame.space_cases, start=1)}
    places = {s: n for n, s in enumerate(frame.catalogs["spaces"].keys)}
    count = len(frame.constructions)
    return Table(
        "space_tests",
        "Kinds of space of each kind of circuit",
        [
            Field("option", "kind of circuit and construction", role="key", width=18),
            Field("construction", "construction", role="key", width=13),
            Field("space", "kind of space", role="key"),
            Field("line", "line of the space", "no."),
            Field("asked", "row of the fact that decides", "no."),
        ],
        [
            said("outcome", "outcome"),
            said("section", "section", 20),
            said("reason", "reason", 60),
        ],
        {
            "option": [f"{kind}|{m}" for kind, _, m in rows],
            "construction": [m for *_, m in rows],
            "space": [space for _, space, _ in rows],
            "line": [places[space] * count + frame.constructions.index(m) + 1 for _, space, m in rows],
            "asked": [asked.get(row, 0) for row in rows],
        },
    )
