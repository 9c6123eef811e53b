"""Circuits in each plan compared: what each is wired in, the outcome of every check, labor and material."""

from __future__ import annotations

from takeoff.engine.aggregates import CountBy, SumBy
from takeoff.engine.expr import Expr, at_most, call, col, equal, given, ratio, same, when
from takeoff.engine.lookups import At, CountAcross, FirstAcross, Match, Named
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame, places_of
from takeoff.model.givens.constructions import NOT_FOR_IT
from takeoff.model.givens.wages import labor_rate
from takeoff.model.rules.options import CIRCUIT_CHECKS, OPTION_CHECKS, checks_of, stopping

ASKING = ("egc_increase", "space", "overcurrent", "control")
"""Checks whose exception asks for a fact: while nobody has told it, a circuit is not settled."""


def circuit_tests_table(frame: Frame) -> Table:
    """The checks of a circuit that do not depend on its construction."""

    def circuit(name: str) -> Expr:
        return At("circuits", name, col("row"))

    def far(name: str) -> Expr:
        return At("far_ends", name, col("far_row"))

    def on(hot: str) -> Column:
        amps = SumBy("paths", f"alone_{hot}_a", {"circuit_key": col("key")})
        return Column(f"on_{hot}_a", f"load on {hot.upper()}", "A", amps, format="0.00")

    def for_it(name: str) -> Column:
        """Return the word where nothing is found: that the rule is met, or that there is nothing that it is for."""
        word = when(equal(circuit(name), 0), NOT_FOR_IT, "meets")
        return Column(f"{name}_word", f"{name}, where nothing is found", "", word)

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
        *map(for_it, ("multiwire", "isolated", "receptacles")),
        Column(
            "multiwire_check",
            "multiwire",
            "",
            when(equal(col("single_pole"), 0), col("multiwire_word"), "look"),
            "210.4(B): a handle tie or a breaker of several poles; the neutral is pigtailed, 300.13(B)",
        ),
        Column(
            "isolated_check",
            "isolated ground",
            "",
            when(equal(circuit("isolated_care"), 0), col("isolated_word"), "look"),
            "250.146(D): the box keeps its own ground path beside it; 517.16 in patient care",
        ),
        Column(
            "receptacle_check",
            "receptacle rating",
            "",
            when(equal(circuit("small_receptacles"), 0), col("receptacles_word"), "fails"),
            "210.21(B)",
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


def _check_columns(frame: Frame) -> list[Column]:
    """Return the outcome of every check of a circuit in what it is wired in."""

    def option(name: str) -> Expr:
        return At("options", name, col("option_row"))

    def of_circuit(name: str) -> Expr:
        return At("circuit_tests", name, col("circuit_row"))

    found: dict[str, tuple[Expr, str]] = {
        **{n: (option(f"{n}_check"), "section and figures stand on the sheet Wiring") for n in OPTION_CHECKS},
        "switch_neutral": (
            when(equal(At("circuits", "switches", of_circuit("row")), 0), NOT_FOR_IT, option("switch_neutral_check")),
            "404.2(C); not for a circuit without switches",
        ),
        "load": (
            when(same(of_circuit("load_check"), "fails"), "fails", col("carried_word")),
            "210.19(A), 210.20(A): the conductors before and after adjustment, and the breaker",
        ),
        "fault_path": (At("faults", "outcome", col("fault_line")), "250.4(A)(5), advice"),
        **{n: (of_circuit(f"{n}_check"), "the same in every construction") for n in CIRCUIT_CHECKS},
        "box_fill": (
            when(equal(boxes_that("fails"), 0), col("fill_word"), "fails"),
            "314.16; look where conductors of 4 AWG and larger call for 314.28",
        ),
    }
    return [Column(f"{n}_check", TITLES[n], "", *found[n], width=10.0) for n in checks_of(frame)]


def _load_columns() -> list[Column]:
    """Return how the conductors stand against the load, before and after adjustment: 210.19(A)(1)."""

    def against(needed: str, carried: Expr, otherwise: Expr | str) -> Expr:
        load = At("circuit_tests", needed, col("circuit_row"))
        return when(at_most(load, carried), otherwise, "fails")

    return [
        Column(
            "before_word",
            "before adjustment",
            "",
            against("needed_a", At("sizes", "terminal_a", col("size_row")), "meets"),
            "210.19(A)(1): 125 % of a continuous load, before correction and adjustment",
        ),
        Column(
            "carried_word",
            "conductors and load",
            "",
            against("load_a", At("options", "usable_a", col("option_row")), col("before_word")),
            "210.19(A)(1): the load, after adjustment",
        ),
    ]


def boxes_that(outcome: str) -> Expr:
    """Return how many boxes of a circuit in a plan have an outcome."""
    return CountBy("each", {"plan_key": col("key"), "box_outcome": outcome})


def verdicts_table(frame: Frame) -> Table:
    """One row for each stretch of a circuit in each plan compared: checks, labor and material."""
    pairs = [(key, p) for key in frame.stretches for p in frame.compared]
    names, circuits = frame.stretch_names, dict(zip(frame.stretches, frame.stretch_circuits, strict=True))
    plans = places_of(frame.compared)
    faults = [(circuits[key] - 1) * len(plans) + plans[p] + 1 for key, p in pairs]
    kinds, count = places_of(frame.alikes), len(frame.constructions)
    rank = places_of(frame.sizes)
    sizes = {kind: 1 + min(rank[run.line.awg] for run in frame.runs_tested(kind)) for kind in frame.alikes}

    def wired(name: str, title: str, unit: str = "", width: float = 0, note: str = "") -> Column:
        return Column(name, title, unit, At("wiring", name, col("line")), note, width=width)

    def boxes(name: str) -> Expr:
        return SumBy("each", name, {"plan_key": col("key")})

    hours = ratio(boxes("minutes"), 60, 0) * col("repeat")
    workings = [
        Column("option_row", "row of the option", "no.", col("option_first") + At("wiring", "place", col("line"))),
        Column("fill_word", "boxes, all found", "", when(equal(boxes_that("look"), 0), "meets", "look")),
        *_load_columns(),
        wired("falls", "is a fallback", "0/1"),
        wired("unserved", "no construction may serve", "0/1"),
        Column("lacking", "without a size or price", "ea", boxes("lacking")),
    ]
    results = [
        wired("wired_as", "wired as", width=13),
        Column("repeat", "times built", "ea", At("circuits", "repeat", col("circuit_row"))),
        *_check_columns(frame),
        Column("failed", "checks not met", "ea", CountAcross("checks", "fails")),
        Column("to_look", "checks to look at", "ea", CountAcross("checks", "look")),
        Column("has_failed", "has a check not met", "0/1", call("sign", col("failed"))),
        Column(
            "unsettled",
            "has a fact missing",
            "0/1",
            call("sign", CountAcross("asking", "look")),
            "a rule with an exception waits for an answer: sheet Inputs, facts asked",
        ),
        Column("has_to_look", "has a check to look at", "0/1", call("sign", col("to_look"))),
        Column("stopped", "must be met and is not", "ea", CountAcross("stopping", "fails")),
        Column("has_stopped", "has one that must be met and is not", "0/1", call("sign", col("stopped"))),
        Column(
            "grave",
            "3 not met, 2 beyond advice, 1 to look at",
            "no.",
            col("has_failed") + col("has_stopped") + call("max", col("has_failed"), col("has_to_look")),
        ),
        Column(
            "told_at",
            "check that the stop list tells",
            "no.",
            when(equal(col("has_failed"), 0), FirstAcross("checks", "look"), FirstAcross("checks", "fails")),
        ),
        wired("said", "passed over first", width=40, note="construction, reason, section"),
        Column(
            "times_pickup",
            "fault at the far end, times pickup",
            "x",
            At("faults", "times_pickup", col("fault_line")),
            format="0.00",
        ),
        Column(
            "longest_ft",
            "longest run for the fault wanted",
            "ft",
            At("faults", "longest_ft", col("fault_line")),
            format="#,##0",
        ),
        Column("hours", "labor, all times built", "h", hours, format="#,##0.00"),
        Column("labor_usd", "labor", "USD", col("hours") * labor_rate(), format="#,##0"),
        Column("material_usd", "material", "USD", boxes("material_usd") * col("repeat"), format="#,##0"),
        Column("installed_usd", "installed", "USD", col("labor_usd") + col("material_usd"), format="#,##0"),
    ]
    return Table(
        "verdicts",
        "Checks, labor and material of each circuit in each plan",
        [
            Field("circuit", "circuit", role="key", width=13),
            Field("plan", "plan", role="key", width=15),
            Field("key", "key", role="key", width=18),
            Field("circuit_key", "circuit key", role="key"),
            Field("line", "line", "no."),
            Field("circuit_row", "row of the circuit", "no."),
            Field("option_first", "row before its options", "no."),
            Field("fault_line", "line of its ground fault", "no."),
            Field("size_row", "row of its smallest size", "no."),
        ],
        [*workings, *results],
        {
            "circuit": [names[c] for c, _ in pairs],
            "plan": [p for _, p in pairs],
            "key": [f"{c}|{p}" for c, p in pairs],
            "circuit_key": [c for c, _ in pairs],
            "line": list(range(1, len(pairs) + 1)),
            "circuit_row": [circuits[key] for key, _ in pairs],
            "fault_line": faults,
            "size_row": [sizes[frame.alike_of[c]] for c, _ in pairs],
            "option_first": [kinds[frame.alike_of[c]] * count for c, _ in pairs],
        },
        {
            "checks": [f"{c}_check" for c in checks_of(frame)],
            "stopping": [f"{c}_check" for c in stopping(frame)],
            "asking": [f"{c}_check" for c in ASKING if c in checks_of(frame)],
        },
    )


TITLES = {
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
    "control": "control pair",
    "fault_path": "fault path",
    "multiwire": "multiwire",
    "isolated": "isolated ground",
    "receptacle": "receptacle rating",
    "voltage_drop": "voltage drop",
    "box_fill": "box fill",
}
"""Headings of the checks."""
