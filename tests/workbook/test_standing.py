"""What stands against a total reaches the first page of a workbook that was changed by hand and recalculated."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from takeoff.build import compute
from tests import office
from tests.changes import Change, change_cells, written
from tests.priced import laid

pytestmark = pytest.mark.libreoffice

NUMBER, VALUE = "value, in its unit (input)", "value (input)"


def change(sheet: str, row: str | int, heading: str, value: object) -> Change:
    return Change("", sheet, row, heading, value)


MADE = {
    "run": (
        [change("Schedule", "R2", "run, ft (input)", 90)],
        "Look first: 3 of 3 plans. ",
        "cutting plans made before a change: 1",
    ),
    "wage": (
        [change("Inputs", "labor_rate_usd_per_h", NUMBER, 99)],
        "Look first: 3 of 3 plans. ",
        "risk drawn before a change: 1",
    ),
    "range": (
        [change("Inputs", "profit_pct", NUMBER, 150)],
        "NOT TO BE USED: 3 of 3 plans. ",
        "inputs that are not accepted: 1 (sheet Rates). ",
    ),
    "choice": (
        [change("Inputs", "make_up", VALUE, "twisted")],
        "inputs that are not accepted: 1 (sheet Rates). First cell: Inputs!",
        "inputs that are not accepted: 1 (sheet Rates). ",
    ),
    "price": (
        [change("Prices", "mc-wire-12-2", "price, USD (input)", 0)],
        "NOT TO BE USED: 1 of 3 plans. ",
        "items without a price",
    ),
    "line": (
        [change("Bid lines", 1, "material or expense, USD (input)", 500)],
        "Look first: 3 of 3 plans. ",
        "lines of the bid and quotes with money that count nowhere: 1 (sheets Bid lines and Prices). ",
    ),
    "share": ([change("Inputs", "demo_share_pct", NUMBER, 100)], "Stop list: nothing. Arithmetic", ""),
}
"""By what is changed: the changes, what every sheet then says, and what the stop list of the Summary says."""


@pytest.fixture(scope="module")
def changed(
    tmp_path_factory: pytest.TempPathFactory, recalculate: Callable[[list[Path]], list[Path]]
) -> dict[str, Path]:
    """Return a recalculated workbook for every change, and one without."""
    folder = tmp_path_factory.mktemp("standing")
    source = written(compute(laid(folder, compared="ac-first,mc-wire-first,mc-armor-first")))
    files = {name: folder / f"{name}.xlsx" for name in MADE}
    for name, file in files.items():
        change_cells(source, file, MADE[name][0])
    return dict(zip(["none", *files], recalculate([source, *files.values()]), strict=True))


def text_of(path: Path, sheet: str) -> str:
    return " | ".join(str(v) for (title, _), v in office.values(path).items() if title == sheet)


@pytest.mark.parametrize("name", MADE)
def test_a_change_reaches_every_sheet_and_the_stop_list(changed: dict[str, Path], name: str) -> None:
    _, says, listed = MADE[name]
    values = office.values(changed[name])
    heads = {title: str(values[title, "A3"]) for title, _ in values if (title, "A3") in values}
    assert len(heads) == 26
    assert all(says in head for head in heads.values())
    summary = text_of(changed[name], "Summary")
    assert listed in summary
    assert says not in str(office.values(changed["none"])["Summary", "A3"]) or name == "share"


def test_a_proposal_is_signed_only_where_it_is_no_demonstration(changed: dict[str, Path]) -> None:
    before, after = text_of(changed["none"], "Proposal"), text_of(changed["share"], "Proposal")
    assert ("nothing to sign: a demonstration" in before, "for the owner, date" in before) == (True, False)
    assert ("nothing to sign: a demonstration" in after, "for the owner, date" in after) == (False, True)


def test_a_demonstration_says_so_on_every_sheet_and_on_the_crew_pages(changed: dict[str, Path]) -> None:
    values = office.values(changed["none"])
    assert all(str(v).startswith("DEMONSTRATION: up to 100 % ") for (_, cell), v in values.items() if cell == "A3")
    assert text_of(changed["none"], "Crew").count("DEMONSTRATION: up to 100 % ") > 1
    assert "DEMONSTRATION" not in text_of(changed["share"], "Crew")
