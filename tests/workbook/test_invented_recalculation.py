"""What is weighed as invented is live: a job on every kind of invented figure recalculates, and follows its inputs."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from takeoff.report.output import write_outputs
from takeoff.report.results import results_of
from takeoff.workbook.references import LONGEST
from tests import office
from tests.changes import Change, change_cells
from tests.model.cost.test_basis import COUNTED
from tests.priced import priced

pytestmark = pytest.mark.libreoffice

ACTING = ("cable_priced_by=packages-less-stock", "ground_make_up=ready-made", "copper_change_pct=10")
LONGER = Change("run", "Schedule", "KP-3.2", "run, ft (input)", 25)
SAID = '[boxes."KP-3.2"]\nrun_ft = 25\n'


def test_a_job_on_invented_figures_recalculates_and_a_run_that_is_typed_is_no_longer_one_of_an_input(
    recalculate: Callable[[list[Path]], list[Path]], tmp_path: Path
):
    built = priced(tmp_path / "built", *ACTING, schedule=COUNTED)
    kinds = {f["kind"] for f in results_of(built)["still_invented"]}
    assert kinds >= {"feet from box to box", "cable in packages", "ground make-up", "metal", "box in stock", "length"}
    shipped, poisoned, typed = (tmp_path / f"{name}.xlsx" for name in ("shipped", "poisoned", "typed"))
    write_outputs(built, shipped, None)
    formulas = office.formulas(shipped)
    assert max(map(len, formulas.values())) <= LONGEST
    office.poison(shipped, poisoned)
    change_cells(shipped, typed, [LONGER])
    again, changed = recalculate([poisoned, typed])
    assert list(office.differences(office.values(shipped), office.values(again), formulas)) == []
    said = priced(tmp_path / "said", *ACTING, schedule=COUNTED, toml=SAID)
    weights = {f["key"]: f["weight_usd"] for f in results_of(said)["still_invented"]}
    assert "next_luminaire_ft" not in weights
    found = office.values(changed)
    lines = {v: cell for (sheet, cell), v in found.items() if sheet == "Checks" and isinstance(v, str)}
    row = next(cell for text, cell in lines.items() if text == "From box to box of a count, luminaires")[1:]
    assert found["Checks", f"C{row}"] == 0
    row = lines["From box to box of a count, receptacles"][1:]
    assert found["Checks", f"C{row}"] == pytest.approx(weights["next_receptacle_ft"])
