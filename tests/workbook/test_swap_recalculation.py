"""The swap in the workbook: what is changed there recalculates to what a rebuild gives; draws then say STALE."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import openpyxl
import pytest

from takeoff.model.swap.risk import FRESH, STALE
from takeoff.report.output import write_outputs
from takeoff.text.dates import day_number
from takeoff.workbook.pages.swap import FROM_CELL, TO_CELL
from tests import office
from tests.changes import Change, change_cells
from tests.swapping import CLINIC, FROM_TO, INVENTED, Rebuild, prices, swap_of

pytestmark = pytest.mark.libreoffice
Recalculate = Callable[[list[Path]], list[Path]]

COMPARED = "ac,mc-wire,mc-armor"
BASIS = (
    "other_one_time_usd=30",
    "on_hand_usd=100",
    "labor_rate_usd_per_h=90",
    "status_date=2026-11-02",
    "finish_date=2026-12-12",
)
FACTS = {
    "risk": "draws of the build, and whether what they rest on was changed since",
    "risk_basis": "figures of the swap on the build, beside those of now",
    "risk_ranges": "ranges on the build, beside those of now",
    "Swap": "what is drawn, shown on the page: P10, P50, P90, chance, state",
}
"""What is a fact of the build: by table, or cells of a sheet that show it. Cutting plans and drawings stay in this job,
whose feet and boxes no change here moves."""


def value(name: str, given: object, sheet: str = "Inputs", heading: str = "value, by row (input)") -> Change:
    return Change(name, sheet, name, heading, given)


def a_date(name: str, text: str) -> Change:
    return value(name, day_number(text), heading="value, date (input)")


@dataclass(frozen=True)
class Case:
    """Changes of cells in the workbook, and the same as inputs of a rebuild."""

    name: str
    changes: Sequence[Change] = ()
    dropdowns: Mapping[str, str] = field(default_factory=dict)
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
            Change("east", "Areas", "east", "already installed, % (input)", 45),
            value("ground_minutes", 55, "Ranges", "low, % of estimate (input)"),
            value("to_cable", 131, "Ranges", "high, % of estimate (input)"),
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
    Case("both dropdowns", dropdowns={FROM_CELL: "mc-armor", TO_CELL: "ac"}, sets=("swap_from=mc-armor", "swap_to=ac")),
]

STATES = [
    ("a price", [value("mc-armor-12-2", 951, "Prices", "price, USD (input)")], STALE),
    ("installed", [Change("", "Areas", "west", "already installed, % (input)", 1)], STALE),
    ("a likely", [value("new_labor", 104, "Ranges", "likely, % of estimate (input)")], STALE),
    ("the shape", [value("risk_shape", "pert", heading="value (input)")], STALE),
    (
        "what the saving does not rest on",
        [
            value("project", "another name", heading="value (input)"),
            value("owner_cost_usd", 500),
            value("overhead_pct", 22),
            value("crew_size", 5),
            a_date("finish_date", "2027-12-12"),
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


def changed(source: Path, target: Path, changes: Sequence[Change], dropdowns: Mapping[str, str]) -> None:
    change_cells(source, target, changes)
    if dropdowns:
        book = openpyxl.load_workbook(target)
        for cell, plan in dropdowns.items():
            book["Swap"][cell.replace("$", "")].value = plan
        book.save(target)


def facts(path: Path, formulas: Mapping[tuple[str, str], str]) -> set[tuple[str, str]]:
    """Return the formula cells that show facts of the build: on rows of such tables, or reading their columns."""
    names = openpyxl.load_workbook(path).defined_names
    rows = set()
    for table in ("risk_basis", "risk_ranges"):
        sheet, _, cells = names[f"{table}.changed"].attr_text.replace("'", "").replace("$", "").partition("!")
        first, last = (int("".join(c for c in cell if c.isdigit())) for cell in cells.split(":"))
        rows |= {(sheet, row) for row in range(first, last + 1)}
    sheet, _, cell = names["risk.says"].attr_text.replace("'", "").replace("$", "").partition("!")
    rows.add((sheet, int("".join(c for c in cell.partition(":")[0] if c.isdigit()))))
    of_tables = {(s, c) for s, c in formulas if (s, int("".join(d for d in c if d.isdigit()))) in rows}
    return of_tables | {place for place, formula in formulas.items() if "risk." in formula and place[0] in FACTS}


def state(path: Path) -> object:
    """Return what the sheet Swap says of its draws."""
    (found,) = {v for (sheet, _), v in office.values(path).items() if sheet == "Swap" and v in (FRESH, STALE)}
    return found


def test_the_swap_recalculates_to_what_a_rebuild_gives(recalculate: Recalculate, tmp_path: Path):
    source = written(tmp_path / "source", Case("as built"))
    files = [tmp_path / f"case-{n}.xlsx" for n, _ in enumerate(CASES)]
    for case, file in zip(CASES, files, strict=True):
        changed(source, file, case.changes, case.dropdowns)
    shipped, formulas = office.values(source), office.formulas(source)
    facts_of = facts(source, formulas)
    cells = sorted(formulas.keys() - facts_of)
    assert 0 < len(facts_of) < 120
    for number, (case, again) in enumerate(zip(CASES, recalculate(files), strict=True)):
        path = written(tmp_path / f"rebuilt-{number}", case)
        assert office.formulas(path) == formulas, case.name
        theirs = office.values(again)
        assert list(office.differences(office.values(path), theirs, cells)) == [], case.name
        moved = {sheet for sheet, cell in cells if shipped.get((sheet, cell)) != theirs.get((sheet, cell))}
        assert "Range workings" in moved, case.name
        assert state(again) == STALE, case.name


def test_draws_are_stale_when_and_only_when_what_they_rest_on_was_changed(recalculate: Recalculate, tmp_path: Path):
    source = written(tmp_path / "source", Case("as built"), FROM_TO)
    files = [tmp_path / f"state-{n}.xlsx" for n, _ in enumerate(STATES)]
    for (_, changes, _), file in zip(STATES, files, strict=True):
        changed(source, file, changes, {})
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
