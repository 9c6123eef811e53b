"""One build: from the user's files and options to a book of tables, and from the book to files."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from takeoff import __version__
from takeoff.catalog import job_steps as crew
from takeoff.catalog.control import without_control
from takeoff.catalog.crosscheck import crosscheck
from takeoff.catalog.load import load_catalogs
from takeoff.catalog.plans import (
    BEST_MIX,
    Plan,
    choose_plans,
    chosen_pair,
    with_best_mix,
    with_every_construction,
    with_named_mix,
    with_own_plans,
)
from takeoff.catalog.rows import Catalogs
from takeoff.catalog.sources import lines_of, register_of
from takeoff.catalog.stock import STOCKED, with_own_stock
from takeoff.engine.collection import without_collection
from takeoff.engine.tables import Book
from takeoff.job.bid_lines import BidLines, read_bid_lines
from takeoff.job.inputs import (
    AREAS,
    BOXES,
    CIRCUITS,
    LATE,
    LINES,
    PLANS,
    Inputs,
    names_stated,
    read_inputs,
    read_toml,
    tables_of,
)
from takeoff.job.quotes import Quotes, read_quotes
from takeoff.job.sources import Sources, gather_sources
from takeoff.model.book import build_book, complete
from takeoff.model.boxes.ends import ends_of
from takeoff.model.cost.best_mix import mix_of
from takeoff.model.cost.notices import price_notices
from takeoff.model.frame import Frame
from takeoff.model.givens.inputs import BASE, INSPECTED, SWAP_FROM, SWAP_TO
from takeoff.model.order.cables import FILES, CableOrder
from takeoff.model.order.rest import Rest
from takeoff.model.remains import find_rest
from takeoff.model.rules.unserved import stop_on_unserved
from takeoff.text.problems import Gather, InputError, Problem, visible
from takeoff.text.read import unreadable
from takeoff.text.record import pack
from takeoff.text.targets import check_folder, check_targets
from takeoff.wiring.places import Places, read_places
from takeoff.wiring.read import read_wired
from takeoff.wiring.tree import Job
from takeoff.wiring.types import Types, find_types
from takeoff.workbook.pages.page import Provenance
from takeoff.workbook.taken import taken

Step = Callable[[str], None]

MAX_LINES = 1_048_000
"""Lines that fit a worksheet under its headings."""


@dataclass(frozen=True)
class Options:
    """What the user asked for on the command line."""

    schedule: Path
    catalogs: Path | None = None
    inputs: Path | None = None
    sets: Sequence[str] = ()
    plans: str = ""
    workbook: Path | None = None
    results: Path | None = None
    quotes: Sequence[Path] = ()
    order: Path | None = None
    crew_pdf: Path | None = None
    columns: Path | None = None
    rooms: Path | None = None
    expanded: Path | None = None
    earlier_catalogs: Path | None = None

    @property
    def reads(self) -> list[Path]:
        """The files and folders of the user that the build reads."""
        return [p for p in (self.schedule, self.rooms, self.inputs, self.catalogs, *self.quotes) if p]


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
    orders: Sequence[CableOrder]
    rest: Rest
    notices: Sequence[Problem]
    quotes: Quotes
    sources: Sources

    @property
    def unusable(self) -> list[str]:
        """Plans that are not to be used, by the stop list."""
        states = zip(*(self.book.values("standing", name) for name in ("plan", "unusable")), strict=True)
        return [str(plan) for plan, unusable in states if unusable]

    @property
    def problems(self) -> list[Problem]:
        """What the user should know: notices from reading, and checks of the workbook that are open."""
        count, says = (self.book.values("master", name)[0] for name in ("open", "says"))
        return [*self.notices, *([Problem("workbook", None, "", "", says, "", "error")] if count else [])]


@dataclass(frozen=True)
class Read:
    """What the user's files and options say, validated together."""

    catalogs: Catalogs
    inputs: Inputs
    compared: Sequence[Plan]
    job: Job
    quotes: Quotes
    places: Places
    bid_lines: BidLines


def read_job(options: Options) -> Read:
    """Read catalogs, inputs and schedule, wire the job, and look at what is to be written.

    Raises
    ------
    InputError
        Everything wrong with catalogs and every file that cannot be read, or else everything wrong with the rest.
    """
    gather = Gather()
    catalogs = gather.result_of(lambda: _catalogs(options))
    if catalogs is None:
        gather.result_of(lambda: read_toml(options.inputs) if options.inputs else {})
        files = [p for p in (options.schedule, options.rooms, *options.quotes) if p]
        raise InputError([*gather.found, *unreadable(files), *_wrong_targets(options)])
    own, file = tables_of(options.inputs), visible(options.inputs.name) if options.inputs else ""
    catalogs = gather.result_of(partial(with_own_plans, catalogs, own.get(PLANS, {}), file)) or catalogs
    catalogs = gather.result_of(partial(with_own_stock, catalogs, own.get(STOCKED, {}), file)) or catalogs
    catalogs = with_named_mix(options.plans, catalogs)
    inputs, wrong = read_inputs(catalogs, options.inputs, options.sets)
    gather.found += wrong
    compared = gather.result_of(lambda: choose_plans(options.plans, catalogs))
    said = own.get(BOXES, {}), own.get(CIRCUITS, {}), file
    wired = read_wired(options.schedule, options.rooms, catalogs, inputs, *said)
    gather.found += wired.errors
    job, tables = wired.job, (own.get(AREAS, {}), own.get(CIRCUITS, {}))
    places = gather.result_of(lambda: read_places(*tables, wired.names, catalogs, file)) or Places()
    lines = gather.result_of(lambda: read_bid_lines(own.get(LINES, []), own.get(LATE, []), file))
    quotes = gather.result_of(lambda: read_quotes(options.quotes, catalogs))
    if job and compared:
        gather.found += _too_long(options, job, compared)
    gather.found += _wrong_targets(options)
    if gather.found or not compared or not job or not quotes:
        raise InputError(gather.found)
    placed = {**inputs, **_placed(inputs, compared)}
    return Read(catalogs, placed, compared, job, quotes, places, lines or BidLines())


def _catalogs(options: Options) -> Catalogs:
    """Return the catalogs of a build, with what follows from their rows."""
    catalogs = load_catalogs(options.catalogs, options.earlier_catalogs)
    crosscheck(catalogs)
    return crew.with_every_operation(with_every_construction(catalogs))


def sources_of(options: Options) -> Sources:
    """Return the texts of the files that a build reads, which every workbook carries with it."""
    o = options
    return gather_sources(o.schedule, o.rooms, o.inputs, o.quotes, o.catalogs, o.sets, o.plans, o.earlier_catalogs)


def _wrong_targets(options: Options) -> list[Problem]:
    reads = options.reads
    wanted = (
        (options.workbook, ".xlsx"),
        (options.results, ""),
        (options.crew_pdf, ".pdf"),
        (options.columns, ""),
        (options.expanded, ".csv"),
    )
    targets = [(path, ending) for path, ending in wanted if path]
    found = check_targets(targets, reads)
    others = [path for path, _ in targets]
    found += check_folder(options.order, FILES, reads, others) if options.order else []
    files = options.workbook, options.results, options.order, options.columns, options.expanded
    return found or list(taken(*files))


def _too_long(options: Options, job: Job, compared: Sequence[Plan]) -> list[Problem]:
    """Return the problem of a job with more lines than a worksheet has."""
    count, most = len(job.boxes), MAX_LINES // len(compared)
    if count <= most:
        return []
    message = f"has {count:,} boxes; {most:,} fit a worksheet with {len(compared)} plans"
    return [Problem(options.schedule.name, None, "", "", message, "compare fewer plans or split the job")]


@without_collection()
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
    if not any(box.run.control_awg for box in read.job.boxes):
        read = replace(read, catalogs=without_control(read.catalogs))
    step("sorting boxes into make-up types")
    stated = names_stated(options.inputs, options.sets)
    none = Types({}, [], [])
    frame = Frame(read.job, none, read.catalogs, read.compared, read.quotes.lines, read.places, read.bid_lines, stated)
    ends = ends_of(frame, read.inputs) if frame.changes else None
    types = find_types(read.job, read.catalogs, ends, frame.constructions)
    frame = replace(frame, types=types)
    step("counting")
    frame = _with_best_mix(frame, read.inputs)
    step("planning the cable order")
    book, orders, rest = build_book(frame, read.inputs, find_rest=partial(find_rest, frame, read.inputs))
    complete(book, frame, read.inputs, orders)
    stop_on_unserved(book, frame)
    notices = [*read.job.notices, *read.quotes.notices, *price_notices(book, frame)]
    known = (read.job, types, frame, book, orders, rest, notices, read.quotes, sources_of(options))
    return Build(options, frame.catalogs, read.inputs, *known)


def _with_best_mix(frame: Frame, inputs: Inputs) -> Frame:
    """Return the frame with the best mix, where it is asked for: the other plans are computed first to find it."""
    others = [plan for plan in frame.plans if plan.key != BEST_MIX]
    if len(others) == len(frame.plans):
        return frame
    book, *_ = build_book(replace(frame, plans=others), {**inputs, **_placed(inputs, others)}, planned=False)
    wired = dict(zip(book.values("mix_choices", "key"), mix_of(book), strict=True))
    members = list(dict.fromkeys(str(w) for w in wired.values()))
    catalogs = with_best_mix(frame.catalogs, members)
    title = str(catalogs["plans"][BEST_MIX]["title"])
    mix = Plan(BEST_MIX, title, members, {str(c): str(w) for c, w in wired.items()})
    return replace(frame, plans=[mix if plan.key == BEST_MIX else plan for plan in frame.plans], catalogs=catalogs)


def _placed(inputs: Inputs, compared: Sequence[Plan]) -> dict[str, str]:
    """Return the inputs that name a plan compared; one that is not compared gives way to another."""
    keys = [plan.key for plan in compared]
    single = {name: str(inputs[name]) if inputs[name] in keys else keys[0] for name in (BASE, INSPECTED)}
    pairs = ((SWAP_FROM, SWAP_TO), (crew.FROM, crew.TO))
    return {**single, **{k: v for pair in pairs for k, v in chosen_pair(inputs, pair, keys).items()}}


def provenance_of(build: Build) -> Provenance:
    """Return what the workbook says of the build: names and figures only, no path and no time."""
    options = build.options
    catalogs = build.catalogs
    given = [
        *(("Read", line) for line in build.job.schedule.receipt),
        ("Option --catalogs", visible(options.catalogs.name) if options.catalogs else "none"),
        ("Option --inputs", visible(options.inputs.name) if options.inputs else "none"),
        *((f"Quote {file}", f"SHA-256 {digest}") for file, digest in build.quotes.files),
        ("Option --set", visible("; ".join(options.sets)) or "none"),
    ]
    return Provenance(
        version=__version__,
        schedule_file=build.job.schedule.file,
        schedule_sha256=build.job.schedule.sha256,
        options=given,
        compared=[f"{p.key}: {', '.join(p.members)}" for p in build.frame.plans],
        sources=lines_of(register_of(catalogs), catalogs),
        cautions=[str(row["text"]) for row in catalogs["cautions"]],
        limits=[str(row["text"]) for row in catalogs["limits"]],
        definitions=[(str(row["term"]), str(row["text"])) for row in catalogs["definitions"]],
        notices=build.notices,
        record=pack(build.sources.files()),
    )
