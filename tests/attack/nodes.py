"""Mutate the nodes of computed columns one at a time; a test of the model must fail for each.

    python -m tests.attack.nodes N SEED

N mutants drawn by SEED: signs, comparisons, branches, rounding and coefficients of the expressions behind the columns
of a sample. One that changes no value of the sample or of the schedules of `jobs.py` is not drawn. The tests are those
of `tests/model` that need no LibreOffice, each mutant in a process of its own; survivors are printed by column.
"""

from __future__ import annotations

import contextlib
import copy
import io
import os
import random
import re
import resource
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from unittest.mock import patch

import hypothesis
import numpy as np
import pytest

from takeoff.build import Options, compute
from takeoff.engine.aggregates import CountSmaller
from takeoff.engine.chains import Highest, Lowest
from takeoff.engine.expr import Call, Expr, Literal
from takeoff.engine.lookups import At, Named
from takeoff.engine.operations import OPS, Op
from takeoff.engine.tables import Book, Column, Table
from takeoff.model.book import MAKERS
from tests.attack.jobs import JOBS, options_of
from tests.conftest import ROOT, SAMPLES

OTHER = {"+": "-", "-": "+", "*": "+", "/": "*", "ratio": "*", "any": "all", "all": "any", "max": "min", "min": "max",
         "less": "at_most", "at_most": "less", "up": "nine", "whole": "nine"}  # fmt: skip
"""Operations that stand in place of others."""

NEGATED = ("equal", "nothing", "same", "begins")
"""Tests that say the opposite."""

TURNED = {"less": (1, 0), "at_most": (1, 0), "if": (0, 2, 1)}
"""Operations whose arguments change places."""

QUIETLY = ("-x", "-q", "-n", "0", "-p", "no:cacheprovider", "-W", "ignore::pytest.PytestAssertRewriteWarning")
PLAIN, DRAWN = "not libreoffice and not hypothesis", "not libreoffice and hypothesis"
NOT_RUN = "not run"
NEAR = 4
"""Tests or files of tests that are tried first, by themselves, since to collect all of them takes seconds."""

LONGEST_S = 300
"""Processor time after which a mutant counts as one that survives."""

TESTS = ROOT / "tests" / "model"


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
    for book in books:
        table = book.tables.get(mutant.table)
        for column in table.columns if table else ():
            if stem_of(column.name) == mutant.stem and (tree := mutated(column.expr, mutant)):
                shipped = book.values(mutant.table, column.name)
                try:
                    with np.errstate(all="ignore"):
                        found = book.evaluate(mutant.table, tree, column.head)
                except Exception:  # whatever a wrong tree raises
                    return True
                if not all(
                    a == b or (a != a and b != b) for a, b in zip(shipped.tolist(), found.tolist(), strict=True)
                ):
                    return True
    return False


@contextlib.contextmanager
def planted(mutant: Mutant) -> Iterator[None]:
    """Plant a mutant into every book that is made; units and numbers of formulas are not checked meanwhile."""
    add = Book.add

    def changed(column: Column) -> Column:
        tree = mutated(column.expr, mutant) if stem_of(column.name) == mutant.stem else None
        return replace(column, expr=tree) if tree else column

    def adding(self: Book, tables: Sequence[Table]) -> None:
        tables = list(tables)
        add(self, [replace(t, columns=[*map(changed, t.columns)]) if t.name == mutant.table else t for t in tables])

    with patch.object(Book, "add", adding), patch("takeoff.model.book.check"):
        yield


def books() -> list[Book]:
    """Return the books of the samples and of the schedules."""
    with tempfile.TemporaryDirectory() as folder:
        jobs = [options_of(Path(folder) / name, name) for name in JOBS]
        builds = [compute(o) for o in (Options(SAMPLES / "two-story.csv", inputs=SAMPLES / "bid.toml"), *jobs)]
    return [build.book for build in builds]


def rooms() -> dict[str, str]:
    """Return room and file of the model in which each table is made, where it has a maker of its own."""
    with tempfile.TemporaryDirectory() as folder:
        frame = compute(options_of(Path(folder) / "small", "small")).frame
    return {maker(frame).name: maker.__module__.removeprefix("takeoff.model.") for maker in MAKERS}


class _First:
    """Keeps the test that failed."""

    failed = ""

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed and not self.failed:
            self.failed = report.nodeid


def killer(mutant: Mutant | None, tests: Sequence[str]) -> str:
    """Return the test that fails with a mutant, in a process of its own; nothing where none does in the time."""
    reading, writing = os.pipe()
    child = os.fork()
    if child:
        os.close(writing)
        with os.fdopen(reading, "rb") as said:
            found = said.read().decode()
        os.waitpid(child, 0)
        return found
    first = _First()
    resource.setrlimit(resource.RLIMIT_CPU, (LONGEST_S, LONGEST_S))
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    try:
        hypothesis.settings.register_profile("same", derandomize=True, database=None)
        hypothesis.settings.load_profile("same")
        with planted(mutant) if mutant else contextlib.nullcontext():
            near, far = tests[:NEAR], tests[NEAR:]
            for marks, some in ((PLAIN, near), (PLAIN, far), (DRAWN, near), (DRAWN, far)):
                code = pytest.main([*QUIETLY, "-m", marks, *some], plugins=[first])
                if first.failed:
                    break
                if code not in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED):
                    first.failed = NOT_RUN
    except BaseException as reason:  # whatever a mutant does to the tests themselves
        first.failed = first.failed or repr(reason)
    finally:
        os.write(writing, first.failed.encode())
        os._exit(0)


def ordered(mutant: Mutant, made_in: str, killers: Counter[tuple[str, str]]) -> list[str]:
    """Return the tests: those that killed mutants of the table, then files by how near they are to its column."""
    room, _, module = made_in.partition(".")
    mine = [test for (where, test), _ in killers.most_common() if where == mutant.table]

    def far(path: Path) -> tuple[bool, bool, bool, bool, str]:
        text = path.read_text(encoding="utf-8")
        named = f'"{mutant.table}"' in text
        return (module not in path.stem, mutant.stem not in text, not named, path.parent.name != room, str(path))

    return [*mine[:5], *map(str, sorted(TESTS.rglob("test_*.py"), key=far))]


def main(number: int = 60, seed: int = 0) -> int:
    """Print how many mutants survive, and which."""
    start = time.perf_counter()
    made, where = books(), rooms()
    with contextlib.redirect_stdout(io.StringIO()):
        pytest.main([*QUIETLY, "--collect-only", str(TESTS)])  # loads them once, for all children
    every = list(mutants_of(made))
    random.Random(seed).shuffle(every)
    killers: Counter[tuple[str, str]] = Counter()
    tried, idle, left = 0, 0, list[Mutant]()
    for mutant in every:
        if tried == number:
            break
        if not reached(mutant, made):
            idle += 1
            continue
        tried += 1
        found = killer(mutant, ordered(mutant, where.get(mutant.table, "none.none"), killers))
        assert found != NOT_RUN, "the tests could not be run"
        if found:
            killers.update([(mutant.table, found)] if "::" in found else [])
        else:
            left.append(mutant)
        print(f"{tried} {time.perf_counter() - start:.0f} s {mutant.said} -> {found or 'SURVIVES'}", flush=True)
    print(
        f"{tried} mutants of nodes, {len(left)} survive ({100 * len(left) / max(tried, 1):.1f} %); {idle} changed no value"
    )
    for mutant in sorted(left, key=lambda m: m.said):
        print("  " + mutant.said)
    return 1 if left else 0


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
