"""The swap: every figure against the totals and against other builds, percent installed, one-time cost, sharing."""

from __future__ import annotations

from pathlib import Path

import pytest

from takeoff.build import Build, Options, compute
from tests.conftest import ALL_PLANS, SAMPLES
from tests.copies import number, worked
from tests.swapping import CLINIC, FROM_TO, INVENTED, Rebuild, by_hand, limits_of, on_grounds, shipped, swap_of
from tests.tables import row, rows

BID = Options(
    SAMPLES / "two-story.csv",
    inputs=SAMPLES / "bid.toml",
    quotes=[SAMPLES / "quote-current.csv", SAMPLES / "quote-expired.csv"],
)
NO_ONE_TIME = (
    *("on_hand_usd=0", "scrap_usd=0", "resubmittal_usd=0", "reinspection_usd=0"),
    *("approval_days=0", "lead_days=0"),
)
PAIRS = [
    ("mc-wire-first", "mc-armor-first"),
    ("mc-armor-first", "mc-wire-first"),
    ("ac-first", "emt"),
    ("emt", "mc-redundant-first"),
]

FAMILIES = {
    "cable": ("cable", "raceway", "wire"),
    "box": ("box", "cover"),
    "fitting": ("fitting", "joint", "support", "small"),
}
"""Families of the price list by part of the saving."""


@pytest.fixture
def rebuild(tmp_path: Path) -> Rebuild:
    return Rebuild(tmp_path)


def whole(pair: tuple[str, str], tmp_path: Path) -> Build:
    """Return the sample with its quotes, tax and conditions of work; nothing installed, no one-time cost."""
    lines = (SAMPLES / "bid.toml").read_text(encoding="utf-8").splitlines()
    toml = tmp_path / "inputs.toml"
    toml.write_text("\n".join(line for line in lines if not line.startswith("installed_pct")), encoding="utf-8")
    sets = (*NO_ONE_TIME, f"swap_from={pair[0]}", f"swap_to={pair[1]}")
    return compute(Options(BID.schedule, inputs=toml, sets=sets, plans=ALL_PLANS, quotes=BID.quotes))


@pytest.mark.parametrize("pair", PAIRS, ids=" for ".join)
def test_with_nothing_installed_the_swap_is_the_difference_of_the_totals(pair: tuple[str, str], tmp_path: Path):
    build = whole(pair, tmp_path)
    old, new = (row(build, "plan_sums", plan=p) for p in pair)
    swap = swap_of(build)
    assert swap["saved_hours"] == pytest.approx(old["labor_hours"] - new["labor_hours"])
    assert swap["labor_usd"] == pytest.approx(old["labor_cost"] - new["labor_cost"])
    assert swap["material_usd"] == pytest.approx(old["material_cost"] - new["material_cost"])
    assert swap["gross_usd"] == pytest.approx(old["installed_cost"] - new["installed_cost"])
    assert (swap["one_time_usd"], swap["net_usd"]) == (0, swap["gross_usd"])
    assert swap["feet_from"] - swap["feet_to"] == pytest.approx(old["feet"] - new["feet"], abs=1e-9)


@pytest.mark.parametrize("pair", PAIRS, ids=" for ".join)
def test_each_side_is_its_plan_without_the_circuits_that_both_wire_alike(pair: tuple[str, str], tmp_path: Path):
    build = whole(pair, tmp_path)
    old, new = ({r["circuit"]: r for r in rows(build, "verdicts", plan=p)} for p in pair)
    moved = [c for c in old if old[c]["wired_as"] != new[c]["wired_as"]]
    assert 0 < len(moved) < len(old)
    swap = swap_of(build)
    for which, side in (("from", old), ("to", new)):
        assert swap[f"hours_{which}"] == pytest.approx(sum(side[c]["hours"] for c in moved))
        assert swap[f"{which}_usd"] == pytest.approx(sum(side[c]["installed_usd"] for c in moved))


@pytest.mark.parametrize("pair", PAIRS, ids=" for ".join)
def test_its_parts_are_the_differences_of_the_families_of_the_material_list(pair: tuple[str, str], tmp_path: Path):
    """The material list counts items over the job; the swap adds up boxes by area: two routes to one sum."""
    build = whole(pair, tmp_path)
    swap, place = swap_of(build), {p: n for n, p in enumerate(build.frame.compared, start=1)}
    for part, families in FAMILIES.items():
        lines = [r for r in rows(build, "material") if r["family"] in families]
        old, new = (sum(r[f"usd_{place[p]}"] for r in lines) for p in pair)
        assert swap[f"{part}_usd"] == pytest.approx(old - new, abs=1e-6)
        assert swap[f"{part}_usd_from"] - swap[f"{part}_usd_to"] == pytest.approx(old - new, abs=1e-6)
    known = {f for families in FAMILIES.values() for f in families}
    assert {r["family"] for r in rows(build, "material")} <= known


@pytest.mark.parametrize("pair", PAIRS, ids=" for ".join)
def test_hours_on_grounds_are_those_of_the_operations_on_grounds(pair: tuple[str, str], tmp_path: Path):
    build = whole(pair, tmp_path)
    swap, place = swap_of(build), {p: n for n, p in enumerate(build.frame.compared, start=1)}
    grounds = {str(o["operation"]) for o in shipped("operations") if on_grounds(o)}
    assert len(grounds) == 6
    hours = {r["operation"]: r for r in rows(build, "labor")}
    saved = {o: r[f"hours_{place[pair[0]]}"] - r[f"hours_{place[pair[1]]}"] for o, r in hours.items()}
    ground, other = (swap[f"{n}_hours_from"] - swap[f"{n}_hours_to"] for n in ("ground", "other"))
    assert ground == pytest.approx(sum(h for o, h in saved.items() if o in grounds))
    assert other == pytest.approx(sum(h for o, h in saved.items() if o not in grounds))


def test_each_side_of_a_job_without_fallbacks_is_its_total(rebuild: Rebuild):
    build = rebuild(CLINIC)
    for which, plan in (("from", "mc-wire-first"), ("to", "mc-armor-first")):
        total = row(build, "plan_sums", plan=plan)
        names = {"hours": "labor_hours", "feet": "feet", "labor_usd": "labor_cost"}
        assert [swap_of(build)[f"{n}_{which}"] for n in names] == pytest.approx([total[t] for t in names.values()])
        assert swap_of(build)[f"{which}_usd"] == pytest.approx(total["installed_cost"])


def test_a_swap_back_costs_what_the_swap_saves(rebuild: Rebuild):
    there = swap_of(rebuild(CLINIC))
    back = swap_of(rebuild(CLINIC, "swap_from=mc-armor-first", "swap_to=mc-wire-first"))
    for name in ("saved_hours", "labor_usd", "cable_usd", "box_usd", "fitting_usd", "net_usd"):
        assert there[name] == pytest.approx(-back[name], abs=1e-9)
    assert there["net_usd"] != 0


def test_only_what_remains_of_every_area_is_counted(rebuild: Rebuild):
    """East 60 % installed, west nothing: 0.4 of what a build of the east alone saves, and all of the west's."""
    head, *lines = CLINIC.splitlines(keepends=True)
    alone = {a: swap_of(rebuild(head + "".join(x for x in lines if x.endswith(f"{a}\n")))) for a in ("east", "west")}
    both = rebuild(CLINIC, toml="[areas.east]\ninstalled_pct = 60\n")
    swap = swap_of(both)
    for name in ("saved_hours", "labor_usd", "cable_usd", "box_usd", "fitting_usd", "gross_usd", "from_usd", "to_usd"):
        assert swap[name] == pytest.approx(0.4 * alone["east"][name] + alone["west"][name]), name
    for area, part in (("east", 0.4), ("west", 1.0)):
        found = row(both, "swap_by_area", area=area)
        assert found["saved_usd"] == pytest.approx(part * alone[area]["gross_usd"])
        assert found["saved_labor_usd"] == pytest.approx(part * alone[area]["labor_usd"])
        for name in ("saved_hours", "cable_usd", "box_usd", "fitting_usd"):
            assert found[name] == pytest.approx(part * alone[area][name]), name


def test_an_area_that_is_finished_saves_nothing(rebuild: Rebuild):
    found = swap_of(rebuild(CLINIC, toml="[areas.east]\ninstalled_pct = 100\n[areas.west]\ninstalled_pct = 100\n"))
    assert (found["from_usd"], found["to_usd"], found["gross_usd"], found["saved_hours"]) == (0, 0, 0, 0)


def test_one_time_cost_is_the_sum_of_its_parts(rebuild: Rebuild):
    """20 % of 1 200 on hand are 240; with 55 scrap, 310 resubmittal, 90 re-inspection, 105 other: 800."""
    sets = ("on_hand_usd=1200", "restock_pct=20", "scrap_usd=55", "resubmittal_usd=310", "reinspection_usd=90")
    found = swap_of(rebuild(CLINIC, *sets, "other_one_time_usd=105"))
    assert (found["restock_usd"], found["one_time_usd"]) == (240, 800)
    assert found["net_usd"] == pytest.approx(found["gross_usd"] - 800)
    assert found["net_pct"] == pytest.approx(100 * found["net_usd"] / found["from_usd"])


def test_hours_saved_become_crew_days(rebuild: Rebuild):
    """12 h of a crew of 4 that works 10 h a day: 0.3 crew-days."""
    build = by_hand(rebuild, "crew_size=4", "hours_per_day=10")
    assert (swap_of(build)["saved_hours"], swap_of(build)["crew_days"]) == pytest.approx((12, 0.3))
    assert [r["crew_days"] for r in rows(build, "swap_by_area")] == pytest.approx([0.3])


@pytest.mark.parametrize("case", worked("swap"), ids=lambda c: c["id"])
def test_a_swap_worked_by_hand(rebuild: Rebuild, case: dict[str, str]):
    """Home runs of 85 ft to a junction box; only the landing of the EGC on the box screw takes time."""
    build = by_hand(
        rebuild,
        f"labor_rate_usd_per_h={case['labor_rate_usd_per_h']}",
        f"material_tax_pct={case['material_tax_pct']}",
        f"other_one_time_usd={case['one_time_usd']}",
        repeat=int(case["runs"]),
        minutes_each=number(case["minutes_each"]),
        premium_usd_per_kft=number(case["premium_usd_per_kft"]),
        waste_pct=number(case["waste_pct"]),
    )
    found = {**swap_of(build), "feet": swap_of(build)["feet_to"]}
    for name in ("feet", "saved_hours", "labor_usd", "cable_usd", "net_usd"):
        assert found[name] == pytest.approx(number(case[name]), abs=1e-6), name
    assert limits_of(build)["premium"] == pytest.approx(number(case["break_even_usd_per_kft"]), abs=1e-6)


def test_the_job_by_hand_has_the_figures_it_claims(rebuild: Rebuild):
    found = swap_of(by_hand(rebuild, "labor_rate_usd_per_h=78"))
    assert (found["feet_from"], found["feet_to"], found["saved_hours"]) == pytest.approx((8500, 8500, 12))
    assert (found["labor_usd"], found["gross_usd"]) == pytest.approx((936, 936))
    assert (found["cable_usd"], found["box_usd"], found["fitting_usd"]) == pytest.approx((0, 0, 0))
    assert found["cable_usd_from"] == pytest.approx(8.5 * 850)
    assert (found["state"], found["grounds_from"], found["grounds_to"]) == ("complete", 200, 0)


def test_what_is_not_priced_is_said_beside_the_saving(rebuild: Rebuild):
    """A price of 0 is one that is missing: the saving looks large, and the swap says that it is not complete."""
    missing = f'item,price_usd,source\nmc-armor-12-2,0,"{INVENTED}"\n'
    found = swap_of(rebuild(CLINIC, catalogs={"prices": missing}))
    assert (found["state"], found["not_priced"], found["open_prices_to"]) == ("NOT COMPLETE", 1, 1)
    assert swap_of(rebuild(CLINIC))["state"] == "complete"


THOUSAND_HOURS = ("labor_rate_usd_per_h=100", "other_one_time_usd=15000", "owner_cost_usd=5000")


def test_the_saving_is_shared_as_the_clause_for_construction_shares_it(rebuild: Rebuild):
    """FAR 52.248-3(f), fixed price, 45 %: worked with 100 000 saved, 15 000 development, 5 000 owner's cost.

    1 000 h at 100 USD/h are 100 000. Net of development 85 000; less the owner's cost 80 000; owner 36 000,
    contractor 44 000; the price falls by 41 000, and the owner nets 41 000 - 5 000 = 36 000.
    """
    build = by_hand(rebuild, *THOUSAND_HOURS, minutes_each=600)
    found = row(build, "sharing")
    assert swap_of(build)["gross_usd"] == pytest.approx(100_000)
    assert swap_of(build)["net_usd"] == pytest.approx(85_000)
    assert found["shared_usd"] == pytest.approx(80_000)
    assert (found["owner_usd"], found["contractor_usd"]) == pytest.approx((36_000, 44_000))
    assert found["price_falls_usd"] == pytest.approx(41_000)


@pytest.mark.parametrize(("share", "owner", "contractor", "falls"), [(0, 0, 80e3, 5e3), (100, 80e3, 0, 85e3)])
def test_other_contracts_share_otherwise(rebuild: Rebuild, share: int, owner: float, contractor: float, falls: float):
    """The owner's cost of 5 000 comes off the price in any case."""
    found = row(by_hand(rebuild, *THOUSAND_HOURS, f"owner_share_pct={share}", minutes_each=600), "sharing")
    assert (found["owner_usd"], found["contractor_usd"], found["price_falls_usd"]) == pytest.approx(
        (owner, contractor, falls)
    )


def test_collateral_savings_are_shared_by_a_typical_year(rebuild: Rebuild):
    """FAR 52.248-3(g): 20 % of a typical year's saving; 20 % of 3 000 are 600."""
    assert row(by_hand(rebuild, "collateral_usd_per_year=3000"), "sharing")["collateral_usd"] == pytest.approx(600)


@pytest.mark.parametrize("sets", [("other_one_time_usd=2000",), ("owner_cost_usd=2000",)], ids=["loss", "owner's cost"])
def test_nothing_is_shared_where_nothing_is_saved(rebuild: Rebuild, sets: tuple[str, ...]):
    found = row(by_hand(rebuild, "labor_rate_usd_per_h=78", *sets), "sharing")
    assert (found["shared_usd"], found["owner_usd"], found["contractor_usd"]) == (0, 0, 0)


def test_the_plans_of_the_swap_are_two_of_those_compared(rebuild: Rebuild):
    """Where a plan of the inputs is not compared, another takes its place, and never the same one twice."""
    build = rebuild(CLINIC, "swap_from=emt", compared=FROM_TO)
    assert {build.inputs["swap_from"], build.inputs["swap_to"]} == {"mc-wire-first", "mc-armor-first"}
