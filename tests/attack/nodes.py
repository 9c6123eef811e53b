"""Mutate the nodes of computed columns one at a time; a test of the model must fail for each.

    python -m tests.attack.nodes N SEED

N mutants drawn by SEED, one of every table in turn: signs, comparisons, branches, rounding and coefficients of the
expressions behind the columns of a sample. The tests are those of `tests/model` that need no LibreOffice: they run once, and
their builds are kept (`remembered.py`), and what they read of results (`noted.py`); then those that read another value
with a mutant run with it in a process of its own, the nearest first, up to the first that fails. What is left is asked
of the tests with drawn schedules, at last of those of results and sheets. Survivors are printed, which of them the
regression check (`tests/regression.py`) lets pass too, and those that change no value of any build of a
test, a sample or a schedule of `jobs.py`.
"""

from __future__ import annotations

import contextlib
import copy
import gc
import inspect
import io
import os
import random
import re
import resource
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial
from itertools import zip_longest
from pathlib import Path
from unittest.mock import patch

import hypothesis
import numpy as np
import pytest
from _pytest.runner import runtestprotocol

from takeoff.build import Options, compute
from takeoff.engine.aggregates import CountSmaller
from takeoff.engine.chains import Highest, Lowest
from takeoff.engine.expr import Array, Call, Expr, Literal
from takeoff.engine.lookups import At, Named
from takeoff.engine.operations import OPS, Op
from takeoff.engine.tables import Book, Column, Table
from takeoff.model.book import MAKERS
from tests.attack.jobs import JOBS, options_of
from tests.attack.remembered import Remembered
from tests.conftest import ROOT, SAMPLES
from tests.regression import books_kept, come_to

OTHER = {"+": "-", "-": "+", "*": "+", "/": "*", "ratio": "*", "any": "all", "all": "any", "max": "min", "min": "max",
         "less": "at_most", "at_most": "less", "up": "nine", "whole": "nine"}  # fmt: skip
"""Operations that stand in place of others."""

NEGATED = ("equal", "nothing", "same", "begins")
"""Tests that say the opposite."""

TURNED = {"less": (1, 0), "at_most": (1, 0), "if": (0, 2, 1)}
"""Operations whose arguments change places."""

QUIETLY = ("-q", "-n", "0", "-p", "no:cacheprovider", "-W", "ignore")
PLAIN, DRAWN = "not libreoffice and not hypothesis", "not libreoffice and hypothesis"
SLOW_S = 0.5
"""Processor time of a test, less that of its builds, after which it waits for mutants that all others leave."""

NEAR, FIRST = 4, 12
"""Files of tests that are asked first of all, and how many of their tests."""

MOST_PCT = 3
"""Mutants that survive, of those that change a value, from which the command fails."""

LONGEST_S = 600
"""Processor time of the tests with one mutant, after which it counts as one that survives."""

MODEL = (ROOT / "tests" / "model",)
PAGES = (
    *(ROOT / "tests" / "report" / f"test_{name}.py" for name in ("fault_loops", "front", "terminal", "crew_pairs")),
    *(ROOT / "tests" / "workbook" / f"test_{name}.py" for name in ("swap_page", "summary", "trace")),
)
"""Tests of what is printed of builds, some of which write a workbook: asked of what all tests of the model leave."""


@dataclass(frozen=True)
class Mutant:
    """One change of one node, in all columns of a table that are one definition."""

    table: str
    stem: str
    path: tuple[int, ...]
    change: str

    @property
    def said(self) -> str:
        return f"{self.table}.{self.stem} at {'.'.join(map(str, self.path)) or 'the root'}: {self.change}"


class _Larger(Named):
    """A figure that is a tenth more."""

    def value(self, rows: object) -> object:
        return super().value(rows) * 1.1  # type: ignore[arg-type]


def _call(node: Call, name: str, args: Sequence[Expr]) -> None:
    node.name, node.op, node.args = name, OPS[name], tuple(args)


def _negate(node: Call) -> None:
    own = node.op
    node.op = Op(own.template, lambda *given: ~np.asarray(own.value(*given), dtype=bool), own.binds, own.needs)


def changes_of(node: Expr) -> dict[str, Callable[[Expr], None]]:
    """Return what may be done to a node, in words."""
    found: dict[str, Callable[[Expr], None]] = {}
    if isinstance(node, Call):
        if node.name in OTHER and (node.name not in ("any", "all") or len(node.args) > 1):
            other = OTHER[node.name]
            found[f"{node.name} is {other}"] = lambda n: _call(n, other, n.args[:2] if n.name == "ratio" else n.args)  # type: ignore[attr-defined, arg-type]
        if node.name in NEGATED:
            found[f"{node.name} is not"] = _negate  # type: ignore[assignment]
        if node.name in TURNED:
            turned = TURNED[node.name]
            found[f"{node.name} turned"] = lambda n: _call(n, n.name, [n.args[i] for i in turned])  # type: ignore[attr-defined, arg-type]
    elif isinstance(node, Literal) and not isinstance(node.content, str):
        found[f"{node.content:g} and one more"] = lambda n: setattr(n, "content", n.content + 1)  # type: ignore[attr-defined]
    elif isinstance(node, Named):
        found[f"{node.key} and a tenth"] = lambda n: setattr(n, "__class__", _Larger)
    elif isinstance(node, At) and isinstance(node.otherwise, int | float):
        found[f"otherwise {node.otherwise:g} and one more"] = lambda n: setattr(n, "otherwise", n.otherwise + 1)  # type: ignore[attr-defined]
    elif isinstance(node, CountSmaller):
        found["under is not over"] = lambda n: setattr(n, "limit", n.limit + 2e-9)  # type: ignore[attr-defined]
    elif type(node) in (Highest, Lowest):
        other_kind = Lowest if type(node) is Highest else Highest
        found[f"{type(node).__name__} is {other_kind.__name__}"] = lambda n: setattr(n, "__class__", other_kind)
    return found


def nodes_of(expr: Expr, path: tuple[int, ...] = ()) -> Iterator[tuple[tuple[int, ...], Expr]]:
    """Yield every node of a tree with its path."""
    yield path, expr
    for place, part in enumerate(expr.parts()):
        yield from nodes_of(part, (*path, place))


def stem_of(name: str) -> str:
    """Return the name of a column without the number of its plan."""
    return re.sub(r"_\d+(?=_|$)", "", name)


def mutated(expr: Expr, mutant: Mutant) -> Expr | None:
    """Return a changed copy of a tree, nothing where it has no such node."""
    tree = copy.deepcopy(expr)
    node = tree
    for place in mutant.path:
        parts = node.parts()
        if place >= len(parts):
            return None
        node = parts[place]
    change = changes_of(node).get(mutant.change)
    if change is None:
        return None
    change(node)
    return tree


def mutants_of(books: Sequence[Book]) -> Iterator[Mutant]:
    """Yield every mutant of the columns of some books, one for the columns of one definition."""
    seen = set()
    for book in books:
        for table in book.tables.values():
            for column in table.columns:
                for path, node in nodes_of(column.expr):
                    for change in changes_of(node):
                        mutant = Mutant(table.name, stem_of(column.name), path, change)
                        if mutant not in seen:
                            seen.add(mutant)
                            yield mutant


def reached(mutant: Mutant, books: Sequence[Book]) -> bool:
    """Return whether a mutant changes a value of its column in any of the books."""
    return any(not _alike(*both) for both in _both(mutant, books))


def kept(mutant: Mutant, books: Sequence[Book]) -> bool:
    """Return whether a mutant leaves what the regression check keeps of some books."""
    return all(len(both) == 2 and come_to(both[0]) == come_to(both[1]) for both in _both(mutant, books))


def _alike(shipped: Array, found: Array | None = None) -> bool:
    """Return whether two columns hold the same values."""
    return found is not None and all(
        a == b or (a != a and b != b) for a, b in zip(shipped.tolist(), found.tolist(), strict=True)
    )


def _both(mutant: Mutant, books: Sequence[Book]) -> Iterator[tuple[Array, ...]]:
    """Yield the values of each column of a mutant, as they are and with it; where it cannot be computed, as they are."""
    for book in books:
        table = book.tables.get(mutant.table)
        for column in table.columns if table else ():
            if stem_of(column.name) == mutant.stem and (tree := mutated(column.expr, mutant)):
                shipped = book.values(mutant.table, column.name)
                try:
                    with np.errstate(all="ignore"):
                        yield shipped, book.evaluate(mutant.table, tree, column.head)
                except Exception:  # whatever a wrong tree raises
                    yield (shipped,)


def changed(table: Table, mutant: Mutant) -> Table:
    """Return a table with the columns of a mutant changed, the table itself where it has none."""

    def column_of(column: Column) -> Column:
        tree = mutated(column.expr, mutant) if stem_of(column.name) == mutant.stem else None
        return replace(column, expr=tree) if tree else column

    return replace(table, columns=[*map(column_of, table.columns)]) if table.name == mutant.table else table


@contextlib.contextmanager
def planted(mutant: Mutant) -> Iterator[None]:
    """Plant a mutant into every book that is made; units and numbers of formulas are not checked meanwhile."""
    add = Book.add

    def adding(self: Book, tables: Iterable[Table]) -> None:
        add(self, [changed(table, mutant) for table in tables])

    with patch.object(Book, "add", adding), patch("takeoff.model.book.check"):
        yield


def rooms() -> dict[str, str]:
    """Return room and file of the model in which each table is made, where it has a maker of its own."""
    with tempfile.TemporaryDirectory() as folder:
        frame = compute(options_of(Path(folder) / "small", "small")).frame
    return {maker(frame).name: maker.__module__.removeprefix("takeoff.model.") for maker in MAKERS}


def books() -> list[Book]:
    """Return the books of the samples and of the schedules."""
    with tempfile.TemporaryDirectory() as folder:
        jobs = [options_of(Path(folder) / name, name) for name in JOBS]
        builds = [compute(o) for o in (Options(SAMPLES / "two-story.csv", inputs=SAMPLES / "bid.toml"), *jobs)]
    return [build.book for build in builds]


Files = dict[Path, list[pytest.Item]]


class _Hunt:
    """Runs all tests once, then again with each mutant that lives, in place of the loop of the test runner."""

    def __init__(self, mutants: Sequence[Mutant], modules: Mapping[str, str]) -> None:
        self.modules = modules
        self.alive = list(mutants)
        self.reached = set[Mutant]()
        self.killers: dict[str, list[str]] = {}
        self.slow, self.ran, self.broken = set[str](), set[str](), set[str]()
        self.turn: dict[str, int] = {}
        self.asked: dict[Mutant, set[str]] = {mutant: set() for mutant in mutants}
        self.start = time.perf_counter()
        self.kept = Remembered()
        self.out = os.fdopen(os.dup(1), "w")  # which the test runner does not capture

    def say(self, text: str) -> None:
        print(f"{time.perf_counter() - self.start:.0f} s {text}", file=self.out, flush=True)

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        by_file: Files = {}
        turns = Counter[object]()
        for item in session.items:
            by_file.setdefault(item.path, []).append(item)
            self.turn[item.nodeid] = turns[item.function]  # type: ignore[attr-defined]
            turns[item.function] += 1  # type: ignore[attr-defined]
        with self.kept.watched():
            for stage in (self._first, self._of_every_function, self._others):
                left, self.alive = self.alive, []
                for mutant in left:
                    some = [i for i in stage(by_file, mutant) if i.nodeid not in self.asked[mutant]]
                    self.asked[mutant] |= {i.nodeid for i in some}
                    self._try(self._once(some), mutant)
        return True

    def _first(self, by_file: Files, mutant: Mutant) -> list[pytest.Item]:
        """Return a few tests of the files that are nearest to a mutant."""
        files = sorted(by_file, key=partial(self._far, mutant))[:NEAR]
        near = [i for path in files for i in by_file[path]]
        return sorted(near, key=partial(self._late, mutant, set()))[:FIRST]

    def _of_every_function(self, by_file: Files, mutant: Mutant) -> list[pytest.Item]:
        return [i for some in by_file.values() for i in some if not self.turn[i.nodeid]]

    def _others(self, by_file: Files, mutant: Mutant) -> list[pytest.Item]:
        return [i for some in by_file.values() for i in some]

    def _once(self, items: Sequence[pytest.Item]) -> Sequence[pytest.Item]:
        """Run tests without a mutant, those that did not run yet, and return those that pass."""
        kept = self.kept
        fresh = [item for item in items if item.nodeid not in self.ran]
        for item in fresh:
            kept.test = item.nodeid
            before = time.process_time() - kept.building_s
            if failed(item):
                self.broken.add(item.nodeid)
                self.say(f"{item.nodeid} fails without a mutant: it is not asked")
            if time.process_time() - kept.building_s - before > SLOW_S:
                self.slow.add(item.nodeid)
            self.ran.add(item.nodeid)
        kept.test = ""
        if fresh:
            gc.freeze()
            self.say(f"{len(fresh)} tests more, {len(kept.builds)} builds by now")
        return [item for item in items if item.nodeid not in self.broken]

    def _try(self, items: Sequence[pytest.Item], mutant: Mutant) -> None:
        here = {p for p in self.kept.known if p[0] == mutant.table and stem_of(p[1]) == mutant.stem}
        some = sorted(items, key=partial(self._late, mutant, here))
        if not items:
            self.alive.append(mutant)
            return
        whole = apart(lambda: _asked(self.kept, some, mutant, here), LONGEST_S)
        assert whole.count("|") > 1 or not whole, f"{mutant.said}: {whole}"
        killer, ran, reaches = whole.rsplit("|", 2) if whole else ("", "too long", "1")
        if killer or reaches == "1":
            self.reached.add(mutant)
        if killer:
            self.killers.setdefault(mutant.table, []).append(killer)
        else:
            self.alive.append(mutant)
        self.say(f"{mutant.said} -> {killer or 'lives on'} {ran}")

    def _late(self, mutant: Mutant, here: set[tuple[str, str]], item: pytest.Item) -> tuple[bool | int, ...]:
        """Return what makes a test wait: what it takes, that it killed none of the table, that it names no such column.

        Of the tests of one function, one is asked before all other functions had their turn.
        """
        test, text = item.nodeid, source_of(item.function)  # type: ignore[attr-defined]
        known = test in self.killers.get(mutant.table, ())
        reads = bool(here & self.kept.reads.get(test, set()))
        first = test in self.slow, not known, mutant.stem not in text, self.turn[test], not reads
        return *first, *self._far(mutant, item.path)

    def _far(self, mutant: Mutant, path: Path) -> tuple[bool, ...]:
        """Return how far a file of tests is from a mutant; one that names its column is near."""
        text = text_of(path)
        room, _, module = self.modules.get(mutant.table, "none.none").partition(".")
        killers = "".join(self.killers.get(mutant.table, ()))
        named = mutant.stem in text, f'"{mutant.table}"' in text
        return (
            path.name not in killers,
            module not in path.stem,
            not all(named),
            not any(named),
            path.parent.name != room,
        )


@cache
def source_of(function: object) -> str:
    return inspect.getsource(function)  # type: ignore[arg-type]


@cache
def text_of(path: Path) -> str:
    return path.read_text(encoding="utf-8")


def _asked(kept: Remembered, items: Iterable[pytest.Item], mutant: Mutant, here: set[tuple[str, str]]) -> str:
    """Return the test that fails first, how many ran, and whether the mutant reaches a build."""

    @cache
    def reaches(key: str) -> bool:
        return reached(mutant, [kept.builds[key].book])

    kept.plant(partial(changed, mutant=mutant), here)
    touched = kept.after(here, made=True)
    ran = 0
    with planted(mutant):
        for item in items:
            if kept.may_notice(item.nodeid, touched, reaches):
                ran += 1
                if failed(item):
                    return f"{item.nodeid}|{ran}|1"
    return f"|{ran}|{int(any(map(reaches, kept.builds)))}"


def failed(item: pytest.Item) -> bool:
    """Run a test with fixtures of its own, and return whether it fails."""
    return any(report.failed for report in runtestprotocol(item, log=False, nextitem=None))


def apart(task: Callable[[], str], longest_s: int = resource.RLIM_INFINITY) -> str:
    """Return what a task says in a process of its own, what it raises where it does, nothing where it takes too long."""
    reading, writing = os.pipe()
    child = os.fork()
    if child:
        os.close(writing)
        with os.fdopen(reading, "rb") as said:
            found = said.read().decode()
        os.waitpid(child, 0)
        return found
    said_here = ""
    try:
        resource.setrlimit(resource.RLIMIT_CPU, (longest_s, longest_s))
        said_here = task()
    except BaseException as reason:  # whatever a mutant does to the tests themselves
        said_here = repr(reason)
    finally:
        os.write(writing, said_here.encode())
        os._exit(0)


def drawn(every: Sequence[Mutant], number: int, seed: int) -> list[Mutant]:
    """Return mutants by a seed, one of every table in turn."""
    dice, by_table = random.Random(seed), dict[str, list[Mutant]]()
    for mutant in every:
        by_table.setdefault(mutant.table, []).append(mutant)
    queues = list(by_table.values())
    dice.shuffle(queues)
    for queue in queues:
        dice.shuffle(queue)
    turns = [mutant for turn in zip_longest(*queues) for mutant in turn if mutant]
    return turns[:number]


def hunt(mutants: Sequence[Mutant], marks: str, modules: Mapping[str, str], where: Iterable[Path] = MODEL) -> _Hunt:
    """Return what the tests with some marks leave of mutants."""
    hypothesis.settings.register_profile("same", derandomize=True, database=None, deadline=None)
    hypothesis.settings.load_profile("same")
    found = _Hunt(mutants, modules)
    with contextlib.redirect_stdout(io.StringIO()) as printed:
        pytest.main([*QUIETLY, "-m", marks, *map(str, where)], plugins=[found])
    whole = len(found.alive) + sum(map(len, found.killers.values())) == len(mutants)
    assert whole, f"tests cannot be run:\n{printed.getvalue()}"
    return found


def main(number: int = 60, seed: int = 0) -> int:
    """Print how many mutants survive, and which."""
    start = time.perf_counter()
    made, modules = books(), rooms()
    tried = drawn(list(mutants_of(made)), number, seed)
    plain = hunt(tried, PLAIN, modules)
    idle = [m for m in plain.alive if m not in plain.reached and not reached(m, made)]
    left = [m for m in plain.alive if m not in idle]
    broken = set(plain.broken)
    for marks, where in ((DRAWN, MODEL), (PLAIN, PAGES)):
        if left:
            last = hunt(left, marks, modules, where)
            left, broken = last.alive, broken | last.broken
    took, moved = time.perf_counter() - start, max(len(tried) - len(idle), 1)
    of_check = list(books_kept().values())
    unseen = [m for m in left if kept(m, of_check)]
    share = 100 * len(unseen) / moved
    print(f"{moved} mutants of nodes that change a value, {took / moved:.1f} s each")
    print(f"{len(left)} survive what is worked by hand ({100 * len(left) / moved:.1f} %)")
    for mutant in sorted(left, key=lambda m: m.said):
        print(f"  {mutant.said}{'' if mutant in plain.reached else ', which no build of a test has'}")
    print(f"{len(unseen)} of them survive the regression check too ({share:.1f} %)")
    for mutant in sorted(unseen, key=lambda m: m.said):
        print("  " + mutant.said)
    print(f"{len(idle)} more change no value of a test, a sample or a schedule: equal to what is there, or not tried")
    for mutant in sorted(idle, key=lambda m: m.said):
        print("  " + mutant.said)
    for test in sorted(broken):
        print(f"{test} fails without a mutant")
    return 1 if share >= MOST_PCT or broken else 0


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
