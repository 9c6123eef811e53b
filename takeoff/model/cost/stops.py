"""The stop list: what can make a total wrong, by plan, and in which state that leaves the plan."""

from __future__ import annotations

from collections.abc import Sequence
from functools import reduce
from operator import add, and_

from takeoff.catalog.rows import Row
from takeoff.engine.aggregates import CountBy
from takeoff.engine.chains import Highest, Running
from takeoff.engine.expr import Expr, as_expr, at_most, call, col, equal, same, when
from takeoff.engine.lookups import At, CellAt, Match, Total
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.wages import only

COMPLETE, LOOK_FIRST, NOT_TO_BE_USED = "complete", "look first", "not to be used"
"""States of a plan, the worst last; those of a row of `stops.csv` are the last two."""

PLAN_STOPS = (
    *("refused", "unserved", "unsized", "no_cable", "other_unpriced", "prices_missing"),
    *("price_slips", "prices_expired", "advised", "not_settled", "circuits_to_look"),
)
"""What is counted by plan, as `plan_flags` has it."""

NOT_OF_CIRCUITS = 9
GRAVE = {"refused": 3, "advised": 2, "circuits_to_look": 1}
"""Stops that a circuit brings about, with how grave it is there (`verdicts.grave`): the first such circuit is named."""

ASKING = "not_settled"
"""The stop that tells a question in place of a rule: `open_facts`."""

OF_CIRCUITS = (*GRAVE, ASKING)
"""Stops that circuits bring about: they are named."""

NAMED = ((9, 3), (16, 2))
"""How many circuits a line names: where no name of the job has more letters, so many; else the first alone."""

BY_SPACE = "by space"
"""Stands for the section of a check whose section depends on the kind of space."""

SHOWN = 4
"""Lines of the stop list that the Summary shows."""


def _rows(frame: Frame) -> list[Row]:
    """Return what is counted by plan, the gravest first."""
    return [r for r in frame.catalogs["stops"] if r["counted"] == "plan"]


def stop_list_table(frame: Frame) -> Table:
    """What can stand against the total of a plan, the gravest first; what is not nothing is numbered."""
    rows, places = _rows(frame), [(name, title) for name, title, _ in frame.per_titled("count")]
    together = reduce(add, (col(name) for name, _ in places))

    def told(name: str, title: str, by_check: Expr, asked: str, unit: str = "", width: float = 0) -> Column:
        expr = when(equal(col("asks"), 0), by_check, only("open_facts", asked))
        return Column(name, title, unit, expr, "of a fact that is missing, its question", width=width)

    return Table(
        "stop_list",
        "Stop list, line by line",
        [
            Field("what", "what stands against a total", role="key", width=52),
            Field("state", "the plan is then", width=15),
            Field("look_at", "look at", width=22),
            Field("stop", "column of the counts", "no."),
            Field("grave", "how grave in a circuit", "no."),
            Field("asks", "tells a question", "0/1"),
            Field("named_at", "column of the circuits named", "no."),
            Field("sheet", "sheet to look at"),
            *(Field(f"place_{n}", f"place of {p}", "no.") for n, p in enumerate(frame.titles.values(), start=1)),
        ],
        [
            *(
                Column(
                    name,
                    f"how many as {plan}",
                    "ea",
                    call("no_error", CellAt("plan_flags", "stops", col(f"place_{n}"), col("stop"))),
                    "circuits and boxes as often as they are built; an error is counted by itself",
                    head=plan,
                )
                for n, (name, plan) in enumerate(places, start=1)
            ),
            Column("shown", "is not nothing", "0/1", call("sign", together)),
            Column("known", "lines down to here that are not nothing", "ea", Running(col("shown"))),
            Column("number", "line of the stop list", "no.", col("shown") * col("known"), "0: nothing"),
            told(
                *("verdict_row", "row of the first circuit", Match("verdicts", "grave", col("grave"), True)),
                *("verdict_row", "no."),
            ),
            Column("circuit", "first circuit", "", At("verdicts", "circuit", col("verdict_row"), "-"), width=14),
            Column("check_row", "row of the check", "no.", At("verdicts", "told_at", col("verdict_row"), 0)),
            Column("option_row", "row of its option", "no.", At("verdicts", "option_row", col("verdict_row"), 0)),
            Column("by_rule", "section of the rule", "", At("check_list", "section", col("check_row"), "-"), width=24),
            Column(
                "by_space", "section by space", "", At("options", "space_section", col("option_row"), "-"), width=24
            ),
            Column(
                "by_check",
                "section of the check",
                "",
                when(same(col("by_rule"), BY_SPACE), col("by_space"), col("by_rule")),
                "of the kind of space where the check is by space",
                width=24,
            ),
            told("section", "section", col("by_check"), "section", width=24),
            Column(
                "rule_said",
                "the rule, in plain words",
                "",
                At("check_list", "refusal", col("check_row"), "-"),
                "of the first circuit",
                width=60,
            ),
            told("refusal", "in plain words", col("rule_said"), "question", width=60),
            Column("others", "other circuits", "", CellAt("stop_names", "others", as_expr(1), col("named_at"))),
            Column("counted", "how many of what", "", col("what") & ": " & _joined([name for name, _ in places])),
            Column("ruled", "rule and section", "", as_expr(": ") & col("rule_said") & " (" & col("section") & ")"),
            Column("told", "what is told of the first", "", when(equal(col("asks"), 0), col("ruled"), ", asked below")),
            Column(
                "with_first",
                "with the first circuit",
                "",
                col("counted") & "; first " & col("circuit") & col("told") & col("others"),
            ),
            Column(
                "says",
                "in a sentence",
                "",
                when(equal(col("verdict_row"), 0), col("counted"), col("with_first")),
                "counts in the order of the plans",
                width=60,
            ),
        ],
        {
            "what": [r["title"] for r in rows],
            "state": [r["state"] for r in rows],
            "look_at": [r["look_at"] for r in rows],
            "stop": [PLAN_STOPS.index(str(r["stop"])) + 1 for r in rows],
            "grave": [GRAVE.get(str(r["stop"]), NOT_OF_CIRCUITS) for r in rows],
            "asks": [int(r["stop"] == ASKING) for r in rows],
            "named_at": [OF_CIRCUITS.index(str(r["stop"])) + 1 if r["stop"] in OF_CIRCUITS else 1 for r in rows],
            "sheet": [str(r["look_at"]).removeprefix("sheet ") for r in rows],
            **{f"place_{n}": [n] * len(rows) for n, _ in enumerate(frame.compared, start=1)},
        },
        {"counts": [name for name, _ in places]},
        key="what",
    )


def circuit_stops_table(frame: Frame) -> Table:
    """Every circuit, and how many down to it stand in a line of the stop list in any plan."""
    first, last = col("first"), col("last")
    count = len(frame.compared)

    def stands(stop: str) -> Expr:
        if stop == ASKING:
            return Highest("verdicts", "unsettled", first, last)
        return call("sign", CountBy("verdicts", {"circuit_key": col("key"), "grave": col(f"grave_{stop}")}))

    def down_to_here(stop: str) -> str:
        grave = f", grave {GRAVE[stop]}" if stop in GRAVE else ""
        return f"down to here: {stop.replace('_', ' ')}{grave}"

    rows = range(len(frame.stretches))
    return Table(
        "circuit_stops",
        "Circuits in the stop list",
        [
            Field("circuit", "circuit", role="key", width=13),
            Field("key", "key", role="key"),
            Field("first", "its first line", "no."),
            Field("last", "its last line", "no."),
            *(Field(f"grave_{stop}", f"how grave: {stop}", "no.") for stop in GRAVE),
        ],
        [Column(stop, down_to_here(stop), "ea", Running(stands(stop))) for stop in OF_CIRCUITS],
        {
            "circuit": list(frame.stretch_names.values()),
            "key": list(frame.stretches),
            "first": [n * count + 1 for n in rows],
            "last": [(n + 1) * count for n in rows],
            **{f"grave_{stop}": [grave] * len(rows) for stop, grave in GRAVE.items()},
        },
    )


def stop_names_table(frame: Frame) -> Table:
    """What a line of the stop list says of the circuits behind its first one."""
    longest = max(len(name) for name in frame.stretch_names.values())
    named = next((count for letters, count in NAMED if longest <= letters), 1)

    def of(stop: str) -> list[Column]:
        def nth(place: str) -> Expr:
            row = Match("circuit_stops", stop, col(place), missing_ok=True)
            return At("circuit_stops", "circuit", row, "")

        places = ("second", "third")[: named - 1]
        left = Highest("circuit_stops", stop, as_expr(1), col("rows")) - col("named")
        more, found = f"{stop}_more", [f"{stop}_{place}" for place in places]
        said = [when(same(col(n), ""), "", as_expr(", " if k else "; also ") & col(n)) for k, n in enumerate(found)]
        rest = when(at_most(col(more), 0), "", as_expr(" and " if found else "; and ") & col(more) & " more")
        title = stop.replace("_", " ")
        return [
            *(
                Column(n, f"{title}: circuit, {k}", "", nth(p))
                for k, (n, p) in enumerate(zip(found, places, strict=True), start=2)
            ),
            Column(more, f"{title}: circuits not named", "ea", left),
            Column(f"{stop}_others", f"{title}: said of them", "", reduce(and_, [*said, rest]), width=30),
        ]

    return Table(
        "stop_names",
        "Circuits named in the stop list",
        [
            Field("key", "key", role="key"),
            *(Field(n, n, "no.") for n in ("second", "third")),
            Field("named", "circuits named", "ea"),
            Field("rows", "circuits", "ea"),
        ],
        [column for stop in OF_CIRCUITS for column in of(stop)],
        {"key": ["names"], "second": [2], "third": [3], "named": [named], "rows": [len(frame.stretches)]},
        {"others": [f"{stop}_others" for stop in OF_CIRCUITS]},
    )


def _joined(names: Sequence[str]) -> Expr:
    """Return whole numbers one after the other."""
    return reduce(lambda said, name: said & ", " & col(name), names[1:], col(names[0]))


def stop_count_table(frame: Frame) -> Table:
    """How many lines of the stop list the Summary does not show, and what is asked where a fact is missing."""
    lines = Total("stop_list", "shown")
    more = call("max", 0, col("lines") - col("room"))
    rest = as_expr("and ") & col("more") & " more lines: sheet Checks"
    row, section = only("open_facts", "verdict_row"), only("open_facts", "section")
    whom = as_expr("Asked of ") & At("verdicts", "circuit", row, "-") & ": "
    asked = whom & only("open_facts", "question") & " (" & section & ")"
    return Table(
        "stop_count",
        "Lines of the stop list",
        [Field("key", "key", role="key"), Field("room", "lines on the Summary", "ea")],
        [
            Column("lines", "lines that are not nothing", "ea", lines),
            Column("more", "lines not on the Summary", "ea", more),
            Column("rest", "said of them", "", rest),
            Column("says", "said, where there are any", "", when(equal(col("more"), 0), "", col("rest"))),
            Column("question", "asked of the first circuit with a fact missing", "", asked, width=60),
            Column("asked", "asked, where a fact is missing", "", when(equal(row, 0), "", col("question")), width=60),
        ],
        {"key": ["stops"], "room": [min(SHOWN, len(_rows(frame)))]},
        exposed=["says", "asked"],
    )


def stop_lines_table(frame: Frame) -> Table:
    """The lines of the stop list that are not nothing, the gravest first, as the Summary shows them."""
    lines = min(SHOWN, len(_rows(frame)))

    def of(name: str, title: str) -> Column:
        return Column(name, title, "", At("stop_list", name, col("row"), ""))

    return Table(
        "stop_lines",
        "Stop list",
        [Field("number", "no.", "no.", role="key")],
        [
            Column("row", "row of the line", "no.", Match("stop_list", "number", col("number"), missing_ok=True)),
            of("says", "what stands against a total"),
            of("look_at", "look at"),
            of("sheet", "sheet to look at"),
            of("state", "the plan is then"),
        ],
        {"number": list(range(1, lines + 1))},
        key="number",
    )
