"""What a build prints: a table of totals."""

from __future__ import annotations

from collections import Counter

from takeoff.build import Build
from takeoff.engine.tables import Book
from takeoff.model.cost.totals import NOT_COMPARABLE
from takeoff.model.order.cable_priced import NAMES, TITLES, WAYS
from takeoff.report.standing import still_invented
from takeoff.text.terminal import aligned
from takeoff.wiring.tree import Job

COLUMNS = (
    ("title", "plan", "{}"),
    ("terminations", "termi-\nnations", "{:,.0f}"),
    ("ground_terminations", "of them\nground", "{:,.0f}"),
    ("splices", "splices", "{:,.0f}"),
    ("larger", "larger\nboxes", "{:,.0f}"),
    ("labor_hours", "labor\nh", "{:,.1f}"),
    ("material_cost", "material\nUSD", "{:,.0f}"),
    ("installed_cost", "installed\nUSD", "{:,.0f}"),
    ("bid_usd", "bid\nUSD", "{:,.0f}"),
    ("difference", "bid to\nbase, USD", "{:+,.0f}"),
    ("fewer_grounds", "grounds\nto base", "{:+,.0f}"),
    ("state", "state", "{}"),
)

NO_DIFFERENCE = f"; {NOT_COMPARABLE}: not comparable, one of the two is not to be used"
"""What the terminal says of a difference that is none."""

SAID = ("says", "against", "even_wage", "even_cable", "sure")
"""What the comparison of the two lowest plans says."""


def totals_text(build: Build) -> str:
    """Return the totals of each plan compared as a table for a terminal."""
    book = build.book
    heads = [title.split("\n") for _, title, _ in COLUMNS]
    lines = [[h[0] if len(h) > 1 else "" for h in heads], [h[-1] for h in heads]]
    lines += [
        [_shown(book.values("totals", name)[row], form) for name, _, form in COLUMNS]
        for row in range(len(build.frame.compared))
    ]
    apart = NOT_COMPARABLE in book.values("totals", "difference").tolist()
    base = f"base of the differences: {book.values('base', 'title')[0]}{NO_DIFFERENCE if apart else ''}"
    said = [str(book.values("decision", name)[0]) for name in SAID]
    table = aligned(lines, (0, len(COLUMNS) - 1))
    return "\n".join([*table, base, *(s for s in said if s), *_cable_lines(build), *_standing_lines(build)])


def _cable_lines(build: Build) -> list[str]:
    """Return what the plans come to with their cable priced in the other ways, and whether that moves their order."""
    values = build.book.values
    ways = {TITLES[w]: values("cable_priced", f"{NAMES[w]}_usd") for w in WAYS if w != build.inputs["cable_priced_by"]}
    found = [f"Installed, cable {way}: {', '.join(f'{usd:,.0f}' for usd in plans)} USD." for way, plans in ways.items()]
    moved = int(values("cable_priced", "moves").sum())
    return [*found, *([f"Plans that change place by how cable is priced: {moved}."] if moved else [])]


def _standing_lines(build: Build) -> list[str]:
    """Return what every sheet says, and below it what stands against the totals, the gravest first."""
    book = build.book
    stops = [f"  {state}: {says}" for state, says in _stops(book) if says]
    more = [f"  {said}" for name in ("asked", "says") if (said := str(book.values("stop_count", name)[0]))]
    return [str(book.values("master", "says")[0]).strip(), *stops, *more]


def _stops(book: Book) -> list[tuple[str, ...]]:
    return list(zip(*(book.values("stop_lines", name).tolist() for name in ("state", "says")), strict=True))


def invented_text(build: Build) -> str:
    """Return which figures of a build are still invented, those that weigh most in a total first."""
    rows = still_invented(build.book)
    if not rows:
        return "invented figures: none that a total rests on"
    lines = [
        ["weighs USD", "figure", "kind"],
        *([_weight(r["weight_usd"]), r["title"], r["kind"]] for r in rows),
    ]
    head = f"invented figures that a total rests on: {len(rows)}, those that weigh most first; replace them"
    return "\n".join([head, *aligned(lines, (1, 2))])


def _weight(usd: float) -> str:
    return f"{usd:,.0f}" if usd >= 1 else "< 1"


def receipt_text(job: Job) -> str:
    """Return what was read of the schedule's file and what became of it: each row all the boxes that it says.

    Raises
    ------
    ArithmeticError
        A row or a box was lost or doubled on the way.
    """
    rows, counts = job.schedule.rows, job.schedule.counts
    if len(counts) != rows:
        raise ArithmeticError(f"{rows} rows were read, and {len(counts)} were taken for boxes")
    found = Counter(int(box.source.row) for box in job.boxes)
    if wrong := [str(row) for row, count in counts.items() if found[int(row)] != count]:
        raise ArithmeticError(f"rows that became more or fewer boxes than they say: {', '.join(wrong)}")
    if len(job.boxes) != sum(counts.values()):
        raise ArithmeticError(f"the rows say {sum(counts.values())} boxes, and there are {len(job.boxes)}")
    feet = sum(box.source.run_ft for box in job.boxes)
    lines = [f"read {job.schedule.file}: {line}" for line in job.schedule.receipt]
    return "\n".join(lines) + f"; in all {len(job.boxes)} boxes, {feet:,.0f} ft of runs, each once"


def _shown(value: object, form: str) -> str:
    return value if isinstance(value, str) else form.format(value)
