"""Which facts a circuit is asked for: rows of the catalogs say which rules have an exception that needs one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from takeoff.catalog.control import FACT
from takeoff.catalog.rows import Catalogs
from takeoff.job.records import UNKNOWN
from takeoff.wiring.circuits import LOADS, kind_of_load, spaces_of
from takeoff.wiring.tree import WiredBox

LOAD_KIND = "load_kind"
"""The fact on which overcurrent protection depends: 240.4(G)."""

NO_CASE = "none"
"""Stands where no fact decides on a rule."""


def facts_of_cases(catalogs: Catalogs) -> dict[str, str]:
    """Return the fact that decides each case of the catalog answers."""
    return {str(row["case"]): str(row["fact"]) for row in catalogs["answers"]}


def cases_of_spaces(catalogs: Catalogs, constructions: Iterable[str]) -> dict[tuple[str, str], str]:
    """Return the case that decides on a kind of space, by construction and space; the same in every edition."""
    used = set(constructions)
    rows = (r for r in catalogs["space_rules"] if r["case"] != NO_CASE and r["construction"] in used)
    return {(str(r["construction"]), str(r["space"])): str(r["case"]) for r in rows}


def facts_asked(
    boxes: Sequence[WiredBox],
    circuit_boxes: Sequence[WiredBox],
    catalogs: Catalogs,
    cases: Mapping[tuple[str, str], str],
) -> dict[str, str]:
    """Return the facts that the rules ask of a stretch, with the answers that are known.

    Parameters
    ----------
    boxes, circuit_boxes
        The boxes of one stretch, and of its circuit.
    catalogs
        Facts, answers and conductor sizes.
    cases
        What decides on a kind of space, as `cases_of_spaces` gives it.
    """
    fact_of = facts_of_cases(catalogs)
    spaces = set(spaces_of(boxes))
    wanted = {fact_of[case] for (_, space), case in cases.items() if space in spaces}
    said = dict(boxes[0].circuit.facts)
    load = kind_of_load(circuit_boxes)
    if load in LOADS:
        said = {LOAD_KIND: load} | {fact: answer for fact, answer in said.items() if answer != UNKNOWN}
    if LOAD_KIND in said or (load and _over(boxes, catalogs)):
        wanted.add(LOAD_KIND)
    if any(box.run.control_awg for box in boxes):
        wanted.add(FACT)
    return {str(f["fact"]): said.get(str(f["fact"]), UNKNOWN) for f in catalogs["facts"] if f["fact"] in wanted}


def _over(boxes: Sequence[WiredBox], catalogs: Catalogs) -> bool:
    """Return whether the breaker is above what a run carries at 60 C, or above 240.4(D): then the load may decide."""
    sizes = (catalogs["conductors"][box.run.awg] for box in boxes)
    return any(min(_a(s["copper_60c_a"]), _a(s["copper_limit_a"])) < boxes[0].circuit.breaker_a for s in sizes)


def _a(value: object) -> float:
    return float(str(value))
