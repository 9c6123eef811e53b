"""Builds whose crew pages are those of the first types: which types get a page is chosen on a build, by labor."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from unittest.mock import patch

from takeoff.engine.tables import Book
from takeoff.model.frame import Frame
from takeoff.model.order import crew_choice
from takeoff.model.order.crew_choice import Alike


def _by_frequency(_: Book, frame: Frame) -> list[Alike]:
    boxes = [key for key, make_up in frame.types.by_key.items() if make_up.place == "box" and not make_up.others]
    return [Alike([key], 0.0, False) for key in boxes]


@contextmanager
def held_pages() -> Iterator[None]:
    """Hold the choice, so that a workbook that was changed and a rebuild show the same types."""
    with patch.object(crew_choice, "alike_types", _by_frequency):
        yield
