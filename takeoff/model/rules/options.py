"""What each kind of circuit could be wired in: the rules tested for every kind in every construction.

A check tests the one rule it names. Its outcome is a key of the outcomes catalog: meets, fails, look
(a person must look), untested or does_not_apply. `checks.csv` says which checks make a plan pass over a construction.
"""

from __future__ import annotations

from itertools import accumulate

from takeoff.engine.aggregates import CountBy, SumBy
from takeoff.engine.chains import Lowest, PlaceOf
from takeoff.engine.expr import Expr, at_most, call, col, equal, given, same, when
from takeoff.engine.lookups import At, FirstAcross, Match, Named
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.conditions import condition
from takeoff.model.givens.constructions import NOT_FOR_IT
from takeoff.model.rules.ground_size import READING

OPTION_CHECKS = (
    *("cable", "egc_kind", "egc_size", "egc_increase", "fitting", "space"),
    *("overcurrent", "switch_neutral", "knockout", "control"),
)
"""Checks of a kind of circuit in a construction; each is a row of checks.csv."""


def refusing(frame: Frame) -> list[str]:
    """Return the checks by which a plan passes over a construction, as the catalog has them, others last."""
    passing = {str(r["check"]) for r in frame.catalogs["checks"] if r["refuses"]}
    return [n for n in OPTION_CHECKS if n in passing] or ["cable"]


CIRCUIT_CHECKS = ("multiwire", "isolated", "receptacle", "voltage_drop")
"""Checks of a circuit that come out the same in every construction."""

CHECKS = (
    *("cable", "egc_kind", "egc_size", "egc_increase", "fitting", "space", "overcurrent", "load"),
    *("switch_neutral", "knockout", "control", "fault_path", *CIRCUIT_CHECKS, "box_fill"),
)
"""All checks of a circuit."""


def checks_in(frame: Frame) -> tuple[str, ...]:
    """Return the checks of a job: those that the catalog has for it."""
    known = {str(row["check"]) for row in frame.catalogs["checks"]}
    return tuple(check for check in CHECKS if check in known)


def stopping(frame: Frame) -> list[str]:
    """Return the checks that every circuit of a plan must meet, or else the plan is not to be used."""
    stops = {str(r["check"]) for r in frame.catalogs["checks"] if r["stops"] or r["refuses"]}
    return [*refusing(frame), *(c for c in checks_in(frame) if c in stops and c not in refusing(frame))]


def checks_of(frame: Frame) -> list[str]:
    """Return all checks in the order in which they are shown: what must be met comes before what is advice."""
    return list(dict.fromkeys([*stopping(frame), *checks_in(frame)]))


def check_list_table(frame: Frame) -> Table:
    """Every check with its section in the edition in force; those by which a plan passes over come first."""
    names = checks_of(frame)
    row = Match("checks", "key", given("code_edition") & "|" & col("check"))
    return Table(
        "check_list",
        "Checks in force",
        [Field("check", "check", role="key")],
        [
            Column("row", "row in the catalog", "no.", row),
            Column("section", "section in force", "", At("checks", "section", col("row")), width=24),
            Column("title", "what is tested", "", At("checks", "title", col("row")), width=70),
            Column("refuses", "a plan passes over", "0/1", At("checks", "refuses", col("row"))),
            Column("refusal", "in plain words", "", At("checks", "refusal", col("row")), width=46),
            Column("question", "asked where a person must look", "", At("checks", "question", col("row")), width=60),
        ],
        {"check": names},
    )


def _counted(name: str, title: str, word: str) -> Column:
    """Return the count of a circuit's runs with an outcome."""
    runs = CountBy("option_runs", {"option": col("key"), name: word})
    return Column(f"{name}_{word}", f"{title}, {word}", "ea", runs)


def _working_columns() -> list[Column]:
    """Return what the checks of an option read."""
    in_force = given("code_edition") & "|" & col("construction")
    fitting = in_force & "|" & col("fitting_family")

    def construction(name: str) -> Expr:
        return At("in_use", name, col("construction_row"))

    def spaces(word: str) -> Expr:
        return CountBy("space_tests", {"option": col("key"), "outcome": word})

    def rest(name: str, title: str) -> Column:
        met = when(equal(col(f"{name}_meets"), 0), construction(f"without_{name}"), "meets")
        return Column(f"{name}_rest", f"{title}, none fails", "", met)

    return [
        Column("alike_row", "row of the kind of circuit", "no.", Match("alikes", "alike", col("alike"))),
        Column(
            "construction_row", "row of the construction", "no.", Match("in_use", "construction", col("construction"))
        ),
        Column("no_cable", "runs without a cable", "ea", SumBy("option_runs", "no_cable", {"option": col("key")})),
        *(
            _counted(name, title, word)
            for name, title in (("egc_size", "EGC size"), ("egc_increase", "EGC increased"))
            for word in ("fails", "meets")
        ),
        _counted("egc_increase", "EGC increased", READING),
        _counted("overcurrent", "breaker", "fails"),
        Column(
            "usable_a",
            "conductors carry",
            "A",
            Lowest("option_runs", "usable_a", col("first"), col("last")),
            "the least of the runs of the circuit",
            "0.0",
        ),
        rest("egc_size", "EGC size"),
        rest("egc_increase", "EGC increased"),
        Column(
            "egc_increase_plain",
            "EGC increased, by both readings",
            "",
            when(equal(col(f"egc_increase_{READING}"), 0), col("egc_increase_rest"), condition("reading_outcome")),
            "250.122(B) of 2017",
        ),
        Column("kind_row", "row of the ground path rule", "no.", Match("egc_rules", "key", in_force, missing_ok=True)),
        Column("fitting_family", "fitting family", "", construction("fitting_family")),
        Column(
            "fitting_row", "row of the fitting rule", "no.", Match("fitting_rules", "key", fitting, missing_ok=True)
        ),
        Column("spaces_refused", "kinds of space refused", "ea", spaces("fails")),
        Column("spaces_to_look", "kinds of space to look at", "ea", spaces("look")),
        Column("space_rest", "spaces, none refused", "", when(equal(col("spaces_to_look"), 0), "meets", "look")),
        Column(
            "switches",
            "switch boxes without neutral",
            "ea",
            At("alikes", "bare_switches", col("alike_row")) * construction("cable"),
            "raceway that lets a neutral be pulled in later is excepted",
        ),
    ]


def _checks() -> dict[str, Column]:
    """Return the column of every check of an option, by name."""

    def check(name: str, title: str, expr: Expr, note: str) -> Column:
        return Column(f"{name}_check", title, "", expr, note)

    def no_fail(count: str, otherwise: Expr | str, failed: Expr | str = "fails") -> Expr:
        return when(equal(col(count), 0), otherwise, failed)

    def found(table: str, row: str) -> Expr:
        return At(table, "outcome", col(row), "untested")

    to_ground = At("voltages", "to_ground_v", col("alike_row"))
    columns = [
        check("cable", "cable in the catalog", no_fail("no_cable", "meets"), "catalog"),
        check("egc_kind", "ground path recognized", found("egc_rules", "kind_row"), "250.118"),
        check("egc_size", "EGC size", no_fail("egc_size_fails", col("egc_size_rest")), "250.122(A)"),
        check(
            "egc_increase",
            "EGC increased",
            no_fail("egc_increase_fails", col("egc_increase_plain"), condition("increase_outcome")),
            "250.122(B); the exception asks for a qualified person",
        ),
        check("fitting", "fitting listed", found("fitting_rules", "fitting_row"), "300.15"),
        check("space", "kinds of space", no_fail("spaces_refused", col("space_rest")), "by space"),
        check(
            "overcurrent",
            "breaker and conductors",
            no_fail("overcurrent_fails", "meets", At("alikes", "load_outcome", col("alike_row"))),
            "310.15, 240.4; motors, compressors, welders and fire pumps have articles of their own",
        ),
        check("switch_neutral", "neutral at switches", when(equal(col("switches"), 0), "meets", "look"), "404.2(C)"),
        check(
            "knockout",
            "bonding at knockouts",
            when(at_most(to_ground, Named("code", "value", "knockout_v")), NOT_FOR_IT, "look"),
            "250.97",
        ),
        check(
            "control",
            "control pair kept apart",
            At("space_answers", "outcome", col("control_asked"), "does_not_apply"),
            "725.136, 725.130(A), 300.3(C)(1); as answered, sheet Inputs",
        ),
    ]
    return {c.name.removesuffix("_check"): c for c in columns}


def options_table(frame: Frame) -> Table:
    """One row for each kind of circuit in each construction: every check, and why a plan passes over it."""
    first = refusing(frame)
    checks = _checks()
    order = [*first, *(n for n in OPTION_CHECKS if n not in first and n in checks_in(frame))]
    asked = {(k, m): n for n, (k, m, _) in enumerate(frame.control_cases, start=len(frame.space_cases) + 1)}
    pairs = [(k, m) for k in frame.alikes for m in frame.constructions]
    sizes = {k: len(frame.runs_tested(k)) for k in frame.alikes}
    lasts = list(accumulate(sizes[k] for k, _ in pairs))
    spaces = {k: len(frame.spaces_of(k)) for k in frame.alikes}
    space_lasts = list(accumulate(spaces[k] for k, _ in pairs))

    def listed(name: str) -> Expr:
        return At("check_list", name, col("failed_place"), "-")

    def either(name: str, title: str, width: float) -> Column:
        return Column(name, title, "", when(by_space, col(f"space_{name}"), col(f"rule_{name}")), width=width)

    by_space = same(col("failed_check"), "space")
    stretch = col("space_first"), col("space_last")
    found_space = PlaceOf(col("space_check"), "space_tests", "outcome", *stretch, missing_ok=True)
    columns = [
        *_working_columns(),
        *(checks[n] for n in order),
        Column("failed_place", "place of the first check not met", "no.", FirstAcross("refusing", "fails")),
        Column("refused", "passed over", "0/1", call("sign", col("failed_place"))),
        Column("failed_check", "first check not met", "", listed("check"), "of those by which a plan passes over"),
        Column(
            "space_row",
            "row of the space that decides",
            "no.",
            call("max", found_space, col("space_first")),
            "the first one with the outcome of all of them",
        ),
        *(
            Column(f"space_{n}", f"{n} by space", "", At("space_tests", n, col("space_row")), width=w)
            for n, w in (("section", 16), ("reason", 40))
        ),
        Column("rule_section", "section by rule", "", listed("section"), width=16),
        Column("rule_reason", "reason by rule", "", listed("refusal"), width=40),
        either("section", "section", 16),
        either("reason", "reason", 40),
        Column(
            "why",
            "passed over because",
            "",
            At("in_use", "called", col("construction_row")) & ": " & col("reason") & " (" & col("section") & ")",
            width=70,
        ),
    ]
    return Table(
        "options",
        "Kinds of circuit in every construction",
        [
            Field("key", "key", role="key", width=18),
            Field("alike", "kind of circuit", role="key", width=9),
            Field("construction", "construction", role="key", width=13),
            Field("first", "first of its runs", "no."),
            Field("last", "last of its runs", "no."),
            Field("space_first", "first of its spaces", "no."),
            Field("space_last", "last of its spaces", "no."),
            *([Field("control_asked", "row of the fact on its control pair", "no.")] if asked else []),
        ],
        columns,
        {
            "key": [f"{k}|{m}" for k, m in pairs],
            "alike": [k for k, _ in pairs],
            "construction": [m for _, m in pairs],
            "first": [last - sizes[k] + 1 for last, (k, _) in zip(lasts, pairs, strict=True)],
            "last": lasts,
            "space_first": [last - spaces[k] + 1 for last, (k, _) in zip(space_lasts, pairs, strict=True)],
            "space_last": space_lasts,
            "control_asked": [asked.get(pair, 0) for pair in pairs],
        },
        {"refusing": [f"{n}_check" for n in first]},
    )
