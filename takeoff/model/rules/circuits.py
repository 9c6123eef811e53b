"""Circuits in each plan compared: what each is wired in, the outcome of every check, labor and material."""

from __future__ import annotations

from takeoff.engine.aggregates import SumBy, SumByEither
from takeoff.engine.expr import Expr, at_most, call, col, equal, given, ratio, when
from takeoff.engine.lookups import At, CountAcross, Match, Named
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.wages import labor_rate
from takeoff.model.rules.options import OPTION_CHECKS

CIRCUIT_CHECKS = ("multiwire", "isolated", "voltage_drop")
"""Checks that come out the same in every construction."""

CHECKS = (*OPTION_CHECKS, *CIRCUIT_CHECKS, "box_fill")
OUTCOMES = ("meets", "fails", "look", "untested")


def circuit_tests_table(frame: Frame) -> Table:
    """The checks of a circuit that do not depend on its construction."""

    def circuit(name: str) -> Expr:
        return At("circuits", name, col("row"))

    def far(name: str) -> Expr:
        return At("far_ends", name, col("far_row"))

    def on(hot: str) -> Column:
        amps = SumBy("paths", f"alone_{hot}_a", {"circuit_key": col("key")})
        return Column(f"on_{hot}_a", f"load on {hot.upper()}", "A", amps, format="0.00")

    share = when(equal(col("continuous"), 1), Named("code", "value", "continuous_pct"), 100)
    columns = [
        Column("row", "row of the circuit", "no.", Match("circuits", "key", col("key"))),
        Column("far_row", "row of the far end", "no.", Match("far_ends", "key", col("key"))),
        Column("circuit", "circuit", "", circuit("circuit")),
        on("a"),
        on("b"),
        on("c"),
        Column(
            "load_a",
            "largest load on a hot",
            "A",
            call("max", col("on_a_a"), col("on_b_a"), col("on_c_a")),
            format="0.0",
        ),
        Column("continuous", "continuous", "0/1", circuit("is_continuous")),
        Column("share_pct", "breaker covers", "%", share, "210.20(A)", "0"),
        Column("needed_a", "breaker not under", "A", ratio(col("load_a") * col("share_pct"), 100, 0), format="0.0"),
        Column("breaker_a", "breaker", "A", circuit("breaker_a")),
        Column(
            "load_check",
            "breaker and load",
            "",
            when(at_most(col("needed_a"), col("breaker_a")), "meets", "fails"),
            "210.19(A), 210.20(A)",
        ),
        Column(
            "single_pole",
            "hots opened apart",
            "ea",
            call("max", 0, circuit("hots") - circuit("poles")) * circuit("multiwire"),
            "hots of a shared neutral beyond the poles of the breaker",
        ),
        Column(
            "multiwire_check",
            "multiwire",
            "",
            when(equal(col("single_pole"), 0), "meets", "look"),
            "210.4(B): a handle tie or a breaker of several poles; the neutral is pigtailed, 300.13(B)",
        ),
        Column(
            "isolated_check",
            "isolated ground",
            "",
            when(equal(circuit("isolated_care"), 0), "meets", "look"),
            "250.146(D): the box keeps its own ground path beside it; 517.16 in patient care",
        ),
        Column("drop_pct", "most voltage drop", "%", far("drop_pct"), format="0.00"),
        Column(
            "voltage_drop_check",
            "voltage drop",
            "",
            when(at_most(col("drop_pct"), given("drop_limit_pct")), "meets", "look"),
            "210.19, note: advice, never a failed check",
        ),
    ]
    return Table(
        "circuit_tests",
        "Checks of each circuit, whatever its construction",
        [Field("key", "circuit key", role="key")],
        columns,
        {"key": list(frame.circuit_keys.values())},
    )


def _said_until(frame: Frame) -> int:
    """Return one more than the places of a plan that may be passed over: at least two are shown."""
    return max(3, *(len(plan.members) for plan in frame.plans))


def verdicts_table(frame: Frame) -> Table:
    """One row for each circuit in each plan compared: checks, labor and material."""
    pairs = [(c, p) for c in frame.circuit_keys.values() for p in frame.compared]
    longest = _said_until(frame)

    def plan(name: str) -> Expr:
        return At("plan", name, col("line"))

    def option(name: str) -> Column:
        title = OPTION_TITLES[name]
        note = "section and figures stand on the sheet Options"
        return Column(f"{name}_check", title, "", At("options", f"{name}_check", col("option_row")), note)

    def of_circuit(name: str) -> Column:
        title = name.replace("_", " ")
        note = "figures stand on the sheet Circuit checks"
        return Column(f"{name}_check", title, "", At("circuit_tests", f"{name}_check", col("test_row")), note)

    def boxes(name: str) -> Expr:
        return SumBy("each", name, {"plan_key": col("key")})

    hours = ratio(boxes("minutes"), 60, 0) * col("repeat")
    columns = [
        Column("line", "row of the plan", "no.", Match("plan", "key", col("key"))),
        Column("circuit", "circuit", "", plan("circuit")),
        Column("wired_as", "wired as", "", plan("wired_as"), width=13),
        Column("repeat", "times built", "ea", plan("repeat")),
        *(
            Column(f"said_{n}", f"passed over, {n}", "", plan(f"said_{n}"), "construction, reason, section", width=40)
            for n in range(1, longest)
        ),
        Column(
            "option_row",
            "row of the option",
            "no.",
            Match("options", "key", col("circuit_key") & "|" & col("wired_as")),
        ),
        Column("test_row", "row of the circuit checks", "no.", Match("circuit_tests", "key", col("circuit_key"))),
        Column(
            "fault_row", "row of the fault", "no.", Match("faults", "key", col("circuit_key") & "|" & col("wired_as"))
        ),
        Column("unsized", "boxes without a size", "ea", boxes("unsized")),
        Column("by_314_28", "boxes to size by 314.28", "ea", boxes("by_314_28")),
        Column("fill_word", "boxes, all found", "", when(equal(col("by_314_28"), 0), "meets", "look")),
        Column(
            "times_pickup",
            "fault at the far end, times pickup",
            "x",
            At("faults", "times_pickup", col("fault_row")),
            format="0.00",
        ),
        Column(
            "longest_ft",
            "longest run for the fault wanted",
            "ft",
            At("faults", "longest_ft", col("fault_row")),
            format="#,##0",
        ),
        *(option(n) for n in OPTION_CHECKS),
        *(of_circuit(n) for n in CIRCUIT_CHECKS),
        Column(
            "box_fill_check",
            "box fill",
            "",
            when(equal(col("unsized") - col("by_314_28"), 0), col("fill_word"), "fails"),
            "314.16; look where conductors of 4 AWG and larger call for 314.28",
        ),
        Column("failed", "checks not met", "ea", CountAcross("checks", "fails")),
        Column("to_look", "checks to look at", "ea", CountAcross("checks", "look")),
        Column("has_failed", "has a check not met", "0/1", call("sign", col("failed"))),
        Column("has_to_look", "has a check to look at", "0/1", call("sign", col("to_look"))),
        Column("falls", "is a fallback", "0/1", plan("falls")),
        Column("unserved", "no construction may serve", "0/1", plan("unserved")),
        Column("lacking", "without a size or price", "ea", boxes("unpriced") + boxes("missing")),
        Column("hours", "labor, all times built", "h", hours, format="#,##0.00"),
        Column("labor_usd", "labor", "USD", col("hours") * labor_rate(), format="#,##0"),
        Column("material_usd", "material", "USD", boxes("material_usd") * col("repeat"), format="#,##0"),
        Column("installed_usd", "installed", "USD", col("labor_usd") + col("material_usd"), format="#,##0"),
    ]
    return Table(
        "verdicts",
        "Circuits by plan, workings",
        [
            Field("key", "key", role="key", width=18),
            Field("circuit_key", "circuit key", role="key"),
            Field("construction", "compared as", role="key", width=13),
        ],
        columns,
        {
            "key": [f"{c}|{p}" for c, p in pairs],
            "circuit_key": [c for c, _ in pairs],
            "construction": [p for _, p in pairs],
        },
        {"checks": [f"{c}_check" for c in CHECKS]},
    )


CHECK_NOTES = {f"{n}_check": "section in force: sheet Rules tested; figures: sheet Circuit workings" for n in CHECKS}
OPTION_TITLES = {
    "cable": "cable in the catalog",
    "egc_kind": "ground path recognized",
    "egc_size": "EGC size",
    "egc_increase": "EGC increased",
    "fitting": "fitting listed",
    "space": "kinds of space",
    "overcurrent": "breaker and conductors",
    "load": "load",
    "switch_neutral": "neutral at switches",
    "knockout": "bonding at knockouts",
    "fault_path": "fault path",
}
"""Headings of the checks of an option."""


def circuit_outcomes_table(frame: Frame) -> Table:
    """Each circuit in each plan compared, for reading: what was used, what was passed over, checks, cost."""
    pairs = [(c.name, p) for c in frame.job.circuits for p in frame.compared]

    def shown(name: str, title: str, unit: str = "", form: str = "", width: float = 0) -> Column:
        return Column(
            name, title, unit, At("verdicts", name, col("line")), CHECK_NOTES.get(name, ""), form, width=width
        )

    checks = {**OPTION_TITLES, **{n: n.replace("_", " ") for n in CIRCUIT_CHECKS}, "box_fill": "box fill"}
    return Table(
        "circuit_outcomes",
        "Circuits by plan",
        [
            Field("circuit", "circuit", role="key", width=13),
            Field("construction", "compared as", role="key", width=13),
            Field("line", "line", "no."),
        ],
        [
            shown("wired_as", "wired as", width=13),
            shown("repeat", "times built", "ea"),
            shown("said_1", "passed over first: construction, reason, section", width=44),
            *(shown(f"said_{n}", f"passed over, {n}", width=30) for n in range(2, _said_until(frame))),
            *(shown(f"{n}_check", title, width=10) for n, title in checks.items()),
            shown("times_pickup", "fault, times pickup", "x", "0.0"),
            shown("longest_ft", "longest run for the fault wanted", "ft", "#,##0"),
            shown("hours", "labor, all times built", "h", "#,##0.00"),
            shown("labor_usd", "labor", "USD", "#,##0"),
            shown("material_usd", "material", "USD", "#,##0"),
            shown("installed_usd", "installed", "USD", "#,##0"),
        ],
        {
            "circuit": [c for c, _ in pairs],
            "construction": [p for _, p in pairs],
            "line": list(range(1, len(pairs) + 1)),
        },
    )


def findings_table(frame: Frame) -> Table:
    """How often every check came out how, in each plan compared, circuits counted as often as they are built."""
    rows = [(c, place, p) for place, c in enumerate(CHECKS, start=1) for p in frame.compared]

    def count(word: str) -> Column:
        found = SumByEither("verdicts", "repeat", "checks", col("place"), word, {"construction": col("construction")})
        return Column(word, word, "ea", found)

    listed = Match("check_list", "check", col("check"))
    return Table(
        "findings",
        "Findings by check",
        [
            Field("check", "check", role="key", width=16),
            Field("construction", "compared as", role="key", width=14),
            Field("place", "place of the check", "no."),
        ],
        [
            Column("row", "row of the check", "no.", listed),
            Column("section", "section in force", "", At("check_list", "section", col("row")), width=24),
            *(count(word) for word in OUTCOMES),
            Column("refuses", "a plan passes over", "0/1", At("check_list", "refuses", col("row"))),
        ],
        {
            "check": [c for c, *_ in rows],
            "construction": [p for *_, p in rows],
            "place": [place for _, place, _ in rows],
        },
    )
