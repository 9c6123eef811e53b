"""Linear and integer programs of the cutting plan, as the solver takes them.

The solver is called without the layer of a larger library over it, which takes several times as long to import as
most jobs take to solve.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import highspy
import numpy as np


def _solver(costs: Any, matrix: Any, low: Sequence[float], high: Sequence[float], whole: bool) -> Any:
    """Return the solver with a program: least cost of amounts of 0 or more, low <= matrix @ amounts <= high."""
    program = highspy.HighsLp()
    rows, columns = matrix.shape
    program.num_row_, program.num_col_ = rows, columns
    program.col_cost_ = np.asarray(costs, dtype=float)
    program.col_lower_, program.col_upper_ = np.zeros(columns), np.full(columns, highspy.kHighsInf)
    program.row_lower_, program.row_upper_ = np.array(low, dtype=float), np.array(high, dtype=float)
    row, column = np.nonzero(matrix)
    program.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    program.a_matrix_.start_ = np.searchsorted(row, np.arange(rows + 1))
    program.a_matrix_.index_, program.a_matrix_.value_ = column, matrix[row, column]
    if whole:
        program.integrality_ = [highspy.HighsVarType.kInteger] * columns
    solver = highspy.Highs()  # type: ignore[no-untyped-call]
    solver.setOptionValue("output_flag", False)
    solver.passModel(program)
    return solver


def solve_linear(costs: Any, matrix: Any, low: Sequence[float]) -> tuple[list[float], Any] | None:
    """Return the amounts of least cost with matrix @ amounts >= low, and the price of each row; nothing if unsolved.

    Parameters
    ----------
    costs
        Of one of each amount, shape (n,).
    matrix
        Shape (rows, n).
    low
        Least of each row, shape (rows,).
    """
    solver = _solver(costs, matrix, low, [highspy.kHighsInf] * len(low), whole=False)
    solver.run()
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    found = solver.getSolution()
    return list(found.col_value), np.array(found.row_dual)


def solve_whole(
    costs: Any, matrix: Any, low: Sequence[float], high: Sequence[float], nodes: int
) -> tuple[Any | None, bool]:
    """Return the whole amounts of least cost with low <= matrix @ amounts <= high, and whether that is proven.

    Parameters
    ----------
    costs, matrix, low, high
        As `solve_linear` takes them; `high` is the most of each row.
    nodes
        Nodes after which the search ends.

    Returns
    -------
    Amounts, nothing where none were found; proven is also that there are none.
    """
    solver = _solver(costs, matrix, low, high, whole=True)
    solver.setOptionValue("mip_max_nodes", nodes)
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.run()
    status, feasible = solver.getModelStatus(), highspy.SolutionStatus.kSolutionStatusFeasible
    proven = status in (highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kInfeasible)
    found = solver.getInfo().primal_solution_status == feasible
    return (np.round(solver.getSolution().col_value).astype(int) if found else None), proven
