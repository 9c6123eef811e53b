"""The make-up types of a job: boxes alike are one type, with a count, and so are ends of runs elsewhere."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from takeoff.catalog.load import areas_cmil
from takeoff.catalog.rows import Catalogs
from takeoff.wiring.makeup import SEAM, MakeUp, make_ups_of_boxes, panel_make_up
from takeoff.wiring.seams import Ends, Seam, make_ups_of
from takeoff.wiring.tree import Job, WiredBox


@dataclass(frozen=True)
class Types:
    """The make-up types of a job: by key in order of frequency, and the keys of every box.

    `of_other_end` is the panel end of a home run, or the end at a box of another construction, where a run has one.
    `seams` are the boxes where constructions meet, by their places; of their make-ups the first is their type.
    """

    by_key: dict[str, MakeUp]
    of_box: list[str]
    of_other_end: list[str]
    seams: Mapping[int, Seam] = field(default_factory=dict)

    def first_of(self, key: str) -> str:
        """Return the first of the make-ups that boxes of a type may have: all of them are counted as it."""
        keys = list(self.by_key)
        return keys[keys.index(key) - self.by_key[key].variant]


def find_types(job: Job, catalogs: Catalogs, ends: Ends | None = None, constructions: Sequence[str] = ()) -> Types:
    """Sort the boxes of a job into make-up types, the most frequent first, ends of runs elsewhere last.

    Parameters
    ----------
    job, catalogs
        The wired job; devices, box styles, sizes.
    ends
        What a run brings into a box, by kind and construction; without it what other constructions bring is left out.
    constructions
        Those in use.
    """
    rank = areas_cmil(catalogs)
    boxes = make_ups_of_boxes(job.boxes, catalogs, rank)
    others = [_other_end(box) for box in job.boxes]
    variants: dict[MakeUp, list[MakeUp]] = {}
    seams: dict[int, Seam] = {}
    for place, box in enumerate(job.boxes):
        if ends is not None and any(run.stretch != box.run.stretch for run in box.fed):
            made, seams[place] = make_ups_of(box, boxes[place], ends, constructions, rank)
            boxes[place] = made[0]
            variants[made[0]] = made
    count: Counter[MakeUp] = Counter()
    for box, make_up, other in zip(job.boxes, boxes, others, strict=True):
        count[make_up] += box.circuit.repeat
        if other:
            count[other] += box.circuit.repeat
    first = sorted(count, key=lambda m: (m.place != "box", -count[m], m.describe(), repr(m)))
    order = [made for m in first for made in variants.get(m, [m])]
    width = max(2, len(str(len(order))))
    keys = {m: f"T{n:0{width}}" for n, m in enumerate(order, start=1)}
    ended = [keys[m] if m else "none" for m in others]
    return Types({keys[m]: m for m in order}, [keys[m] for m in boxes], ended, seams)


def _other_end(box: WiredBox) -> MakeUp | None:
    """Return the make-up at the other end of a run: of a home run, or where its construction begins."""
    if box.upstream is None:
        return panel_make_up(box.run)
    if box.upstream.run.stretch != box.run.stretch:
        return replace(panel_make_up(box.run), place=SEAM, roles=())
    return None
