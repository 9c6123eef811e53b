"""Five hundred made-up cases; ten thousand are a command, see `tests/attack/fuzz.py`."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.attack.fuzz import Case, attack, counted, run
from tests.attack.made_up import KINDS, SCHEDULE

SEED = 2017
PARTS = 10


@pytest.mark.parametrize("part", range(PARTS))
def test_made_up_input_is_built_or_refused(part: int):
    wrong, ended = attack(500 // PARTS, SEED, part * (500 // PARTS))
    assert wrong == []
    assert ended.total() == 500 // PARTS


def test_a_lost_row_and_a_lost_foot_would_be_noticed(tmp_path: Path):
    (tmp_path / "s.csv").write_text(SCHEDULE)
    none = tmp_path / "o.json"
    assert counted(tmp_path / "s.csv", "in all 9 boxes, 136 ft of runs, each once", none) == []
    assert len(counted(tmp_path / "s.csv", "in all 8 boxes, 136 ft of runs, each once", none)) == 1
    assert len(counted(tmp_path / "s.csv", "in all 9 boxes, 130 ft of runs, each once", none)) == 1


def test_an_exit_code_of_1_and_a_written_file_would_be_noticed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    (tmp_path / "s.csv").write_text(SCHEDULE)
    case = Case(0, "", ["check", str(tmp_path / "s.csv")])
    assert run(case, tmp_path) == []

    def broken(*_: object) -> None:
        (tmp_path / "half").touch()
        raise RuntimeError

    monkeypatch.setattr("takeoff.build.read_job", broken)
    (wrong,) = run(case, tmp_path)
    assert wrong.startswith("exit code 1")


def test_every_kind_of_input_is_made(tmp_path: Path):
    assert len(KINDS) == 10
