"""What the crew pages are made of before anything is counted: the two plans they compare, and their steps."""

from __future__ import annotations

from collections.abc import Iterator

from takeoff.catalog.rows import Catalogs, Row
from takeoff.text.problems import InputError, Problem

FROM, TO = "crew_from", "crew_to"
"""The inputs that choose what a crew knows and what it learns."""

UNTIMED = "none"
"""Stands for the operation of a step that has no minutes of its own."""

EVERYWHERE = ("any",), ("armor", "wire")
"""Where the steps of an operation are done, so that each box has its minutes once."""


def with_every_operation(catalogs: Catalogs) -> Catalogs:
    """Return the catalogs with a plain job step for every operation at a box that none names.

    Its minutes must stand on the page too.

    Raises
    ------
    InputError
        A step that is counted along the run, or otherwise than its operation; an operation that two steps of a box
        have, or that a step has in some boxes only.
    """
    found = list(_wrong(catalogs))
    if found:
        raise InputError(found)
    named = {row["operation"] for row in catalogs["job_steps"]}
    last = max((float(str(row["place"])) for row in catalogs["job_steps"]), default=0)
    more: list[Row] = []
    for row in catalogs["operations"]:
        key = str(row["operation"])
        if key not in named and catalogs["drivers"][str(row["driver"])]["counted_at"] == "box":
            named.add(key)
            more.append(_plain_step(row, last + float(str(row["step"]))))
    return {**catalogs, "job_steps": catalogs["job_steps"].laid_over(more)}


def _plain_step(operation: Row, place: float) -> Row:
    key, words = str(operation["operation"]), {"key_point": "-", "reason": "-", "safety": "-"}
    words |= {"where": "any", "differs_by": "none"}
    own = {"job_step": key, "operation": key, "driver": operation["driver"], "place": place, "step": operation["title"]}
    return {"key": key, **own, **words, "source": operation["source"]}


def _wrong(catalogs: Catalogs) -> Iterator[Problem]:
    of_operation: dict[str, list[Row]] = {}
    for row in catalogs["job_steps"]:
        operation, driver = (str(row[name]) for name in ("operation", "driver"))
        if catalogs["drivers"][driver]["counted_at"] != "box":
            yield _problem(row, "driver", "is counted along the run:", "a driver counted at the box")
        if operation == UNTIMED:
            continue
        counted = {str(o["driver"]) for o in catalogs["operations"] if o["operation"] == operation}
        if driver not in counted:
            yield _problem(row, "driver", f"is not what {operation} is counted by:", f'"{min(counted)}"')
        of_operation.setdefault(operation, []).append(row)
    for steps in of_operation.values():
        yield from _not_once(steps)


def _not_once(steps: list[Row]) -> Iterator[Problem]:
    """Yield the problem of an operation whose minutes would stand twice on a page, or on some pages only."""
    found, last = tuple(sorted(str(step["where"]) for step in steps)), steps[-1]
    if found in EVERYWHERE:
        return
    if len(steps) > 1:
        message = f"is the operation of the step {steps[0]['job_step']} too:"
        yield _problem(
            last, "operation", message, "one step for each operation, one for wire and one for armor, or none"
        )
    else:
        accepted = '"any", or a second step of the operation for the other of wire and armor'
        yield _problem(last, "where", "leaves out boxes that take minutes:", accepted)


def _problem(row: Row, column: str, message: str, accepted: str) -> Problem:
    return Problem(str(row["_file"]), int(str(row["_row"])), column, str(row[column]), message, accepted)
