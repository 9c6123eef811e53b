"""Builds whose rows keep their order: which types get a page, and which type is first, is chosen on a build."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from unittest.mock import patch

from takeoff.engine.tables import Book
from takeoff.model.frame import Frame
from takeoff.model.order import crew_choice
from takeoff.model.order.crew_choice import Alike
from takeoff.wiring.makeup import MakeUp


def _by_frequency(_: Book, frame: Frame) -> list[Alike]:
    boxes = [key for key, make_up in frame.types.by_key.items() if make_up.place == "box" and not make_up.others]
    return [Alike([key], 0.0, False) for key in boxes]


@contextmanager
def held_pages() -> Iterator[None]:
    """Hold the choice, so that a workbook that was changed and a rebuild show the same types."""
    with patch.object(crew_choice, "alike_types", _by_frequency):
        yield


def _by_words(made: Iterable[MakeUp], key: Callable[[MakeUp], object]) -> list[MakeUp]:
    return sorted(made, key=lambda m: (m.place != "box", m.describe(), repr(m)))


@contextmanager
def held_types() -> Iterator[None]:
    """Hold the order of make-up types by their words, so that a circuit built more often moves no row."""
    with patch("takeoff.wiring.types.sorted", _by_words, create=True):
        yield
