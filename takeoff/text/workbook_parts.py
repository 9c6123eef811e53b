"""The parts of an .xlsx, unpacked piece by piece within a budget: what a file claims of its size is not believed.

A part is XML without a document type, so that no entity can grow. Nothing here knows what a part is about.
"""

from __future__ import annotations

import zipfile
from collections.abc import Callable, Mapping
from pathlib import PurePosixPath
from typing import BinaryIO
from xml.parsers import expat

MAX_UNPACKED = 400_000_000
"""Bytes of all parts together: ten times what the largest schedule takes."""

MAX_ELEMENTS = 12_000_000
"""Of one part: a cell of a sheet takes two or three, and the largest schedule with every column 10 million."""

_PIECE = 1 << 16

Start = Callable[[str, dict[str, str]], None]


class PartError(Exception):
    """A workbook that is damaged, or beyond a limit: `said` and what is `accepted` go to the user."""

    def __init__(self, said: str, accepted: str) -> None:
        super().__init__(said)
        self.said, self.accepted = said, accepted


DAMAGED = PartError(
    "is not a workbook that can be read", "give an .xlsx whose sheets are the table, without a password"
)


SMALLER = "delete unused rows, columns and sheets, or split the job"


class Parts:
    """The parts of one workbook.

    Parameters
    ----------
    file
        The whole file, open.
    budget
        Bytes that all parts may unpack to.
    """

    def __init__(self, file: BinaryIO, budget: int = MAX_UNPACKED) -> None:
        self._archive = zipfile.ZipFile(file)
        self._names = {name.casefold(): name for name in self._archive.namelist()}
        self._budget = self._left = budget

    def __contains__(self, name: str) -> bool:
        return name.casefold() in self._names

    def parse(
        self,
        name: str,
        start: Start,
        end: Callable[[str], None] | None = None,
        text: Callable[[str], None] | None = None,
    ) -> None:
        """Read a part from begin to end, calling handlers with names of elements without their prefix.

        Raises
        ------
        PartError
            The part is missing or damaged, or all parts together unpack to more than the budget.
        """
        if name not in self:
            raise DAMAGED
        parser = expat.ParserCreate()
        parser.buffer_text = True
        plain: dict[str, str] = {}
        left = MAX_ELEMENTS

        def starts(element: str, given: dict[str, str]) -> None:
            nonlocal left
            left -= 1
            if left < 0:
                raise PartError(f"has a part of more than {MAX_ELEMENTS:,} elements", SMALLER)
            if element not in plain:
                plain[element] = element.rpartition(":")[2]
            start(plain[element], given)

        parser.StartElementHandler = starts
        if end:
            parser.EndElementHandler = lambda element: end(plain[element])
        parser.CharacterDataHandler = text
        parser.StartDoctypeDeclHandler = _refuse_entities
        with self._archive.open(self._names[name.casefold()]) as part:
            while piece := part.read(_PIECE):
                self._left -= len(piece)
                if self._left < 0:
                    limit = f"{self._budget // 1_000_000} MB"
                    raise PartError(f"unpacks to more than {limit}", SMALLER)
                parser.Parse(piece, False)
        parser.Parse(b"", True)

    def links(self, name: str) -> Mapping[str, tuple[str, str]]:
        """Return what a part refers to, by id: kind, without its namespace, and name of the other part."""
        folder = PurePosixPath(name).parent
        listed = str(folder / "_rels" / f"{PurePosixPath(name).name}.rels")
        found: dict[str, tuple[str, str]] = {}

        def start(element: str, given: dict[str, str]) -> None:
            if element != "Relationship":
                return
            if not given.keys() >= {"Id", "Type", "Target"}:  # all required, ECMA-376 part 2: the styles may be lost
                raise DAMAGED
            if given.get("TargetMode") != "External":
                target = given["Target"]
                whole = target[1:] if target.startswith("/") else _plain(folder / target)
                found[given["Id"]] = given["Type"].rpartition("/")[2], whole

        if listed in self:
            self.parse(listed, start)
        return found


def _plain(path: PurePosixPath) -> str:
    """Return a path without steps upwards."""
    steps: list[str] = []
    for step in path.parts:
        if step == "..":
            steps = steps[:-1]
        else:
            steps.append(step)
    return "/".join(steps)


def _refuse_entities(*_: object) -> None:
    raise DAMAGED
