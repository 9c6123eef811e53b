"""Quotes, labor build-up and bid in the workbook: changed there, every formula gives what a rebuild gives."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from takeoff.build import Build
from takeoff.model.swap.risk import STALE
from takeoff.text.dates import day_number
from tests import office
from tests.changes import INVENTED, Change, change_cells, live, written
from tests.priced import priced

QUOTES = {
    "a.csv": """item,unit,price,date,valid until,discount
ac-12-2,M,842,2026-11-10,2026-12-10,
mc-wire-12-2,M,905,2026-11-10,2026-12-10,5
square-4x1.5,C,214,2026-11-10,,
""",
    "b.csv": """item,unit,price,date,valid until,discount
ac-12-2,C,79,2026-11-02,2026-11-30,
mc-wire-12-2,ft,0.88,2026-09-01,2026-10-01,
joint-medium,each,0.55,2026-09-01,2026-10-01,
""",
}
INPUTS = """estimate_date = 2026-11-20
install_date = 2027-04-15
material_tax_pct = 7
learning_rate_pct = 90
contingency_pct = 3
profit_pct = 9
bond_pct = 1.2

[areas.kitchen]
height = "from-ladder"
[circuits.KP-2]
repetition = "one-off"
[[lines]]
kind = "direct"
text = "lift"
material_usd = 1150
hours = 3
[[lines]]
kind = "alternate"
text = "two circuits more"
material_usd = 640
tax_pct = 7
hours = 11
markup_pct = 20
taken = "no"
[[late_changes]]
date = 2026-11-20
text = "addendum 2"
usd = -180
"""


@dataclass(frozen=True)
class Edit:
    """A change of a cell, and the same change of the texts or options of a rebuild."""

    sheet: str
    row: str
    heading: str
    value: object
    texts: tuple[str, str] = ("", "")
    catalogs: dict[str, str] = field(default_factory=dict)


NUMBER, CHOICE, DATE = "value, in its unit (input)", "value (input)", "value, date (input)"
EDITS = [
    Edit("Prices", "Q001", "price, USD (input)", 8420, ("ac-12-2,M,842,", "ac-12-2,M,8420,")),
    Edit("Prices", "Q004", "valid until, date (input)", day_number("2026-11-19"), ("2026-11-02,2026-11-30", "2026-11-02,2026-11-19")),
    Edit("Prices", "Q003", "discount, % (input)", 12, ("C,214,2026-11-10,,", "C,214,2026-11-10,,12")),
    Edit("Prices", "Q005", "quote date, date (input)", day_number("2026-09-30"), ("0.88,2026-09-01", "0.88,2026-09-30")),
    Edit("Inputs", "estimate_date", DATE, day_number("2026-12-11"), ("estimate_date = 2026-11-20", "estimate_date = 2026-12-11")),
    Edit("Inputs", "install_date", DATE, day_number("2026-12-05"), ("2027-04-15", "2026-12-05")),
    Edit("Inputs", "quote_choice", CHOICE, "lowest", ("bond_pct", 'quote_choice = "lowest"\nbond_pct')),
    Edit("Inputs", "profit_basis", CHOICE, "margin", ("bond_pct", 'profit_basis = "margin"\nbond_pct')),
    Edit("Prices", "cable", "taxed, 0/1 (input)", 0, (), {"families": f'family,taxable,source\ncable,0,"{INVENTED}"\n'}),
    Edit("Inputs", "learning_rate_pct", NUMBER, 80, ("learning_rate_pct = 90", "learning_rate_pct = 80")),
    Edit("Inputs", "learning_until_unit", NUMBER, 2, ("bond_pct", "learning_until_unit = 2\nbond_pct")),
    Edit("Inputs", "bond_pct", NUMBER, 2.5, ("bond_pct = 1.2", "bond_pct = 2.5")),
    Edit("Inputs", "overhead_usd_per_h", NUMBER, 12, ("material_tax", "overhead_usd_per_h = 12\nmaterial_tax")),
    Edit("Inputs", "bid_round_usd", NUMBER, 50, ("material_tax", "bid_round_usd = 50\nmaterial_tax")),
    Edit("Inputs", "slip_decades", NUMBER, 0.42, ("material_tax", "slip_decades = 0.42\nmaterial_tax")),
    Edit("Inputs", "hours_per_year", NUMBER, 1800, ("material_tax", "hours_per_year = 1800\nmaterial_tax")),
    Edit("Inputs", "journeyman", "base wage, USD/h (input)", 90, (), {"crew": "class,wage_usd_per_h\njourneyman,90\n"}),
    Edit("Inputs", "foreman", "share of the hours, % (input)", 25, (), {"crew": f'class,share_pct,source\nforeman,25,"{INVENTED}"\n'}),
    Edit("Inputs", "social-security", "paid on the first (0: on all), USD (input)", 60_000, (), {"burden": "component,annual_base_usd\nsocial-security,60000\n"}),
    Edit("Inputs", "kitchen", "height (input)", "from-scaffold", ("from-ladder", "from-scaffold")),
    Edit("Inputs", "from-ladder", "factor, 1/1 (input)", 1.3, (), {"work_conditions": "condition,factor,source\nfrom-ladder,1.3,illustrative\n"}),
    Edit("Schedule", "KP-2", "repetition (input)", "as the area", ('repetition = "one-off"', "")),
    Edit("Bid lines", "addendum 2", "adds (+) or takes off (-), signed USD (input)", 95.5, ("usd = -180", "usd = 95.5")),
    Edit("Bid lines", "two circuits more", "alternate taken (input)", "yes", ('taken = "no"', 'taken = "yes"')),
    Edit("Bid lines", "lift", "its labor, h (input)", 5, ("hours = 3", "hours = 5")),
]  # fmt: skip
GROUPS = [EDITS[n::3] for n in range(3)]
"""Changes that are made together."""


def rebuilt(folder: Path, edits: Sequence[Edit]) -> Build:
    """Build from the texts above with changes."""
    texts, catalogs = {**QUOTES, "": INPUTS}, {}
    for edit in edits:
        if edit.texts:
            assert any(edit.texts[0] in text for text in texts.values()), edit
            texts = {name: text.replace(*edit.texts) for name, text in texts.items()}
        assert not edit.catalogs.keys() & catalogs.keys(), "two changes of one group change the same catalog"
        catalogs |= edit.catalogs
    toml = texts.pop("")
    return priced(folder, toml=toml, quotes=texts, catalogs=catalogs)


@pytest.mark.libreoffice
def test_prices_labor_and_bid_follow_changes_in_the_workbook(
    recalculate: Callable[[list[Path]], list[Path]], tmp_path: Path
):
    source = written(rebuilt(tmp_path / "source", []))
    files = [tmp_path / f"changed-{n}.xlsx" for n, _ in enumerate(GROUPS)]
    for file, edits in zip(files, GROUPS, strict=True):
        change_cells(source, file, [Change("", e.sheet, e.row, e.heading, e.value) for e in edits])
    for number, (edits, again) in enumerate(zip(GROUPS, recalculate(files), strict=True)):
        path = written(rebuilt(tmp_path / f"group-{number}", edits))
        cells = live(path)
        assert cells == live(source)
        shown = office.values(again)
        assert list(office.differences(office.values(path), shown, cells)) == []
        assert STALE in [value for (sheet, _), value in shown.items() if sheet == "Swap"]


@pytest.fixture(scope="module")
def before(tmp_path_factory: pytest.TempPathFactory) -> Build:
    """Return the build without changes."""
    return rebuilt(tmp_path_factory.mktemp("before"), [])


@pytest.mark.parametrize("edit", EDITS, ids=[f"{e.row} {e.heading}" for e in EDITS])
def test_every_one_of_these_changes_moves_something(edit: Edit, before: Build, tmp_path: Path):
    after = rebuilt(tmp_path, [edit])
    columns = [(t.name, c.name) for t in before.book.tables.values() for c in t.columns]
    assert any(list(before.book.values(*c)) != list(after.book.values(*c)) for c in columns)
