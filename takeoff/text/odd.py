"""Entries of a workbook that are no text: each is named with its row, and some columns take a date."""

from __future__ import annotations

from dataclasses import dataclass

from takeoff.text.problems import Problem

UNREAD = "is a formula without a value:", "open and save the file, or type the value"
DATED = "is a date or time:", "format the column as text and type the entry again"
BROKEN = "is an error cell:", "mend the formula, or type the entry"


@dataclass(frozen=True)
class Odd:
    """An entry that is no text: row, place in the row from 0, what it shows, what is wrong and what accepted."""

    row: int
    place: int
    value: str
    said: str
    accepted: str


def is_date(problem: Problem) -> bool:
    """Say whether a problem is a date where a text is wanted."""
    return problem.message == DATED[0]
