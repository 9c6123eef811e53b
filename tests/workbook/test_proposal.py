"""The proposal sheet: the seven contents of FAR 52.248-3(c), two pages, figures of the swap, and the dropdown."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

from takeoff.build import Build
from takeoff.catalog.load import load_catalogs
from takeoff.report.output import write_outputs
from takeoff.text.dates import day_number
from takeoff.workbook.sheets.plan import PROPOSAL
from tests import office
from tests.changes import Change, change_cells
from tests.swapping import CLINIC, Rebuild, limits_of, swap_of
from tests.tables import row

pytestmark = pytest.mark.libreoffice
Recalculate = Callable[[list[Path]], list[Path]]
Lines = list[list[object]]


MANY = CLINIC.replace("wires,area", "wires,area,repeat").replace("east\n", "east,40\n").replace("west\n", "west,40\n")

TOML = """
project = "clinic"
labor_rate_usd_per_h = 180
material_tax_pct = 5
on_hand_usd = 400
restock_pct = 15
resubmittal_usd = 50
reinspection_usd = 30
owner_cost_usd = 25
collateral_usd_per_year = 40
status_date = 2026-11-16
finish_date = 2027-06-30
contract_changes = "section on conductors and cables"
earlier_proposals = "none on this job"

[areas.east]
installed_pct = 35
"""


def bid(folder: Path, *sets: str) -> Build:
    """Build a job on which the swap saves, and its workbook."""
    folder.mkdir(parents=True, exist_ok=True)
    build = Rebuild(folder)(MANY, *sets, toml=TOML, compared="ac-first,mc-wire-first,mc-armor-first")
    write_outputs(build, folder / "built.xlsx", None)
    return build


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Build, Path]:
    folder = tmp_path_factory.mktemp("proposal")
    return bid(folder), folder / "built.xlsx"


@pytest.fixture(scope="module")
def recalculated(built: tuple[Build, Path], recalculate: Recalculate) -> Path:
    """Return the workbook as LibreOffice recalculates it, with the values that were shipped poisoned."""
    poisoned = built[1].with_name("poisoned.xlsx")
    office.poison(built[1], poisoned)
    return recalculate([poisoned])[0]


@pytest.fixture(scope="module")
def parts(recalculated: Path) -> dict[str, Lines]:
    """Return what stands under each clause of the sheet, cells of a line that hold anything."""
    sheet = openpyxl.load_workbook(recalculated, data_only=True)[PROPOSAL]
    found: dict[str, Lines] = {}
    under = ""
    for line in sheet.iter_rows(values_only=True):
        if re.fullmatch(r"\(c\)\(\d\)", str(line[0] or "")):
            under = str(line[0])
        held = [cell for cell in line[1:] if cell is not None]
        if held:
            found.setdefault(under, []).append(held)
    return found


def figure(lines: Lines, said: str) -> list[object]:
    """Return the cells to the right of a line that begins with some words."""
    (line,) = (line for line in lines if str(line[0]).startswith(said))
    return line[1:]


def words(lines: Lines) -> str:
    return " ".join(str(cell) for line in lines for cell in line)


def test_all_seven_contents_stand_on_the_sheet(parts: dict[str, Lines]):
    assert [clause for clause in parts if clause] == [f"(c)({n})" for n in range(1, 8)]
    assert all(len(lines) > 1 for clause, lines in parts.items() if clause)


def test_the_difference_with_advantages_of_each_and_the_effect_on_function(
    parts: dict[str, Lines], built: tuple[Build, Path]
):
    found = words(parts["(c)(1)"])
    plans = [r["title"] for r in (row(built[0], "plan_heads", plan=p) for p in ("mc-wire-first", "mc-armor-first"))]
    assert len(set(plans)) == 2
    assert all(title in found for title in plans)
    assert (found.count("For: "), found.count("Against: ")) == (2, 2)
    assert "Function or characteristics altered" in found
    assert "Effect on performance" in found


def test_requirements_that_must_change(parts: dict[str, Lines], built: tuple[Build, Path]):
    assert str(built[0].inputs["contract_changes"]) in words(parts["(c)(2)"])


def test_separate_estimates_of_both_net_of_development_and_implementation(
    parts: dict[str, Lines], built: tuple[Build, Path]
):
    swap, lines = swap_of(built[0]), parts["(c)(3)"]
    for said, name in (
        ("labor, USD", "labor_usd"),
        ("cable and conductors", "cable_usd"),
        ("boxes", "box_usd"),
        ("fittings", "fitting_usd"),
    ):
        expected = [swap[f"{name}_from"], swap[f"{name}_to"], swap[f"{name}_from"] - swap[f"{name}_to"]]
        assert figure(lines, said) == pytest.approx(expected)
    assert figure(lines, "labor, h") == pytest.approx([swap["hours_from"], swap["hours_to"], swap["saved_hours"]])
    affected = figure(lines, "work affected")
    assert affected == pytest.approx([swap["from_usd"], swap["to_usd"], swap["from_usd"] - swap["to_usd"]])
    # 15 % of 400 on hand, 50 and 30: worked by hand
    assert figure(lines, "development and implementation") == pytest.approx([-(60 + 50 + 30)])
    assert figure(lines, "net saving") == pytest.approx([affected[2] - swap["waited_usd"] - 140])
    assert affected[2] > 140


def test_costs_to_the_owner_and_shares(parts: dict[str, Lines], built: tuple[Build, Path]):
    lines, net = parts["(c)(4)"], swap_of(built[0])["net_usd"]
    assert figure(lines, "owner's cost") == [25]
    assert figure(lines, "owner's share, %") == [45]
    assert figure(lines, "owner's share, USD") == pytest.approx([0.45 * (net - 25)])
    assert figure(lines, "contractor's share") == pytest.approx([0.55 * (net - 25)])
    assert figure(lines, "contract price falls") == pytest.approx([net - 0.55 * (net - 25)])


def test_collateral_costs_time_of_acceptance_and_earlier_proposals(parts: dict[str, Lines], built: tuple[Build, Path]):
    """Status 2026-11-16, 10 days of delivery; 226 days until 2027-06-30."""
    assert figure(parts["(c)(5)"], "contractor's share of collateral") == pytest.approx([8])
    lines, swap = parts["(c)(6)"], swap_of(built[0])
    assert figure(lines, "crew-days saved") == pytest.approx([swap["saved_hours"] / 24])
    (full,) = figure(lines, "accept by")
    assert str(full).startswith("2026-11-06")
    assert figure(lines, "every day later") == pytest.approx([-swap["gross_usd"] / 226])
    (late,) = figure(lines, "accepted after this day")
    assert (day_number(str(late)[:10]) or 0) == pytest.approx(limits_of(built[0])["accept_by"], abs=1)
    assert "none on this job" in words(parts["(c)(7)"])


def test_it_defers_to_the_authority_and_is_signed(parts: dict[str, Lines]):
    last = words(parts["(c)(7)"])
    assert "authority having jurisdiction" in last
    assert "built as the contract says" in last
    assert last.count("nothing to sign: a demonstration") == 2  # signed where the figures are stated: test_standing
    assert "compliant" not in words([line for lines in parts.values() for line in lines])


def test_it_prints_on_two_letter_pages_at_9_points(recalculated: Path, tmp_path: Path):
    """Its values alone in a book of one sheet, printed: two pages, down to the signatures, no clause left alone."""
    book = openpyxl.load_workbook(recalculated, data_only=True)
    for title in book.sheetnames:
        if title != PROPOSAL:
            del book[title]
    for name in list(book.defined_names):
        del book.defined_names[name]
    sheet = book[PROPOSAL]
    last = max(c.row for line in sheet.iter_rows() for c in line if c.value is not None)
    area = openpyxl.worksheet.cell_range.CellRange(
        sheet.print_area.partition("!")[2].replace("$", "") or sheet.print_area
    )
    assert area.max_row >= last
    assert str(sheet.cell(sheet.row_breaks.brk[0].id + 1, 1).value).startswith("(c)(")
    book.save(tmp_path / "proposal.xlsx")
    office.convert(tmp_path / "profile", [tmp_path / "proposal.xlsx"], "pdf", tmp_path)
    pdf = (tmp_path / "proposal.pdf").read_bytes()
    assert len(re.findall(rb"/Type\s*/Page[^s]", pdf)) == 2
    assert set(re.findall(rb"/MediaBox\s*\[0 0 (\d+)[\d.]* (\d+)", pdf)) == {(b"612", b"792")}
    sizes = [size for page in office.letters(tmp_path / "proposal.pdf") for size in page]
    assert len(sizes) > 100
    assert min(sizes) > 7.9  # headings of columns; all else 9 or more
    assert sorted(sizes)[len(sizes) // 20] > 8.9


def test_what_the_clause_was_read_in_is_said(parts: dict[str, Lines]):
    """Reprints of both editions, and no official copy: on the page, and in the register of sources by its kind."""
    assert "editions Oct 2020 and Oct 2025, not in an official copy" in words(parts[""])
    (source,) = [r for r in load_catalogs()["sources"] if r["source"] == "far-52.248-3"]
    assert source["kind"] == "public page"
    assert "90 FR 41872" in str(source["checked_by"])


def test_it_follows_the_plan_chosen_on_the_inputs(built: tuple[Build, Path], recalculate: Recalculate, tmp_path: Path):
    change = Change("", "Inputs", "swap_to", "value (input)", "ac-first")
    change_cells(built[1], tmp_path / "changed.xlsx", [change])
    (again,) = recalculate([tmp_path / "changed.xlsx"])
    bid(tmp_path / "rebuilt", "swap_to=ac-first")
    path = tmp_path / "rebuilt" / "built.xlsx"
    cells = [c for c in office.formulas(path) if c[0] == PROPOSAL and c[1] != "A3"]  # which says that draws are stale
    assert list(office.differences(office.values(path), office.values(again), cells)) == []
    before = office.values(built[1])
    assert len(list(office.differences(before, office.values(again), cells))) > 10


def test_a_date_that_is_not_given_is_a_blank_to_fill(built: tuple[Build, Path]):
    sheet = openpyxl.load_workbook(built[1])[PROPOSAL]
    (line,) = (row for row in sheet.iter_rows(max_col=3) if row[1].value == "date")
    first, _, zero = str(line[2].number_format).split(";")
    assert (first, set(zero)) == ("yyyy-mm-dd", {'"', "_"})
    assert len(zero) - 2 <= 9  # a number that is wider than its cell shows ###
