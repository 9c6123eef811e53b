"""What was found in a schedule: counts in all, and for each panel what an estimator compares with the drawings."""

from __future__ import annotations

from collections import Counter

from takeoff.catalog.rows import Catalogs
from takeoff.text.terminal import aligned
from takeoff.wiring.tree import Job, WiredBox
from takeoff.wiring.types import find_types

HEADS = (("", "panel"), ("", "circuits"), ("", "boxes"))
KINDS = (
    ("receptacle", "recep-", "tacles"),
    ("switch", "", "switches"),
    ("luminaire", "lumi-", "naires"),
    ("equipment", "equip-", "ment"),
    ("other", "", "other"),
)
"""Kinds of device of the catalog, with the two lines of their heading."""

MORE = (
    ("load", "VA"),
    ("runs", "ft"),
    ("home", "runs"),
    ("home runs", "ft"),
    ("longest", "ft"),
    ("", "longest run to"),
)


def job_text(job: Job, catalogs: Catalogs) -> str:
    """Return what a schedule holds, counted with its repeats."""
    types = find_types(job, catalogs)
    spaces = Counter(space for b in job.boxes for space in b.source.spaces)
    make_ups = sum(m.place == "box" for m in types.by_key.values())
    rows = len({b.source.row for b in job.boxes})
    boxes, circuits = sum(b.circuit.repeat for b in job.boxes), sum(c.repeat for c in job.circuits)
    lines = [
        f"{job.schedule.file}: {rows} rows, {len(job.boxes)} boxes, {len(job.circuits)} circuits; "
        f"with repeats {boxes} boxes, {circuits} circuits",
        "",
        *panel_lines(job),
        "",
        f"make-up types: {make_ups}",
        "spaces: " + ", ".join(f"{space} {count}" for space, count in spaces.most_common()),
    ]
    return "\n".join(lines)


def panel_lines(job: Job) -> list[str]:
    """Return a table with a line for each panel and one for all, as a terminal shows it."""
    of: dict[str, list[WiredBox]] = {}
    for box in job.boxes:
        of.setdefault(box.circuit.panel, []).append(box)
    heads = [*HEADS, *((above, below) for _, above, below in KINDS), *MORE]
    lines = [[above for above, _ in heads], [below for _, below in heads]]
    lines += [_line(panel, boxes) for panel, boxes in of.items()]
    if len(of) > 1:
        lines.append(_line("all", job.boxes))
    return aligned(lines, (0, len(heads) - 1))


def _line(panel: str, boxes: list[WiredBox]) -> list[str]:
    circuits = {box.circuit.name: box.circuit.repeat for box in boxes}
    devices: Counter[str] = Counter()
    for box in boxes:
        for device in box.devices:
            devices[str(device["device_kind"])] += box.circuit.repeat
    home = [box for box in boxes if box.from_panel]
    longest = max(boxes, key=lambda box: box.run_ft)
    figures = (
        sum(circuits.values()),
        sum(box.circuit.repeat for box in boxes),
        *(devices[kind] for kind, *_ in KINDS),
        sum(box.load_va * box.circuit.repeat for box in boxes),
        sum(box.run_ft * box.circuit.repeat for box in boxes),
        sum(box.circuit.repeat for box in home),
        sum(box.run_ft * box.circuit.repeat for box in home),
        longest.run_ft,
    )
    return [panel, *(f"{figure:,.0f}" for figure in figures), longest.source.box]
