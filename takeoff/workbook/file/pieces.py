"""Texts of many rows at once, piece by piece: what is the same in all of them, and what differs from row to row.

Nothing in this module knows what the workbook is about.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from itertools import repeat
from typing import Any, Protocol

import numpy as np

MOST_ROWS = 1 << 20
"""Rows of a worksheet."""

_TOKEN = re.compile(r"(\{[rq]\}|\{k\d+\})")
"""Parts of a template that differ from row to row."""

Piece = str | Sequence[str]
"""A piece of the text of some rows: the same in all of them, or one for each."""


class Part(Protocol):
    """A part of a formula that differs from row to row."""

    def pieces(self, chunk: slice) -> Sequence[Piece]:
        """Return the part in the rows of a chunk, piece by piece; rows of the block counted from 0."""


@cache
def _texts_of_numbers(digits: int) -> np.ndarray[Any, Any]:
    """Return the whole numbers of so many binary digits at most, as texts."""
    return np.array([str(number) for number in range(1 << digits)], dtype=object)


def numbers_as_texts(numbers: np.ndarray[Any, Any]) -> list[str]:
    """Return numbers of rows as texts: a sheet names each of its rows a thousand times, so that each is made once."""
    if numbers.min(initial=0) < 0 or numbers.max(initial=0) >= MOST_ROWS:
        return list(map(str, numbers.tolist()))
    texts: list[str] = _texts_of_numbers(int(numbers.max(initial=0)).bit_length())[numbers].tolist()
    return texts


def formula_pieces(template: str, fills: Mapping[str, Part], first_row: int, chunk: slice) -> list[Piece]:
    """Return the formulas of a chunk, which begins in a row of the sheet: the template, and what differs by row."""
    rows = np.arange(first_row, first_row + chunk.stop - chunk.start)
    pieces: list[Piece] = []
    for piece in _TOKEN.split(template):
        if piece in ("{r}", "{q}"):
            pieces.append(numbers_as_texts(rows - (piece == "{q}")))
        else:
            pieces += fills[piece].pieces(chunk) if piece in fills else [piece]
    return pieces


def row_by_row(pieces: Iterable[Piece], count: int) -> Iterator[tuple[str, ...]]:
    """Yield the pieces of each of `count` rows in turn; texts that stand side by side in all of them are one."""
    columns: list[Iterable[str]] = []
    same: list[str] = []
    for piece in pieces:
        if isinstance(piece, str):
            same.append(piece)
        else:
            columns += [repeat("".join(same), count), piece]
            same = []
    return zip(*columns, repeat("".join(same), count), strict=True)
