"""One build: from the user's files and options to a book of tables, and from the book to files."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from takeoff import __version__
from takeoff.catalog_rows import Catalogs
from takeoff.catalogs import load_catalogs
from takeoff.crew import chosen_pair, complete_job_steps
from takeoff.crosscheck import crosscheck
from takeoff.makeup import Types, find_types
from takeoff.model.book import build_book
from takeoff.model.frame import Frame
from takeoff.plans import Plan, add_plans, choose_plans, complete_plans
from takeoff.problems import Gather, InputError, Problem, Problems, visible
from takeoff.schedule import read_schedule
from takeoff.settings import PLANS, Inputs, load_inputs, read_toml
from takeoff.tables import Book
from takeoff.targets import check_targets
from takeoff.wiring import Job, wire
from takeoff.workbook.page import Provenance

Step = Callable[[str], None]


ACCEPTED = "another size or space, a plan with another construction, or a construction for the circuit"
"""What helps where no construction of a plan may serve a circuit."""

MAX_LINES = 1_048_000
"""Lines that fit a worksheet under its headings."""


@dataclass(frozen=True)
class Options:
    """What the user asked for on the command line."""

    schedule: Path
    catalogs: Path | None = None
    inputs: Path | None = None
    sets: Sequence[str] = ()
    constructions: str = ""
    workbook: Path | None = None
    results: Path | None = None
    crew_pdf: Path | None = None


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

    @property
    def problems(self) -> list[Problem]:
        """What the user should know: notices from reading, and checks of the workbook that are open."""
        count, says = (self.book.values("master", name)[0] for name in ("open", "says"))
        return [*self.job.notices, *([Problem("workbook", None, "", "", says, "", "error")] if count else [])]


@dataclass(frozen=True)
class Read:
    """What the user's files and options say, validated together."""

    catalogs: Catalogs
    inputs: Inputs
    compared: Sequence[Plan]
    job: Job


def read_job(options: Options) -> Read:
    """Read catalogs, inputs and schedule, wire the job, and look at what is to be written.

    Raises
    ------
    InputError
        Everything wrong with the catalogs, or else everything wrong with all the rest.
    """
    catalogs = load_catalogs(options.catalogs)
    crosscheck(catalogs)
    complete_plans(catalogs)
    complete_job_steps(catalogs)
    gather = Gather()
    gather.result_of(lambda: _add_own_plans(options, catalogs))
    inputs = gather.result_of(lambda: load_inputs(catalogs, options.inputs, options.sets)) or load_inputs(catalogs)
    compared = gather.result_of(lambda: choose_plans(options.constructions, catalogs))
    job = gather.result_of(lambda: wire(read_schedule(options.schedule, catalogs), catalogs, str(inputs["min_awg"])))
    if job and compared:
        gather.found += _too_long(options, job, compared)
    wanted = ((options.workbook, ".xlsx"), (options.results, ""), (options.crew_pdf, ".pdf"))
    targets = [(path, ending) for path, ending in wanted if path]
    gather.found += check_targets(targets, [p for p in (options.schedule, options.inputs, options.catalogs) if p])
    if gather.found or not compared or not job:
        raise InputError(gather.found)
    chosen = {"base_construction": _base(inputs, compared), **chosen_pair(inputs, [plan.key for plan in compared])}
    return Read(catalogs, {**inputs, **chosen}, compared, job)


def _add_own_plans(options: Options, catalogs: Catalogs) -> None:
    """Add the plans of the inputs file; a file that cannot be read is reported where its inputs are."""
    try:
        own = read_toml(options.inputs).get(PLANS, {}) if options.inputs else {}
    except InputError:
        return
    if isinstance(own, dict) and options.inputs:
        add_plans(catalogs, own, visible(options.inputs.name))


def _too_long(options: Options, job: Job, compared: Sequence[Plan]) -> list[Problem]:
    """Return the problem of a job with more lines than a worksheet has."""
    count, most = len(job.boxes), MAX_LINES // len(compared)
    if count <= most:
        return []
    message = f"has {count:,} boxes; {most:,} fit a worksheet with {len(compared)} constructions"
    return [Problem(options.schedule.name, None, "", "", message, "compare fewer constructions or split the job")]


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
    read = read_job(options)
    step("sorting boxes into make-up types")
    types = find_types(read.job, read.catalogs)
    frame = Frame(read.job, types, read.catalogs, read.compared)
    step("counting")
    book = build_book(frame, read.inputs)
    for table in list(book.tables.values()):
        for column in table.columns:
            book.values(table.name, column.name)
    _stop_on_unserved(book, read.job)
    return Build(options, read.catalogs, read.inputs, read.job, types, frame, book)


def _stop_on_unserved(book: Book, job: Job) -> None:
    """Raise InputError with every circuit that no construction of a plan may serve."""
    problems = Problems(job.schedule.file)
    rows = {c.name: c.row for c in job.circuits}
    members: dict[str, list[str]] = {}
    for key, option in zip(
        book.values("plan_places", "plan_key"), book.values("plan_places", "option_row"), strict=True
    ):
        members.setdefault(key, []).append(str(book.values("options", "why")[int(option) - 1]))
    columns = ("key", "circuit", "construction", "unserved")
    for key, circuit, plan, unserved in zip(*(book.values("plan", c) for c in columns), strict=True):
        if unserved:
            why = "; ".join(members[key])
            problems.error(
                rows[circuit], "circuit", circuit, f"no construction of the plan {plan} may serve it, {why}:", ACCEPTED
            )
    problems.stop_on_errors()


def _base(inputs: Inputs, compared: Sequence[Plan]) -> str:
    wanted = str(inputs["base_construction"])
    return wanted if wanted in [plan.key for plan in compared] else compared[0].key


def provenance_of(build: Build) -> Provenance:
    """Return what the workbook says of the build: names and figures only, no path and no time."""
    options = build.options
    catalogs = build.catalogs
    sources: Counter[tuple[str, str]] = Counter()
    for catalog in catalogs.values():
        if catalog.name != "schema":
            sources.update((catalog.name, str(row["source"])) for row in catalog)
    given = [
        ("Option --catalogs", visible(options.catalogs.name) if options.catalogs else "none"),
        ("Option --inputs", visible(options.inputs.name) if options.inputs else "none"),
        ("Option --set", visible("; ".join(options.sets)) or "none"),
    ]
    return Provenance(
        version=__version__,
        schedule_file=build.job.schedule.file,
        schedule_sha256=build.job.schedule.sha256,
        options=given,
        compared=[f"{p.key}: {', '.join(p.members)}" for p in build.frame.plans],
        sources=[(catalog, source, count) for (catalog, source), count in sources.items()],
        cautions=[str(row["text"]) for row in catalogs["cautions"]],
        limits=[str(row["text"]) for row in catalogs["limits"]],
        definitions=[(str(row["term"]), str(row["text"])) for row in catalogs["definitions"]],
        notices=build.job.notices,
    )
