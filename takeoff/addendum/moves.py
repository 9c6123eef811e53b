"""What moved between two builds, split by cause: the builds between them are made, one cause after the other."""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from takeoff.addendum.carry import with_sets
from takeoff.addendum.earlier import rebuild
from takeoff.addendum.toml_text import toml_text
from takeoff.build import Build
from takeoff.job.inputs import AREAS, BOXES, CIRCUITS
from takeoff.job.overrides import of_circuits
from takeoff.job.sources import Sources
from takeoff.text.problems import InputError
from takeoff.wiring.places import areas_of
from takeoff.workbook.layout import heading

SCHEDULE, INPUTS, PRICES, MINUTES, EDITION, CATALOGS = (
    *("schedule", "inputs", "prices", "minutes", "code edition"),
    "other catalogs",
)
CAUSES = (SCHEDULE, INPUTS, PRICES, MINUTES, EDITION, CATALOGS)
"""Causes in the order in which they are told apart: a later one is counted on top of those before it."""

CAUSE_OF = {
    "aliases": SCHEDULE,
    **dict.fromkeys(("inputs", "work_conditions", "crew", "burden", "ranges", "box_sizes", "proposal"), INPUTS),
    **dict.fromkeys(("prices", "families", "packages", "units"), PRICES),
    **dict.fromkeys(("operations", "minute_ranges", "learning", "uses", "job_steps"), MINUTES),
}
"""Cause of a change in a catalog; in any other one it is `CATALOGS`."""

BOXES_OF_SIZE = "boxes: "
"""Begins the name of a figure that counts the boxes of a size: one that did not move is left out."""

DIGITS = 9
"""Digits of a figure behind the point: the rest is noise of binary fractions."""

IN_FORCE = "code_edition"

OF_READING = "ignore_columns"
"""Input that goes with the schedule, whose headings it names."""


@dataclass(frozen=True)
class Move:
    """One figure of the Summary in one plan: before, after, and how far each cause moved it."""

    plan: str
    figure: str
    before: float
    after: float
    by_cause: Mapping[str, float]


@dataclass(frozen=True)
class Moves:
    """Every figure, and what could not be told apart: `joined` says which causes are counted with which."""

    figures: Sequence[Move]
    joined: Sequence[str]


def moves(old: Build, new: Build) -> Moves:
    """Return how every figure of the Summary moved, by cause.

    The steps add up whatever lies between them, for each is the difference of two builds, the last of one step being
    the first of the next.

    Parameters
    ----------
    old, new
        The two builds; plans that only one of them compares are left out.
    """
    plans = [plan for plan in old.frame.compared if plan in new.frame.compared]
    states: list[tuple[str, Build]] = [("", old)]
    joined: list[str] = []
    for place, cause in enumerate(CAUSES[:-1], start=1):
        try:
            states.append((cause, rebuild(_between(old, new, CAUSES[:place], plans))))
        except InputError as wrong:
            joined.append(f"{cause} is counted with {CAUSES[place]}: {wrong.problems[0]}")
    states.append((CATALOGS, new))
    return Moves(list(_figures(states, plans)), joined)


def _figures(states: Sequence[tuple[str, Build]], plans: Sequence[str]) -> Iterator[Move]:
    """Yield the figures of every plan through the states, those that are numbers in all of them."""
    of_states = [(cause, summary_figures(build)) for cause, build in states]
    first, last = of_states[0][1], of_states[-1][1]
    for plan, name in ((p, n) for p in plans for q, n in {**first, **last} if q == p):
        figures = [found.get((plan, name), 0.0) for _, found in of_states]
        if not all(isinstance(v, int | float) for v in figures):
            continue  # a difference to a total that is not complete
        values = [round(float(v), DIGITS) for v in figures]
        causes = (cause for cause, _ in of_states[1:])
        steps = {cause: b - a for cause, (a, b) in zip(causes, pairwise(values), strict=True)}
        if not name.startswith(BOXES_OF_SIZE) or any(steps.values()):
            yield Move(plan, name, values[0], values[-1], {c: steps.get(c, 0.0) for c in CAUSES})


def summary_figures(build: Build) -> dict[tuple[str, str], Any]:
    """Return the figures of the Summary by plan and heading: totals, and boxes by size."""
    book, found = build.book, {}
    for place, plan in enumerate(build.frame.compared):
        for column in book.tables["totals"].columns:
            if column.unit:
                found[plan, heading(column)] = book.values("totals", column.name).tolist()[place]
    of_plans = [(c.head, c.name) for c in book.tables["box_counts"].columns if c.head]
    for plan, name in of_plans:
        for box, count in zip(book.values("box_counts", "title"), book.values("box_counts", name), strict=True):
            if count:
                found[plan, f"{BOXES_OF_SIZE}{box}, ea"] = float(count)
    return found


def _between(old: Build, new: Build, taken: Collection[str], plans: Sequence[str]) -> Sources:
    """Return the sources of a build with some causes as in the new one and all others as in the old one."""

    def side(cause: str) -> Build:
        return new if cause in taken else old

    doc, of_edition, of_schedule = (_doc(side(cause)) for cause in (INPUTS, EDITION, SCHEDULE))
    doc.pop(IN_FORCE, None)
    if IN_FORCE in of_edition:
        doc[IN_FORCE] = of_edition[IN_FORCE]
    _take_schedule(doc, of_schedule, side(SCHEDULE))
    catalogs = _blend(old.sources.catalogs, new.sources.catalogs, taken)
    shipped = _blend(old.sources.shipped, new.sources.shipped, taken)
    return Sources(
        side(SCHEDULE).sources.schedule,
        side(SCHEDULE).sources.rooms,
        {"inputs.toml": toml_text(doc)},
        side(PRICES).sources.quotes,
        catalogs,
        shipped,
        (),
        ",".join(plans),
    )


def _take_schedule(doc: dict[str, Any], of_schedule: Mapping[str, Any], build: Build) -> None:
    """Take what the inputs file says in place of the schedule from where the schedule is from.

    Conditions of areas and circuits come with the inputs; those that the schedule does not have are left out.
    """
    for name in (BOXES, OF_READING):
        doc.pop(name, None)
        if name in of_schedule:
            doc[name] = of_schedule[name]
    names, ours = {c.name.casefold() for c in build.job.circuits}, of_circuits(build.catalogs)
    said = {
        n: {k: v for k, v in entries.items() if k not in ours}
        for n, entries in doc.get(CIRCUITS, {}).items()
        if n.casefold() in names
    }
    for name, entries in of_schedule.get(CIRCUITS, {}).items():
        spelled = next((n for n in said if n.casefold() == name.casefold()), name)
        said.setdefault(spelled, {}).update({k: v for k, v in entries.items() if k in ours})
    areas = {a.casefold() for a in areas_of(build.job)}
    kept = {n: entries for n, entries in doc.get(AREAS, {}).items() if n.casefold() in areas}
    for table, entries in ((CIRCUITS, said), (AREAS, kept)):
        doc.pop(table, None)
        if entries:
            doc[table] = entries


def _blend(old: Mapping[str, str], new: Mapping[str, str], taken: Collection[str]) -> dict[str, str]:
    """Return the files of catalogs, each from the side that its cause is on."""

    def cause(name: str) -> str:
        return CAUSE_OF.get(name.rpartition(".")[0].casefold(), CATALOGS)

    return {
        **{name: text for name, text in old.items() if cause(name) not in taken},
        **{name: text for name, text in new.items() if cause(name) in taken},
    }


def _doc(build: Build) -> dict[str, Any]:
    """Return the inputs of a build as one file: what --set said counts last."""
    return with_sets(tomllib.loads(next(iter(build.sources.inputs.values()), "")), build.sources.sets)
