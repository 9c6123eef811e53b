"""The programs of the cutting plan: small ones worked by hand, and the solver of another library."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import LinearConstraint, linprog, milp

from takeoff.cutting.programs import solve_linear, solve_whole

PIECES = np.array([[2, 1, 0], [0, 1, 3]])
"""Two sizes in three patterns: twice the one, one of each, three of the other."""


def test_a_linear_program_worked_by_hand() -> None:
    # 4 of the first and 3 of the second, coils of one price: 2 of the first pattern and 1 of the third; one piece
    # more of the first takes half a coil, one more of the second a third of one
    amounts, prices = solve_linear([1, 1, 1], PIECES, [4, 3]) or ([], [])
    assert amounts == pytest.approx([2, 0, 1])
    assert list(prices) == pytest.approx([1 / 2, 1 / 3])


def test_a_program_in_whole_coils_worked_by_hand() -> None:
    # 3 of the first and 4 of the second: the linear program cuts 1.5 + 4/3 coils, whole ones take 3
    found, proven = solve_whole([1, 1, 1], PIECES, [3, 4], [np.inf, np.inf], 100)
    assert found is not None
    assert (found.sum(), proven) == (3, True)
    assert (PIECES @ found >= [3, 4]).all()


def test_what_cannot_be_met_is_proven_so() -> None:
    assert solve_whole([1, 1, 1], PIECES, [3, 4], [2, 3], 100) == (None, True)
    assert solve_linear([1], np.array([[0]]), [1]) is None


@given(
    st.lists(st.lists(st.integers(0, 4), min_size=5, max_size=5), min_size=2, max_size=4),
    st.lists(st.integers(1, 12), min_size=4, max_size=4),
    st.lists(st.integers(1, 9), min_size=5, max_size=5),
)
@settings(deadline=None, max_examples=60)
def test_costs_are_those_of_another_library(rows: list[list[int]], least: list[int], costs: list[int]) -> None:
    """scipy.optimize, linprog and milp: cost of the best amounts, and that there are none."""
    matrix, low = np.array(rows), least[: len(rows)]
    theirs, ours = linprog(costs, A_ub=-matrix, b_ub=-np.array(low)), solve_linear(costs, matrix, low)
    assert (ours is None) == (theirs.status != 0)
    if ours:
        amounts, prices = ours
        assert np.dot(costs, amounts) == pytest.approx(theirs.fun)
        assert np.dot(prices, low) == pytest.approx(theirs.fun)  # duality: the prices of the rows come to the cost
    whole = milp(costs, integrality=np.ones(5), constraints=LinearConstraint(matrix, low, np.inf))
    found, proven = solve_whole(costs, matrix, low, [np.inf] * len(low), 1000)
    assert proven
    assert (found is None) == (whole.x is None)
    if found is not None:
        assert np.dot(costs, found) == pytest.approx(whole.fun)


def test_the_solver_prints_nothing(capfd: pytest.CaptureFixture[str]) -> None:
    solve_linear([1, 1, 1], PIECES, [4, 3])
    solve_whole([1, 1, 1], PIECES, [4, 3], [np.inf, np.inf], 100)
    assert tuple(capfd.readouterr()) == ("", "")
