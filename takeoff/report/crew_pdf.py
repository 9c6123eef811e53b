"""What a crew holds, as a PDF: the training pack, a quiz, and a page for each kind of box."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from reportlab.platypus import Flowable, KeepTogether, PageBreak, Spacer

from takeoff.build import Build
from takeoff.drawing.strip import draw_strip
from takeoff.model.order.crew_boxes import ALIKE, CAUTION, SIDES
from takeoff.report import training
from takeoff.report.job_pages import SIGN, job_page, warning
from takeoff.report.mixed_pages import mixed_pages, sheath
from takeoff.report.pdf import (
    LARGE,
    MARGIN,
    PAPERS,
    SMALLEST,
    lead,
    one_page,
    picture,
    shares,
    table,
    text,
    two_columns,
    write_pages,
)
from takeoff.report.quiz import quiz
from takeoff.report.training import features, points

PAPER = "letter"
"""Paper where none is named."""

TIGHT_PCT = 90.0
"""Share of its volume from which a box is listed as tight, a convention of this project."""

STRIP = 0.9
"""Width of the drawing of a ground path: the page of a construction keeps its 14 pt on letter paper."""

NOT_TIMED = "Not known: nothing was timed on three days or more (takeoff observe, then takeoff calibrate)."
OF_ALL = "Curve: what a doubling leaves of the time. It speaks of all who were timed together, of no one alone."


def print_crew_pages(build: Build, staged: Path, paper: str = PAPER) -> int:
    """Print the training pack and the crew pages into a file that is moved into place with the others of the build.

    Parameters
    ----------
    build
        A computed build.
    staged
        The file to write.
    paper
        A name of `PAPERS`.

    Returns
    -------
    int
        Number of pages.
    """
    wide = PAPERS[paper][0] - 2 * MARGIN
    words = (str(build.book.values("demonstration", name)[0]) for name in ("says_hours", "says"))
    foot = [" ".join(CAUTION), " ".join(words)]
    return write_pages(staged, paper, list(_story(build, wide, paper)), foot, "Crew pages and training pack")


def _story(build: Build, wide: float, paper: str) -> Iterator[Flowable]:
    for construction in training.constructions_used(build):
        yield one_page(list(_training_page(build, construction, wide)), paper)
        yield PageBreak()
    yield from _changes_page(build, wide)
    yield from mixed_pages(build, wide)
    yield from _quiz_pages(build)
    yield from _watch_page(build, wide)
    for line in range(0, len(build.book.tables["crew_boxes"]), len(SIDES)):
        if str(build.book.values("crew_boxes", "says_change")[line]) != ALIKE:
            yield PageBreak()
            yield from job_page(build, line, wide, paper)


def _training_page(build: Build, construction: str, wide: float) -> Iterator[Flowable]:
    """Yield the large page of a construction: all that is done and never done with it."""
    catalogs = build.catalogs
    row = catalogs["constructions"][construction]
    has, facts = features(row) | training.of_inputs(build), training.facts_of(catalogs, construction)
    said = {topic: points(catalogs, has, topic, facts) for topic in ("never", "path", "tools", "lengths", "inspector")}
    if construction == str(build.book.values("crew_boxes", "wired_as")[1]):
        yield from warning(build, 0, LARGE)
    yield text(str(row["title"]), 19.0, bold=True, after=4)
    yield lead("Fitting", f"marked {facts['marking']}. {facts['bushing_said']}", LARGE)
    yield picture(draw_strip([sheath(str(row["wiring_kind"]), has)]), wide * STRIP)
    yield lead("Ground path", "; ".join(said["path"]), LARGE)
    yield from (lead("NEVER", f"{point}.", LARGE, after=1) for point in said["never"])
    steps = training.steps_done(build, construction)
    yield text("In this order", LARGE, bold=True)
    yield two_columns([lead(str(n), step, LARGE, after=0) for n, step in enumerate(steps, start=1)], wide)
    yield lead("Tools", "; ".join(said["tools"]), LARGE)
    yield lead("Lengths", "; ".join(said["lengths"]), LARGE)
    yield lead("The inspector looks at", "; ".join(said["inspector"]), LARGE, after=8)
    yield text(SIGN, 10.0)


def _changes_page(build: Build, wide: float) -> Iterator[Flowable]:
    """Yield what changes between the two constructions of the first page."""
    rows = training.changes(build)
    yield text("What changes", 19.0, bold=True, after=4)
    yield from warning(build, 0)
    differing = [n for n, (_, old, new) in enumerate(rows, start=1) if old != new]
    head = ("", "what the crew knows", "what it learns")
    cells = [[text(c, 12.0, bold=n == 0) for n, c in enumerate(row)] for row in (head, *rows)]
    yield table(cells, (wide * 0.24, wide * 0.38, wide * 0.38), differing, right=8.0)
    yield Spacer(1, 8)
    for title, steps in training.steps_by_change(build).items():
        yield lead(title, "; ".join(steps) or "none", 12.0)
    yield text(SIGN, 10.0)


def _quiz_pages(build: Build) -> Iterator[Flowable]:
    """Yield ten questions, and their answers on another page."""
    asked = quiz(build)
    yield PageBreak()
    yield text("Quiz", 19.0, bold=True, after=2)
    yield text("Name ____________________   Date ____________   Right ____ of " + str(len(asked)), 12.0, after=8)
    for n, question in enumerate(asked, start=1):
        yield KeepTogether([lead(str(n), question.text, LARGE, after=16), text("_" * 62, 12.0, after=4)])
    yield PageBreak()
    yield text("Answers to the quiz", 19.0, bold=True, after=6)
    for n, question in enumerate(asked, start=1):
        yield lead(str(n), question.answer, LARGE, after=1)
        yield text(f"{question.source}", SMALLEST, after=7)


def _watch_page(build: Build, wide: float) -> Iterator[Flowable]:
    """Yield the tight boxes, the terminations by room, and the types where nothing changes."""
    yield PageBreak()
    yield text("Boxes to watch", 19.0, bold=True, after=4)
    tight = training.tight_boxes(build, TIGHT_PCT)
    yield text(f"Tight boxes: {TIGHT_PCT:.0f} % full or more", 12.0, bold=True, after=3)
    if tight:
        head = ("type", "make-up", "boxes", "wired as", "box", "full, %")
        yield table((head, *tight), shares(wide, 6, 30, 7, 26, 25, 7), right=5.0)
    else:
        yield text("None.", after=3)
    yield Spacer(1, 8)
    yield text("Terminations per box, by room", 12.0, bold=True, after=3)
    rooms = ("room", "boxes", "per box, knows", "of it ground", "per box, learns", "of it ground")
    yield table((rooms, *training.per_room(build)), shares(wide, 40, 10, 13, 12, 13, 12))
    yield Spacer(1, 8)
    yield from _estimates(build, wide)
    same = training.unchanged(build)
    if same:
        yield text("Boxes where nothing changes, without a page", 12.0, bold=True, after=3)
        yield table((("type", "make-up", "boxes"), *same), shares(wide, 10, 78, 12))


def _estimates(build: Build, wide: float) -> Iterator[Flowable]:
    """Yield how long it takes until the minutes of the estimate are reached, by the dates of a time study."""
    yield text("How long until the estimate is reached", 12.0, bold=True, after=3)
    reached = training.estimates_reached(build)
    if not reached:
        yield text(NOT_TIMED, after=8)
        return
    head = ("work", "construction", "estimate, min", "now, min", "curve", "reached")
    yield table((head, *reached), shares(wide, 26, 24, 10, 8, 9, 23))
    yield text(OF_ALL, after=8)
