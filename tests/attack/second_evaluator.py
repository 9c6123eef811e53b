"""Every formula cell of a small workbook by a second evaluator, the formula engine `formulas` of the registry.

    python -m tests.attack.second_evaluator [BOOK.xlsx]

Each cell is computed from the values that its formula reads as the file ships them, so that one wrong cell is one
line. Formulas that differ in their references alone are compiled once."""

from __future__ import annotations

import re
import sys
import tempfile
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import formulas
import numpy as np
import schedula
from openpyxl import load_workbook
from openpyxl.formula.tokenizer import Token, Tokenizer
from openpyxl.utils.cell import get_column_letter, range_boundaries

from takeoff.build import Options, compute
from takeoff.report.output import write_outputs
from tests import office
from tests.conftest import SAMPLES

TOLERANCE = 1e-9
EMPTY = schedula.EMPTY

DEFECTS = {
    r"INDEX\(.*,0[,)]": "INDEX with row or column 0 gives one cell in place of the whole column or row (ECMA-376 part 1, 18.17.7)",
    r"SUBTOTAL\(": "SUBTOTAL is not implemented",
    r"HYPERLINK\(": "HYPERLINK is not implemented",
}
"""What the engine cannot do, by the formulas it shows in, with the reason."""


@dataclass
class Compared:
    """How many cells agree, how many show a known defect of the engine, and those that differ without one."""

    formulas: int = 0
    agree: int = 0
    defects: Counter[str] = field(default_factory=Counter)
    different: list[str] = field(default_factory=list)


def template_of(formula: str) -> tuple[str, list[str]]:
    """Return a formula with its references replaced by names, and the references."""
    read: list[str] = []
    text = "="
    for token in Tokenizer(f"={formula}").items:
        if token.type == Token.OPERAND and token.subtype == Token.RANGE:
            read.append(token.value)
            text += f"X_{len(read)}_"
        else:
            text += token.value
    return text, read


class Engine:
    """Computes formulas of one workbook from the values that the file ships."""

    def __init__(self, book: Path) -> None:
        self.cells = office.cells(book)
        self.names = {n: d.attr_text or "" for n, d in load_workbook(book).defined_names.items()}
        self.compiled: dict[str, Any] = {}

    def computed(self, sheet: str, formula: str) -> object:
        """Return the value of one formula; raise what the engine does where it cannot."""
        text, read = template_of(formula)
        if text not in self.compiled:
            self.compiled[text] = formulas.Parser().ast(text)[1].compile()
        function = self.compiled[text]
        wanted = [int(re.findall(r"\d+", name)[0]) - 1 for name in function.inputs]
        found = function(*(self._values(sheet, read[n]) for n in wanted))
        return np.asarray(found, dtype=object).ravel()[0]

    def _values(self, sheet: str, reference: str) -> np.ndarray:
        there, _, area = self.names.get(reference, reference).rpartition("!")
        there = there.strip("'").replace("''", "'") or sheet
        left, top, right, bottom = (int(n or 0) for n in range_boundaries(area.replace("$", "")))
        grid = np.full((bottom - top + 1, right - left + 1), EMPTY, dtype=object)
        for y, x in np.ndindex(grid.shape):
            cell = self.cells.get((there, f"{get_column_letter(left + x)}{top + y}"))
            if cell is not None and cell.value is not None:
                grid[y, x] = cell.value
        return grid


def compare(book: Path) -> Compared:
    """Compute every formula cell of a workbook and compare it with the value in the file."""
    engine, result = Engine(book), Compared()
    for (sheet, place), cell in engine.cells.items():
        if not cell.formula:
            continue
        try:
            found = engine.computed(sheet, cell.formula)
        except Exception as reason:  # what an engine raises for a function that it lacks
            found = f"{type(reason).__name__}: {str(reason)[:80]}"
        defect = next((why for sign, why in DEFECTS.items() if re.search(sign, cell.formula)), "")
        if _alike(cell.value, found):
            result.agree += 1
        elif defect:
            result.defects[defect] += 1
        else:
            result.different.append(f"{sheet}!{place}: {cell.value!r}, engine {found!r}: {cell.formula[:150]}")
    result.formulas = len(engine.compiled)
    return result


def _alike(ours: object, theirs: object) -> bool:
    if isinstance(ours, int | float) and isinstance(theirs, int | float | np.number | np.bool_):
        return abs(float(theirs) - ours) <= TOLERANCE * max(1.0, abs(ours))
    return str(theirs) == str(ours if ours is not None else "")


def small_workbook(folder: Path) -> Path:
    """Write the workbook of the small sample."""
    target = folder / "small.xlsx"
    write_outputs(compute(Options(SAMPLES / "small.csv")), target, None)
    return target


def main(book: str = "") -> int:
    """Print how many cells agree, the defects of the engine, and the cells that differ."""
    with tempfile.TemporaryDirectory() as folder:
        found = compare(Path(book) if book else small_workbook(Path(folder)))
    print(f"{found.agree} cells agree, {len(found.different)} differ, {found.formulas} formulas apart from references")
    for why, times in found.defects.items():
        print(f"  {times} cells: {why}")
    for line in found.different[:60]:
        print("    " + line)
    return 1 if found.different else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
