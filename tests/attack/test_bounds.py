"""Time and memory at the bounds that are made in a second; `python -m tests.attack.bounds` measures all of them."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.attack.bounds import CASES, LONGEST_S, MOST_MB, measured

QUICK = {
    "count of a row": "10,000 boxes",
    "repeat of a circuit": "1 boxes",
    "feet of a run": "1 boxes",
    "gangs of a box": "1 boxes",
    "own columns": "1,000 boxes",
    "characters of an entry": "1,000 boxes",
    "columns of a workbook": "1 boxes",
}


@pytest.mark.parametrize("name", QUICK)
def test_a_file_at_a_bound_is_read_in_time_and_memory(name: str, tmp_path: Path):
    found = measured(name, tmp_path)
    assert found["said"] == QUICK[name]
    assert found["seconds"] < LONGEST_S / 2
    assert found["megabytes"] < MOST_MB / 2


def test_every_other_bound_is_measured_by_the_command():
    assert set(CASES) - set(QUICK) == {
        "bytes of a file",
        "rows",
        "cells of a workbook",
        "elements of a part",
        "bytes unpacked",
    }
