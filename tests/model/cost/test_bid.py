"""From cost to bid: published examples of markup, margin and gross-up; lines of the user; rounding."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from takeoff.build import Build, compute
from takeoff.report.output import write_outputs
from takeoff.report.results import results_of
from takeoff.text.dates import day_number
from tests import office
from tests.conftest import SAMPLES
from tests.copies import number, worked
from tests.priced import priced
from tests.tables import called, row, rows
from tests.typed import Cell, typed

BARE = ("contingency_pct=0", "overhead_pct=0", "profit_pct=0", "bond_pct=0", "bid_round_usd=0.01")
"""Inputs with which the bid is the direct cost."""


def topped_up(folder: Path, usd: float, *sets: str, toml: str = "") -> dict[str, float]:
    """Return the bid of a job whose direct cost is brought to a sum by a line of its own."""
    sets = (*BARE, *sets)
    cost = row(priced(folder / "first", *sets, compared="mc-wire-first"), "bid")["direct_usd"]
    line = f'[[lines]]\nkind = "direct"\ntext = "makes the sum"\nmaterial_usd = {usd - cost!r}\n'
    found = row(priced(folder / "second", *sets, compared="mc-wire-first", toml=line + toml), "bid")
    assert found["direct_usd"] == pytest.approx(usd)
    return found


def test_the_bond_is_priced_by_gross_up(tmp_path):
    """Worked by hand: 100 000 x 1.12 x 1.08 / (1 - 0.012) = 122 429.15; adding 21.2 % would give 121 200."""
    bid = topped_up(tmp_path, 100_000, "overhead_pct=12", "profit_pct=8", "bond_pct=1.2")
    assert bid["bid_usd"] == pytest.approx(122_429.15, abs=1e-6)
    assert bid["cost_usd"] == pytest.approx(112_000)
    assert bid["price_usd"] == pytest.approx(120_960)
    # the premium is 1.2 % of the sum with the premium in it
    assert bid["bond_usd"] == pytest.approx(0.012 * 122_429.149_798, abs=1e-6)


@pytest.mark.parametrize("case", worked("bid"), ids=lambda c: c["id"])
def test_a_bid_worked_by_hand(tmp_path, case):
    inputs = ("contingency_pct", "overhead_pct", "profit_basis", "profit_pct", "bond_pct")
    sets = [f"{name}={case[name]}" for name in inputs]
    bid = topped_up(tmp_path, number(case["cost_usd"]), *sets, f"bid_round_usd={case['round_usd']}")
    for name in ("price_usd", "bid_usd", "markup_pct", "margin_pct"):
        assert bid[name] == pytest.approx(number(case[name]), abs=1e-6), name


def test_contingency_stands_before_overhead_and_overhead_before_profit(tmp_path):
    """1000 with 5 % is 1050; 10 % of it 105; 1155 with 8 % is 1247.40."""
    bid = topped_up(tmp_path, 1000, "contingency_pct=5", "overhead_pct=10", "profit_pct=8")
    names = ("contingency_usd", "overhead_usd", "cost_usd", "profit_usd", "price_usd", "bid_usd")
    assert [bid[n] for n in names] == pytest.approx([50, 105, 1155, 92.4, 1247.4, 1247.4])


def test_overhead_by_the_hour_counts_every_hour_of_labor(tmp_path):
    """With 14 h of direct expenses, and without those of allowances and alternates, which bear their own markup."""
    toml = '[[lines]]\nkind = "direct"\ntext = "testing"\nhours = 14\n'
    toml += '[[lines]]\nkind = "allowance"\ntext = "start-up"\nhours = 100\n'
    build = priced(tmp_path, *BARE, "overhead_usd_per_h=11", toml=toml)
    for plan in ("ac-first", "mc-wire-first"):
        hours = row(build, "plan_sums", plan=plan)["labor_hours"]
        bid = row(build, "bid", plan=plan)
        assert bid["overhead_usd"] == pytest.approx(11 * (hours + 14))
        assert bid["hours"] == pytest.approx(hours + 14)


@pytest.mark.parametrize(
    ("sum_usd", "to", "bid"),
    [
        (1234.567, 0.01, 1234.57),
        (1234.5, 1, 1235),
        (1234.49, 1, 1234),
        (1235, 10, 1240),  # halves away from zero, as ROUND of a spreadsheet
        (1234.9, 10, 1230),
        (1250, 100, 1300),
        (-1235, 10, -1240),
        (49, 100, 0),
    ],
)
def test_the_bid_is_rounded_once(tmp_path, sum_usd, to, bid):
    found = topped_up(tmp_path, sum_usd, f"bid_round_usd={to}")
    assert found["bid_usd"] == pytest.approx(bid, abs=1e-6)
    assert found["rounding_usd"] == pytest.approx(bid - sum_usd, abs=1e-6)
    assert found["unrounded_usd"] == pytest.approx(sum_usd, abs=1e-6)


def test_another_rounding_changes_the_bid_line_and_nothing_before(tmp_path):
    fine, coarse = priced(tmp_path / "a", "bid_round_usd=0.01"), priced(tmp_path / "b", "bid_round_usd=1000")
    moved = {"bid_usd", "rounding_usd", "difference_usd"}
    for one, other in zip(rows(fine, "bid"), rows(coarse, "bid"), strict=True):
        assert {n: v for n, v in one.items() if n not in moved} == {n: v for n, v in other.items() if n not in moved}
        assert one["bid_usd"] != other["bid_usd"]
    for table in ("material", "unit_costs"):
        assert rows(fine, table) == rows(coarse, table)


LINES = """
[[lines]]
kind = "direct"
text = "scissor lift"
material_usd = 1150
tax_pct = 7
[[lines]]
kind = "direct"
text = "as-built drawings"
hours = 14
[[lines]]
kind = "allowance"
text = "start-up, sum set by the owner"
material_usd = 1500
tax_pct = 7
hours = 4
markup_pct = 10
[[lines]]
kind = "alternate"
text = "two circuits more"
material_usd = 640
tax_pct = 5
hours = 11
markup_pct = 20
taken = TAKEN
[[lines]]
kind = "alternate"
text = "deduct: no circuit to the sign"
material_usd = -100
hours = -2
taken = true
[[lines]]
kind = "exclusion"
text = "fire stopping"
[[late_changes]]
date = 2026-11-20
text = "addendum 2"
usd = -180
[[late_changes]]
date = "2026-11-21"
text = "lift for a week less"
usd = -75.5
"""


@pytest.mark.parametrize(("taken", "alternate"), [('"no"', 0.0), ('"yes"', 1862.4), ("true", 1862.4)])
def test_lines_have_their_own_tax_hours_and_markup(tmp_path, taken, alternate):
    """At 80 an hour: 1150 x 1.07 = 1230.50, 14 h = 1120; (1500 x 1.07 + 320) x 1.1 = 2117.50;
    (640 x 1.05 + 880) x 1.2 = 1862.40; -100 - 160 = -260; late -255.50."""
    sets = ("labor_rate_usd_per_h=80", "material_tax_pct=9", "profit_pct=30", "overhead_pct=10")
    plain = priced(tmp_path / "a", *sets)
    build = priced(tmp_path / "b", *sets, toml=LINES.replace("TAKEN", taken))
    for before, bid in zip(rows(plain, "bid"), rows(build, "bid"), strict=True):
        assert bid["direct_usd"] == pytest.approx(before["direct_usd"] + 1230.50 + 1120)
        assert bid["price_usd"] == pytest.approx(before["price_usd"] + 2350.50 * 1.1 * 1.3)
        assert bid["allowances_usd"] == pytest.approx(2117.50)
        assert bid["alternates_usd"] == pytest.approx(alternate - 260)
        assert bid["late_usd"] == pytest.approx(-255.50)
        parts = before["price_usd"] + 2350.50 * 1.1 * 1.3 + 2117.50 + alternate - 260 - 255.50
        assert bid["bonded_usd"] == pytest.approx(parts)
        assert bid["tax_usd"] == before["tax_usd"]
    prices = rows(build, "line_prices")
    # an alternate is priced whether it is taken or not
    assert prices[3]["alternate_usd"] == pytest.approx(1862.4)
    assert [p["price_usd"] for p in prices[5:]] == [0.0] * (len(prices) - 5)
    assert prices[5]["text"] == "fire stopping"
    late = rows(build, "late_changes")
    assert [c["date"] for c in late[:3]] == [day_number("2026-11-20"), day_number("2026-11-21"), 0]


@pytest.mark.parametrize(("count", "shown"), [(0, 12), (11, 12), (12, 12), (15, 15)])
def test_no_line_is_lost_and_free_ones_wait(tmp_path, count, shown):
    line = '[[lines]]\nkind = "allowance"\ntext = "sum"\nmaterial_usd = 10\n'
    change = '[[late_changes]]\ndate = 2026-11-20\ntext = "change"\nusd = 3\n'
    build = priced(tmp_path, *BARE, toml=(line + change) * count or "bond_pct = 0\n", compared="ac-first")
    assert len(rows(build, "bid_lines")) == shown == len(rows(build, "line_prices"))
    bid = row(build, "bid")
    assert (bid["allowances_usd"], bid["late_usd"]) == pytest.approx((10 * count, 3 * count))


def test_the_bid_of_the_sample_reconciles_line_by_line():
    build = sample()
    for bid in rows(build, "bid"):
        total = row(build, "plan_sums", plan=bid["plan"])
        direct = total["material_cost"] + total["labor_cost"] + 1150 * 1.07 + 14 * row(build, "labor_rate")["usd_per_h"]
        assert bid["material_usd"] == pytest.approx(total["material_cost"])
        assert bid["direct_usd"] == pytest.approx(direct)
        # contingency 3 % without escalation (ETL 1110-2-573, appendix G), overhead 10 %
        cost = (direct + 0.03 * (direct - bid["escalation_usd"])) * 1.10
        assert bid["escalation_usd"] > 0
        assert bid["cost_usd"] == pytest.approx(cost)
        before_bond = cost / (1 - 0.09) + 1500 - 180  # margin 9 %, an allowance, a late change
        assert bid["bonded_usd"] == pytest.approx(before_bond)
        assert bid["bid_usd"] == pytest.approx(round(before_bond / (1 - 0.012), -1))
        assert bid["markup_pct"] == pytest.approx(100 * 9 / 91)
        assert bid["margin_pct"] == pytest.approx(9)
        assert row(build, "totals", title=called(bid["plan"]))["bid_usd"] == bid["bid_usd"]
        assert bid["difference_usd"] == bid["bid_usd"] - row(build, "bid", plan="mc-wire-first")["bid_usd"]
    assert build.book.values("master", "open")[0] == 0


def sample() -> Build:
    from takeoff.build import Options

    quotes = [SAMPLES / "quote-current.csv", SAMPLES / "quote-expired.csv"]
    return compute(Options(SAMPLES / "two-story.csv", inputs=SAMPLES / "bid.toml", quotes=quotes))


def test_the_upright_sheet_shows_every_figure_of_the_way_to_the_bid(tmp_path):
    build = priced(tmp_path, toml=LINES.replace("TAKEN", "true"))
    shown = {r["title"]: (r["as_1"], r["as_2"]) for r in rows(build, "bid_sheet")}
    ac, mc = rows(build, "bid")
    assert shown["DIRECT COST"] == (ac["direct_usd"], mc["direct_usd"])
    assert shown["BID"] == (ac["bid_usd"], mc["bid_usd"])
    assert shown["profit as markup on cost, %"] == (ac["markup_pct"], mc["markup_pct"])
    assert shown["profit as margin on price, %"] == (ac["margin_pct"], mc["margin_pct"])
    sums = [k for k in shown if not k.isupper()]
    upto = sums.index("direct expenses of the job") + 1
    assert sum(shown[k][0] for k in sums[:upto]) == pytest.approx(ac["direct_usd"])
    assert sum(shown[k][0] for k in sums[: sums.index("rounding") + 1]) == pytest.approx(ac["bid_usd"])


def test_a_bid_that_is_not_complete_or_stands_on_doubtful_prices_says_so(tmp_path):
    quote = "item,unit,price,date,valid until\nac-12-2,C,780,2026-11-01,2026-11-30\n"
    missing = {"prices": "item,price_usd\nmc-wire-12-2,0\n"}
    build = priced(tmp_path, "estimate_date=2026-12-01", quotes={"q.csv": quote}, catalogs=missing)
    shown = {r["title"]: (r["as_1"], r["as_2"]) for r in rows(build, "bid_sheet")}
    assert shown["not priced, ea"] == (0, 1)
    # the cable in the first has expired and costs ten times the list; in the second it has no price
    assert shown["prices to look at, ea"] == (2, 1)


def test_the_cells_of_the_workbook_take_the_signs_that_the_inputs_file_takes(tmp_path):
    """A deduct alternate and a late change are negative; a tax and a markup are not."""
    write_outputs(priced(tmp_path, toml=LINES.replace("TAKEN", "true")), tmp_path / "o.xlsx", None)
    sheet = openpyxl.load_workbook(tmp_path / "o.xlsx")["Bid lines"]
    lowest = {
        heading.value: float(rule.formula1)
        for rule in sheet.data_validations.dataValidation
        if rule.type == "decimal"
        for heading in [sheet[str(rule.sqref).partition(":")[0]].offset(-1, 0)]
    }
    assert lowest == {
        "material or expense, USD (input)": -1e9,
        "its tax, % (input)": 0,
        "its labor, h (input)": -1e6,
        "its markup, % of cost (input)": 0,
        "adds (+) or takes off (-), signed USD (input)": -1e9,
    }


@pytest.mark.libreoffice
def test_money_on_a_line_without_a_kind_or_on_an_exclusion_is_flagged(tmp_path, recalculate):
    """In the workbook anything can be typed; the inputs file refuses it."""
    write_outputs(priced(tmp_path, toml=LINES.replace("TAKEN", "true"), compared="ac-first"), tmp_path / "o.xlsx", None)
    book = openpyxl.load_workbook(tmp_path / "o.xlsx")
    sheet = book["Bid lines"]
    for cell in [c for r in sheet.iter_rows() for c in r]:
        if cell.value in ("scissor lift", "fire stopping"):
            sheet.cell(cell.row, 4).value = 500
        if cell.value == "scissor lift":
            sheet.cell(cell.row, 2).value = "-"
    book.save(tmp_path / "changed.xlsx")
    shown = office.values(recalculate([tmp_path / "changed.xlsx"])[0])
    flags = [place for (name, place), v in shown.items() if name == "Breakdown" and v == "NOT COUNTED"]
    title = next(place for (name, place), v in shown.items() if name == "Bid" and str(v).startswith("lines with money"))
    assert (len(flags), shown["Bid", title.replace("A", "C")]) == (2, 2)


def test_the_results_carry_the_bid_of_every_plan(tmp_path):
    found = results_of(priced(tmp_path))["plans"]
    keys = {"today_usd", "escalation_usd", "tax_usd", "labor_usd", "direct_lines_usd", "material_usd", "direct_usd"}
    keys |= {
        "hours",
        "usd_per_h",
        "contingency_usd",
        "overhead_usd",
        "hourly_usd",
        "cost_usd",
        "profit_usd",
        "price_usd",
        "markup_pct",
    }
    keys |= {"margin_pct", "allowances_usd", "alternates_usd", "late_usd", "bonded_usd", "bond_usd", "unrounded_usd"}
    keys |= {"coil_usd", "bid_usd", "rounding_usd", "difference_usd", "unpriced", "price_flags", "uncounted"}
    for plan in ("ac-first", "mc-wire-first"):
        assert set(found[plan]["bid"]) == keys
        assert found[plan]["bid"]["material_usd"] == pytest.approx(found[plan]["material_cost"])
        assert found[plan]["bid"]["labor_usd"] == pytest.approx(found[plan]["labor_cost"])
        assert {"prices_missing", "prices_expired", "price_slips"} <= set(found[plan])


def test_money_typed_on_a_line_without_a_kind_is_flagged_on_that_line(tmp_path: Path) -> None:
    cells: dict[Cell, object] = {("bid_lines", "material_usd", 1): 100, ("bid_lines", "material_usd", 2): 50}
    found = typed(priced(tmp_path), {**cells, ("bid_lines", "kind", 2): "direct"})
    assert [r["flag"] for r in rows(found, "line_prices")][:3] == ["NOT COUNTED", "-", "-"]
    assert row(found, "job_stops")["uncounted"] == 1
