"""What a first page, a terminal and the results once kept quiet about: each is impossible now.

Where the test of a point stands elsewhere, it is named: 1 a held circuit that a rule refuses, 2 a slipped unit:
tests/model/cost/test_stops.py; 4 a fault path on invented figures: the same; 8 what is stale: tests/workbook/test_standing.py;
11 shares and cautions: tests/model/cost/test_basis.py, tests/catalog/test_code_rows.py.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from takeoff.build import Build
from takeoff.report.results import results_of
from takeoff.report.totals import totals_text
from tests import office
from tests.model.cost.test_basis import stated
from tests.model.cost.test_stops import HELD
from tests.priced import priced
from tests.tables import called, row, rows, schedule

PLANS = "ac-first", "mc-wire-first"


def money(text: str) -> list[float]:
    """Return the sums of money of a line, as printed."""
    return [float(found.replace(",", "")) for found in re.findall(r"\d[\d,]*(?= USD|, )", text)]


def test_a_refused_circuit_is_in_terminal_results_and_on_every_sheet_in_the_same_words(tmp_path: Path) -> None:
    """Point 1."""
    build = priced(tmp_path, schedule=schedule(HELD["Type AC in a wet place"][0]))
    (stop, *_) = results_of(build)["stops"]["ac-first"]
    said = f"not to be used: {stop['what']}: 1, 1; first P-1: {stop['told']} ({stop['section']})"
    assert said in totals_text(build)
    assert "NOT TO BE USED: 2 of 2 plans. " in row(build, "master")["says"]
    assert row(build, "stop_lines", number=1)["says"] == said.partition(": ")[2]


def test_a_slipped_quote_marks_its_plans_and_never_leaves_them_complete(tmp_path: Path) -> None:
    """Point 2: 98 cents each, entered for a hundred."""
    build = priced(tmp_path, quotes={"q.csv": "item,unit,price\nsquare-4x1.5,C,0.98\nsquare-4x1.25,C,0.98\n"})
    assert [r["state"] for r in rows(build, "totals")] == ["look first", "look first"]
    assert "look first: prices that look like a slip of the unit: " in totals_text(build)


def test_terminal_results_and_check_say_that_figures_are_invented(tmp_path: Path) -> None:
    """Point 3: with a quote of a sample too; nothing is said any more where every figure is stated."""
    quote = "item,unit,price,kind\nac-12-2,M,800,illustrative\nmc-wire-12-2,M,900,illustrative\n"
    build = priced(tmp_path / "a", quotes={"q.csv": quote})
    says = "DEMONSTRATION: up to 100 % of a total rests on invented figures. "
    assert says in totals_text(build)
    found = results_of(build)
    assert found["demonstration"]["on"] == 1
    assert found["demonstration"]["installed_pct"] == pytest.approx(100)
    assert {f["key"] for f in found["still_invented"] if f["kind"] == "price"} >= {"ac-12-2", "mc-wire-12-2"}
    known = stated(tmp_path / "b")
    assert "DEMONSTRATION" not in totals_text(known)
    assert results_of(known)["still_invented"] == []


def test_one_difference_stands_beside_the_bid_and_it_is_that_of_the_bids(tmp_path: Path) -> None:
    """Point 5: never the difference of another total."""
    build = priced(tmp_path, "overhead_pct=12", "profit_pct=15")
    bids = {p: row(build, "bid", plan=p)["bid_usd"] for p in PLANS}
    found = {p: row(build, "totals", title=called(p))["difference"] for p in PLANS}
    assert found == {p: bids[p] - bids["mc-wire-first"] for p in PLANS}
    installed = {p: row(build, "totals", title=called(p))["installed_cost"] for p in PLANS}
    assert found["ac-first"] != pytest.approx(installed["ac-first"] - installed["mc-wire-first"])
    (line,) = (text for text in totals_text(build).splitlines() if text.startswith(f"{called('ac-first')} "))
    assert f" {found['ac-first']:+,.0f} " in line


def test_whole_packages_are_in_the_terminal_beside_the_price_by_feet(tmp_path: Path) -> None:
    """Point 6: what they come to in every plan, and how many plans change place by them."""
    build = priced(tmp_path)
    ways = rows(build, "cable_priced")
    text = totals_text(build)
    for title, name in (("in packages", "packages_usd"), ("in packages less stock", "less_stock_usd")):
        (line,) = (s for s in text.splitlines() if s.startswith(f"Installed, cable {title}: "))
        assert money(line.partition(": ")[2]) == [round(r[name]) for r in ways]
    moved = sum(r["moves"] for r in ways)
    assert (f"Plans that change place by how cable is priced: {moved:.0f}." in text) == (moved > 0)
    bought = totals_text(priced(tmp_path / "b", "cable_priced_by=packages"))
    assert "Installed, cable by feet with waste: " in bought
    assert "Installed, cable in packages: " not in bought


def test_a_fallback_that_makes_the_difference_is_the_first_circuit_named(tmp_path: Path) -> None:
    """Point 7: one long circuit that a rule sends to another construction, with the section that does."""
    far = {"box": "Y", "circuit": "P-2", "device": "duplex-hg", "space": "patient-care", "run_ft": 400}
    build = priced(tmp_path, schedule=schedule({"device": "duplex"}, far))
    (first, *_) = rows(build, "heaviest")
    apart = {r["circuit"]: r["installed_usd_2"] - r["installed_usd_1"] for r in rows(build, "circuit_outcomes")}
    assert first["circuit"] == max(apart, key=lambda circuit: abs(apart[circuit])) == "P-2"
    assert "(517.13" in first["reason"]


def test_the_bid_says_what_is_not_in_it_where_it_stands(sample_build: Build, sample_workbook: Path) -> None:
    """Point 9: on the sheet Bid beside the figure, and on the first page."""
    bid = row(sample_build, "bid_sheet", title="BID")
    assert "no devices, luminaires, plates, panels or breakers" in " ".join(map(str, bid.values()))
    values = office.values(sample_workbook)
    on = {sheet: " ".join(str(v) for (s, _), v in values.items() if s == sheet) for sheet in ("Bid", "Summary")}
    assert "no devices, luminaires, plates, panels or breakers" in on["Bid"]
    assert "devices, luminaires, plates, panels, breakers only as lines of your own" in on["Summary"]


def test_about_says_what_is_drawn_and_how_often(sample_build: Build, sample_workbook: Path) -> None:
    """Point 10: the risk has draws and a seed."""
    values = office.values(sample_workbook)
    about = " ".join(str(v) for (sheet, _), v in values.items() if sheet == "About")
    draws, seed = sample_build.inputs["risk_draws"], sample_build.inputs["risk_seed"]
    assert f"{draws:.0f} draws with the seed {seed:.0f}" in about
    assert "nothing is drawn" not in about.lower()
