"""Which price counts, what is flagged, and what it comes to with discount, waste, escalation and tax."""

from __future__ import annotations

import csv
import datetime as dt
import re
from pathlib import Path

import pytest

from takeoff.build import Build
from takeoff.model.cost.material import UNUSED
from takeoff.model.givens.quotes import FREE_QUOTES
from takeoff.report.results import results_of
from takeoff.report.totals import totals_text
from tests.conftest import ROOT
from tests.priced import priced
from tests.tables import by_box, row, rows

HEAD = "item,unit,price,date,valid until,discount\n"


def shipped(name: str, key: str) -> dict[str, dict[str, str]]:
    """Return the rows of a shipped catalog, read from its file."""
    lines = (ROOT / "catalogs" / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    return {r[key]: r for r in csv.DictReader(lines)}


CATALOG, FAMILIES = shipped("prices", "item"), shipped("families", "family")
PER = {"each": 1, "C": 100, "M": 1000}


def told(build: Build) -> list[str]:
    return [str(p) for p in build.notices]


def cost(build: Build, item: str = "ac-12-2") -> dict[str, object]:
    return row(build, "unit_costs", item=item)


def of_three(folder: Path, choice: str, day: str, **more: object) -> Build:
    """Build with three quotes of a cable: dear and early, cheap and late, in between and between."""
    lines = {
        "a.csv": "ac-12-2,M,900,2026-10-01,2026-12-31\n",
        "b.csv": "ac-12-2,C,75,2026-11-20,2026-11-25\n",
        "c.csv": "ac-12-2,M,800,2026-11-01,2026-11-30\n",
    }
    quotes = {name: HEAD + line for name, line in lines.items()}
    return priced(folder, f"quote_choice={choice}", f"estimate_date={day}", quotes=quotes, **more)


@pytest.mark.parametrize(
    ("choice", "day", "usd_per_kft"),
    [
        ("latest", "2026-11-24", 750),
        ("latest", "2026-11-25", 750),  # valid until is its last day
        ("latest", "2026-11-26", 800),
        ("latest", "2026-12-01", 900),
        ("lowest", "2026-11-25", 750),
        ("lowest", "2026-11-26", 800),
        ("lowest", "2026-12-01", 900),
        ("latest", "not given", 750),
    ],
)
def test_the_latest_or_the_lowest_quote_counts_that_has_not_expired(tmp_path, choice, day, usd_per_kft):
    build = of_three(tmp_path, choice, day)
    assert cost(build)["bare_usd"] * 1000 == pytest.approx(usd_per_kft)
    assert (cost(build)["state"], cost(build)["expired"]) == ("quote", 0)
    assert [line for line in told(build) if "it is used and flagged" in line] == []


@pytest.mark.parametrize(("choice", "usd_per_kft", "file"), [("latest", 750, "b"), ("lowest", 750, "b")])
def test_where_all_have_expired_one_is_used_and_flagged(tmp_path, choice, usd_per_kft, file):
    build = of_three(tmp_path, choice, "2027-01-01")
    assert cost(build)["bare_usd"] * 1000 == pytest.approx(usd_per_kft)
    assert (cost(build)["state"], cost(build)["expired"]) == ("EXPIRED QUOTE", 1)
    said = 'has expired, and no other quote of the item holds: it is used and flagged "ac-12-2"'
    assert told(build) == [f"{file}.csv:2:valid_until: {said}"]
    found = results_of(build)["plans"]
    assert [found[c]["prices_expired"] for c in ("ac-first", "mc-wire-first")] == [1, 0]
    assert found["ac-first"]["complete"]
    assert row(build, "against_base", plan="ac-first")["price_flags"] == 1


def test_without_a_date_of_the_estimate_no_quote_expires_and_that_is_told(tmp_path):
    build = of_three(tmp_path, "latest", "not given")
    assert {line["expired"] for line in rows(build, "quote_lines")} == {0}
    assert told(build) == [
        "inputs:estimate_date: is not given: no quote was tested for having expired; the date of the estimate"
    ]


@pytest.mark.parametrize(("choice", "first"), [("latest", "2026-11-01"), ("lowest", "2026-11-01")])
def test_of_equal_quotes_the_first_given_counts(tmp_path, choice, first):
    """Equal in date and in cost of one, however the unit of measure says it."""
    quotes = {"a.csv": HEAD + f"ac-12-2,M,800,{first}\n", "b.csv": HEAD + f"ac-12-2,C,80,{first}\n"}
    build = priced(tmp_path, f"quote_choice={choice}", quotes=quotes)
    assert cost(build)["used_row"] == 1
    assert [q.file for q in build.frame.quotes] == ["a.csv", "b.csv"]


def test_a_quote_without_a_date_is_older_than_any_other(tmp_path):
    quotes = {"a.csv": HEAD + "ac-12-2,M,700\n", "b.csv": HEAD + "ac-12-2,M,800,2026-01-05\n"}
    assert cost(priced(tmp_path, quotes=quotes))["used_row"] == 2


def test_a_missing_price_leaves_totals_open_and_is_told(tmp_path):
    build = priced(tmp_path, catalogs={"prices": "item,price_usd\nac-12-2,0\n"})
    assert (cost(build)["state"], cost(build)["missing"]) == ("MISSING", 1)
    assert told(build) == [
        'prices:price_usd: has no price: totals that need it are not complete "ac-12-2"; a price list row or a quote'
    ]
    found = results_of(build)["plans"]
    assert [(c["complete"], c["prices_missing"]) for c in found.values()] == [(False, 1), (True, 0)]
    lines = [re.split(" {2,}", line) for line in totals_text(build).splitlines()[2:4]]
    assert [(line[0], line[9], line[-1]) for line in lines] == [
        ("AC first", "n/c", "not to be used"),
        ("MC wire EGC first", "+0", "complete"),
    ]


def test_a_quote_fills_a_missing_price_and_one_with_its_whole_price_as_discount_does_not(tmp_path):
    missing = {"prices": "item,price_usd\nac-12-2,0\n"}
    build = priced(tmp_path / "a", catalogs=missing, quotes={"q.csv": HEAD + "ac-12-2,M,800\n"})
    assert results_of(build)["plans"]["ac-first"]["complete"]
    build = priced(tmp_path / "b", catalogs=missing, quotes={"q.csv": HEAD + "ac-12-2,M,800,,,100\n"})
    assert not results_of(build)["plans"]["ac-first"]["complete"]


def test_nothing_is_said_of_items_that_no_plan_buys(tmp_path):
    quotes = {"q.csv": HEAD + "mc-armor-8-2,M,2350,2026-01-05,2026-01-31\n"}
    build = priced(tmp_path, "estimate_date=2026-11-25", quotes=quotes,
                   catalogs={"prices": "item,price_usd\nac-6-3,0\n"})  # fmt: skip
    assert told(build) == []


def test_the_lines_of_quotes_flag_what_has_expired_and_what_may_be_a_slip(tmp_path):
    quotes = {"q.csv": HEAD + "ac-12-2,C,780,2026-11-01,2026-11-30\nac-12-3,M,1090,2026-11-01,2026-12-01\n"}
    build = priced(tmp_path, "estimate_date=2026-12-01", quotes=quotes)
    found = [(r["item"], r["flag"], r["doubt"]) for r in rows(build, "quote_lines")]
    free = [("none", "-", "-")] * FREE_QUOTES
    assert found == [("ac-12-2", "EXPIRED", "PROBABLE SLIP"), ("ac-12-3", "-", "-"), *free]
    found = [(r["item"], r["flag"], r["doubt"]) for r in rows(priced(tmp_path / "b"), "quote_lines")]
    assert found == free


LIST = float(CATALOG["ac-12-2"]["price_usd"])


@pytest.mark.parametrize(
    ("times", "slipped"),
    [
        (10, True), (100, True), (1000, True), (0.1, True), (0.01, True), (0.001, True),
        (1, False), (2, False), (5, False), (0.2, False), (50, True), (30, True), (1 / 30, True),
        # from 10 to the power 1 - 0.15, which is 7.0795
        (7.079, False), (7.080, True), (1 / 7.079, False), (1 / 7.080, True),
    ],
)  # fmt: skip
def test_a_price_ten_times_the_list_or_more_is_a_probable_slip_of_the_unit(tmp_path, times, slipped):
    """FAR 14.407-2 lists the designation of unit among apparent clerical mistakes; from where on is a convention."""
    build = priced(tmp_path, quotes={"q.csv": HEAD + f"ac-12-2,M,{LIST * times:.6f}\n"})
    assert row(build, "quote_lines", key="Q001")["slip"] == slipped
    assert [results_of(build)["plans"][c]["price_slips"] for c in ("ac-first", "mc-wire-first")] == [slipped, 0]


@pytest.mark.parametrize(("unit", "times"), [("C", "10"), ("ft", "1,000"), ("each", "1,000")])
def test_the_price_of_a_thousand_said_of_another_unit_is_told(tmp_path, unit, times):
    build = priced(tmp_path, quotes={"q.csv": HEAD + f"ac-12-2,{unit},{LIST:g}\n"})
    said = f"is {times} times the price list for ac-12-2: a slip of the unit of measure?"
    assert told(build) == [f'q.csv:2:price_usd: {said} "{LIST:g} {unit}"']


@pytest.mark.parametrize(("price", "told_times"), [(7500, "10"), (75_000, "100"), (3750, ""), (2250, "")])
def test_a_slip_among_quotes_is_told_of_the_dearer_one(tmp_path, price, told_times):
    """Without a price in the list the quotes are held against one another alone."""
    quotes = {"a.csv": HEAD + f"ac-12-2,M,{price}\n", "b.csv": HEAD + "ac-12-2,M,750\n"}
    build = priced(tmp_path, quotes=quotes, catalogs={"prices": "item,price_usd\nac-12-2,0\n"})
    said = f'is {told_times} times the lowest quote for ac-12-2: a slip of the unit of measure? "{price} M"'
    assert told(build) == ([f"a.csv:2:price_usd: {said}"] if told_times else [])


def test_the_band_of_slips_is_an_input(tmp_path):
    quotes = {"q.csv": HEAD + f"ac-12-2,M,{LIST * 4:.6f}\n"}
    # log10 of 4 is 0.602: 0.398 off
    found = [
        row(priced(tmp_path / b, f"slip_decades={b}", quotes=quotes), "quote_lines", key="Q001")["slip"]
        for b in "0.39 0.40".split()
    ]
    assert found == [0, 1]
    exact = {"q.csv": HEAD + f"ac-12-2,M,{LIST * 10:.6f}\n"}
    assert row(priced(tmp_path / "exact", "slip_decades=0", quotes=exact), "quote_lines", key="Q001")["slip"] == 1


def test_the_discount_of_a_family_is_off_the_list_and_not_off_a_quote(tmp_path):
    quotes = {"q.csv": HEAD + "ac-12-2,M,842,,,12\n"}
    build = priced(tmp_path, quotes=quotes, catalogs={"families": "family,discount_pct\ncable,25\n"})
    assert cost(build)["bare_usd"] == pytest.approx(0.74096)
    assert cost(build, "mc-wire-12-2")["bare_usd"] == pytest.approx(
        float(CATALOG["mc-wire-12-2"]["price_usd"]) * 0.75e-3
    )


JOB = ("estimate_date=2026-11-20", "install_date=2027-04-15", "material_tax_pct=7")


@pytest.mark.parametrize(
    ("line", "firm_until"),
    [
        ("", "2026-01-01"),  # date of the catalog price
        ("ac-12-2,M,842,2026-11-10,2026-12-10", "2026-12-10"),
        ("ac-12-2,M,842,2026-11-10", "2026-11-10"),
        ("ac-12-2,M,842,2026-11-10,2027-04-14", "2027-04-14"),
        ("ac-12-2,M,842,2026-11-10,2027-04-15", "2027-04-15"),
        ("ac-12-2,M,842,2026-11-10,2027-06-30", "2027-04-15"),  # firm beyond the middle of the work
    ],
)
def test_a_price_escalates_from_the_day_until_which_it_is_firm(tmp_path, line, firm_until):
    """FEMA Cost Estimating Format, Part E: to the midpoint of construction; days / 365 x rate, not compounded."""
    build = priced(tmp_path, *JOB, quotes={"q.csv": HEAD + line + "\n"} if line else {})
    days = (dt.date(2027, 4, 15) - dt.date.fromisoformat(firm_until)).days
    rate = float(FAMILIES["cable"]["escalation_pct_per_year"]) / 100
    assert cost(build)["days"] == days
    assert cost(build)["escalation"] == pytest.approx(1 + rate * days / 365)


def test_without_a_date_of_the_work_nothing_escalates(tmp_path):
    build = priced(tmp_path, "estimate_date=2026-11-20", quotes={"q.csv": HEAD + "ac-12-2,M,842,2026-01-10\n"})
    assert {line["escalation"] for line in rows(build, "unit_costs")} == {1.0}


def test_one_year_and_a_half_at_four_percent_is_six_percent(tmp_path):
    quotes = {"q.csv": HEAD + "ac-12-2,M,1000,2026-01-01\n"}
    rate = {"families": "family,waste_pct,escalation_pct_per_year\ncable,5,4\n"}
    day = dt.date(2026, 1, 1) + dt.timedelta(days=547)
    build = priced(tmp_path, f"install_date={day}", "material_tax_pct=10", quotes=quotes, catalogs=rate)
    # 1.00 x 1.05 x (1 + 0.04 x 547 / 365) x 1.10
    assert cost(build)["usd_each"] == pytest.approx(1.05 * 1.0599452 * 1.10, rel=1e-7)


UNTAXED = "family,taxable\ncable,0\nfitting,0\n"


@pytest.mark.parametrize("quoted", [False, True])
def test_every_material_figure_is_made_of_price_waste_escalation_and_tax(tmp_path, quoted):
    """Worked again from the catalog files, line by line: today + escalation + tax = material, by item and by box."""
    quotes = {"q.csv": HEAD + "ac-12-2,M,842,2026-11-10,2026-12-10,5\nsquare-4x1.5,C,214,2026-11-10,2026-12-10\n"}
    build = priced(tmp_path, *JOB, quotes=quotes if quoted else {}, catalogs={"families": UNTAXED})
    firm = {"ac-12-2": (0.842 * 0.95, "2026-12-10"), "square-4x1.5": (2.14, "2026-12-10")} if quoted else {}
    for place, plan in enumerate(("ac-first", "mc-wire-first"), start=1):
        today = escalation = tax = 0.0
        for line in rows(build, "material"):
            if line["item"] == UNUSED:
                assert (line[f"net_{place}"], line[f"usd_{place}"]) == (0, 0)
                continue
            listed = CATALOG[line["item"]]
            family = FAMILIES[listed["family"]]
            each = float(listed["price_usd"]) / PER[listed["unit"]], f"{listed['date']}-01"
            usd, day = firm.get(line["item"], each)
            years = (dt.date(2027, 4, 15) - dt.date.fromisoformat(day)).days / 365
            bare = line[f"net_{place}"] * usd * (1 + float(family["waste_pct"]) / 100)
            more = bare * years * float(family["escalation_pct_per_year"]) / 100
            taxed = 0 if listed["family"] in ("cable", "fitting") else 0.07
            assert line[f"usd_{place}"] == pytest.approx((bare + more) * (1 + taxed), abs=1e-9), line["item"]
            today, escalation, tax = today + bare, escalation + more, tax + (bare + more) * taxed
        bid = row(build, "bid", plan=plan)
        assert (bid["today_usd"], bid["escalation_usd"], bid["tax_usd"]) == pytest.approx((today, escalation, tax))
        assert min(escalation, tax) > 0
        boxes = by_box(build, plan=plan)
        total = row(build, "plan_sums", plan=plan)["material_cost"]
        assert sum(b["repeat"] * b["material_usd"] for b in boxes) == pytest.approx(total)
        assert today + escalation + tax == pytest.approx(total)
    assert build.book.values("master", "open")[0] == 0


def test_a_foot_of_raceway_costs_with_what_is_pulled_into_it(tmp_path: Path) -> None:
    """EMT at 0.72 USD, two conductors and an EGC of 12 AWG at 0.16 USD, without waste and couplings."""
    build = priced(tmp_path, compared="ac-first,emt")
    emt, wire, cable = (float(CATALOG[item]["price_usd"]) for item in ("emt-1/2", "wire-12", "ac-12-2"))
    assert (emt, wire) == (72, 160)
    assert row(build, "run_costs", key="2c12|emt-wire")["bare_usd"] == pytest.approx(0.72 + 2 * 0.16 + 0.16)
    assert row(build, "run_costs", key="2c12|ac")["bare_usd"] == pytest.approx(cable / 1000)


@pytest.mark.parametrize(("unpriced", "missing"), [((), 0), (("box",), 1), (("cover",), 1), (("box", "cover"), 2)])
def test_a_box_and_its_cover_need_a_price_each(tmp_path: Path, unpriced: tuple[str, ...], missing: int) -> None:
    (choice, *_) = [r for r in rows(priced(tmp_path / "all"), "box_choices") if r["cover"] != "none"]
    lines = "".join(f'{choice[part]},0,"agreed"\n' for part in unpriced)
    build = priced(tmp_path / "some", catalogs={"prices": "item,price_usd,source\n" + lines} if unpriced else None)
    (found,) = rows(build, "box_choices", box=choice["box"], cover=choice["cover"])[:1]
    assert found["missing"] == missing
    assert (found["weight"] >= 1) == bool(missing)  # behind all that have prices, whose shares are under 1


def test_a_quote_of_what_the_list_has_no_price_for_is_no_slip(tmp_path: Path) -> None:
    """Nothing to hold it against: it counts as it is."""
    unlisted = {"prices": 'item,price_usd,source\nac-12-2,0,"agreed"\n'}
    quote = {"q.csv": "item,unit,price\nac-12-2,M,900\n"}
    build = priced(tmp_path, catalogs=unlisted, quotes=quote)
    (line,) = rows(build, "quote_lines", item="ac-12-2")
    assert (line["above_catalog"], line["above_catalog_slip"]) == (1, 0)
    assert cost(build)["bare_usd"] == pytest.approx(0.9)
    assert [r["price_slips"] for r in rows(build, "plan_flags")] == [0, 0]
