"""How much room a text takes in a column, by the widths of its letters."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache
from math import ceil

from reportlab.pdfbase.pdfmetrics import stringWidth

DIGIT = 7.0
"""Points of a screen, 96 to the inch, that a unit of a column's width takes at least."""

CLEAR = 12.0
"""Points of a screen that the indent of a cell and its margins take of a column."""

SPARE = 1.03
"""What programs take more than the letters of the font say."""

FONTS = "Helvetica", "Helvetica-Bold"
"""Fonts whose letters are as wide as those of the workbook, plain and bold; every machine knows their widths."""

CELL, HEADER = 9.0, 8.0
"""Points of the letters of cells and of headings."""

WIDE_LETTER = 0.75
"""Part of the size of the letters that one is not wider than on average, in a text of some length."""

BREAKS = re.compile(r"\s+|(?<=-)(?=\w)")
"""Where a text may go on in the next line: programs break lines at a hyphen too."""


ALIKE = str.maketrans("123456789", "0" * 9)
"""Digits are equally wide: texts that differ in them only are measured once."""


@lru_cache(maxsize=8192)
def _wide(text: str, size: float, bold: bool) -> float:
    return float(stringWidth(text, FONTS[bold], size)) * 96 / 72 * SPARE


def width_for(text: str, size: float = CELL, bold: bool = False) -> float:
    """Return the width of a column that shows a text in one line."""
    return (_wide(text, size, bold) + CLEAR) / DIGIT


def words_of(text: str) -> list[str]:
    """Return the parts of a text that stay in one line."""
    return [word for word in BREAKS.split(text) if word]


def lines_of(text: str, width: float, size: float = CELL, bold: bool = False) -> int:
    """Return how many lines a text takes in a column of a width; a word that is too long is broken."""
    return _lines_of(text.translate(ALIKE), width, size, bold)


@lru_cache(maxsize=8192)
def _lines_of(text: str, width: float, size: float, bold: bool) -> int:
    room, space = width * DIGIT - CLEAR, _wide(" ", size, bold)
    if _wide(text, size, bold) <= room:
        return 1
    used, count = 0.0, 1
    for word in words_of(text):
        wide = _wide(word, size, bold)
        if used and used + wide > room:
            used, count = 0.0, count + 1
        if wide > room:
            count += ceil(wide / room) - 1
            wide %= room
        used += wide + (0 if word.endswith("-") else space)
    return count


def longer(texts: Iterable[object], width: float, size: float = CELL) -> Iterator[str]:
    """Yield the texts that may take more than a line in a column of a width: few are measured letter by letter."""
    letters = (width * DIGIT - CLEAR) * 72 / 96 / (size * WIDE_LETTER)
    return (text for text in map(str, texts) if len(text) > letters)
