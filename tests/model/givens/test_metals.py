"""Copper and aluminum: weights against published ones, and what a change of their price moves, worked by hand."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from takeoff.catalog.rows import Catalogs
from takeoff.model.givens.metals import weights_of_items
from takeoff.report.output import write_outputs
from takeoff.report.results import results_of
from tests.copies import published
from tests.priced import priced
from tests.tables import row


@pytest.mark.parametrize("published_row", published("conductor_weights"), ids=lambda r: r["awg"])
def test_a_conductor_weighs_what_is_published(catalogs: Catalogs, published_row: dict[str, str]):
    """One pulled conductor of the size is copper; the factor of aluminum is tested by the same area."""
    weight = weights_of_items(catalogs)[f"wire-{published_row['awg']}"]
    assert weight["copper"] == pytest.approx(float(published_row["copper_lb_per_kft"]), rel=0.003)
    ratio = float(str(catalogs["metals"]["aluminum"]["lb_per_kft_cmil"])) / float(
        str(catalogs["metals"]["copper"]["lb_per_kft_cmil"])
    )
    assert weight["copper"] * ratio == pytest.approx(float(published_row["aluminum_lb_per_kft"]), rel=0.003)


def test_the_metal_of_a_cable_is_that_of_all_its_conductors(catalogs: Catalogs):
    """Two insulated conductors and an insulated EGC of 12 AWG, or two and a bare aluminum one of 10 AWG; 14 with a 16.

    6,530 cmil x 0.003027 = 19.766 lb; three are 59.30. 10,380 cmil x 0.000920 = 9.55 lb.
    """
    weights = weights_of_items(catalogs)
    assert weights["mc-wire-12-2"] == pytest.approx({"copper": 59.30, "aluminum": 0}, abs=0.01)
    assert weights["mc-armor-12-2"] == pytest.approx({"copper": 39.53, "aluminum": 9.55}, abs=0.01)
    assert weights["ac-14-2"] == pytest.approx({"copper": 2 * 4110 * 0.003027, "aluminum": 2580 * 0.00092}, abs=1e-9)
    assert "emt-1/2" not in weights
    assert "square-4x1.5" not in weights


def test_one_cell_moves_all_copper(tmp_path: Path):
    """Copper at 5.00 USD/lb, up 10 %: 59.30 lb x 5 = 296.50 USD in 1000 ft, of which a tenth is 0.02965 USD a foot."""
    inputs = ("copper_usd_per_lb=5", "copper_change_pct=10")
    before, after = priced(tmp_path / "a"), priced(tmp_path / "b", *inputs)
    metal = row(after, "metal_prices", item="mc-wire-12-2")
    assert metal["copper_usd"] == pytest.approx(0.2965, abs=1e-4)
    assert metal["change_usd"] == pytest.approx(0.02965, abs=1e-5)
    assert metal["copper_share"] == pytest.approx(100 * 296.5 / 850, abs=0.01)  # of 850 USD for 1000 ft
    for item in ("ac-12-2", "mc-wire-12-2"):
        moved = row(after, "unit_costs", item=item)["bare_usd"] - row(before, "unit_costs", item=item)["bare_usd"]
        assert moved == pytest.approx(row(after, "metal_prices", item=item)["change_usd"])
    assert row(after, "unit_costs", item="square-4x1.5") == row(before, "unit_costs", item="square-4x1.5")
    plans = [results_of(b)["plans"]["mc-wire-first"] for b in (before, after)]
    feet = row(after, "plan_sums", plan="mc-wire-first")["feet"]
    moved = plans[1]["material_cost"] - plans[0]["material_cost"]
    assert moved == pytest.approx(feet * metal["change_usd"] * 1.05)  # 5 % waste of the family, no tax


def test_aluminum_moves_bare_conductors_and_strips_alone(tmp_path: Path):
    """9.55 lb at 2 USD/lb, down 50 %: 9.55 USD less in 1000 ft; what moves in a plan is that times its feet."""
    built = priced(
        tmp_path, "aluminum_usd_per_lb=2", "aluminum_change_pct=-50", compared="mc-armor-first,mc-wire-first"
    )
    metal = row(built, "metal_prices", item="mc-armor-12-2")
    assert metal["change_usd"] == pytest.approx(-0.00955, abs=1e-5)
    listed = float(str(built.catalogs["prices"]["mc-armor-12-2"]["price_usd"]))  # for 1000 ft
    assert metal["aluminum_share"] == pytest.approx(100 * 9.55 * 2 / listed, abs=0.01)
    assert row(built, "metal_prices", item="mc-wire-12-2")["change_usd"] == 0
    armor, wire = (row(built, "plan_sums", plan=plan) for plan in ("mc-armor-first", "mc-wire-first"))
    assert armor["aluminum_usd"] == pytest.approx(armor["feet"] * 0.00955, abs=armor["feet"] * 1e-5)
    assert (wire["aluminum_usd"], armor["copper_usd"], wire["copper_usd"]) == (0, 0, 0)


def test_a_quote_that_holds_stays_and_one_that_expired_moves(tmp_path: Path):
    quote = "item,unit,price,valid until\nac-12-2,M,700,2026-12-01\nmc-wire-12-2,M,800,2026-11-01\n"
    sets = ("estimate_date=2026-11-20", "copper_usd_per_lb=5", "copper_change_pct=10")
    built = priced(tmp_path, *sets, quotes={"q.csv": quote})
    assert row(built, "unit_costs", item="ac-12-2")["bare_usd"] == pytest.approx(0.7)
    assert row(built, "unit_costs", item="mc-wire-12-2")["bare_usd"] == pytest.approx(0.8 + 0.02965, abs=1e-5)


def test_a_price_that_is_missing_stays_missing(tmp_path: Path):
    catalogs = {"prices": "item,price_usd,source\nac-12-2,0,own\n"}
    built = priced(tmp_path, "copper_change_pct=10", catalogs=catalogs)
    assert row(built, "unit_costs", item="ac-12-2")["bare_usd"] == 0
    assert row(built, "unit_costs", item="ac-12-2")["state"] == "MISSING"


def test_the_weights_stand_beside_the_prices(tmp_path: Path):
    write_outputs(priced(tmp_path), tmp_path / "o.xlsx", None)
    sheet = openpyxl.load_workbook(tmp_path / "o.xlsx")["Prices"]
    headings, *lines = sheet[sheet.tables["table_prices"].ref]
    at = {str(c.value): n for n, c in enumerate(headings)}
    found = {line[0].value: line for line in lines}
    assert found["mc-wire-12-2"][at["Cu, lb/kft"]].value == pytest.approx(59.30, abs=0.01)
    assert found["mc-armor-12-2"][at["Al, lb/kft"]].value == pytest.approx(9.55, abs=0.01)


def test_a_move_rests_on_the_price_of_the_metal(tmp_path: Path):
    """A quote that expired, 800 USD for 1000 ft: 10 % of 296.5 USD of copper are illustrative while its price is."""
    quote = "item,unit,price,valid until\nmc-wire-12-2,M,800,2026-11-01\n"
    sets = ("estimate_date=2026-11-20", "copper_change_pct=10")
    overlay = {"families": 'family,waste_pct,escalation_pct_per_year,source\ncable,0,0,"own"\n'}
    shipped = priced(tmp_path / "a", *sets, quotes={"q.csv": quote}, catalogs=overlay)
    stated = priced(tmp_path / "b", *sets, "copper_usd_per_lb=5", quotes={"q.csv": quote}, catalogs=overlay)
    moved = 0.0593 * 4.5 * 0.1
    assert row(shipped, "unit_costs", item="mc-wire-12-2")["bare_usd"] == pytest.approx(0.8 + moved, abs=1e-5)
    assert row(shipped, "unit_costs", item="mc-wire-12-2")["sound_usd"] == pytest.approx(0.8, abs=1e-5)
    assert row(stated, "unit_costs", item="mc-wire-12-2")["sound_usd"] == pytest.approx(0.8 + 0.02965, abs=1e-5)
