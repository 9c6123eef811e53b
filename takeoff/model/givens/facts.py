"""Facts that exceptions need: what is asked, the answers, and what each answer makes of a rule.

A check is a rule, its exception and the fact that the exception needs. The catalog `answers` says what each answer
comes to in each edition; while nobody has answered, it says `look` and what to ask.
"""

from __future__ import annotations

from takeoff.engine.expr import Expr, as_expr, col, given
from takeoff.engine.lookups import At, Match
from takeoff.engine.tables import Column, Field, Table
from takeoff.job.records import UNKNOWN
from takeoff.model.frame import NOTHING, Frame
from takeoff.wiring.asked import facts_of_cases
from takeoff.wiring.makeup import CONTROL

NAMED = 4
"""Circuits that a question names; of more it says how many."""

UNREAD = "the answer is not one of those accepted"

SHOWN = (("outcome", "look", 0.0), ("section", "-", 20.0), ("reason", UNREAD, 60.0), ("question", UNREAD, 60.0))
"""What an answer says: column, what stands there where the answer is not accepted, width."""


def answer_row(case: Expr | str, answer: Expr) -> Expr:
    """Return the row of an answer in the edition in force; 0 where the answer is none of those accepted."""
    return Match("answers", "key", given("code_edition") & "|" & as_expr(case) & "|" & answer, missing_ok=True)


def facts_asked_table(frame: Frame) -> Table:
    """What is asked of circuits, one row for each fact of each kind of circuit; the answer is an input."""
    asked = frame.facts_asked
    catalog = frame.catalogs["facts"]
    named = _named(frame)
    data: dict[str, list[object]] = {
        "circuits": [_some(named[kind]) for kind, _ in asked],
        "answer": list(asked.values()),
        "fact": [fact for _, fact in asked],
        **{n: [catalog[fact][n] for _, fact in asked] for n in ("title", "question")},
    }
    if not asked:
        first = catalog.keys[0]
        data = {"circuits": ["no circuit"], "answer": [UNKNOWN], "fact": [first]}
        data |= {
            "title": ["nothing is asked"],
            "question": ["No rule asks for a fact that the schedule does not hold."],
        }
    return Table(
        "facts_asked",
        "Facts asked of circuits: answer here, or in the schedule",
        [
            Field("title", "fact", role="key", width=36),
            Field("fact", "column of the schedule", role="key", width=22),
            Field("answer", "answer", role="input", listed="fact_choices", width=22),
            Field("circuits", "circuits", width=22),
            Field("question", "question", width=44),
        ],
        [],
        data,
        key="fact",
    )


def circuits_asked(frame: Frame, fact: str) -> dict[str, tuple[str, list[str]]]:
    """Return the answer and the circuits of each row that asks for a fact, by what the row shows of them."""
    named = _named(frame)
    names = {stretch.name: stretch.circuit.name for stretch in frame.stretches.values()}
    return {
        _some(named[kind]): (answer, list(dict.fromkeys(names[name] for name in named[kind])))
        for (kind, asked), answer in frame.facts_asked.items()
        if asked == fact
    }


def _named(frame: Frame) -> dict[str, list[str]]:
    """Return the circuits of each kind by name."""
    named: dict[str, list[str]] = {}
    for key, name in frame.stretch_names.items():
        named.setdefault(frame.alike_of[key], []).append(name)
    return named


def _some(circuits: list[str]) -> str:
    more = f" and {len(circuits) - NAMED} alike" if len(circuits) > NAMED else ""
    return ", ".join(circuits[:NAMED]) + more


def fact_choices_table(frame: Frame) -> Table:
    """What each fact accepts for an answer: the lists behind the cells."""
    rows = [(str(f["fact"]), c) for f in frame.catalogs["facts"] for c in str(f["choices"]).split()]
    return Table(
        "fact_choices",
        "Answers accepted",
        [Field("name", "fact", role="key"), Field("choice", "answer")],
        [],
        {"name": [fact for fact, _ in rows], "choice": [choice for _, choice in rows]},
        key="name",
    )


def space_answers_table(frame: Frame) -> Table:
    """Kinds of space and control pairs on which a fact decides, by the kinds of circuit and constructions that ask."""
    rows, places = frame.space_cases, {asked: n for n, asked in enumerate(frame.facts_asked, start=1)}
    fact_of = facts_of_cases(frame.catalogs)
    cases = frame.cases_of_spaces
    pairs = [(kind, CONTROL, m, case) for kind, m, case in frame.control_cases]
    found = [*((kind, space, m, cases[m, space]) for kind, space, m in rows), *pairs] or [
        (NOTHING, NOTHING, NOTHING, NOTHING)
    ]
    return Table(
        "space_answers",
        "Kinds of space and control pairs on which a fact decides",
        [
            Field("alike", "kind of circuit", role="key", width=9),
            Field("space", "kind of space", role="key"),
            Field("construction", "construction", role="key", width=13),
            Field("case", "what decides"),
            Field("fact_row", "row of the fact", "no."),
        ],
        [
            Column("answer", "answer", "", At("facts_asked", "answer", col("fact_row"), UNKNOWN)),
            Column("row", "row of the answer", "no.", answer_row(col("case"), col("answer"))),
            *(Column(n, n, "", At("answers", n, col("row"), other), width=w) for n, other, w in SHOWN),
        ],
        {
            "alike": [kind for kind, *_ in found],
            "space": [space for _, space, *_ in found],
            "construction": [m for _, _, m, _ in found],
            "case": [case for *_, case in found],
            "fact_row": [places.get((kind, fact_of.get(case, "")), 0) for kind, *_, case in found],
        },
        key="alike",
    )


def said_columns(name: str, title: str, case: str, answer: Expr) -> list[Column]:
    """Return the columns that say what the answer to a fact comes to: outcome, section, reason, question."""
    return [
        Column(f"{name}_row", f"row of the answer, {title}", "no.", answer_row(case, answer)),
        *(
            Column(f"{name}_{n}", f"{n}, {title}", "", At("answers", n, col(f"{name}_row"), other), width=w)
            for n, other, w in SHOWN
        ),
    ]
