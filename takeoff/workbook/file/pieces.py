"""Texts of many rows at once, piece by piece: what is the same in all of them, and what differs from row to row.

Nothing in this module knows what the workbook is about.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache, lru_cache
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
    """Return the whole numbers of so many binary digits at most, as texts; shorter ones are shared."""
    if not digits:
        return np.array(["0"], dtype=object)
    shorter = _texts_of_numbers(digits - 1)
    longer = [str(number) for number in range(len(shorter), 2 * len(shorter))]
    return np.concatenate([shorter, np.array(longer, dtype=object)])


def numbers_as_texts(numbers: np.ndarray[Any, Any]) -> list[str]:
    """Return numbers of rows as texts: a sheet names each of its rows a thousand times, so that each is made once."""
    highest = int(numbers.max(initial=0))
    if highest >= MOST_ROWS or numbers.min(initial=0) < 0:
        return list(map(str, numbers.tolist()))
    texts: list[str] = _texts_of_numbers(highest.bit_length())[numbers].tolist()
    return texts


@lru_cache(maxsize=4)
def rows_as_texts(first: int, end: int) -> Sequence[str]:
    """Return the numbers of rows from a first one to the one before the end: all columns of a chunk have the same."""
    return numbers_as_texts(np.arange(first, end))


def formula_pieces(template: str, fills: Mapping[str, Part], first_row: int, chunk: slice) -> list[Piece]:
    """Return the formulas of a chunk, which begins in a row of the sheet: the template, and what differs by row."""
    count = chunk.stop - chunk.start
    pieces: list[Piece] = []
    for piece in _TOKEN.split(template):
        if piece in ("{r}", "{q}"):
            first = first_row - (piece == "{q}")
            pieces.append(rows_as_texts(first, first + count))
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
