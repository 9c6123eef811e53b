"""What the commands print: a table of totals, and what was found in a schedule."""

from __future__ import annotations

from collections import Counter

from takeoff.build import Build
from takeoff.catalog.rows import Catalogs
from takeoff.text.terminal import aligned
from takeoff.wiring.makeup import find_types
from takeoff.wiring.tree import Job

COLUMNS = (
    ("plan", "plan", "{}"),
    ("circuit_terminations", "circuit\nterm.", "{:,.0f}"),
    ("ground_terminations", "ground\nterm.", "{:,.0f}"),
    ("circuit_splices", "circuit\nsplices", "{:,.0f}"),
    ("ground_splices", "ground\nsplices", "{:,.0f}"),
    ("labor_hours", "labor\nh", "{:,.1f}"),
    ("material_cost", "material\nUSD", "{:,.0f}"),
    ("installed_cost", "installed\nUSD", "{:,.0f}"),
    ("bid_usd", "bid\nUSD", "{:,.0f}"),
    ("difference", "to base\nUSD", "{:+,.0f}"),
    ("state", "pricing is", "{}"),
)


def totals_text(build: Build) -> str:
    """Return the totals of each plan compared as a table for a terminal."""
    book = build.book
    heads = [title.split("\n") for _, title, _ in COLUMNS]
    lines = [[h[0] if len(h) > 1 else "" for h in heads], [h[-1] for h in heads]]
    lines += [
        [_shown(book.values("totals", name)[row], form) for name, _, form in COLUMNS]
        for row in range(len(build.frame.compared))
    ]
    base = build.inputs["base_plan"]
    return "\n".join([*aligned(lines, (0, len(COLUMNS) - 1)), f"base of the differences: {base}"])


def job_text(job: Job, catalogs: Catalogs) -> str:
    """Return what a schedule holds, counted with its repeats."""
    types = find_types(job, catalogs)
    boxes = sum(b.circuit.repeat for b in job.boxes)
    circuits = sum(c.repeat for c in job.circuits)
    feet = sum(b.source.run_ft * b.circuit.repeat for b in job.boxes)
    home_runs = sum(b.circuit.repeat for b in job.boxes if b.from_panel)
    spaces = Counter(b.source.space for b in job.boxes)
    make_ups = sum(m.place == "box" for m in types.by_key.values())
    lines = [
        f"{job.schedule.file}: {len(job.boxes)} rows, {len(job.circuits)} circuits",
        f"with repeats: {boxes} boxes, {circuits} circuits, {home_runs} home runs, {feet:,.0f} ft of runs",
        f"make-up types: {make_ups}",
        "spaces: " + ", ".join(f"{space} {count}" for space, count in spaces.most_common()),
        f"notices: {len(job.notices)}",
    ]
    return "\n".join(lines)


def _shown(value: object, form: str) -> str:
    return value if isinstance(value, str) else form.format(value)
