"""Mutants of columns are planted where they are said to be, and a test that knows the figure notices."""

from __future__ import annotations

from pathlib import Path

import pytest

from takeoff.build import Build, compute
from takeoff.engine.expr import Literal, at_most, col, flag, less, when
from tests.attack.jobs import options_of
from tests.attack.nodes import Mutant, changes_of, mutants_of, mutated, planted, reached, stem_of
from tests.conftest import Counter
from tests.model.boxes import test_box_fill


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
