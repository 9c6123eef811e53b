"""The decision: waiting, learning anew, what is built already, the verdict, the change order, blanks of the proposal."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from takeoff.build import Build
from takeoff.job.records import WORK_STATES
from takeoff.model.order.cables import CUTS, ORDER, REST, REST_CUTS, REST_ORDER
from takeoff.model.swap.sharing import BLANK, FILLED, FILLED_USD
from takeoff.report.order_files import order_texts
from takeoff.text.dates import iso
from takeoff.text.problems import InputError
from tests.swapping import CLINIC, FROM_TO, Rebuild, by_hand, limits_of, swap_of
from tests.tables import called, row, rows


@pytest.fixture
def rebuild(tmp_path: Path) -> Rebuild:
    return Rebuild(tmp_path)


AT_78 = "labor_rate_usd_per_h=78"
DATED = (AT_78, "other_one_time_usd=234", "status_date=2026-11-02", "finish_date=2026-12-12")
WAITED = ("lead_days=7", "approval_days=5")


def test_decided_today_what_is_built_until_the_cable_comes_is_built_the_old_way(rebuild: Rebuild):
    """12 of 40 days: 936 x 28/40 = 655.20, less 234 once: 421.20."""
    found = swap_of(by_hand(rebuild, *DATED, *WAITED))
    assert (found["gross_usd"], found["waited_usd"]) == pytest.approx((936, 280.80))
    assert found["net_usd"] == pytest.approx(421.20)


def test_the_net_saving_falls_straight_with_the_day_of_the_decision_to_what_is_spent_once(rebuild: Rebuild):
    """936 x (28 - 4 n) / 40 - 234: 421.20, 327.60 ... , and from the day 28 on all is built the old way."""
    found = rows(by_hand(rebuild, *DATED, *WAITED), "decision_days")
    wanted = [936 * max(0, 28 - 4 * n) / 40 - 234 for n in range(11)]
    assert [r["net_usd"] for r in found] == pytest.approx(wanted)
    assert [iso(r["day"]) for r in found[:2]] == ["2026-11-02", "2026-11-06"]


def test_on_the_day_by_which_to_decide_nothing_is_saved_any_more(rebuild: Rebuild):
    """18 days after 2 November, 20 November: 936 x (28 - 18) / 40 = 234."""
    build = by_hand(rebuild, *DATED, *WAITED)
    assert iso(limits_of(build)["decide_by"]) == "2026-11-20"
    again = by_hand(rebuild, *DATED[:2], "status_date=2026-11-20", DATED[3], *WAITED, toml=PART.format(45))
    assert swap_of(again)["net_usd"] == pytest.approx(0, abs=1e-9)


PART = '[areas."(no area)"]\ninstalled_pct = {}\n'


@pytest.mark.parametrize(
    ("sets", "said"),
    [
        (("lead_days=7", "approval_days=5"), "open"),
        (("lead_days=20", "approval_days=11"), "PAST: decided today, nothing is saved any more"),
        (("lead_days=7", "other_one_time_usd=936"), "nothing is saved on any day"),
    ],
)
def test_a_day_that_is_past_is_said_to_be(rebuild: Rebuild, sets: tuple[str, ...], said: str):
    assert limits_of(by_hand(rebuild, *DATED, *sets))["decided"] == said


@pytest.mark.parametrize("dates", [(), ("status_date=2026-11-02",), ("finish_date=2026-12-12",)])
def test_without_both_dates_nothing_is_said_of_a_day(rebuild: Rebuild, dates: tuple[str, ...]):
    build = by_hand(rebuild, AT_78, *dates)
    assert limits_of(build)["decided"] == "no dates are given"
    assert swap_of(build)["days"] == 0


@pytest.mark.parametrize(("rate", "boxes"), [(80, 10), (90, 30), (95, 100)])
def test_learning_anew_is_the_sum_of_the_curve_unit_by_unit(rebuild: Rebuild, rate: int, boxes: int):
    """The midpoint formula against the sum written out, 40 boxes, minutes that hold from a box on: within 0.5 %."""
    build = by_hand(rebuild, f"relearn_rate_pct={rate}", f"relearn_until_box={boxes}", repeat=40)
    b, units = np.log2(rate / 100), np.minimum(np.arange(1, 41), boxes)
    wanted = (units**b).mean() / boxes**b
    assert row(build, "relearning")["factor"] == pytest.approx(wanted, rel=0.005)


def test_learning_agrees_with_the_published_table(rebuild: Rebuild):
    """Tables of learning-curve coefficients in operations textbooks, 80 %: 10 units take 6.315 times the first.

    From memory; the tenth alone takes 0.477.
    """
    found = row(by_hand(rebuild, "relearn_rate_pct=80", "relearn_until_box=10", repeat=10), "relearning")
    assert found["first"] == pytest.approx(6.315, rel=0.005)
    assert found["held_at"] == pytest.approx(0.477, abs=0.0005)


def test_only_the_new_construction_is_learned_anew(rebuild: Rebuild):
    plain, learned = (swap_of(rebuild(CLINIC, *sets)) for sets in ((), ("relearn_rate_pct=80",)))
    assert learned["hours_from"] == plain["hours_from"]
    assert learned["hours_to"] > plain["hours_to"] * 1.1
    assert learned["ground_hours_to"] / plain["ground_hours_to"] == pytest.approx(
        learned["hours_to"] / plain["hours_to"]
    )
    assert swap_of(rebuild(CLINIC, "relearn_rate_pct=100"))["hours_to"] == pytest.approx(plain["hours_to"])


STATED = CLINIC.replace("wires,area", "wires,area,work_state").replace(",A N,east\n", ",A N,east,{}\n")


@pytest.mark.parametrize("state", WORK_STATES)
def test_a_circuit_that_is_begun_is_no_part_of_the_swap(rebuild: Rebuild, state: str):
    """P-2 is begun or not; without it a build of the rest saves the same."""
    found = swap_of(rebuild(STATED.format(state.upper())))
    rest = CLINIC if state == "not started" else "".join(x for x in CLINIC.splitlines(True) if ",P-2," not in x)
    for name in ("gross_usd", "saved_hours", "feet_to", "grounds_from"):
        assert found[name] == pytest.approx(swap_of(rebuild(rest))[name]), name
    assert found["circuits"] == (3 if state == "not started" else 2)


def test_the_state_of_a_circuit_goes_before_the_percent_of_its_area(rebuild: Rebuild):
    """East is half built; P-2 says that it is not begun: it counts whole, P-1 by half."""
    said = "[areas.east]\ninstalled_pct = 50\n"
    half, whole = (
        swap_of(rebuild(CLINIC, toml=said + more)) for more in ("", '[circuits."P-2"]\nwork_state = "not started"\n')
    )
    alone = "".join(x for x in CLINIC.splitlines(True) if ",P-2," in x or x.startswith("box,"))
    assert whole["gross_usd"] - half["gross_usd"] == pytest.approx(swap_of(rebuild(alone))["gross_usd"] / 2)


def test_what_is_no_state_is_refused_with_those_that_are(rebuild: Rebuild):
    known = ", ".join(WORK_STATES)
    with pytest.raises(InputError, match=f'work_state: is no state of the work: "half"; accepted: {known}'):
        rebuild(STATED.format("half"))
    with pytest.raises(InputError, match=f'circuits.P-2.work_state: is not accepted: "half"; one of {known}'):
        rebuild(CLINIC, toml='[circuits."P-2"]\nwork_state = "half"\n')


def test_a_private_change_order_has_overhead_on_cost_and_profit_on_both(rebuild: Rebuild):
    """10 000 direct, 10 % overhead, 10 % profit on 11 000: 12 100, worked so on public pages on change orders."""
    build = by_hand(rebuild, "other_one_time_usd=10000", minutes_each=0)
    found = row(build, "sharing")
    assert found["change_usd"] == pytest.approx(10_000)
    assert (found["change_overhead_usd"], found["change_profit_usd"]) == pytest.approx((1_000, 1_100))
    assert found["change_order_usd"] == pytest.approx(12_100)


@pytest.mark.parametrize(("credited", "order"), [("no", -936), ("yes", -936 * 1.21)])
def test_a_saving_is_a_credit_with_or_without_its_markup(rebuild: Rebuild, credited: str, order: float):
    build = by_hand(rebuild, AT_78, f"change_markup_credited={credited}")
    assert row(build, "sharing")["change_order_usd"] == pytest.approx(order)


def test_collateral_savings_are_capped(rebuild: Rebuild):
    """FAR 52.248-3(g): not above the contract price, or 100 000 USD where that is more."""
    year = "collateral_usd_per_year=2000000"
    shares = [
        row(by_hand(rebuild, year, f"contract_usd={price}"), "sharing")["collateral_usd"]
        for price in (0, 50_000, 250_000, 900_000)
    ]
    assert shares == pytest.approx([100_000, 100_000, 250_000, 400_000])


def test_what_nobody_stated_is_a_blank_to_fill(rebuild: Rebuild):
    found = row(rebuild(CLINIC), "sharing")
    assert {found[f"{name}_filled"] for name in (*FILLED, *FILLED_USD)} == {BLANK}
    said = row(rebuild(CLINIC, "agency=county", "owner_cost_usd=12", 'earlier_proposals="one, refused"'), "sharing")
    assert (said["agency_filled"], said["owner_cost_usd_filled"]) == ("county", 12)
    assert "one, refused" in said["earlier_proposals_filled"]


@pytest.mark.parametrize(
    ("sets", "begin"),
    [
        (("other_one_time_usd=936",), "NO"),
        (("demo_share_pct=100",), "GO"),
        (("demo_share_pct=0",), "WAIT: it saves, but prices"),
        (("demo_share_pct=100", "other_one_time_usd=930"), "WAIT: it saves on the average, with less"),
    ],
)
def test_the_verdict_says_go_wait_or_no(rebuild: Rebuild, sets: tuple[str, ...], begin: str):
    found = row(by_hand(rebuild, AT_78, *sets), "risk")
    assert str(found["verdict"]).startswith(begin)


def test_the_bridge_leads_from_the_estimate_to_what_is_expected(rebuild: Rebuild):
    build = by_hand(rebuild, *DATED, *WAITED)
    risk, swings = row(build, "risk"), rows(build, "swings")
    leaning = sum(r["mean_usd"] for r in swings)
    assert risk["leaning_usd"] == pytest.approx(leaning)
    assert swap_of(build)["net_usd"] + leaning + risk["joint_usd"] == pytest.approx(risk["mean_usd"])


def test_hours_have_one_value_for_what_remains_and_one_for_the_whole_job(rebuild: Rebuild):
    build = rebuild(CLINIC, toml="[areas.east]\ninstalled_pct = 60\n")
    whole = sum(r["saved"] for r in rows(build, "labor_difference"))
    old, new = (row(build, "plan_sums", plan=p)["labor_hours"] for p in ("mc-wire-first", "mc-armor-first"))
    assert swap_of(build)["whole_hours"] == pytest.approx(old - new) == pytest.approx(whole)
    assert swap_of(build)["saved_hours"] == pytest.approx(sum(r["saved_hours"] for r in rows(build, "swap_areas")))


BEGUN = '[circuits."P-2"]\nwork_state = "pulled"\n'


def test_the_cutting_plan_of_what_remains_has_the_runs_of_circuits_that_are_not_begun(rebuild: Rebuild):
    """Without P-2, which is pulled, it is the plan of a job of the other circuits, in both plans of the swap."""
    rest = "".join(x for x in CLINIC.splitlines(True) if ",P-2," not in x)
    found, alone = (rebuild(*args[:1], toml=args[1]) for args in ((CLINIC, BEGUN), (rest, "")))
    names = ("title", "item", "runs", "run_ft", "packages", "bought_ft")
    mine, theirs = ([[r[n] for n in names] for r in rows(b, "rest_cable")] for b in (found, alone))
    assert mine == theirs
    assert {r[0] for r in mine} == {called("mc-wire-first"), called("mc-armor-first")}
    assert sum(r[2] for r in mine) == 2 * 6  # six of the eight boxes, each fed by one run, in two plans


def test_what_goes_back_is_what_the_new_plan_does_not_need(rebuild: Rebuild):
    """All of the old cable and its fittings; none of what both plans need alike, such as connectors of conductors."""
    build = rebuild(CLINIC, "bought_pct=40", "on_hand_usd=100", "restock_pct=20")
    found = {r["rest_item"]: r for r in rows(build, "rest_list")}
    wire, armor = found["mc-wire-12-2"], found["mc-armor-12-2"]
    assert wire["back"] == wire["from_quantity"] > 0 == wire["to_quantity"]
    assert armor["back"] == 0 == armor["from_quantity"] < armor["to_quantity"]
    bare = dict(zip(build.book.values("unit_costs", "item"), build.book.values("unit_costs", "bare_usd"), strict=True))
    listed = sum(r["back"] * bare[item] for item, r in found.items() if r["back"])
    assert swap_of(build)["restock_usd"] == pytest.approx((100 + 0.4 * listed) * 0.2)


def test_the_files_of_an_order_hold_what_remains_coil_by_coil_and_what_goes_back(rebuild: Rebuild, tmp_path: Path):
    """P-2 is pulled: the cuts are the runs of the other circuits, each once in both plans, no coil over its length."""
    sets = ("bought_pct=40", "on_hand_usd=100", "restock_pct=20")
    build = rebuild(CLINIC, *sets, toml=BEGUN)
    texts = order_texts(build)
    cuts = list(csv.DictReader(texts[REST_CUTS].splitlines()))
    rest = [line.split(",")[0] for line in CLINIC.splitlines()[1:] if ",P-2," not in line]
    for plan in ("mc-wire-first", "mc-armor-first"):
        assert sorted(c["box"] for c in cuts if c["plan"] == plan) == sorted(rest)
    coils: dict[tuple[str, ...], float] = {}
    for c in cuts:
        key = (c["plan"], c["cable"], c["coil"], c["coil_ft"])
        coils[key] = coils.get(key, 0) + float(c["cut_ft"])
    assert all(used <= float(key[-1]) for key, used in coils.items())
    table = {(r["plan"], r["item"], r["coil"]): (r["used_ft"], r["leftover_ft"]) for r in rows(build, "rest_coils")}
    by_cuts = {(called(p), i, float(n)): (used, float(length) - used) for (p, i, n, length), used in coils.items()}
    assert table == {coil: pytest.approx(feet, abs=1e-6) for coil, feet in by_cuts.items()}
    back = list(csv.DictReader(texts[REST].splitlines()))
    wire = next(r for r in back if r["item"] == "mc-wire-12-2")
    assert float(wire["goes_back_where_bought"]) == float(wire["needed_from"]) > float(wire["needed_to"]) == 0
    charged = sum(float(r["restocking_usd"]) for r in back)
    assert charged + 100 * 0.2 == pytest.approx(swap_of(build)["restock_usd"], abs=0.05)


def order_of(build: Build, file: str) -> list[tuple[str, ...]]:
    """Return the lines of an order in the two plans of the swap: plan, item, package, how many."""
    lines = csv.DictReader(order_texts(build)[file].splitlines())
    plans = {build.inputs[f"swap_{side}"] for side in ("from", "to")}
    return [(r["plan"], r["item"], r["package"], r["packages"]) for r in lines if r["plan"] in plans]


def test_the_order_of_what_remains_is_that_of_a_job_of_the_other_circuits(rebuild: Rebuild):
    """In whole packages: coils by the cutting plan, all else rounded up once; with nothing begun that of the job."""
    rest = "".join(x for x in CLINIC.splitlines(True) if ",P-2," not in x)
    compared = f"ac-first,{FROM_TO}"
    alone = order_of(rebuild(rest, compared=compared), ORDER)
    found = rebuild(CLINIC, toml=BEGUN, compared=compared)
    assert order_of(found, REST_ORDER) == alone
    assert alone != order_of(found, ORDER)
    assert {line[0] for line in alone} == {"mc-wire-first", "mc-armor-first"}
    whole = rebuild(CLINIC)
    assert order_of(whole, REST_ORDER) == order_of(whole, ORDER)


def test_with_nothing_begun_no_second_cutting_plan_stands_beside_the_first(rebuild: Rebuild):
    build = rebuild(CLINIC)
    assert "rest_coils" not in build.book.tables
    texts = order_texts(build)
    assert sorted(texts[REST_CUTS].splitlines()) == sorted(texts[CUTS].splitlines())


def test_whole_coils_count_where_cable_is_priced_in_packages(rebuild: Rebuild):
    """What remains is the whole job: the coil remainders are those of the plans."""
    plain, packed = (swap_of(rebuild(CLINIC, f"cable_priced_by={way}")) for way in ("feet", "packages"))
    build = rebuild(CLINIC, "cable_priced_by=packages")
    more = {p: row(build, "cable_more", plan=p)["usd"] for p in ("mc-wire-first", "mc-armor-first")}
    assert plain["coil_usd"] == 0
    assert packed["coil_usd"] == pytest.approx(more["mc-armor-first"] - more["mc-wire-first"])
    assert packed["net_usd"] == pytest.approx(plain["net_usd"] - packed["coil_usd"])


def test_with_everything_begun_nothing_remains(rebuild: Rebuild):
    toml = "".join(f'[circuits."{c}"]\nwork_state = "done"\n' for c in ("P-1", "P-2", "P-3,5"))
    build = rebuild(CLINIC, toml=toml)
    assert [r["runs"] for r in rows(build, "rest_cable")] == [0]
    assert sum(r["from_quantity"] + r["to_quantity"] for r in rows(build, "rest_list")) == 0
    assert swap_of(build)["gross_usd"] == 0
