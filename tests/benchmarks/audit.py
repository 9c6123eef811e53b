"""What a workbook holds: formulas per sheet, which sheet reads which, sheets that read each other.

Run as `python -m tests.benchmarks.audit BOOK.xlsx`.
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from collections.abc import Collection, Mapping
from pathlib import Path

import openpyxl

from tests import office

STATUS_ROWS = 4
"""Rows on top of a sheet that show the master check, the base and what the book holds: they are not counted as reads."""

_SHEET = re.compile(r"(?:'([^']+)'|([A-Za-z][A-Za-z0-9]*))!")
_WORD = re.compile(r"(?<![A-Za-z0-9_.$'!])([a-z][a-z0-9_]*(?:\.[a-z0-9_]+)?)(?![A-Za-z0-9_.(!])")
Formulas = Mapping[tuple[str, str], str]


def titles(path: Path) -> list[str]:
    """Return the titles of the sheets, from left to right."""
    return list(openpyxl.load_workbook(path, read_only=True).sheetnames)


def names(path: Path) -> dict[str, str]:
    """Return the sheet of every defined name."""
    book = openpyxl.load_workbook(path, read_only=True)
    return {name: d.attr_text.rpartition("!")[0].strip("'") for name, d in book.defined_names.items()}


def computed(path: Path) -> list[tuple[str, str]]:
    """Return the columns of tables that hold formulas, as table and heading."""
    found = []
    for sheet in openpyxl.load_workbook(path):
        for table in sheet.tables.values():
            headings, *rows = sheet[table.ref]
            found += [
                (table.displayName, str(heading.value))
                for n, heading in enumerate(headings)
                if any(row[n].data_type == "f" for row in rows)
            ]
    return found


def columns(formulas: Formulas) -> int:
    """Return how many columns of sheets hold formulas; tables below each other share theirs."""
    return len({(sheet, cell.rstrip("0123456789")) for sheet, cell in formulas})


def per_sheet(formulas: Formulas) -> Counter[str]:
    """Return the formula cells of every sheet."""
    return Counter(sheet for sheet, _ in formulas)


def reads(formulas: Formulas, named: Mapping[str, str]) -> Counter[tuple[str, str]]:
    """Return how many formulas of a sheet read another one, by reference or by defined name."""
    found: Counter[tuple[str, str]] = Counter()
    for (sheet, cell), formula in formulas.items():
        if int(cell.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")) > STATUS_ROWS:
            bare = re.sub(r'"[^"]*"', "", formula)
            others = {a or b for a, b in _SHEET.findall(bare)}
            others |= {named[word] for word in _WORD.findall(_SHEET.sub("", bare)) if word in named}
            found.update((sheet, other) for other in others - {sheet})
    return found


def loops(pairs: Collection[tuple[str, str]]) -> list[list[str]]:
    """Return groups of sheets that read each other, directly or by way of others."""
    reached = {sheet: {b for a, b in pairs if a == sheet} for pair in pairs for sheet in pair}
    for _ in reached:
        for others in reached.values():
            others.update(*(reached[other] for other in list(others)))
    groups = {tuple(sorted(b for b in others if a in reached[b])) for a, others in reached.items() if a in others}
    return sorted(map(list, groups))


def leftward(pairs: Collection[tuple[str, str]], order: list[str], anywhere: Collection[str]) -> list[tuple[str, str]]:
    """Return the reads of a sheet to the left, but for sheets that may be read from anywhere."""
    return sorted((a, b) for a, b in pairs if b not in anywhere and order.index(b) < order.index(a))


def main(path: Path) -> None:
    """Print what a workbook holds."""
    formulas, order = office.formulas(path), titles(path)
    counts, pairs = per_sheet(formulas), reads(formulas, names(path))
    print(
        f"{len(order)} sheets, {len(formulas):,} formula cells, {len(names(path))} defined names, "
        f"{columns(formulas):,} columns of sheets with formulas, {len(computed(path)):,} of tables"
    )
    for sheet in order:
        others = ", ".join(f"{b} {pairs[sheet, b]:,}" for b in order if (sheet, b) in pairs)
        print(f"{sheet:16}{counts[sheet]:9,}  reads {others or 'no other sheet'}")
    for group in loops(pairs):
        print("read each other: " + ", ".join(group))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
