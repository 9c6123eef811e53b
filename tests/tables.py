"""Schedules written as boxes, and the rows of computed tables, for tests of the model."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from typing import Any

from takeoff.build import Build
from takeoff.job.records import BOX_COLUMNS, CIRCUIT_COLUMNS
from tests.conftest import ROOT, Counted

FACTS = ("class_division", "listed_for_place", "stage_egc", "load_kind", "in_insulation", "control_wiring")
COLUMNS = [c for c in (*BOX_COLUMNS, *CIRCUIT_COLUMNS, *FACTS) if c != "run_m"]
NO_TAILS = ("box_tail_ft=0", "panel_tail_ft=0")
"""Inputs with which a run is as long as the schedule says."""


def schedule(*boxes: Mapping[str, object]) -> str:
    """Return a schedule; a box is a junction `X` of circuit P-1, 20 ft from the panel, but for its cells."""
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, restval="", lineterminator="\n")
    writer.writeheader()
    for box in boxes:
        writer.writerow({"box": "X", "circuit": "P-1", "device": "junction", "run_ft": 20, "fed_from": "panel", **box})
    return out.getvalue()


def rows(found: Counted | Build, table: str, **where: object) -> list[dict[str, Any]]:
    """Return the rows of a table whose columns hold the given values, every column by name."""
    book = (found.build if isinstance(found, Counted) else found).book
    names = [column.name for column in book.tables[table]]
    columns = [book.values(table, name).tolist() for name in names]
    lines = (dict(zip(names, values, strict=True)) for values in zip(*columns, strict=True))
    return [line for line in lines if all(line[name] == value for name, value in where.items())]


def by_box(found: Counted | Build, **where: object) -> list[dict[str, Any]]:
    """Return the rows of `box_outcomes` with one row for each box and plan, plan by plan as they are compared."""
    frame = (found.build if isinstance(found, Counted) else found).frame
    each = rows(found, "box_outcomes")
    lines = [
        {"plan": plan, **{name.removesuffix(f"_{n}"): value for name, value in line.items()}}
        for n, plan in enumerate(frame.compared, start=1)
        for line in each
    ]
    return [line for line in lines if all(line[name] == value for name, value in where.items())]


def row(found: Counted | Build, table: str, **where: object) -> dict[str, Any]:
    """Return the one row of a table whose columns hold the given values."""
    (only,) = rows(found, table, **where)
    return only


def called(plan: str) -> str:
    """Return the title of a plan of the catalog, as sentences and headings have it."""
    rows_of = csv.DictReader((ROOT / "catalogs" / "plans.csv").read_text(encoding="utf-8").splitlines())
    return next((r["title"] for r in rows_of if r["plan"] == plan), plan)
