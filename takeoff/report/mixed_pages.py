"""What a crew holds of boxes where two constructions meet: what holds there, those of the job, each make-up drawn."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, PageBreak, Spacer

from takeoff.build import Build
from takeoff.drawing.box import draw_box
from takeoff.drawing.facts import box_facts
from takeoff.drawing.legend import draw_legend, lines_in
from takeoff.drawing.strip import Sheath, draw_strip
from takeoff.model.order.crew_boxes import SIDES
from takeoff.report import training
from takeoff.report.job_pages import SIGN
from takeoff.report.mixed import mixed_boxes, mixed_results
from takeoff.report.pdf import LARGE, figure, lead, picture, shares, table, text
from takeoff.report.training import features, points

DRAWN = 0.97
"""Width of a drawing of the width of a page: both, their legend and the figures stand on one page of letter paper."""

MIXED_SAID = "One run here is pulled in the old construction, another is new. Both grounds are made up in the box."
MIXED_STOP = "STOP: TWO KINDS OF FITTING IN ONE BOX. Read both cartons."
MIXED_HOLD = "HOLD POINT: another person looks at the first box of this kind and signs: " + "_" * 12
SEAM_HEAD = (
    *("circuit ends", "ground ends", "ground splices", "EGCs that come in", "fill, in3", "box", "full, %"),
    *("minutes", "USD, one box"),
)
SEAM_HOW = "How, step by step: the page where both meet in one box. What comes in new ends in its own fitting."
SEAMS_NAMED = 12
"""Boxes of one make-up that its page names."""


def mixed_pages(build: Build, wide: float) -> Iterator[Flowable]:
    """Yield what holds where both constructions meet, the boxes where old meets new, and a page for each make-up."""
    yield from _mixed_page(build, wide)
    yield from _mixed_boxes(build, wide)
    yield from _seam_pages(build, wide)


def sheath(name: str, has: set[str]) -> Sheath:
    """Return the strip of one construction by what it has, under a name."""
    return Sheath(name, "armor-path" in has, "wire" in has, "cable" in has)


def _mixed_page(build: Build, wide: float) -> Iterator[Flowable]:
    """Yield what holds where both constructions meet in one box."""
    values, catalogs = build.book.values, build.catalogs
    pair = [str(w) for w in values("crew_boxes", "wired_as")[: len(SIDES)]]
    if pair[0] == pair[1]:
        return
    has = [features(catalogs["constructions"][c]) for c in pair]
    yield PageBreak()
    if values("crew_boxes", "new_fitting")[1]:
        yield text(MIXED_STOP, LARGE, bold=True, after=3)
    yield text(MIXED_HOLD, 12.0, bold=True, after=6)
    yield text("Where both meet in one box", 19.0, bold=True, after=4)
    names = [f"{catalogs['constructions'][c]['wiring_kind']} {n}" for n, c in enumerate(pair, start=1)]
    for name, c in zip(names, pair, strict=True):
        marking = training.facts_of(catalogs, c)["marking"]
        yield lead(f"{name.capitalize()}:", f"{catalogs['constructions'][c]['title']}; fitting marked {marking}", LARGE)
    yield picture(draw_strip([sheath(n, h) for n, h in zip(names, has, strict=True)]), wide)
    for n, point in enumerate(points(catalogs, training.of_both(catalogs, pair), "mixed", {}), start=1):
        yield lead(str(n), point, LARGE, after=5)


def _mixed_boxes(build: Build, wide: float) -> Iterator[Flowable]:
    """Yield the boxes where old meets new, each with what is made up in it; nothing where none is begun in part."""
    rows = mixed_boxes(build)
    if rows:
        yield CondPageBreak(130)
        yield Spacer(1, 12)
        yield text("Boxes where old meets new", 15.0, bold=True, after=4)
        yield text(MIXED_SAID, 10.0, after=6)
        head = (
            "box, circuit, area",
            "pulled in, meets",
            "grounds made up",
            "splices",
            "fill, in3",
            "box",
            "min",
            "seen",
        )
        yield table((head, *((*row, "[  ]") for row in rows)), shares(wide, 30, 20, 10, 8, 8, 14, 6, 6))


def _seam_pages(build: Build, wide: float) -> Iterator[Flowable]:
    """Yield a page for each make-up where old meets new: the box drawn with both kinds of run, both ground paths."""
    found: dict[tuple[str, ...], list[dict[str, Any]]] = {}
    for box in mixed_results(build):
        found.setdefault(tuple(str(box[n]) for n in ("make_up", "made_up_as", "pulled_in", "meets")), []).append(box)
    for (kind, construction, *pair), boxes in found.items():
        yield PageBreak()
        yield from _seam_page(build, (kind, construction), pair, boxes, wide)


def _seam_page(
    build: Build, made_up: tuple[str, str], pair: Sequence[str], boxes: Sequence[Mapping[str, Any]], wide: float
) -> Iterator[Flowable]:
    """Yield the page of a box where old meets new: stop, where it is, the drawing, both paths, figures, how."""
    catalogs, facts = build.catalogs, box_facts(build.book, *made_up)
    rows = [catalogs["constructions"][c] for c in pair]
    if len({str(r["fitting_family"]) for r in rows}) > 1:
        yield text(MIXED_STOP, 12.0, bold=True, after=3)
    yield text(MIXED_HOLD, 10.5, bold=True, after=5)
    yield text(f"{made_up[0]}, old meets new: {facts.make_up}", 15.0, bold=True, after=3)
    named = "; ".join(f"{b['box']} on {b['circuit']}, {b['room'] or 'no area'}" for b in boxes[:SEAMS_NAMED])
    more = f"; and {len(boxes) - SEAMS_NAMED} more, listed above" if len(boxes) > SEAMS_NAMED else ""
    yield lead("Boxes:", named + more, 10.0)
    names = [f"{word}: {build.frame.called[c]}" for word, c in zip(("pulled in", "new"), pair, strict=True)]
    for name, c, r in zip(names, pair, rows, strict=True):
        marking = training.facts_of(catalogs, c)["marking"]
        yield lead(f"{name[:1].upper()}{name[1:]}.", f"{r['title']}; fitting marked {marking}", 10.0)
    drawing = draw_box(facts, 0.0)
    yield picture(drawing, wide * DRAWN)
    yield picture(draw_legend(840.0, lines_in(drawing)), wide * DRAWN)
    yield lead("Both ground paths", "", 10.5, after=1)
    yield picture(draw_strip([sheath(n, features(r)) for n, r in zip(names, rows, strict=True)]), wide * 0.9)
    one = boxes[0]
    cells = (
        *(figure(one[n], 0) for n in ("circuit_terminations", "ground_terminations", "ground_splices")),
        figure(facts.ground.egc_ends, 0),
        "-" if one["fill_in3"] is None else figure(one["fill_in3"], 2),
        training.box_title(catalogs, str(one["chosen_box"])),
        str(facts.fill.full_pct),
        figure(one["minutes"], 1),
        figure(one["cost_usd"], 2),
    )
    figures = table((SEAM_HEAD, cells), shares(wide, 12, 12, 10, 10, 11, 17, 9, 9, 10))
    yield KeepTogether([figures, Spacer(1, 6), text(SEAM_HOW, 10.0, after=8), text(SIGN, 10.0)])
