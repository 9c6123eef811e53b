"""Cells that were once flipped without a test that failed are noticed now."""

from __future__ import annotations

import pytest

from takeoff.catalog.load import load_catalogs
from tests.attack.mutants import NOTHING_WRONG, deterministic, killed

ONCE_SURVIVED = [
    ("constructions", "ac-redundant", "bond_strip", 0),
    ("constructions", "mc-redundant", "bare_conductor", 0),
    ("space_rules", "2023|ac|damp", "outcome", "meets"),
    *(("cautions", key, "text", NOTHING_WRONG) for key in ("licensed", "deenergize", "checks", "illustrative")),
]


@pytest.mark.parametrize(("name", "key", "column", "value"), ONCE_SURVIVED)
def test_a_flipped_cell_is_noticed(name: str, key: str, column: str, value: object):
    catalogs, tests = load_catalogs(), deterministic()
    assert not killed(catalogs, tests)
    catalogs[name][key][column] = value
    assert killed(catalogs, tests)
