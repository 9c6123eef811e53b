"""One build: from the user's files and options to a book of tables, and from the book to files."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from takeoff import __version__
from takeoff.catalogs import Catalogs, load_catalogs
from takeoff.makeup import Types, find_types
from takeoff.model.book import build_book
from takeoff.model.frame import Frame
from takeoff.problems import Problems, nearest
from takeoff.schedule import read_schedule
from takeoff.settings import Inputs, load_inputs
from takeoff.tables import Book
from takeoff.wiring import Job, wire
from takeoff.workbook.page import Provenance

Step = Callable[[str], None]


@dataclass(frozen=True)
class Options:
    """What the user asked for on the command line."""

    schedule: Path
    catalogs: Path | None = None
    inputs: Path | None = None
    sets: Sequence[str] = ()
    constructions: str = ""


@dataclass(frozen=True)
class Build:
    """Everything one build knows."""

    options: Options
    catalogs: Catalogs
    inputs: Inputs
    job: Job
    types: Types
    frame: Frame
    book: Book


def read_job(options: Options) -> tuple[Catalogs, Inputs, Job]:
    """Read catalogs, inputs and schedule, and wire the job.

    Raises
    ------
    InputError
        Everything wrong with the first of the three that cannot be used.
    """
    catalogs = load_catalogs(options.catalogs)
    inputs = load_inputs(catalogs, options.inputs, options.sets)
    schedule = read_schedule(options.schedule, catalogs)
    return catalogs, inputs, wire(schedule, catalogs, str(inputs["min_awg"]))


def compute(options: Options, step: Step = lambda _: None) -> Build:
    """Return a computed build; every column of every table has its values.

    Parameters
    ----------
    options
        What to read and compare.
    step
        Called with a word for each stage, for showing progress.
    """
    step("reading")
    catalogs, inputs, job = read_job(options)
    compared = choose_constructions(options.constructions, catalogs)
    inputs = {**inputs, "base_construction": _base(inputs, compared)}
    step("sorting boxes into make-up types")
    types = find_types(job, catalogs)
    frame = Frame(job, types, catalogs, compared)
    step("counting")
    book = build_book(frame, inputs)
    for table in list(book.tables.values()):
        for column in table.columns:
            book.values(table.name, column.name)
    return Build(options, catalogs, inputs, job, types, frame, book)


def choose_constructions(text: str, catalogs: Catalogs) -> list[str]:
    """Return the constructions to compare, all of the catalog where none is named.

    Raises
    ------
    InputError
        A name is unknown or stands twice.
    """
    known = catalogs["constructions"].texts("construction")
    names = [n.strip().casefold() for n in text.split(",") if n.strip()]
    problems = Problems("--constructions")
    for name in dict.fromkeys(names):
        if name not in known:
            problems.error(None, "", name, "is not a construction of the catalog:", nearest(name, known))
        elif names.count(name) > 1:
            problems.error(None, "", name, "stands twice:", "each construction once")
    problems.stop_on_errors()
    return names or known


def _base(inputs: Inputs, compared: Sequence[str]) -> str:
    wanted = str(inputs["base_construction"])
    return wanted if wanted in compared else compared[0]


def provenance_of(build: Build) -> Provenance:
    """Return what the workbook says of the build: names and figures only, no path and no time."""
    options = build.options
    catalogs = build.catalogs
    sources: Counter[tuple[str, str]] = Counter()
    for catalog in catalogs.values():
        if catalog.name != "schema":
            sources.update((catalog.name, str(row["source"])) for row in catalog)
    given = [
        ("Option --catalogs", options.catalogs.name if options.catalogs else "none"),
        ("Option --inputs", options.inputs.name if options.inputs else "none"),
        ("Option --set", "; ".join(options.sets) or "none"),
    ]
    return Provenance(
        version=__version__,
        schedule_file=options.schedule.name,
        schedule_sha256=hashlib.sha256(options.schedule.read_bytes()).hexdigest(),
        options=given,
        compared=build.frame.compared,
        sources=[(catalog, source, count) for (catalog, source), count in sources.items()],
        cautions=[str(row["text"]) for row in catalogs["cautions"]],
        limits=[str(row["text"]) for row in catalogs["limits"]],
        notices=build.job.notices,
    )
