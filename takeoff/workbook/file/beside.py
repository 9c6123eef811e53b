"""Members of an archive, packed in a process of their own beside the one that makes the rest of the book.

A member that cannot be packed there, for whatever reason, is left to the caller, who packs it himself and meets
the reason where he can say it. Nothing in this module knows what the workbook is about.
"""

from __future__ import annotations

import json
import os
import signal
import tempfile
import warnings
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, Protocol
from zlib import crc32

from isal import isal_zlib

from takeoff.text.interrupts import held_off

LEVEL = 1
"""Of deflate by the library isal: a third of the time that the standard one takes, for as small a file."""

Pieces = Callable[[], Iterable[bytes]]
"""Gives what a member holds, piece by piece."""


class Sink(Protocol):
    """What pieces are written to."""

    def write(self, piece: bytes, /) -> int:
        """Take a piece."""


def packer() -> Any:
    """Return what packs one member, with no frame of its own around it."""
    return isal_zlib.compressobj(LEVEL, isal_zlib.DEFLATED, -isal_zlib.MAX_WBITS)


def write_beside(out: Sink, pieces: Iterable[bytes]) -> None:
    """Write pieces, each while the next one is made: packing lets another thread run."""
    with ThreadPoolExecutor(1) as thread:
        writing = thread.submit(out.write, b"")
        for piece in pieces:
            writing.result()
            writing = thread.submit(out.write, piece)
        writing.result()


@dataclass(frozen=True)
class Packed:
    """A member as it stands in a file: where, how long in bytes; length and sum of what it holds unpacked."""

    start: int
    length: int
    size: int
    crc: int


class _Packing:
    """One member on its way into a file."""

    def __init__(self, out: IO[bytes]) -> None:
        self.out, self.start, self.packer = out, out.tell(), packer()
        self.size = self.crc = 0

    def write(self, piece: bytes) -> int:
        self.size, self.crc = self.size + len(piece), crc32(piece, self.crc)
        return self.out.write(self.packer.compress(piece))

    def end(self) -> Packed:
        self.out.write(self.packer.flush())
        return Packed(self.start, self.out.tell() - self.start, self.size, self.crc)


def can_be_beside() -> bool:
    """Return whether a process can be split in two here, and has two processors to run on."""
    return hasattr(os, "fork") and hasattr(os, "sched_getaffinity") and len(os.sched_getaffinity(0)) > 1


@contextmanager
def packed_beside(members: Sequence[Pieces], folder: Path) -> Iterator[Callable[[], tuple[IO[bytes], list[Packed]]]]:
    """Pack members in a process of their own meanwhile.

    Parameters
    ----------
    members
        What to pack.
    folder
        Folder in which they wait, in a file without a name: what ends the process ends the file.

    Yields
    ------
    Waits for the members: the file and where each stands in it; none where they could not be packed.
    """
    with tempfile.TemporaryFile(dir=folder) as out:
        reading, writing = os.pipe()
        child = 0
        try:
            with (
                held_off(),
                suppress(OSError),
                warnings.catch_warnings(),
            ):  # where no process can be had, the caller packs
                warnings.simplefilter("ignore", DeprecationWarning)  # other threads may run: the new one needs none
                child = os.fork()
                if child == 0:
                    _pack(members, out, writing)
            os.close(writing)
            with os.fdopen(reading, "rb") as said:
                yield lambda: (out, [Packed(*found) for found in json.loads(said.read() or b"[]")])
        finally:
            if child:
                os.kill(child, signal.SIGKILL)  # which one that has ended does not notice
                os.waitpid(child, 0)


def _pack(members: Sequence[Pieces], out: IO[bytes], writing: int) -> None:
    """Pack members in the new process, say where they stand, and end it: nothing of the old one is cleared up here."""
    try:
        signal.signal(signal.SIGTERM, signal.SIG_DFL)
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # which a terminal sends to both; the old process ends this one
        packed = []
        for pieces in members:
            packing = _Packing(out)
            write_beside(packing, pieces())
            packed.append(packing.end())
        out.flush()
        os.write(writing, json.dumps([(p.start, p.length, p.size, p.crc) for p in packed]).encode())
    finally:
        os._exit(0)
