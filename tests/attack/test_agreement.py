"""Changed cells, and texts that a spreadsheet takes for something else: recalculated, nothing differs from a build."""

from __future__ import annotations

import csv
import random
import unicodedata
from collections.abc import Callable
from pathlib import Path

import pytest

from takeoff.build import compute
from takeoff.report.output import write_outputs
from takeoff.report.results import results_of
from tests import office
from tests.attack.agreement import EDITS, Kind, agree, kinds_of, rounds_of
from tests.attack.jobs import ITEMS, JOBS, ODD, options_of
from tests.tables import rows


@pytest.mark.libreoffice
def test_twenty_changed_cells_recalculate_to_what_a_build_with_them_gives(tmp_path: Path):
    """Many more by `python -m tests.attack.agreement`."""
    found = agree(tmp_path / "job", "odd", 1, 3)
    assert found.differ == []
    assert sum(found.edits.values()) > EDITS / 2
    assert found.cells > 15_000


@pytest.mark.libreoffice
def test_texts_that_look_like_something_else_stay_what_they_are(
    recalculate: Callable[[list[Path]], list[Path]], tmp_path: Path
):
    """Numbers with zeros before them, exponents, truth, dates, errors, wildcards, comparisons, formulas, Unicode forms."""
    build = compute(options_of(tmp_path / "odd", "odd"))
    wanted = [unicodedata.normalize("NFC", line["box"]).strip() for line in csv.DictReader(ODD.splitlines())]
    assert [line["box"] for line in rows(build, "schedule")] == wanted
    assert {"007", "1E5", "TRUE", "#N/A", "*", "?", "~", "=", "lead", "1/2", "01", "1", ">5"} <= set(wanted)
    bought = results_of(build)["plans"]["007"]["material_by_item"]
    assert [bought[item] / bought["007"] for item in ITEMS] == pytest.approx(range(1, len(ITEMS) + 1))
    path, poisoned = tmp_path / "odd.xlsx", tmp_path / "poisoned.xlsx"
    write_outputs(build, path, None)
    office.poison(path, poisoned)
    (again,) = recalculate([poisoned])
    ours, theirs = office.values(path), office.values(again)
    assert list(office.differences(ours, theirs, ours)) == []
    assert {value for (sheet, _), value in theirs.items() if sheet == "Schedule"} >= set(wanted)


def test_every_kind_of_input_cell_takes_its_turn(tmp_path: Path):
    """As many rounds as it takes for every kind of a job to come up once."""
    build = compute(options_of(tmp_path / "small", "small"))
    kinds = {kind.name for kind in kinds_of(build)}
    assert len(JOBS) == 8
    assert len(kinds) > 80
    typed = [edit for edits in rounds_of(build, len(kinds) // EDITS + 2, random.Random(1)) for edit in edits]
    assert all(isinstance(edit.kind, Kind) for edit in typed)
    missing = kinds - {edit.kind.name for edit in typed}
    assert missing == set()
