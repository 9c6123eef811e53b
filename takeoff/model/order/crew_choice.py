"""Which boxes get a crew page: types that read alike are one, and those that hold most labor come first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from takeoff.catalog.job_steps import FROM, TO
from takeoff.engine.tables import Book, Table
from takeoff.model.frame import Frame
from takeoff.model.order.crew import crew_lines_table, crew_steps_table, step_texts_table, steps_of
from takeoff.model.order.crew_boxes import SIDES, crew_boxes_table

SHOWN = ("wired_as", "says_parts", "minutes", "built")


@dataclass
class Alike:
    """Types whose boxes read alike in every plan compared, that with most labor first, and their minutes."""

    types: list[str]
    minutes: float
    shared_neutral: bool


def crew_tables(book: Book, frame: Frame) -> list[Table]:
    """Return the tables of the crew pages, which stand on values of the book.

    Parameters
    ----------
    book
        Computed make-ups, work and plans.
    frame
        Wired job, make-up types, catalogs and plans compared.
    """
    found = chosen(alike_types(book, frame), int(float(str(book.inputs["crew_types"]))))
    pages = {alike.types[0]: ", ".join(alike.types[1:]) or "-" for alike in found}
    return [
        crew_boxes_table(frame, pages),
        step_texts_table(frame),
        *(make(frame, list(pages)) for make in (crew_steps_table, crew_lines_table)),
    ]


def chosen(every: Sequence[Alike], most: int) -> list[Alike]:
    """Return those that get a page: by labor, and in any case one with a shared neutral where there is one."""
    found = list(every[:most])
    shared = [alike for alike in every if alike.shared_neutral]
    if shared and not any(alike.shared_neutral for alike in found):
        found[-1] = shared[0]
    return found


def alike_types(book: Book, frame: Frame) -> list[Alike]:
    """Return the types of boxes, those that read alike together, by the labor that all plans compared hold in them.

    Alike are boxes with the same roles, box and fitting, and every step as often, in every plan compared, so that
    another choice of the two plans shows the same pages.
    """
    keys = [key for key, m in frame.types.by_key.items() if m.place == "box" and not m.others]
    made = frame.types.by_key
    reads: dict[str, list[object]] = {k: [made[k].shared_neutral, *(r.kind for r in made[k].roles)] for k in keys}
    minutes = dict.fromkeys(keys, 0.0)
    count = len(steps_of(frame))
    for plan in frame.compared:
        scratch = book.with_more([crew_boxes_table(frame, dict.fromkeys(keys, "-")), crew_steps_table(frame, keys)])
        scratch.inputs = {**book.inputs, FROM: plan, TO: plan}
        boxes = {name: scratch.values("crew_boxes", name)[:: len(SIDES)] for name in SHOWN}
        done = [float(n) for n in scratch.values("crew_steps", "count_from")]
        for n, key in enumerate(keys):
            reads[key] += [boxes["wired_as"][n], boxes["says_parts"][n], tuple(done[n * count : (n + 1) * count])]
            minutes[key] += float(boxes["minutes"][n]) * float(boxes["built"][n])
    groups: dict[tuple[object, ...], list[str]] = {}
    for key in sorted(keys, key=lambda k: -minutes[k]):
        groups.setdefault(tuple(reads[key]), []).append(key)
    every = [Alike(types, sum(minutes[t] for t in types), made[types[0]].shared_neutral) for types in groups.values()]
    return sorted(every, key=lambda alike: -alike.minutes)
