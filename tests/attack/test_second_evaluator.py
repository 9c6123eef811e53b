"""Formulas of the small sample by a second evaluator, each cell from the values in the file."""

from __future__ import annotations

from pathlib import Path

from tests.attack.second_evaluator import compare, small_workbook


def test_a_second_evaluator_agrees_with_every_cell(tmp_path: Path):
    found = compare(small_workbook(tmp_path))
    assert found.different == []
    assert found.agree > 20_000
    assert sum(found.defects.values()) < found.agree / 100
