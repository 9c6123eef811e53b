"""What is wrong with the user's input: collected in one pass, shown in one form.

A problem names the file, the row as a spreadsheet program counts it, the column and the value, says
what is wrong and what would be accepted. Errors stop the build; notices travel into the results.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import asdict, dataclass, replace
from functools import lru_cache
from typing import TypeVar

from takeoff.text.places import SheetRow

T = TypeVar("T")

SHORT = 8
"""A list of at most so many words is shown whole."""

LONGEST_WORD = 100
"""Characters of a wrong word that are compared with known ones."""


@dataclass(frozen=True)
class Problem:
    """One thing wrong, or worth knowing, in the user's input."""

    file: str
    row: int | None
    column: str
    value: str
    message: str
    accepted: str = ""
    severity: str = "error"

    def __str__(self) -> str:
        place = ":".join(str(p) for p in (self.file, self.row, self.column) if p not in (None, ""))
        shown = f' "{shorten(self.value)}"' if self.value else ""
        message = self.message if shown else self.message.removesuffix(":")
        tail = f"; {self.accepted}" if self.accepted else ""
        return visible(f"{place}: {message}{shown}{tail}")

    def as_dict(self) -> dict[str, object]:
        """Return the problem as it stands in the results JSON."""
        if isinstance(self.row, SheetRow):
            file = f"{self.file}, sheet {self.row.sheet}"
            return asdict(replace(self, file=file, row=self.row.on_sheet))
        return asdict(self)


class InputError(Exception):
    """The user's input cannot be used; carries every problem found, not only the first."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = list(problems)
        super().__init__("\n".join(str(p) for p in self.problems))


class Problems:
    """Collector handed through the readers, so that one pass reports everything."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.found: list[Problem] = []
        self.titles: dict[str, str] = {}
        """Headings of the user by our name of the column, where they differ: a problem names what the user sees."""

    def error(self, row: int | None, column: str, value: str, message: str, accepted: str = "") -> None:
        """Record something that stops the build."""
        self.found.append(Problem(self.file, row, self.titles.get(column, column), value, message, accepted))

    def notice(self, row: int | None, column: str, value: str, message: str, accepted: str = "") -> None:
        """Record something the user should know; the build goes on."""
        shown = self.titles.get(column, column)
        self.found.append(Problem(self.file, row, shown, value, message, accepted, "notice"))

    def shown(self, columns: Iterable[str]) -> set[str]:
        """Return the names by which problems call some columns: as the user does."""
        return {self.titles.get(column, column) for column in columns}

    def errors(self) -> Iterator[Problem]:
        """Yield what stops the build."""
        return (p for p in self.found if p.severity == "error")

    def stop_on_errors(self) -> None:
        """Raise InputError with everything that stops the build, if anything does."""
        errors = sorted(self.errors(), key=lambda p: (p.file, p.row or 0))
        if errors:
            raise InputError(errors)


class Gather:
    """Runs several readers and keeps what each finds wrong, so that one pass reports everything."""

    def __init__(self) -> None:
        self.found: list[Problem] = []

    def result_of(self, read: Callable[[], T]) -> T | None:
        """Return what a reader returns; nothing where it raises InputError, whose problems are kept."""
        try:
            return read()
        except InputError as wrong:
            self.found += wrong.problems
            return None


def fail(file: str, message: str, accepted: str = "") -> InputError:
    """Return an InputError about a whole file."""
    return InputError([Problem(file, None, "", "", message, accepted)])


def said_alone(problem: Problem) -> str:
    """Return what is wrong, without the place, which the reader knows otherwise."""
    return str(replace(problem, file="", row=None, column="")).removeprefix(": ")


def visible(text: str) -> str:
    """Return text on one line, with characters that do not print written as their code."""
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else f"<U+{ord(c):04X}>" for c in text)


def shorten(text: str, most: int = 60) -> str:
    """Return visible text not longer than `most` characters."""
    shown = visible(text)
    return shown if len(shown) <= most else shown[: most - 3] + "..."


@lru_cache(1024)
def _close(word: str, choices: tuple[str, ...]) -> list[str]:
    return difflib.get_close_matches(word[:LONGEST_WORD], choices, n=2, cutoff=0.6)


def nearest(word: str, known: Iterable[str]) -> str:
    """Return what would be accepted in place of a wrong word: a short list whole, of a long one the nearest."""
    choices = list(known)
    close = _close(word.casefold(), tuple(choices))
    if close and len(choices) > SHORT:
        return "did you mean " + " or ".join(close) + "?"
    shown = ", ".join(choices[: 2 * SHORT]) + (", ..." if len(choices) > 2 * SHORT else "")
    return f"accepted: {shown}"
