"""The pages of one kind of box: fitting and hold point first, the box drawn in both plans, and every step."""

from __future__ import annotations

from collections.abc import Iterator

from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, PageBreak, Spacer

from takeoff.build import Build
from takeoff.drawing.box import draw_box
from takeoff.drawing.facts import box_facts
from takeoff.drawing.legend import draw_legend, lines_in
from takeoff.drawing.parts import WIDTH
from takeoff.model.givens.words import DISAPPEARS
from takeoff.model.order.crew_boxes import NONE_ALIKE, SIDES, WARNING
from takeoff.report import training
from takeoff.report.pdf import (
    LARGE,
    SMALLEST,
    figure,
    height_of,
    lead,
    picture,
    room_of,
    shares,
    table,
    text,
    wide_enough,
)

SIGN = "Trainer ______________   Date ________   Crew ______________   Shown [  ]   Tried [  ]   Seen [  ]"
LEAST_DRAWN = SMALLEST * WIDTH / 15
"""Width of a drawing in points at which its smallest letters have 9 pt; wider as far as all stands on one page."""

ON_NEXT = " (next page)."
CHECKED = "Name ____________________   Date __________   Box __________   Signed ____________________"
"""Under a hold point: who looked at which box."""

GONE = "not done any more"
WORDS = ("step", "key_point", "reason", "safety")
COUNTS = ("count_from", "minutes_from", "count_to", "minutes_to")
FACTS = (
    ("circuit ends made up", "circuit_terminations", 0),
    ("ground ends made up", "ground_terminations", 0),
    ("splices of grounds", "ground_splices", 0),
    ("EGCs that come in", "egc_ends", 0),
    ("pigtails, jumpers", "ground_pigtails", 0),
    ("box full, %", "full_pct", 0),
    ("minutes in the box", "minutes", 1),
)


def warning(build: Build, line: int, size: float = 10.5, *, sign: bool = True) -> Iterator[Flowable]:
    """Yield whether the fitting changes, in words, first of all, and the hold point then, to be signed on one page."""
    fitting, other, hold = (str(build.book.values("crew_boxes", name)[line + 1]) for name in WARNING)
    yield text(f"{fitting}. {other}" if other else fitting, size, bold=True, after=3)
    if hold and size >= LARGE:
        yield text(hold, size, bold=True, after=4)
    elif hold:
        yield text(hold.rstrip("_ ") if sign else hold.rstrip("_ :") + ON_NEXT, size, bold=True, after=6)
        if sign:
            yield text(CHECKED, size, after=4)


def job_page(build: Build, line: int, wide: float, paper: str) -> Iterator[Flowable]:
    """Yield the pages of one kind of box: the fitting first, both drawings, figures, and every step."""
    values = build.book.values
    kind = str(values("crew_boxes", "type")[line])
    described = str(values("types", "description")[list(values("types", "type")).index(kind)])
    top = [text(f"{kind}: {described}", 15.0, bold=True, after=3), *warning(build, line, sign=False)]
    if (alike := str(values("crew_boxes", "alike")[line])) != NONE_ALIKE:
        top.append(text(f"Reads alike: {alike}", after=3))
    wired = (str(values("crew_boxes", "wired_as")[line + side]) for side in range(len(SIDES)))
    drawings = [draw_box(box_facts(build.book, kind, w), 0.0) for w in wired]
    words = ("What the crew knows", "What it learns")
    told = [lead(f"{word}:", _parts(build, line + side), 10.0) for side, word in enumerate(words)]
    head = ["one box", *(title for title, *_ in FACTS)]
    figures = [
        [
            f"{word}, {training.of_all(build, line + side)}",
            *(figure(float(values("crew_boxes", name)[line + side]), places) for _, name, places in FACTS),
        ]
        for side, word in enumerate(("knows", "learns"))
    ]
    counts = table((head, *figures), shares(wide, 20, *[12] * len(FACTS)))
    legend = draw_legend(840.0, set().union(*(lines_in(d) for d in drawings)))
    said = [*top, *told, counts]
    drawn = wide_enough([*drawings, legend], room_of(paper) - height_of(said, wide), LEAST_DRAWN, wide)
    yield from top
    for words_of, drawing in zip(told, drawings, strict=True):
        yield KeepTogether([words_of, picture(drawing, drawn)])
    yield picture(legend, drawn)
    yield CondPageBreak(46)
    yield counts
    yield PageBreak()
    yield text(f"{kind}: {described}; counts and minutes before, then now", 15.0, bold=True, after=3)
    yield from warning(build, line)
    yield lead("Now:", _parts(build, line + 1), 10.0, after=4)
    yield _steps_table(build, kind, wide)
    yield Spacer(1, 8)
    yield text(SIGN, 10.0)


def _parts(build: Build, at: int) -> str:
    """Return box, fitting, bushing and supports of one side in words."""
    said, wired = (str(build.book.values("crew_boxes", name)[at]) for name in ("says_parts", "wired_as"))
    facts = training.facts_of(build.catalogs, wired)
    return f"{said}; secured within {facts['near']} in of the box, then every {facts['every']} ft"


def _steps_table(build: Build, kind: str, wide: float) -> Flowable:
    """Return the steps: what is done, how and why, what keeps unhurt, what changes, counts and minutes."""
    names = ("number", "change", *COUNTS)
    columns = [build.book.values("crew_lines", name) for name in ("type", "step_row", *names)]
    words = list(build.frame.catalogs["job_steps"])
    mine = [
        dict(zip(names, row, strict=True)) | {w: words[int(step) - 1][w] for w in WORDS}
        for key, step, *row in zip(*columns, strict=True)
        if key == kind and step
    ]
    rows: list[list[object]] = [["", "step: how; why; safety", "change", "ea", "min", "ea", "min"]]
    for m in mine:
        safety = f" SAFETY: {m['safety']}" if m["safety"] != "-" else ""
        told = GONE if m["change"] == DISAPPEARS else f"{m['key_point']}. Why: {m['reason']}.{safety}"
        how = lead(f"{m['step']}.", told, SMALLEST, after=0)
        counts = [figure(m[name], 1 if name.startswith("minutes") else 0) for name in COUNTS]
        rows.append([figure(m["number"], 0), how, text(str(m["change"]), bold=True), *counts])
    marked = [n for n, m in enumerate(mine, start=1) if m["change"] != "same"]
    return table(rows, shares(wide, 4, 64, 14, 4, 5, 4, 5), marked)
