"""What a person reads of every check of a circuit: section, what was asked, what was found, the outcome, what is open.

The inspection sheet has one cell for each check of a circuit, in the plan that is to be built; the results have every
part of it apart, for every plan. Both are made of the same parts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import reduce

from takeoff.engine.expr import Expr, as_expr, call, col, equal, given, same, when
from takeoff.engine.lookups import At, Match, Named, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame, places_of
from takeoff.model.rules.circuits import TITLES, boxes_that
from takeoff.model.rules.loop_reading import loop_columns
from takeoff.model.rules.options import CHECKS, checks_in

PARTS = ("section", "asked", "found", "word", "question")
"""What is said of a check, by the end of the name of its column."""

MAY_ASK = ("space", "overcurrent", "egc_increase", "control")
"""Checks whose question differs from circuit to circuit."""

CONTROL_SAYS = {"section": "section", "found": "reason", "question": "question"}
"""What the answer on a control pair says of the check: part, and the column of the answer."""

OF_NO_PAIR = "725.136"
"""Section of the check where a circuit has no control pair."""

A, TIMES, PCT = '0.0" A"', '0.0" x"', '0.00" %"'
NOTHING_OPEN = "-"


def inspected_table(frame: Frame) -> Table:
    """One row for each stretch of a circuit in the plan that is inspected, for the inspection sheet."""
    first = [n * len(frame.compared) for n, _ in enumerate(frame.stretches)]
    keys = list(frame.stretches)
    line = Column("line", "line of the verdict", "no.", col("first") + At("base", "inspected_place", as_expr(1)))
    fields = [
        Field("circuit_key", "circuit key", role="key"),
        Field("first", "line before its verdicts", "no."),
        Field("circuit", "circuit"),
    ]
    known = checks_in(frame)
    may_ask = [check for check in MAY_ASK if check in known]
    said = [c for check in inspected_checks(known) for c in _said(check)]
    wired_as = Column("wired_as", "construction", "", At("constructions", "title", _construction()))
    asked = [c for check in may_ask for c in _asked(check)]
    parts = (as_expr(col(f"{check}_asks")) for check in may_ask)
    open_ = Column("asks", "fact still missing", "", reduce(lambda a, b: a & b, parts))
    return _table(
        frame,
        "inspected",
        "Circuits of the plan inspected",
        fields,
        [
            line,
            *_working(),
            *loop_columns(_circuit),
            *asked,
            *said,
            wired_as,
            open_,
        ],
        keys,
        {"circuit_key": list(keys), "first": list(first), "circuit": list(frame.stretch_names.values())},
    )


def _said(check: str) -> list[Column]:
    """Return the outcome of a check in few words, behind it the figures that it rests on, which stand apart."""
    word = look("outcomes", "short", At("verdicts", f"{check}_check", col("line")), by="outcome")
    sized = _run("fitted_awg") & " AWG for " & _run("needed_awg") & ", circuit " & _run("awg")
    figures = {
        "egc_kind": _rule("egc_rules", "kind_row")("section"),
        "egc_size": when(equal(_run("by_table"), 1), as_expr("; ") & col("egc_sizes"), ""),
        "fitting": At("fittings", "marking", col("fitting_row"), "-"),
        "space": At("space_tests", "section", col("space_row")),
        "overcurrent": _tenth(_option("usable_a")) & " A on " & _tenth(_circuit("breaker_a")),
        "load": _tenth(_tested("needed_a")) & " A on " & _tenth(_circuit("breaker_a")),
        "fault_path": _tenth(At("faults", "times_pickup", At("verdicts", "fault_line", col("line"))))
        & col("path_says"),
        "voltage_drop": _tenth(_tested("drop_pct")) & " %",
    }
    if check not in figures:
        return [Column(f"{check}_says", TITLES[check], "", word)]
    beside = Column(f"{check}_beside", f"beside {TITLES[check]}", "", figures[check], "said behind the outcome")
    if check != "egc_size":
        return [beside, Column(f"{check}_says", TITLES[check], "", word & "; " & col(beside.name))]
    sizes = Column("egc_sizes", "sizes of EGC and circuit", "", sized, "what it has, what the table asks, the circuit")
    return [sizes, beside, Column(f"{check}_says", TITLES[check], "", word & col(beside.name))]


def _tenth(figure: Expr) -> Expr:
    return call("fixed", figure)


def _asked(check: str) -> list[Column]:
    """Return the question of a check, and what of it is shown: nothing where nobody must look."""
    outcome, question = At("verdicts", f"{check}_check", col("line")), as_expr(_figures()[check]["question"][0])
    shown = when(same(outcome, "look"), col(f"{check}_question") & " ", "")
    return [
        Column(f"{check}_question", f"question, {TITLES[check]}", "", question),
        Column(f"{check}_asks", f"asked, {TITLES[check]}", "", shown, "nothing where nobody must look"),
    ]


def check_lines_table(frame: Frame) -> Table:
    """One row for each circuit in each plan compared, in the order of the verdicts: for the results, on no sheet."""
    keys = [key for key in frame.stretches for _ in frame.compared]
    fields = [Field("line", "line of the verdict", "no.", role="key"), Field("key", "key of the verdict")]
    columns = [*_working(), *loop_columns(_circuit), *_shown(_sections(frame))]
    data: dict[str, Sequence[object]] = {
        "line": range(1, len(keys) + 1),
        "key": [f"{key}|{p}" for key in frame.stretches for p in frame.compared],
    }
    return _table(frame, "check_lines", "Every check of every circuit", fields, columns, keys, data)


def _table(
    frame: Frame,
    name: str,
    title: str,
    fields: list[Field],
    columns: list[Column],
    keys: list[str],
    data: Mapping[str, Sequence[object]],
) -> Table:
    circuits, kinds = dict(zip(frame.stretches, frame.stretch_circuits, strict=True)), places_of(frame.alikes)
    return Table(
        name,
        title,
        [*fields, Field("circuit_row", "row of the circuit", "no."), Field("alike_row", "row of its kind", "no.")],
        columns,
        {
            **data,
            "circuit_row": [circuits[key] for key in keys],
            "alike_row": [kinds[frame.alike_of[key]] + 1 for key in keys],
        },
        key=fields[0].name,
    )


def _working() -> list[Column]:
    return [
        Column("option_row", "row of the option", "no.", At("verdicts", "option_row", col("line"))),
        Column("run_line", "row of its first run", "no.", _of_option_run("line")),
        Column("space_row", "row of the space that decides", "no.", _option("space_row")),
        Column("fitting_row", "row of the connector", "no.", At("runs", "fitting_row", _run("run_row"))),
    ]


def _of_option_run(name: str) -> Expr:
    return At("option_runs", name, At("options", "first", col("option_row")))


def _option(name: str) -> Expr:
    return At("options", name, col("option_row"))


def _run(name: str) -> Expr:
    return At("run_tests", name, col("run_line"))


def _circuit(name: str) -> Expr:
    return At("circuits", name, col("circuit_row"))


def _tested(name: str) -> Expr:
    return At("circuit_tests", name, col("circuit_row"))


def _of_pair(name: str) -> Expr:
    """Return what the answer on the control pair of a circuit comes to."""
    return At("space_answers", name, _option("control_asked"), OF_NO_PAIR if name == "section" else NOTHING_OPEN)


def _listed(name: str, check: str) -> Expr:
    return look("check_list", name, check, by="check")


def _rule(catalog: str, row: str) -> Callable[[str], Expr]:
    return lambda name: At(catalog, name, _option(row), "-")


def _figures() -> dict[str, dict[str, tuple[Expr | str, str]]]:
    """Return what is said of each check beyond its outcome: the expression and its format."""
    egc, fitting = _rule("egc_rules", "kind_row"), _rule("fitting_rules", "fitting_row")
    alike = col("alike_row")
    by_table, is_wire = equal(_run("by_table"), 1), equal(_run("is_wire"), 1)
    asked = when(by_table, _run("needed_awg") & " AWG, not above the circuit's " & _run("awg") & " AWG", "listed")
    grown = _run("fitted_awg") & " AWG"
    in_cable = when(by_table, _run("fitted_awg") & " AWG in the first run", "the armor or tubing")
    return {
        "cable": {"found": (_option("no_cable"), '0" runs without"')},
        "egc_kind": {"section": (egc("section"), ""), "found": (egc("reason"), "")},
        "egc_size": {"asked": (asked, ""), "found": (in_cable, "")},
        "egc_increase": {
            "asked": (when(is_wire, "in proportion", "-"), ""),
            "found": (when(is_wire, grown, "no wire-type EGC"), ""),
            "question": (At("conditions", "egc_question", as_expr(1)), ""),
        },
        "fitting": {
            "section": (fitting("section"), ""),
            "found": (At("fittings", "marking", col("fitting_row"), "-"), ""),
        },
        "space": {
            "section": (At("space_tests", "section", col("space_row")), ""),
            "found": (At("space_tests", "reason", col("space_row")), ""),
            "question": (At("space_answers", "question", At("space_tests", "asked", col("space_row")), "-"), ""),
        },
        "overcurrent": {
            "section": (
                when(
                    equal(_option("overcurrent_fails"), 0),
                    _listed("section", "overcurrent"),
                    At("alikes", "load_section", alike),
                ),
                "",
            ),
            "asked": (_circuit("breaker_a"), A),
            "found": (_option("usable_a"), A),
            "question": (At("alikes", "load_question", alike), ""),
        },
        "load": {"asked": (_tested("needed_a"), A), "found": (_circuit("breaker_a"), A)},
        "switch_neutral": {"found": (_circuit("bare_switches"), '0" boxes without"')},
        "knockout": {
            "asked": (Named("code", "value", "knockout_v"), '0" V"'),
            "found": (At("voltages", "to_ground_v", alike), '0" V"'),
        },
        "control": {name: (_of_pair(of), "") for name, of in CONTROL_SAYS.items()},
        "fault_path": {
            "asked": (given("wanted_ratio"), TIMES),
            "found": (At("faults", "times_pickup", At("verdicts", "fault_line", col("line"))), TIMES),
        },
        "multiwire": {"asked": (_circuit("hots"), '0" hots"'), "found": (_circuit("poles"), '0" poles"')},
        "isolated": {"found": (_circuit("isolated"), '0" boxes"')},
        "receptacle": {"found": (_circuit("small_receptacles"), '0" boxes with less"')},
        "voltage_drop": {"asked": (given("drop_limit_pct"), PCT), "found": (_tested("drop_pct"), PCT)},
        "box_fill": {"found": (boxes_that("look") + boxes_that("fails"), '0" boxes without a size"')},
    }


def _sections(frame: Frame) -> dict[str, set[str]]:
    """Return the sections that a check has in the editions."""
    rows = list(frame.catalogs["checks"])
    return {check: {str(r["section"]) for r in rows if r["check"] == check} for check in checks_in(frame)}


def _shown(sections: Mapping[str, set[str]]) -> list[Column]:
    """Return the columns of every check; a section that is the same in every edition is no formula."""
    figures = _figures()
    columns = []
    for check in sections:
        outcome = At("verdicts", f"{check}_check", col("line"))
        said: dict[str, tuple[Expr | str, str]] = {
            "section": (_listed("section", check) if len(sections[check]) > 1 else min(sections[check]), ""),
            "asked": ("-", ""),
            "found": ("-", ""),
            "question": (_listed("question", check), ""),
            **figures[check],
        }
        # what an answer leaves open stands in its row, a dash where it settles the rule
        open_ = (
            said["question"][0]
            if check in ("space", "control")
            else when(same(outcome, "look"), said["question"][0], NOTHING_OPEN)
        )
        shown = {
            **{part: said[part] for part in ("section", "asked", "found")},
            "word": (look("outcomes", "word", outcome, by="outcome"), ""),
            "question": (open_, ""),
        }
        columns += [
            Column(f"{check}_{part}", f"{TITLES[check]}, {part}", "", as_expr(shown[part][0]), format=shown[part][1])
            for part in PARTS
        ]
    return columns


def _construction() -> Expr:
    return Match("constructions", "construction", At("wiring", "wired_as", col("line")))


def inspected_checks(checks: Iterable[object]) -> tuple[str, ...]:
    """Return the checks of the inspection sheet, of those of a job; nobody on site looks for the catalog."""
    known = {str(check) for check in checks}
    return tuple(check for check in CHECKS if check != "cable" and check in known)


def on_the_page(checks: Iterable[object]) -> tuple[str, ...]:
    """Return the columns whose formulas stand on the inspection sheet itself."""
    return (*(f"{check}_says" for check in inspected_checks(checks)), "wired_as", "asks")
