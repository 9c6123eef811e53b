"""What every computed column of the sample comes to, kept in a file: a regression check, no proof that it is right.

    python -m tests.regression

writes the file again where a change is meant; its difference then says which columns the change moved.
"""

from __future__ import annotations

import csv
import io
import sys
from hashlib import sha256
from pathlib import Path

from takeoff.build import Options, compute
from takeoff.engine.expr import Array
from takeoff.engine.tables import Book
from tests.conftest import SAMPLES

KEPT = Path(__file__).with_suffix(".csv")
HEAD = ("table", "column", "rows", "sum_or_texts", "values")


def book_of_sample() -> Book:
    """Return the book of the large sample under the conditions of its bid."""
    return compute(Options(SAMPLES / "two-story.csv", inputs=SAMPLES / "bid.toml")).book


def kept_text(book: Book) -> str:
    """Return a line for every computed column: rows, sum or number of different texts, and a digest of all values."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEAD)
    for table in sorted(book.tables.values(), key=lambda each: each.name):
        for column in table.columns:
            values = book.values(table.name, column.name)
            writer.writerow([table.name, column.name, len(values), *come_to(values)])
    return out.getvalue()


def come_to(values: Array) -> tuple[str, str]:
    """Return sum, or number of different texts, and digest; of numbers seven digits: the rest is noise of adding up."""
    texts = [v if isinstance(v, str) else f"{float(v) + 0.0:.7g}" for v in values.tolist()]
    numbers = [v for v in values.tolist() if not isinstance(v, str)]
    total = f"{round(sum(numbers), 9) + 0.0:.6g}" if numbers else f"{len(set(texts))} texts"
    return total, sha256("\n".join(texts).encode()).hexdigest()[:8]


if __name__ == "__main__":
    KEPT.write_text(kept_text(book_of_sample()), encoding="utf-8")
    sys.exit(0)
