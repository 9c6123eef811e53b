"""Tables for a terminal."""

from __future__ import annotations

from collections.abc import Collection, Sequence


def aligned(lines: Sequence[Sequence[str]], texts: Collection[int]) -> list[str]:
    """Return lines of cells as columns.

    Parameters
    ----------
    lines
        Cells of each line; every line has as many.
    texts
        Places of the columns that stand to the left; the others are figures and stand to the right.
    """
    widths = [max(len(line[n]) for line in lines) for n in range(len(lines[0]))]
    return [
        "  ".join(
            cell.ljust(w) if n in texts else cell.rjust(w) for n, (cell, w) in enumerate(zip(line, widths, strict=True))
        ).rstrip()
        for line in lines
    ]
