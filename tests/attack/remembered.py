"""Builds that are made once and then again with one column changed: of them only what the change can move is computed.

A test that fails with a changed column must read a figure that the change moves, of a build of its own. So a first run
of a test keeps its builds and what it reads of them; with a change what it reads is computed again, and it runs where a
value of that is another one. Where the build itself reads such a value, to make tables of it, it is made anew.
"""

from __future__ import annotations

import copy
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field, replace
from hashlib import sha256
from typing import Any
from unittest.mock import patch

import numpy as np

from takeoff.build import Build, Options, Read, compute, read_job
from takeoff.engine.expr import Array
from takeoff.engine.keys import Keys, keys_of
from takeoff.engine.tables import Book, Table
from takeoff.model.order import crew_choice
from takeoff.report.results import results_of
from takeoff.wiring import types
from tests.attack.noted import Note, noted, read
from tests.attack.shared import Shared

Place = tuple[str, str]
"""Table and column."""

Changing = Callable[[Table], Table]
"""Returns a table with its columns changed, the table itself where none is."""

MOST = 2500
"""Builds kept, of some 3 MB each: a test whose builds are not runs with every change."""

COMPLETE, BUILD_BOOK, WITH_MORE = "complete", "build_book", "with_more"
"""The functions that add tables. The first makes each from the book alone, and computes every column at its end, which
here are computed when they are read. The last adds them for a reader, which so reads all that they read."""


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


def alike(one: Array, other: Array) -> bool:
    """Return whether two columns hold the same values, of the same kinds."""
    if one.dtype != other.dtype or one.shape != other.shape:
        return False
    if one.dtype.kind == "O":
        pairs = zip(one.tolist(), other.tolist(), strict=True)
        return all(type(a) is type(b) and (a == b or (a != a and b != b)) for a, b in pairs)
    return np.array_equal(one, other, equal_nan=one.dtype.kind == "f")


class _Moving(Book):
    """A book with columns changed: a column that comes out as it was is the old one, and what reads only such ones too."""

    def __init__(self, old: Book, change: Changing, moved: frozenset[Place]) -> None:
        super().__init__([], old.inputs)
        self._old, self._moved = old, moved
        self.tables = {name: change(table) for name, table in old.tables.items()}
        self._columns = {(t.name, c.name): c for t in self.tables.values() for c in t.columns}
        self._arrays = {place: values for place, values in old._arrays.items() if place not in moved}

    def differs(self, place: Place) -> bool:
        """Return whether a column has another value than it had, or cannot be computed."""
        was = self._old.values(*place)
        try:
            return self.values(*place) is not was
        except Exception:  # whatever a wrong tree raises
            return True

    def keys(self, table: str, columns: tuple[str, ...]) -> Keys:
        was = self._old._keys.get((table, columns))
        if was and not any(self._is_other((table, self.tables[table].column(c))) for c in columns):
            return was
        return super().keys(table, columns)

    def _is_other(self, place: Place) -> bool:
        return self.values(*place) is not self._old._arrays.get(place)

    def _compute(self, table: str, column: str) -> Array:
        place = table, column
        was, own, old = self._old._arrays.get(place), self._columns.get(place), self._old._columns.get(place)
        if was is None or own is None:
            return super()._compute(table, column)
        if own is old and not any(self._is_other(read) for read in self._reads(place) if read not in self._busy):
            return was
        found = super()._compute(table, column)
        return was if alike(was, found) else found

    def _reads(self, place: Place) -> Iterator[Place]:
        """Yield what a column reads of what a change may move."""
        for other, name in self._columns[place].expr.reads():
            table = other or place[0]
            yield from ((table, c) for c in self.tables[table].spread(name) if (table, c) in self._moved)


def _results_name(key: str) -> str:
    return f"results of {key}"


def _read_by(tables: Iterable[Table], book: Book) -> Iterator[Place]:
    """Yield what some tables read."""
    for table, column in ((t, c) for t in tables for c in t.columns):
        for other, name in column.expr.reads():
            at = book.tables[other or table.name]
            yield from ((at.name, c) for c in at.spread(name))


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
    results: dict[str, dict[str, Any]] = field(default_factory=dict)
    """Results of a build; what they read stands in `reads` under their own name."""
    notes: dict[tuple[str, str], dict[Note, Any]] = field(default_factory=dict)
    """What a test reads of the results of a build, and what that was."""
    tables_of: dict[Place, set[Place]] = field(default_factory=dict)
    """Columns of the tables that are made of a column."""
    shared: Shared = field(default_factory=Shared)
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
    _moving: dict[str, _Moving] = field(default_factory=dict)
    _results: dict[str, dict[str, Any]] = field(default_factory=dict)
    _keys: dict[int, str] = field(default_factory=dict)

    def plant(self, change: Changing, here: Iterable[Place]) -> None:
        """Make every build from now on with a change of some columns."""
        self.change, self.moved = change, self.after(here)
        self._changed, self._moving, self._results = {}, {}, {}

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
                anew = known is None or self._other(key, self.reads[key])
                self._changed[key] = compute(options, step) if anew or not known else self._moved(key)
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
            self.shared.catalogs(known.catalogs)
            self._keys[id(known.book)] = key
            self.reads.setdefault(key, set())
            self.always.setdefault(key, set()).update(self._since)
            self._see(known.book, known.book.tables.values())
        self.made.setdefault(self.test, set()).add(key)
        return replace(known, options=options)

    def _moved(self, key: str) -> Build:
        """Return a build with a change of columns that it does not itself read."""
        return replace(self.builds[key], book=self._book(key))

    def _book(self, key: str) -> _Moving:
        assert self.change is not None
        if key not in self._moving:
            self._moving[key] = _Moving(self.builds[key].book, self.change, self.moved)
        return self._moving[key]

    def _other(self, key: str, places: Iterable[Place]) -> set[Place]:
        """Return those of some columns of a build that a change gives another value."""
        book = self._book(key)
        return {p for p in places if p in self.moved and p in book._columns and book.differs(p)}

    def may_notice(self, test: str, touched: frozenset[Place], reached: Callable[[str], bool]) -> bool:
        """Return whether a test reads what moves, or what is made of it, of a build that the change reaches.

        What a build is made of may move tables, notices and orders: then every test that reads such a table may notice.
        """
        if test in self.own:
            return True
        own = self.reads.get(test, set()) & touched
        return any(self._notices(test, own, key, touched) for key in self.made.get(test, ()) if reached(key))

    def _notices(self, test: str, own: set[Place], key: str, touched: frozenset[Place]) -> bool:
        if self._other(key, self.always[key]) or self._other(key, own):
            return True
        notes = self.notes.get((test, key), {})
        printed = self.reads.get(_results_name(key), set()) & touched if notes else set()
        made_of = self._other(key, self.reads[key]) if own or printed else set()
        if made_of:
            return bool((own | printed) & self.after(made_of, made=True))
        return bool(self._other(key, printed)) and self._notes_other(key, notes)

    def _notes_other(self, key: str, notes: dict[Note, Any]) -> bool:
        """Return whether results have something else where a test reads them."""
        try:
            if key not in self._results:
                self._results[key] = results_of(self._moved(key))
        except Exception:  # whatever a wrong tree raises
            return True
        return any(read(self._results[key], note) != was for note, was in notes.items())

    def _results_of(self, build: Build) -> dict[str, Any]:
        """Return the results of a build, which note what is read of them; with a change just the results."""
        key = self._keys.get(id(build.book))
        if key is None or self.change is not None:
            return results_of(build)
        if key not in self.results:
            test, self.test = self.test, _results_name(key)
            try:
                self.results[key] = results_of(build)
            finally:
                self.test = test
        found = self.results[key]

        def noting(note: Note) -> None:
            if self.change is None:
                notes = self.notes.setdefault((self.test, key), {})
                notes[note] = notes.get(note) or read(found, note)

        return noted(copy.deepcopy(found), noting)  # type: ignore[no-any-return]

    @contextmanager
    def watched(self) -> Iterator[None]:
        """Stand between the tests and the builds that they make, and see what is read."""
        values, add = Book.values, Book.add

        def reading(book: Book, table: str, column: str) -> object:
            last = not book._busy and sys._getframe(1).f_code.co_name == COMPLETE
            if last:
                return None  # computed when it is read
            if not book._busy and self.change is None and self._who:
                place = table, book.tables[table].column(column)
                self.reads.setdefault(self._who, set()).add(place)
                self._since.add(place)
            if self.change is not None or (table, column) in book._arrays:
                return values(book, table, column)
            found = self.shared.array(values(book, table, column))
            book._arrays[table, book.tables[table].column(column)] = found
            return found

        def adding(book: Book, tables: Iterable[Table]) -> None:
            tables = list(tables) if self.change is not None else [*map(self.shared.table, tables)]
            add(book, tables)
            if self.change is None and tables:
                self._added(book, tables, sys._getframe(1).f_code.co_name)

        mine = {"compute": self.compute, "read_job": self._read_job, "results_of": self._results_of}
        changes = [
            (m, name) for m in list(sys.modules.values()) for name in mine if name in vars(m) and m.__name__ != __name__
        ]
        with ExitStack() as stack:
            for where, name in changes:
                if vars(where)[name] in (compute, read_job, results_of):
                    stack.enter_context(patch.object(where, name, mine[name]))
            stack.enter_context(patch.object(Book, "values", reading))
            stack.enter_context(patch.object(Book, "add", adding))
            stack.enter_context(patch("takeoff.model.book.check"))
            stack.enter_context(patch("takeoff.engine.tables.keys_of", self._keys_of))
            yield

    def _keys_of(self, columns: Sequence[Array]) -> Keys:
        return self.shared.keys_of(columns) if self.change is None else keys_of(columns)

    def _read_job(self, options: Options) -> Read:
        key = key_of(options)
        if key not in self.read_jobs:
            self.read_jobs[key] = read_job(options)
        return self.read_jobs[key]

    def _added(self, book: Book, tables: Sequence[Table], adder: str) -> None:
        if adder == WITH_MORE:
            self.reads.setdefault(self._who, set()).update(_read_by(tables, book))
        elif not self._building:
            self.own.add(self.test)
        self._see(book, tables)
        self._attribute(tables, adder)

    @property
    def _who(self) -> str:
        """The build that is made, or the test that reads one."""
        return self._building or self.test

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
