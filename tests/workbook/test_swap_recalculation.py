"""The swap in the workbook: what is changed there recalculates to what a rebuild gives; draws then say STALE."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest

from takeoff.model.swap.risk import FRESH, STALE
from takeoff.report.output import write_outputs
from takeoff.text.dates import day_number
from tests import office
from tests.changes import RISK, STANDING, WEIGHED, Change, change_cells, live, place_of, tables_of
from tests.swapping import CLINIC, FROM_TO, INVENTED, Rebuild, prices, swap_of

pytestmark = pytest.mark.libreoffice
Recalculate = Callable[[list[Path]], list[Path]]

COMPARED = "ac-first,mc-wire-first,mc-armor-first"
BASIS = (
    "other_one_time_usd=30",
    "on_hand_usd=100",
    "labor_rate_usd_per_h=90",
    "status_date=2026-11-02",
    "finish_date=2026-12-12",
)


def value(name: str, given: object, sheet: str = "Inputs", heading: str = "value, in its unit (input)") -> Change:
    return Change(name, sheet, name, heading, given)


def a_date(name: str, text: str) -> Change:
    return value(name, day_number(text), heading="value, date (input)")


@dataclass(frozen=True)
class Case:
    """Changes of cells in the workbook, and the same as inputs of a rebuild."""

    name: str
    changes: Sequence[Change] = ()
    sets: tuple[str, ...] = ()
    toml: str = ""
    catalogs: Mapping[str, str] | None = None


CASES = [
    Case(
        "figures, ranges, dates, what is installed",
        [
            value("on_hand_usd", 700),
            value("restock_pct", 25),
            value("scrap_usd", 11.5),
            value("labor_rate_usd_per_h", 133),
            value("lead_days", 3),
            value("approval_days", 2),
            value("crew_size", 2),
            value("mixing_usd", 40),
            value("risk_shape", "pert", heading="value (input)"),
            a_date("status_date", "2026-11-09"),
            a_date("finish_date", "2027-02-01"),
            Change("east", "Inputs", "east", "already installed, % (input)", 45),
            value("ground_minutes", 55, "Inputs", "low, % of estimate (input)"),
            value("to_cable", 131, "Inputs", "high, % of estimate (input)"),
        ],
        sets=(
            "on_hand_usd=700",
            "restock_pct=25",
            "scrap_usd=11.5",
            "labor_rate_usd_per_h=133",
            "lead_days=3",
            "approval_days=2",
            "crew_size=2",
            "mixing_usd=40",
            "risk_shape=pert",
            "status_date=2026-11-09",
            "finish_date=2027-02-01",
        ),
        toml="[areas.east]\ninstalled_pct = 45\n",
        catalogs={
            "ranges": f'range,low_pct,high_pct,source\nground_minutes,55,,"{INVENTED}"\nto_cable,,131,"{INVENTED}"\n'
        },
    ),
    Case(
        "both dropdowns",
        [
            value("swap_from", "mc-armor-first", heading="value (input)"),
            value("swap_to", "ac-first", heading="value (input)"),
        ],
        sets=("swap_from=mc-armor-first", "swap_to=ac-first"),
    ),
]

STATES = [
    ("a price", [value("mc-armor-12-2", 951, "Prices", "price, USD (input)")], STALE),
    ("installed", [Change("", "Inputs", "west", "already installed, % (input)", 1)], STALE),
    ("a likely", [value("new_labor", 104, "Inputs", "likely, % of estimate (input)")], STALE),
    ("the shape", [value("risk_shape", "pert", heading="value (input)")], STALE),
    ("the last day", [a_date("finish_date", "2027-12-12")], STALE),
    (
        "what the saving does not rest on",
        [
            value("project", "another name", heading="value (input)"),
            value("owner_cost_usd", 500),
            value("overhead_pct", 22),
            value("crew_size", 5),
        ],
        FRESH,
    ),
]
"""What is changed, the cells, and what the sheet then says of its draws."""


def written(folder: Path, case: Case, compared: str = COMPARED) -> Path:
    folder.mkdir(parents=True)
    build = Rebuild(folder)(CLINIC, *BASIS, *case.sets, toml=case.toml, compared=compared, catalogs=case.catalogs)
    write_outputs(build, folder / "built.xlsx", None)
    return folder / "built.xlsx"


def state(path: Path) -> object:
    """Return what the sheet Swap says of its draws."""
    (found,) = {v for (sheet, _), v in office.values(path).items() if sheet == "Swap" and v in (FRESH, STALE)}
    return found


def test_the_swap_recalculates_to_what_a_rebuild_gives(recalculate: Recalculate, tmp_path: Path):
    source = written(tmp_path / "source", Case("as built"))
    files = [tmp_path / f"case-{n}.xlsx" for n, _ in enumerate(CASES)]
    for case, file in zip(CASES, files, strict=True):
        change_cells(source, file, case.changes)
    shipped, formulas = office.values(source), office.formulas(source)
    # cutting plans and drawings stay in this job, whose feet and boxes no change here moves
    cells = sorted(live(source, {**RISK, **STANDING, **WEIGHED}, ("master.status",)))
    swings = {place_of(cell) for line in tables_of(source)["swings"][1:] for cell in line}
    assert 0 < len(formulas) - len(cells) < 400
    for number, (case, again) in enumerate(zip(CASES, recalculate(files), strict=True)):
        path = written(tmp_path / f"rebuilt-{number}", case)
        assert office.formulas(path) == formulas, case.name
        theirs = office.values(again)
        assert list(office.differences(office.values(path), theirs, cells)) == [], case.name
        assert any(shipped[cell] != theirs[cell] for cell in swings), case.name
        assert state(again) == STALE, case.name


def test_draws_are_stale_when_and_only_when_what_they_rest_on_was_changed(recalculate: Recalculate, tmp_path: Path):
    source = written(tmp_path / "source", Case("as built"), FROM_TO)
    files = [tmp_path / f"state-{n}.xlsx" for n, _ in enumerate(STATES)]
    for (_, changes, _), file in zip(STATES, files, strict=True):
        change_cells(source, file, changes)
    found = {name: state(again) for (name, *_), again in zip(STATES, recalculate(files), strict=True)}
    assert found == {name: said for name, _, said in STATES}


def test_a_large_job_is_not_stale_for_the_noise_of_its_sums(recalculate: Recalculate, tmp_path: Path):
    """Sums of many millions differ in their last digits between programs; every circuit still has a cheapest plan."""
    head, *lines = CLINIC.splitlines()
    text = "\n".join([head + ",repeat", *(f"{line},9973" for line in lines)]) + "\n"
    dear = prices(lambda r: float(str(r["price_usd"])) * 37.37)
    sets = ("material_tax_pct=7.3", "install_date=2027-03-17", "labor_rate_usd_per_h=77.77", "mixing_usd=33.3")
    build = Rebuild(tmp_path)(text, *sets, catalogs={"prices": dear})
    assert swap_of(build)["cable_usd_to"] > 50e6
    write_outputs(build, tmp_path / "large.xlsx", None)
    poisoned = tmp_path / "poisoned.xlsx"
    office.poison(tmp_path / "large.xlsx", poisoned)
    (again,) = recalculate([poisoned])
    assert state(again) == FRESH
    assert "#N/A" not in {str(v) for v in office.values(again).values()}
