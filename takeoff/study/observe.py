"""Blank sheets for a time study: what a schedule calls for, in working order, ready to be filled in on site."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from takeoff.build import Build, Options, compute
from takeoff.catalog.rows import Catalogs
from takeoff.model.givens.constructions import operations_of
from takeoff.study.columns import WHOLE_BOX, WHOLE_BOX_TITLE
from takeoff.text.csv_text import csv_text
from takeoff.text.problems import InputError, Problem, visible
from takeoff.text.targets import check_targets
from takeoff.text.transaction import Transaction
from takeoff.workbook.pages.blanks import BlankColumn, BlankSheet, write_blanks

ENDINGS = (".csv", ".xlsx")
MOST_WORKERS, MOST_BOXES = 40, 20

ON_A_LINE = 3
"""Readings on one line: the same work again, one by one."""

AS_DRIVEN = "-"
"""In the catalog of points to time at: counted in the words of what the operation is counted by."""

FILLED = (
    BlankColumn("construction", "construction", 14.5, False),
    BlankColumn("operation", "work", 17, False),
    BlankColumn("box", "box", 14, False),
    BlankColumn("start_stop", "count, start, stop", 23.5, False),
)
"""What the sheets fill in themselves, in words."""

TO_FILL = (
    BlankColumn("count", "how many", 5.5, True),
    *(
        BlankColumn(f"{name}_{n}", f"{name} {n}", width, True)
        for n in range(1, ON_A_LINE + 1)
        for name, width in (("time", 6.5), ("less", 5.5))
    ),
    BlankColumn("rating", "pace %", 5.5, True),
    BlankColumn("leave_out", "left out because", 9, True),
    BlankColumn("note", "remarks", 9, True),
)
ON_LINES = (
    BlankColumn("job", "job", 12, True),
    BlankColumn("crew", "crew", 8, True),
    BlankColumn("observer", "observer", 9, True),
    BlankColumn("date", "date", 9.5, True),
    BlankColumn("worker", "worker", 8, False),
)
"""What stands on top of a sheet, and on every line of a text file."""


@dataclass(frozen=True)
class ObserveOptions:
    """What the user asked for on the command line: a schedule, where to write, workers and box types.

    `end_to_end` asks for whole boxes alone, in place of operations.
    """

    build: Options
    target: Path
    workers: int = 1
    boxes: int = 3
    end_to_end: bool = False


@dataclass(frozen=True)
class Sheets:
    """The lines to fill in, in sets of one worker each, and constructions that the schedule calls for beside them.

    `job` is the name of the schedule.
    """

    sets: Sequence[Sequence[Mapping[str, object]]]
    advice: Sequence[str]
    beside: Sequence[str]
    job: str


def plan_sheets(options: ObserveOptions) -> Sheets:
    """Return the sheets for a schedule; nothing is written.

    A line stands for one operation in one preferred construction of the plans chosen, where the schedule
    calls for it; whole boxes of the most frequent make-up types follow. From worker to worker, and from
    operation to operation, the order of the constructions changes.

    Raises
    ------
    InputError
        Everything wrong with the options and the input.
    """
    found = list(_wrong(options))
    if found:
        raise InputError(found)
    build = compute(options.build)
    work = [w for w in _work(build, options.boxes) if w.operation == WHOLE_BOX or not options.end_to_end]
    sets = [list(_lines(work, build.catalogs, worker)) for worker in range(options.workers)]
    advice = [str(row["text"]) for row in build.catalogs["timing_advice"]]
    return Sheets(sets, advice, _beside(build), options.build.schedule.stem)


def _wrong(options: ObserveOptions) -> Iterator[Problem]:
    for name, value, most in (("--workers", options.workers, MOST_WORKERS), ("--boxes", options.boxes, MOST_BOXES)):
        low = int(name == "--workers" or options.end_to_end)
        if not low <= value <= most:
            yield Problem(name, None, "", str(value), "is out of range:", f"from {low} to {most}")
    if options.target.suffix.casefold() not in ENDINGS:
        shown = visible(str(options.target))
        yield Problem(shown, None, "", "", f"does not end in {' or '.join(ENDINGS)}", "give a name that does")
    reads = [p for p in (options.build.schedule, options.build.inputs, options.build.catalogs) if p]
    yield from check_targets([(options.target, "")], reads)


@dataclass(frozen=True)
class _Work:
    """One piece of work to time: what it is, at which box, and the constructions in which it occurs."""

    operation: str
    box: str
    count_of: str
    constructions: Sequence[str]


def _work(build: Build, boxes: int) -> list[_Work]:
    """Return the operations the schedule calls for in working order, then whole boxes, most frequent types first."""
    catalogs, plans = build.catalogs, build.frame.plans
    called: dict[str, list[str]] = {}
    drivers: dict[str, str] = {}
    preferred = {p.key: p.members[0] for p in plans}
    pairs = build.frame.pairs
    for operation in operations_of(build.frame):
        name, driver = str(operation["operation"]), str(operation["driver"])
        drivers[name] = driver
        counted = build.book.values("mix", driver).tolist()
        for (plan, wired_as), quantity in zip(pairs, counted, strict=True):
            if wired_as == preferred[plan] and quantity > 0 and wired_as not in called.setdefault(name, []):
                called[name].append(wired_as)
    work = [
        _Work(o, _usual_box(build, drivers[o], names), _counted(catalogs, drivers[o]), names)
        for o, names in called.items()
        if names
    ]
    firsts = list(dict.fromkeys(plan.members[0] for plan in plans))
    usual = [build.types.by_key[key].describe() for key in _frequent(build)[:boxes]]
    return [*work, *(_Work(WHOLE_BOX, box, "boxes", firsts) for box in usual)]


def _counted(catalogs: Catalogs, driver: str) -> str:
    """Return what one of a driver is, with its unit where it is not a piece."""
    row = catalogs["drivers"][driver]
    return str(row["title"]) + ("" if row["unit"] == "ea" else f", {row['unit']}")


def _frequent(build: Build) -> list[str]:
    """Return the make-up types of boxes, the most frequent first."""
    return [key for key, make_up in build.types.by_key.items() if make_up.place == "box" and not make_up.others]


def _usual_box(build: Build, driver: str, constructions: Sequence[str]) -> str:
    """Return the most frequent make-up type, or panel end, that calls for a driver; nothing for work along runs."""
    if build.catalogs["drivers"][driver]["counted_at"] != "box":
        return ""
    names = ("type", "construction", driver)
    rows = zip(*(build.book.values("work", name) for name in names), strict=True)
    types = {t for t, construction, quantity in rows if construction in constructions and quantity > 0}
    first = next((t for t in build.types.by_key if t in types), None)
    return build.types.by_key[first].describe() if first else ""


def _lines(work: Sequence[_Work], catalogs: Catalogs, worker: int) -> Iterator[Mapping[str, object]]:
    points = catalogs["timing_points"]
    titles = {str(r["operation"]): str(r["title"]) for r in catalogs["operations"]} | {WHOLE_BOX: WHOLE_BOX_TITLE}
    for place, piece in enumerate(work):
        turn = (worker + place) % len(piece.constructions)
        start_stop = f"count {piece.count_of}"
        if piece.operation in points:
            point = points[piece.operation]
            counted = piece.count_of if point["counted"] == AS_DRIVEN else point["counted"]
            start_stop = f"count {counted}; start: {point['start_at']}; stop: {point['stop_at']}"
        for construction in (*piece.constructions[turn:], *piece.constructions[:turn]):
            yield {
                "worker": code_of(worker),
                "construction": str(catalogs["constructions"][construction]["title"]),
                "operation": titles[piece.operation],
                "box": piece.box,
                "start_stop": start_stop,
            }


def code_of(worker: int) -> str:
    """Return the code of a worker, counted from 0."""
    return f"W{worker + 1}"


def _beside(build: Build) -> list[str]:
    """Return the constructions that some circuits fall back to and that no sheet is for."""
    firsts = {plan.members[0] for plan in build.frame.plans}
    names = build.book.values("wiring", "wired_as")
    return [str(n) for n in dict.fromkeys(names.tolist()) if n not in firsts]


def write_sheets(sheets: Sheets, target: Path) -> None:
    """Write the sheets, as CSV or as a workbook by the ending of the target, whole or not at all.

    Raises
    ------
    InputError
        The target cannot be written.
    """
    with Transaction() as files:
        if target.suffix.casefold() == ".csv":
            files.write_text(target, _csv(sheets))
        else:
            made = [BlankSheet(code_of(n), _top(sheets.job, n), lines) for n, lines in enumerate(sheets.sets)]
            with files.writing(target) as staged:
                write_blanks(staged, [*FILLED, *TO_FILL], made, sheets.advice)


def _top(job: str, worker: int) -> list[list[tuple[str, str]]]:
    """Return the labels on top of the sheet of a worker, row by row."""
    return [
        [("Job", job), ("Crew", "")],
        [("Worker", code_of(worker)), ("Observer", "")],
        [("Date", ""), ("Before or after", "")],
    ]


def _csv(sheets: Sheets) -> str:
    columns = [*ON_LINES, *FILLED, *TO_FILL]
    lines = [{**line, "job": sheets.job} for lines in sheets.sets for line in lines]
    return csv_text([[c.heading for c in columns], *([line.get(c.name, "") for c in columns] for line in lines)])
