"""Sheets packed in a process of their own: the same file as without it, whatever becomes of that process."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from openpyxl import Workbook, load_workbook

from takeoff.workbook import writer
from takeoff.workbook.file import package
from takeoff.workbook.file.beside import can_be_beside, packed_beside
from takeoff.workbook.file.rows import Block, BlockColumn, SheetRows
from tests.attack.interrupts import attack

pytestmark = pytest.mark.skipif(not can_be_beside(), reason="needs fork and two processors")


def saved(path: Path, largest: tuple[str, ...], failing: bool = False) -> bytes:
    """Return a file of three sheets with a column each; the rows of one may fail where another process makes them."""
    process = os.getpid()

    class Rows(SheetRows):
        def xml(self) -> Iterator[bytes]:
            if failing and os.getpid() != process:
                raise OSError("no space left")
            return super().xml()

    book = Workbook()
    book.active.title = "A"
    book.create_sheet("B")
    book.create_sheet("C")
    values = {"A": 1.5, "B": 2.5, "C": 3.5}

    def rows_of(title: str) -> SheetRows:
        return Rows(blocks=[Block(1, 1, [BlockColumn(np.full(5000, values[title]) + np.arange(5000))])])

    package.save(book, path, rows_of, largest=largest)
    return path.read_bytes()


def test_the_file_holds_every_sheet_whoever_packed_it(tmp_path: Path) -> None:
    saved(tmp_path / "o.xlsx", ("C", "A"))
    book = load_workbook(tmp_path / "o.xlsx")
    assert book.sheetnames == ["A", "B", "C"]
    for title, first in (("A", 1.5), ("B", 2.5), ("C", 3.5)):
        assert [row[0] for row in book[title].iter_rows(values_only=True)] == [first + n for n in range(5000)]


def test_the_file_is_the_same_without_another_process_and_with_one_that_fails(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    beside = saved(tmp_path / "o.xlsx", ("C", "A"))
    assert saved(tmp_path / "o.xlsx", ("C", "A"), failing=True) == beside
    monkeypatch.setattr(os, "fork", no_process)
    assert saved(tmp_path / "o.xlsx", ("C", "A")) == beside
    monkeypatch.setattr(package, "can_be_beside", lambda: False)
    assert saved(tmp_path / "o.xlsx", ("C", "A")) == beside


def no_process() -> int:
    raise BlockingIOError("too many processes")


def test_the_other_process_ends_with_what_it_was_made_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def endless() -> Iterator[bytes]:
        while True:
            time.sleep(0.01)
            yield b""

    made, fork = list[int](), os.fork
    monkeypatch.setattr(os, "fork", lambda: made.append(fork()) or made[-1])
    start = time.monotonic()
    with pytest.raises(KeyError), packed_beside([endless], tmp_path):
        raise KeyError
    assert time.monotonic() - start < 10
    with pytest.raises(ProcessLookupError):
        os.kill(made[0], 0)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGKILL])
def test_builds_with_another_process_are_cut_at_random_moments(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    monkeypatch.setattr(writer, "BESIDE", range(1, 1_000_000))
    assert attack(tmp_path, number, 4).total() >= 4
