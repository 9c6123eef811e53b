"""Break-evens of a swap: in closed form, by rebuilding at the break-even, published ones, and where there is none."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from takeoff.catalog.rows import Row
from takeoff.text.dates import iso
from tests.swapping import CLINIC, Rebuild, by_hand, limits_of, minutes, on_grounds, overlay, prices, shipped, swap_of
from tests.tables import rows

K1 = ("labor_rate_usd_per_h=78", "material_tax_pct=8", "other_one_time_usd=300")
"""12 h x 78 USD/h on 8 500 ft, 8 % tax, 300 USD one-time: worked by hand, no published source."""


@pytest.fixture
def rebuild(tmp_path: Path) -> Rebuild:
    return Rebuild(tmp_path)


@pytest.mark.parametrize("premium", [0, 60, 80])
def test_the_premium_at_break_even_has_tax_and_one_time_cost_in_it(rebuild: Rebuild, premium: float):
    """(12 x 78 - 300) / (1.08 x 8.5) = 636 / 9.18 = 69.28 USD/M, whatever premium is asked today."""
    found = limits_of(by_hand(rebuild, *K1, premium_usd_per_kft=premium))
    assert found["premium_today"] == pytest.approx(premium)
    assert found["premium"] == pytest.approx(69.28, abs=0.005)


def test_without_tax_and_one_time_cost_it_would_be_overstated(rebuild: Rebuild):
    """936 / 8.5 = 110.12 USD/M: 59 % more."""
    found = limits_of(by_hand(rebuild, K1[0], premium_usd_per_kft=60))
    assert found["premium"] == pytest.approx(110.12, abs=0.005)


def test_waste_takes_its_part_of_the_premium(rebuild: Rebuild):
    """With 10 % waste on top of 8 % tax: 636 / (1.08 x 1.1 x 8.5) = 62.98 USD/M."""
    assert limits_of(by_hand(rebuild, *K1, waste_pct=10))["premium"] == pytest.approx(62.98, abs=0.005)


def test_feet_that_pay_the_one_time_cost(rebuild: Rebuild):
    """110.118 USD/M saved in labor less 60 x 1.08 for the cable: 300 / 0.045318 = 6 620 ft."""
    assert limits_of(by_hand(rebuild, *K1, premium_usd_per_kft=60))["feet"] == pytest.approx(6620, abs=0.5)


def test_wage_and_minutes_at_break_even(rebuild: Rebuild):
    """At a premium of 80 the cable costs 80 x 8.5 x 1.08 = 734.40 more; with 300 one-time 1 034.40 over 12 h.

    86.20 USD/h; or at 78 USD/h 13.262 h. Of 100 home runs 200 ends of an EGC are made up, half of them at panels:
    3.979 min for each, where today 12 h make 3.6.
    """
    build = by_hand(rebuild, *K1, premium_usd_per_kft=80)
    found = limits_of(build)
    assert found["wage"] == pytest.approx(86.20)
    assert [r["wage"] for r in rows(build, "break_even_points")] == pytest.approx([78, 86.20])
    assert found["minutes_today"] == pytest.approx(3.6)
    assert found["minutes"] == pytest.approx(1034.40 / 78 * 60 / 200)


@pytest.mark.parametrize(
    ("fixed_usd", "variable_usd", "units"),
    [
        (45_000 - 40_000, 85 - 80, 1_000),  # 40 000 + 85 x against 45 000 + 80 x, public answer on accounting
        (2_000 - 1_500, 30 - 20, 50),  # 2 000 + 20 Q against 1 500 + 30 Q, public quiz on operations
        (80_000 - 10_000, 16 - 9, 10_000),  # 80 000 + 9 Q against 10 000 + 16 Q, public quiz
        (400_000 - 200_000, 50 - 35, 13_333.33),  # 400 000 + 35 Q against 200 000 + 50 Q, public quiz
    ],
)
def test_published_crossover_quantities(rebuild: Rebuild, fixed_usd: float, variable_usd: float, units: float):
    """The one-time cost is the difference of the fixed costs, the saving by the foot that of the variable ones."""
    hours = 8500 * variable_usd / 100
    sets = ("labor_rate_usd_per_h=100", f"other_one_time_usd={fixed_usd}")
    build = by_hand(rebuild, *sets, minutes_each=hours * 60 / 100)
    assert limits_of(build)["feet"] == pytest.approx(units, abs=0.005)


TODAY = ("labor_rate_usd_per_h=70", "material_tax_pct=7", "other_one_time_usd=9", "scrap_usd=4")


def at_premium(r: Row, more: float) -> float:
    return float(str(r["price_usd"])) + (more if str(r["item"]).startswith("mc-armor") else 0)


def test_rebuilt_with_the_premium_at_break_even_nothing_is_saved(rebuild: Rebuild):
    found = limits_of(rebuild(CLINIC, *TODAY))
    assert abs(found["premium"] - found["premium_today"]) > 1
    new = prices(lambda r: at_premium(r, found["premium"] - found["premium_today"]))
    again = rebuild(CLINIC, *TODAY, catalogs={"prices": new})
    assert swap_of(again)["net_usd"] == pytest.approx(0, abs=1e-9)
    assert limits_of(again)["premium_today"] == pytest.approx(limits_of(again)["premium"])


def test_the_premium_at_break_even_is_exact_where_cables_escalate_each_from_its_own_day(rebuild: Rebuild):
    """Two cables of the new plan, priced two years apart, with waste and tax: rebuilt at it 0.00 is left."""
    ages = {"mc-armor-12-2": "2024-11-01", "mc-armor-12-3": "2026-11-01", "mc-wire-12-2": "2025-03-01"}
    families = "family,escalation_pct_per_year,waste_pct\ncable,9,6\n"
    sets = (*TODAY, "install_date=2027-05-01")

    def dated(more: float) -> dict[str, str]:
        rows = (
            {**r, "price_usd": at_premium(r, more), "date": ages.get(str(r["item"]), "2026-01")}
            for r in shipped("prices")
        )
        return {"families": families, "prices": overlay(("item", "price_usd", "date", "source"), rows)}

    found = limits_of(rebuild(CLINIC, *sets, catalogs=dated(0)))
    again = rebuild(CLINIC, *sets, catalogs=dated(found["premium"] - found["premium_today"]))
    assert abs(found["premium"] - found["premium_today"]) > 1
    assert swap_of(again)["net_usd"] == pytest.approx(0, abs=1e-9)


def test_the_wage_escalates_as_material_does_and_its_break_even_is_before_that(rebuild: Rebuild):
    """73 days at 10 % a year are 2 %: 78 x 1.02 x 12 h = 954.72; what 12 h must be worth is 1.02 times the rate."""
    sets = ("wage_escalation_pct=10", "estimate_date=2026-11-01", "install_date=2027-01-13")
    build = by_hand(rebuild, *K1, *sets, premium_usd_per_kft=80)
    assert swap_of(build)["labor_usd"] == pytest.approx(954.72)
    wage = limits_of(build)["wage"]
    assert wage * 1.02 * 12 == pytest.approx(300 - swap_of(build)["cable_usd"])
    again = by_hand(rebuild, f"labor_rate_usd_per_h={wage:.12f}", *K1[1:], *sets, premium_usd_per_kft=80)
    assert swap_of(again)["net_usd"] == pytest.approx(0, abs=1e-8)


def test_the_premium_of_today_is_the_difference_of_the_prices(rebuild: Rebuild):
    """With every new cable 37.50 USD/M above the old one of its kind, on the same feet, the premium is 37.50."""
    cost = {"mc-wire-12-2": 850, "mc-armor-12-2": 887.5, "mc-wire-12-3": 1170, "mc-armor-12-3": 1207.5}
    new = prices(lambda r: cost.get(str(r["item"]), float(str(r["price_usd"]))))
    assert limits_of(rebuild(CLINIC, *TODAY, catalogs={"prices": new}))["premium_today"] == pytest.approx(37.5)


PATIENT = CLINIC.replace("wires,area", "wires,area,space") + "C1,P-4,duplex-hg,90,,,west,patient-care\n"
"""With a circuit for patient care, which both plans wire in the same construction: 517.13."""


def test_circuits_that_both_plans_wire_alike_are_no_feet_of_the_new_cable(rebuild: Rebuild):
    plain, with_patient = (limits_of(rebuild(text, *TODAY)) for text in (CLINIC, PATIENT))
    for name in ("premium_today", "premium", "feet", "wage", "minutes"):
        assert with_patient[name] == pytest.approx(plain[name]), name


def test_rebuilt_with_the_wage_at_break_even_nothing_is_saved(rebuild: Rebuild):
    wage = limits_of(rebuild(CLINIC, *TODAY))["wage"]
    again = rebuild(CLINIC, f"labor_rate_usd_per_h={wage:.12f}", *TODAY[1:])
    assert swap_of(again)["net_usd"] == pytest.approx(0, abs=1e-8)


def test_rebuilt_with_the_minutes_at_break_even_nothing_is_saved(rebuild: Rebuild):
    found = limits_of(rebuild(CLINIC, *TODAY))
    factor = found["minutes"] / found["minutes_today"]
    assert factor > 1.05 or factor < 0.95
    new = minutes(lambda r: float(str(r["minutes"])) * (factor if on_grounds(r) else 1))
    assert swap_of(rebuild(CLINIC, *TODAY, catalogs={"operations": new}))["net_usd"] == pytest.approx(0, abs=1e-8)


def test_rebuilt_with_the_feet_at_break_even_nothing_is_saved(rebuild: Rebuild):
    """What is saved grows with the feet of the work: with so many home runs less, nothing is left."""
    sets = (*K1[:2], "other_one_time_usd=227.63")
    found = limits_of(by_hand(rebuild, *sets, premium_usd_per_kft=42))
    runs = found["feet"] / 85
    more, fewer = (by_hand(rebuild, *sets, premium_usd_per_kft=42, repeat=int(runs) + n) for n in (1, 0))
    assert swap_of(fewer)["net_usd"] < 0 < swap_of(more)["net_usd"]


AT_ONCE = ("lead_days=0", "approval_days=0")
DATED = ("labor_rate_usd_per_h=78", "other_one_time_usd=234", "status_date=2026-11-02", "finish_date=2026-12-12")


def test_the_day_by_which_to_decide(rebuild: Rebuild):
    """A quarter of the saving, 234 of 936, pays the one-time cost: 10 of 40 days before 12 December.

    On 2 December nothing is saved any more; 7 days of delivery and 5 of approval lead back to 20 November.
    """
    found = limits_of(by_hand(rebuild, *DATED, "lead_days=7", "approval_days=5"))
    assert iso(found["last_day"]) == "2026-12-02"
    assert iso(found["decide_by"]) == "2026-11-20"


def test_the_day_by_which_to_accept_for_all_of_the_saving_and_what_a_day_costs(rebuild: Rebuild):
    """FAR 52.248-3(c)(6) asks the date for the maximum cost reduction: the cable is there while all is left to do.

    7 days of delivery before 2 November; each of 40 days takes 936 / 40 off; with the one-time cost
    paid until 2 December, an acceptance 7 days before it still saves nothing.
    """
    found = limits_of(by_hand(rebuild, *DATED, "lead_days=7", "approval_days=5"))
    assert (iso(found["full_by"]), iso(found["accept_by"])) == ("2026-10-26", "2026-11-25")
    assert found["usd_per_day"] == pytest.approx(23.40)


def test_on_the_day_on_which_the_saving_ends_nothing_is_saved(rebuild: Rebuild):
    """30 of 40 days later three quarters are installed."""
    build = by_hand(rebuild, *DATED, *AT_ONCE, toml='[areas."(no area)"]\ninstalled_pct = 75\n')
    assert swap_of(build)["net_usd"] == pytest.approx(0, abs=1e-9)
    assert limits_of(build)["decide_by"] == "none"


def test_without_dates_there_is_no_day_by_which_to_decide(rebuild: Rebuild):
    assert limits_of(by_hand(rebuild, "labor_rate_usd_per_h=78"))["decide_by"] == 0


def test_with_no_one_time_cost_the_saving_ends_with_the_work(rebuild: Rebuild):
    found = limits_of(by_hand(rebuild, DATED[0], *DATED[2:], *AT_ONCE))
    finish = dt.date(2026, 12, 12).isoformat()
    assert (iso(found["last_day"]), iso(found["decide_by"]), found["feet"]) == (finish, finish, 0)


def test_none_where_no_hours_are_saved(rebuild: Rebuild):
    found = limits_of(by_hand(rebuild, *K1, minutes_each=0))
    assert (found["wage"], found["feet"]) == ("none", "none")


def test_none_where_no_termination_is_avoided(rebuild: Rebuild):
    """Both armors end at the fitting: no ground is made up by hand in either plan."""
    build = rebuild(CLINIC, *TODAY, "swap_from=ac-first", compared="ac-first,mc-armor-first")
    assert swap_of(build)["grounds_from"] == swap_of(build)["grounds_to"]
    assert limits_of(build)["minutes"] == "none"


def test_none_where_nothing_is_saved(rebuild: Rebuild):
    """A premium of 200 USD/M costs 1 836 USD with tax, the labor saved is worth 936."""
    found = limits_of(by_hand(rebuild, *K1, *DATED[2:], *AT_ONCE, premium_usd_per_kft=200))
    assert (found["feet"], found["decide_by"]) == ("none", "none")
    assert found["premium"] == pytest.approx(69.28, abs=0.005)


def test_none_where_the_wage_or_the_minutes_would_have_to_be_under_nothing(rebuild: Rebuild):
    """The new cable is 10 USD/M cheaper and nothing is spent: with any hours saved the swap pays at any wage."""
    found = limits_of(by_hand(rebuild, K1[0], premium_usd_per_kft=-10))
    assert (found["wage"], found["minutes"]) == ("none", "none")
    assert found["premium"] == pytest.approx(110.12, abs=0.005)
