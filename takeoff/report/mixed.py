"""The boxes where old meets new, as a crew reads them and as results."""

from __future__ import annotations

from typing import Any

from takeoff.build import Build
from takeoff.report.plain import plain

COUNTS = ("circuit_terminations", "ground_terminations", "circuit_splices", "ground_splices")
SHOWN = (
    *(("where", "{}"), ("pair", "{}"), ("ground_terminations", "{:.0f}")),
    *(("ground_splices", "{:.0f}"), ("fill_in3", "{:.2f}"), ("chosen_box", "{}"), ("minutes", "{:.1f}")),
)
"""Columns of the table of the swap, and how a figure is written."""


def mixed_boxes(build: Build) -> list[tuple[str, ...]]:
    """Return the boxes where old meets new, each with what is made up in it; none where no circuit is begun in part."""
    if "mixed_boxes" not in build.book.tables:
        return []
    columns = [
        [value if isinstance(value, str) else form.format(value) for value in build.book.values("mixed_boxes", name)]
        for name, form in SHOWN
    ]
    return list(zip(*columns, strict=True))


def mixed_results(build: Build) -> list[dict[str, Any]]:
    """Return the boxes where old meets new, ready for JSON; the README documents them.

    `minutes` and `cost_usd` are of one box with the ends of the runs that come in apart; what it costs beyond the
    same box in one construction is of all times it is built, as far as it remains. A fill that does not apply is null.
    """
    if "mixed_work" not in build.book.tables:
        return []
    names = ("no", "pulled_in", "meets", "built", "times", "built_min", "built_usd", "over_old_usd", "over_new_usd")
    columns = [build.book.values("mixed_work", name).tolist() for name in names]
    keys = build.book.values("makeup", "key")
    found = []
    for no, pulled_in, meets, built, times, minutes, usd, over_old, over_new in zip(*columns, strict=True):
        box, row = build.job.boxes[int(no) - 1], int(built) - 1
        kind, _, construction = str(keys[row]).partition("|")
        fill = build.book.values("fits", "fill_in3")[row]
        found.append(
            {
                "box": box.source.box,
                "circuit": box.circuit.name,
                "room": box.source.area,
                "pulled_in": pulled_in,
                "meets": meets,
                "make_up": kind,
                "made_up_as": construction,
                **{name: plain(build.book.values("makeup", name)[row]) for name in COUNTS},
                "fill_in3": None if isinstance(fill, str) else plain(fill),
                "chosen_box": str(build.book.values("fits", "chosen_box")[row]),
                "chosen_volume_in3": plain(build.book.values("fits", "chosen_volume_in3")[row]) or None,
                "minutes": plain(minutes),
                "times": plain(times),
                "cost_usd": plain(usd),
                "over_all_old_usd": plain(over_old),
                "over_all_new_usd": plain(over_new),
            }
        )
    return found
