"""The schedule as it was understood: one row for each box, in our own words, to be read again or pasted back."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from takeoff.job.records import BOX_COLUMNS, CIRCUIT_COLUMNS, PULLED, RUNS_APART
from takeoff.text.transaction import Transaction
from takeoff.wiring.tree import Job, WiredBox

SPENT = ("count", "run_m", "next_ft", "home_run_ft", "room")
"""Columns that have done their work: what they said stands in the rows."""


def expanded_text(job: Job) -> str:
    """Return the schedule as CSV; reading it gives the same boxes, and writing them the same bytes.

    Wires that were concluded from the order of the devices stand in it as if they had been given.
    """
    rows = [_texts(box) for box in job.boxes]
    facts = dict.fromkeys(fact for circuit in job.circuits for fact in circuit.facts)
    columns = [c for c in (*BOX_COLUMNS, *CIRCUIT_COLUMNS, *facts) if c not in SPENT]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    kept = ("box", "circuit", "device", "run_ft", *(["area"] if job.schedule.extra_columns else []))
    used = [c for c in columns if c in kept or any(row.get(c) for row in rows)]  # a column room is the area without it
    writer.writerow([*used, *job.schedule.extra_columns])
    for row, wired in zip(rows, job.boxes, strict=True):
        writer.writerow([*(row.get(c, "") for c in used), *wired.source.extra])
    return out.getvalue()


def write_expanded(job: Job, target: Path) -> None:
    """Write the schedule as CSV, whole or not at all.

    Raises
    ------
    InputError
        The target cannot be written.
    """
    with Transaction() as files:
        files.write_text(target, expanded_text(job))


def _texts(wired: WiredBox) -> dict[str, str]:
    """Return the entries of a box, with those of its circuit on the first of its boxes."""
    box, circuit = wired.source, wired.circuit
    said = circuit.said if box is circuit.boxes[0] else {}
    return {
        "box": box.box,
        "circuit": box.circuit,
        "device": "+".join(box.devices),
        "run_ft": _number(box.run_ft),
        "fed_from": box.fed_from,
        "wires": " ".join(wired.run.every if wired.led else box.wires),
        "taps": " ".join(wired.told),
        "awg": box.awg,
        "control_awg": box.control_awg,
        "control_ft": (_number(box.control_ft) or RUNS_APART) if box.control_apart else "",
        "load_va": _number(box.load_va),
        "space": "" if box.space == "general" else box.space,
        "area": box.area,
        "ceiling_ft": _number(box.ceiling_ft),
        "height_in": _number(box.height_in),
        "box_style": box.box_style,
        "gangs": _number(box.gangs),
        "run_construction": box.run_construction,
        "run_state": PULLED if box.pulled else "",
        "note": box.note,
        **{column: _text(circuit.facts.get(column) or getattr(circuit, column)) for column in said},
    }


def _text(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return _number(value) if isinstance(value, int | float) else str(value)


def _number(value: float | None) -> str:
    """Return a number so that it is read as the same one again."""
    return "" if value is None else repr(float(value)).removesuffix(".0")
