"""What every computed column of some schedules comes to, kept in a file: a regression check, no proof that it is right.

    python -m tests.regression

writes the file again where a change is meant; its difference then says which columns of the sample the change moved, and
which tables of schedules with what the sample has not.
"""

from __future__ import annotations

import csv
import io
import tempfile
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

from takeoff.build import Options, compute
from takeoff.engine.expr import Array
from takeoff.engine.tables import Book, Table
from tests.attack.jobs import options_of
from tests.conftest import SAMPLES

KEPT = Path(__file__).with_suffix(".csv")
HEAD = ("schedule", "table", "column", "rows", "sum_or_texts", "values")
SAMPLE, OTHERS = "two-story", ("patient", "mixed", "multiwire", "odd", "small")
"""The sample under the conditions of its bid, column by column, and schedules of `attack/jobs.py`, table by table."""


def books_kept() -> dict[str, Book]:
    """Return the books of the schedules by their names."""
    with tempfile.TemporaryDirectory() as folder:
        jobs = {name: options_of(Path(folder) / name, name) for name in OTHERS}
        sample = Options(SAMPLES / "two-story.csv", inputs=SAMPLES / "bid.toml")
        return {name: compute(options).book for name, options in {SAMPLE: sample, **jobs}.items()}


def kept_text(books: dict[str, Book]) -> str:
    """Return a line for every computed column of the sample, and for every table of the other schedules."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEAD)
    for name, book in books.items():
        for table in sorted(book.tables.values(), key=lambda each: each.name):
            lines = list(_lines_of(book, table))
            if name != SAMPLE and lines:
                lines = [("all", len(table), f"{len(lines)} columns", _digest(*(line[-1] for line in lines)))]
            writer.writerows((name, table.name, *line) for line in lines)
    return out.getvalue()


def _lines_of(book: Book, table: Table) -> Iterator[tuple[str, int, str, str]]:
    for column in table.columns:
        values = book.values(table.name, column.name)
        yield column.name, len(values), *come_to(values)


def come_to(values: Array) -> tuple[str, str]:
    """Return sum, or number of different texts, and digest; of numbers seven digits: the rest is noise of adding up."""
    texts = [v if isinstance(v, str) else f"{float(v) + 0.0:.7g}" for v in values.tolist()]
    numbers = [v for v in values.tolist() if not isinstance(v, str)]
    total = f"{round(sum(numbers), 9) + 0.0:.6g}" if numbers else f"{len(set(texts))} texts"
    return total, _digest(*texts)


def _digest(*texts: str) -> str:
    return sha256("\n".join(texts).encode()).hexdigest()[:8]


if __name__ == "__main__":
    KEPT.write_text(kept_text(books_kept()), encoding="utf-8")
