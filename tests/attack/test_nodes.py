"""Mutants of columns are planted where they are said to be, and a test that knows the figure notices."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pytest

from takeoff import build as building
from takeoff.build import Build, compute
from takeoff.engine.expr import Literal, at_most, col, flag, less, when
from takeoff.engine.tables import Book
from tests.attack.jobs import options_of
from tests.attack.nodes import (
    Mutant,
    books,
    changed,
    changes_of,
    drawn,
    kept,
    mutants_of,
    mutated,
    planted,
    reached,
    stem_of,
)
from tests.attack.remembered import Remembered
from tests.conftest import Counter
from tests.model.boxes import test_box_fill
from tests.regression import books_kept


@pytest.fixture(scope="module")
def build(tmp_path_factory: pytest.TempPathFactory) -> Build:
    return compute(options_of(tmp_path_factory.mktemp("job") / "small", "small"))


def test_signs_comparisons_branches_and_coefficients_are_changed():
    a, b = col("a"), col("b")
    assert set(changes_of(a + b)) == {"+ is -"}
    assert set(changes_of(less(a, b))) == {"less is at_most", "less turned"}
    assert set(changes_of(at_most(a, b))) == {"at_most is less", "at_most turned"}
    assert set(changes_of(when(a, b, 0))) == {"if turned"}
    assert set(changes_of(Literal(2))) == {"2 and one more"}
    assert set(changes_of(Literal("word"))) == set(changes_of(a)) == set()


def test_a_change_is_made_in_a_copy():
    tree = flag(less(col("a"), col("b")))
    other = mutated(tree, Mutant("t", "c", (0,), "less is at_most"))
    assert [tree.parts()[0].name, other.parts()[0].name] == ["less", "at_most"]
    assert mutated(tree, Mutant("t", "c", (0, 0), "less is at_most")) is None


def test_plans_share_a_definition():
    assert [stem_of(n) for n in ("minutes_1", "minutes_12_usd", "copper_75c", "t1")] == [
        "minutes", "minutes_usd", "copper_75c", "t1",
    ]  # fmt: skip


def test_most_mutants_change_a_figure_of_a_small_job(build: Build):
    every = list(mutants_of([build.book]))
    assert len(every) > 2000
    some = every[::20]
    assert sum(reached(m, [build.book]) for m in some) > len(some) / 2


def test_a_planted_mutant_fails_the_test_that_knows_the_figure(build: Build, tmp_path: Path):
    """The allowances of a yoke are those of 314.16(B)(4)."""
    known = test_box_fill.test_trap_31_a_duplex_is_one_yoke_and_three_switches_on_one_strap_are_one
    known(Counter(tmp_path))
    (mutant,) = [m for m in mutants_of([build.book]) if (m.table, m.stem, m.path) == ("fits", "sum_in3", ())]
    with planted(mutant), pytest.raises(AssertionError):
        known(Counter(tmp_path))
    known(Counter(tmp_path))


def test_mutants_are_of_every_table_before_there_are_two_of_one(build: Build):
    every = list(mutants_of([build.book]))
    tables = {m.table for m in every}
    some = drawn(every, len(tables), 5)
    assert {m.table for m in some} == tables
    assert some == drawn(every, len(tables), 5) != drawn(every, len(tables), 6)


@pytest.mark.parametrize("seed", range(3))
def test_a_build_that_is_remembered_moves_as_a_new_one_does(build: Build, tmp_path: Path, seed: int):
    """Of what is computed of it again nothing is forgotten: every column is that of a build with the mutant."""
    options = options_of(tmp_path / "small", "small")
    kept = Remembered(test="a test")
    with kept.watched():
        assert len(building.compute(options).book.values("pair", "key"))
        assert len(kept.builds) == 1
        assert ("pair", "key") in kept.reads["a test"]
        for mutant in drawn(list(mutants_of([build.book])), 90, seed)[seed::9]:
            here = {p for p in kept.known if p[0] == mutant.table and stem_of(p[1]) == mutant.stem}
            kept.plant(partial(changed, mutant=mutant), here)
            if not reached(mutant, [build.book]):
                continue
            with planted(mutant):
                remembered, whole = building.compute(options).book, compute(options).book
                for table in whole.tables.values():
                    for column in table.columns:
                        one, other = (shown(b, table.name, column.name) for b in (remembered, whole))
                        assert one == other, f"{mutant.said} in {table.name}.{column.name}"


def shown(book: Book, table: str, column: str) -> str:
    try:
        return repr(book.values(table, column).tolist())
    except LookupError as wrong:
        return str(wrong)


def test_of_all_mutants_that_change_a_value_the_regression_check_lets_few_pass() -> None:
    """Of every sign, comparison, branch and coefficient of every column: under one in a hundred."""
    made, of_check = books(), list(books_kept().values())
    moved = [mutant for mutant in mutants_of(made) if reached(mutant, made)]
    unseen = [mutant.said for mutant in moved if kept(mutant, of_check)]
    assert len(moved) > 2000
    assert len(unseen) < len(moved) / 100, unseen
