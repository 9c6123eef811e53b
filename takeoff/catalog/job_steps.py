"""What the crew pages are made of before anything is counted: the two plans they compare, and their steps."""

from __future__ import annotations

from collections.abc import Iterator

from takeoff.catalog.rows import Catalogs, Row
from takeoff.text.problems import InputError, Problem

FROM, TO = "crew_from", "crew_to"
"""The inputs that choose what a crew knows and what it learns."""

UNTIMED = "none"
"""Stands for the operation of a step that has no minutes of its own."""


def with_every_operation(catalogs: Catalogs) -> Catalogs:
    """Return the catalogs with a plain job step for every operation at a box that none names.

    Its minutes must stand on the page too.

    Raises
    ------
    InputError
        A step that is counted along the run, or otherwise than its operation; an operation with two steps.
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
    own = {"job_step": key, "operation": key, "driver": operation["driver"], "place": place, "step": operation["title"]}
    return {"key": key, **own, **words, "source": operation["source"]}


def _wrong(catalogs: Catalogs) -> Iterator[Problem]:
    first: dict[str, str] = {}
    for row in catalogs["job_steps"]:
        key, operation, driver = (str(row[name]) for name in ("job_step", "operation", "driver"))
        file, number = str(row["_file"]), int(str(row["_row"]))
        if catalogs["drivers"][driver]["counted_at"] != "box":
            yield Problem(file, number, "driver", driver, "is counted along the run:", "a driver counted at the box")
        if operation == UNTIMED:
            continue
        counted = {str(o["driver"]) for o in catalogs["operations"] if o["operation"] == operation}
        if driver not in counted:
            accepted = f'"{min(counted)}"'
            yield Problem(file, number, "driver", driver, f"is not what {operation} is counted by:", accepted)
        if first.setdefault(operation, key) != key:
            message = f"is the operation of the step {first[operation]} too:"
            yield Problem(file, number, "operation", operation, message, "one step for each operation, or none")
