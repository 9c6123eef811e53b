"""Builds that are made once and then again with one column changed: of them only what the change can move is computed.

A test that fails with a changed column must read a figure that the change moves, of a build of its own. So a first run
of a test keeps its builds and what it reads of them; with a change only tests that may notice run again, most of them
in a tenth of the time. Where the build itself reads a figure that moves, to make tables of it, it is made anew.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field, replace
from hashlib import sha256
from unittest.mock import patch

from takeoff.build import Build, Options, Read, compute, read_job
from takeoff.engine.tables import Book, Table
from takeoff.model.order import crew_choice
from takeoff.wiring import types

Place = tuple[str, str]
"""Table and column."""

Changing = Callable[[Table], Table]
"""Returns a table with its columns changed, the table itself where none is."""

MOST = 800
"""Builds kept, of some 8 MB each: a test whose builds are not runs with every change."""

COMPLETE, BUILD_BOOK = "complete", "build_book"
"""The functions of the model that add tables. The first makes each from the book alone, and computes every column at
its end, which here are computed when they are read."""


def key_of(options: Options) -> str:
    """Return what a build is made of: the texts of all files, options, and which rows a test holds in their order."""
    said = sha256()
    files = [
        each
        for path in options.reads
        for each in [path, *(sorted(path.rglob("*.csv")) if path.is_dir() else [])]
        if each.is_file()
    ]
    for path in files:
        text = path.read_bytes()
        said.update(f"{path.name}:{len(text)}:".encode() + text)
    held = getattr(types, "sorted", sorted).__name__, crew_choice.alike_types.__name__
    targets = options.workbook, options.results, options.order, options.crew_pdf, options.columns, options.expanded
    kinds = [path.name for path in options.reads]
    said.update(repr((kinds, options.sets, options.plans, options.earlier_catalogs, targets, held)).encode())
    return said.hexdigest()


@dataclass
class Remembered:
    """Builds by what they are made of, and what was read of them, by whom."""

    builds: dict[str, Build] = field(default_factory=dict)
    read_jobs: dict[str, Read] = field(default_factory=dict)
    made: dict[str, set[str]] = field(default_factory=dict)
    """Builds of a test."""
    own: set[str] = field(default_factory=set)
    """Tests that make books by other ways than a build."""
    reads: dict[str, set[Place]] = field(default_factory=dict)
    """Columns that a test reads, or a build while it is made."""
    always: dict[str, set[Place]] = field(default_factory=dict)
    """Those that a build reads for more than the tables that it adds next."""
    tables_of: dict[Place, set[Place]] = field(default_factory=dict)
    """Columns of the tables that are made of a column."""
    building_s: float = 0.0
    readers: dict[Place, set[Place]] = field(default_factory=dict)
    """Columns that read a column."""
    known: set[Place] = field(default_factory=set)
    """Every computed column."""
    test: str = ""
    change: Changing | None = None
    moved: frozenset[Place] = frozenset()
    """What a change moves, where there is one."""
    _building: str = ""
    _since: set[Place] = field(default_factory=set)
    _changed: dict[str, Build] = field(default_factory=dict)

    def after(self, places: Iterable[Place], made: bool = False) -> frozenset[Place]:
        """Return columns with all that read them, on and on; with those of tables that are made of them, if said."""
        found, left = set[Place](), list(places)
        while left:
            place = left.pop()
            if place not in found:
                found.add(place)
                left += self.readers.get(place, ())
                left += self.tables_of.get(place, ()) if made else ()
        return frozenset(found)

    def compute(self, options: Options, step: Callable[[str], None] = lambda _: None) -> Build:
        """Return a build, the one that is remembered where there is one; a test reads from then on."""
        key = key_of(options)
        known = self.builds.get(key)
        if self.change is not None:
            if key not in self._changed:
                again = known is None or self.reads[key] & self.moved
                self._changed[key] = compute(options, step) if again or not known else self._moved(known)
            return replace(self._changed[key], options=options)
        if known is None and len(self.builds) >= MOST:
            self.own.add(self.test)
            return compute(options, step)
        if known is None:
            outer, self._building = self._building, key
            start, self._since = time.process_time(), set()
            try:
                known = self.builds[key] = compute(options, step)
            except Exception:
                self.own.add(self.test)
                raise
            finally:
                self._building = outer
                self.building_s += time.process_time() - start
            self.reads.setdefault(key, set())
            self.always.setdefault(key, set()).update(self._since)
            self._see(known.book, known.book.tables.values())
        self.made.setdefault(self.test, set()).add(key)
        return replace(known, options=options)

    def _moved(self, build: Build) -> Build:
        """Return a build with a change of columns that it does not itself read."""
        assert self.change is not None
        old = build.book
        book = Book([], old.inputs)
        book.tables = {name: self.change(table) for name, table in old.tables.items()}
        book._columns = {(t.name, c.name): c for t in book.tables.values() for c in t.columns}
        book._arrays = {place: values for place, values in old._arrays.items() if place not in self.moved}
        return replace(build, book=book)

    def may_notice(self, test: str, touched: frozenset[Place], reached: Callable[[str], bool]) -> bool:
        """Return whether a test reads what moves, or what is made of it, of a build that the change reaches."""
        read = self.reads.get(test, set()) & touched
        keys = self.made.get(test, ())
        return test in self.own or any((read or self.always[key] & self.moved) and reached(key) for key in keys)

    @contextmanager
    def watched(self) -> Iterator[None]:
        """Stand between the tests and the builds that they make, and see what is read."""
        values, add = Book.values, Book.add

        def reading(book: Book, table: str, column: str) -> object:
            who = self._building or self.test
            last = not book._busy and sys._getframe(1).f_code.co_name == COMPLETE
            if last:
                return None  # computed when it is read
            if not book._busy and self.change is None and who:
                place = table, book.tables[table].column(column)
                self.reads.setdefault(who, set()).add(place)
                self._since.add(place)
            return values(book, table, column)

        def adding(book: Book, tables: Iterable[Table]) -> None:
            tables = list(tables)
            add(book, tables)
            if self.change is None and tables:
                self.own |= set() if self._building else {self.test}
                self._see(book, tables)
                self._attribute(tables, sys._getframe(1).f_code.co_name)

        mine = {"compute": self.compute, "read_job": self._read_job}
        changes = [
            (m, name) for m in list(sys.modules.values()) for name in mine if name in vars(m) and m.__name__ != __name__
        ]
        with ExitStack() as stack:
            for where, name in changes:
                if vars(where)[name] in (compute, read_job):
                    stack.enter_context(patch.object(where, name, mine[name]))
            stack.enter_context(patch.object(Book, "values", reading))
            stack.enter_context(patch.object(Book, "add", adding))
            stack.enter_context(patch("takeoff.model.book.check"))
            yield

    def _read_job(self, options: Options) -> Read:
        key = key_of(options)
        if key not in self.read_jobs:
            self.read_jobs[key] = read_job(options)
        return self.read_jobs[key]

    def _attribute(self, tables: Iterable[Table], adder: str) -> None:
        """Say what the tables that a build adds are made of."""
        if self._building and adder in (COMPLETE, BUILD_BOOK):
            made = {(t.name, c.name) for t in tables for c in t} if adder == COMPLETE else ()
            for place in self._since:
                self.tables_of.setdefault(place, set()).update(made)
            if adder == BUILD_BOOK:
                self.always.setdefault(self._building, set()).update(self._since)
            self._since = set()

    def _see(self, book: Book, tables: Iterable[Table]) -> None:
        for table, column in ((t, c) for t in tables for c in t.columns):
            self.known.add((table.name, column.name))
            for other, name in column.expr.reads():
                read = other or table.name
                for each in book.tables[read].spread(name) if read in book.tables else (name,):
                    self.readers.setdefault((read, each), set()).add((table.name, column.name))
