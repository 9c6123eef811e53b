"""All files of a command written as one: each beside its target, moved into place together when all are whole.

Whatever stops the command before, nothing of it stays. What a killed command leaves is swept by the next one that
writes into the folder: a file in the making is locked by its writer, and one that nobody locks has none.
"""

from __future__ import annotations

import os
import stat
import tempfile
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import TracebackType

from takeoff.text.interrupts import WRITTEN, held_off
from takeoff.text.problems import fail, visible

try:
    import fcntl
except ImportError:  # a system without such locks keeps open files by itself
    fcntl = None  # type: ignore[assignment]

PREFIX, SUFFIX = ".takeoff-", ".part"
A_DAY_S = 86_400
_MASK = os.umask(0)
os.umask(_MASK)
NEW_FILE = 0o666 & ~_MASK
"""Rights of a file as if it had been made under its own name, not as a temporary one."""


class Transaction:
    """Files to write, as a context: they move into place at its end, or none does where it ends with an error."""

    def __init__(self) -> None:
        self._staged: list[tuple[Path, Path, int]] = []
        self._made: list[Path] = []
        self._swept: set[Path] = set()

    def __enter__(self) -> Transaction:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, wrong: BaseException | None, trace: TracebackType | None
    ) -> None:
        try:
            if kind is None:
                self._finish()
                self._move()
        finally:
            with held_off():
                self._clear()

    def folder(self, folder: Path) -> None:
        """Make a folder and what it lies in; it goes again where nothing is written.

        Raises
        ------
        InputError
            It cannot be made.
        """
        missing = [folder, *folder.parents]
        with told(folder), held_off():
            for path in reversed([p for p in missing if not p.is_dir()]):
                path.mkdir()
                self._made.append(path)

    @contextmanager
    def writing(self, target: Path) -> Iterator[Path]:
        """Give the path to which the content of a target is written; a target that is a link stays one.

        Raises
        ------
        InputError
            It cannot be written.
        """
        with told(target):
            resolved = target.resolve()
            if resolved.parent not in self._swept:
                self._swept.add(resolved.parent)
                sweep(resolved.parent)
            with held_off():
                staged, lock = _stage(resolved.parent)
                self._staged.append((staged, resolved, lock))
            yield staged

    def write_text(self, target: Path, text: str) -> None:
        """Write a text file."""
        with self.writing(target) as staged:
            staged.write_text(text, encoding="utf-8", newline="")

    def _finish(self) -> None:
        """Give the files the rights of those that they replace, and see them on the disk."""
        for staged, target, _ in self._staged:
            with told(target):
                staged.chmod(stat.S_IMODE(target.stat().st_mode) if target.exists() else NEW_FILE)
                with staged.open("rb+") as file:
                    os.fsync(file.fileno())

    def _move(self) -> None:
        written: list[Path] = []
        with held_off(WRITTEN):
            for staged, target, _ in self._staged:
                with told(target, written):
                    staged.replace(target)
                written.append(target)
            self._made = []

    def _clear(self) -> None:
        for staged, _, lock in self._staged:
            with suppress(OSError):
                staged.unlink(missing_ok=True)
            if lock >= 0:
                os.close(lock)
        for folder in reversed(self._made):
            with suppress(OSError):
                folder.rmdir()
        self._staged, self._made = [], []


def _stage(folder: Path) -> tuple[Path, int]:
    """Return a new empty file and its lock, -1 where the system has none."""
    while True:
        lock, name = tempfile.mkstemp(prefix=PREFIX, suffix=SUFFIX, dir=folder)
        path = Path(name)
        if fcntl is None:
            os.close(lock)
            return path, -1
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
            if os.fstat(lock).st_ino == path.stat().st_ino:
                return path, lock
        except BlockingIOError:
            pass  # another command sweeps it at this moment
        except FileNotFoundError:
            pass  # it was swept before it was locked
        except OSError:
            return path, lock  # a file system without locks
        os.close(lock)


def sweep(folder: Path) -> None:
    """Remove what killed commands left in a folder; what another one writes at the moment stays."""
    try:
        found = [p for p in folder.iterdir() if p.name.startswith(PREFIX) and p.name.endswith(SUFFIX)]
    except OSError:
        return
    for path in found:
        with suppress(OSError):
            if fcntl is None:
                if time.time() - path.stat().st_mtime > A_DAY_S:
                    path.unlink()
                continue
            lock = os.open(path, os.O_RDWR | os.O_NOFOLLOW)
            try:
                fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
                path.unlink()
            finally:
                os.close(lock)


@contextmanager
def told(target: Path, written: Iterable[Path] = ()) -> Iterator[None]:
    """Say of an error of the system which file it is about, and which ones were written before it."""
    before = [visible(path.name) for path in written]
    tail = f"; written before it: {', '.join(before)}" if before else ""
    shown = visible(str(target))
    try:
        yield
    except PermissionError:
        said = f"may not be written; is it open in another program{tail}"
        raise fail(shown, said, "close it, or give another name") from None
    except (OSError, RuntimeError) as reason:
        why = getattr(reason, "strerror", None) or str(reason)
        raise fail(shown, f"cannot be written ({why}){tail}", "free some space, or give another place") from None
