"""The boxes where old meets new, as a crew reads them."""

from __future__ import annotations

from takeoff.build import Build

SHOWN = (
    *(("where", "{}"), ("pair", "{}"), ("ground_terminations", "{:.0f}")),
    *(("ground_splices", "{:.0f}"), ("fill_in3", "{:.2f}"), ("chosen_box", "{}"), ("minutes", "{:.1f}")),
)
"""Columns of the table of the swap, and how a figure is written."""


def mixed_boxes(build: Build) -> list[tuple[str, ...]]:
    """Return the boxes where old meets new, each with what is made up in it; none where no circuit is begun in part."""
    if "mixed_boxes" not in build.book.tables:
        return []
    columns = [[form.format(value) for value in build.book.values("mixed_boxes", name)] for name, form in SHOWN]
    return list(zip(*columns, strict=True))
