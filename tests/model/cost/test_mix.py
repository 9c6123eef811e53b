"""Totals by area, and the best mix: the cheapest construction that may serve each circuit, by brute force."""

from __future__ import annotations

from collections import defaultdict
from pathlib import Path
from typing import Any

import pytest

from takeoff.build import Build, Options, compute
from takeoff.model.cost.best_mix import mix_of
from takeoff.report.results import results_of
from tests.conftest import ALL_PLANS, SAMPLES
from tests.swapping import CLINIC, INVENTED, Rebuild, overlay, prices, shipped
from tests.tables import row, rows

BID = Options(
    SAMPLES / "two-story.csv",
    inputs=SAMPLES / "bid.toml",
    quotes=[SAMPLES / "quote-current.csv", SAMPLES / "quote-expired.csv"],
    sets=["mixing_usd=250"],
    plans=ALL_PLANS,
)
PATIENT = CLINIC.replace("wires,area", "wires,area,space") + "C1,P-4,duplex-hg,90,,,west,patient-care\n"
FOR_PATIENTS = {"ac-redundant", "mc-redundant", "emt-wire"}
"""NEC 517.13: a metal raceway or an armor that is a ground path, and an insulated EGC in it."""


@pytest.fixture
def rebuild(tmp_path: Path) -> Rebuild:
    return Rebuild(tmp_path)


@pytest.fixture(scope="module")
def bid() -> Build:
    return compute(BID)


def costs_of(build: Build) -> dict[str, dict[str, tuple[float, str]]]:
    """Return for every circuit, by plan, what its boxes cost together, and what it is wired in."""
    rate = row(build, "labor_rate")["usd_per_h"]
    found: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    wired: dict[tuple[str, str], set[str]] = defaultdict(set)
    for box in results_of(build)["boxes"]:
        usd = (box["minutes"] / 60 * rate + box["material_cost"]) * box["repeat"]
        found[box["circuit"]][box["plan"]] += usd
        wired[box["circuit"], box["plan"]].add(box["wired_as"])
    return {c: {p: (usd, " ".join(sorted(wired[c, p]))) for p, usd in plans.items()} for c, plans in found.items()}


@pytest.mark.parametrize("plan", ALL_PLANS.split(","))
def test_areas_add_up_to_the_totals(bid: Build, plan: str):
    areas, total = rows(bid, "area_totals", plan=plan), row(bid, "plan_sums", plan=plan)
    for area, whole in (
        ("hours", "labor_hours"),
        ("labor_usd", "labor_cost"),
        ("material_usd", "material_cost"),
        ("installed_usd", "installed_cost"),
        ("feet", "feet"),
        ("grounds", "ground_terminations"),
    ):
        assert sum(a[area] for a in areas) == pytest.approx(total[whole]), whole
    for a in areas:
        assert a["cable_usd"] + a["box_usd"] + a["fitting_usd"] == pytest.approx(a["material_usd"])
    assert sum(a["boxes"] for a in areas) == sum(b.circuit.repeat for b in bid.job.boxes)
    shown = {a["area"]: a["installed_usd"] for a in areas}
    place = bid.frame.compared.index(plan) + 1
    assert {r["area"]: r[f"usd_{place}"] for r in rows(bid, "by_area")} == pytest.approx(shown)


def test_an_area_costs_what_its_circuits_cost_alone(rebuild: Rebuild):
    head, *lines = CLINIC.splitlines(keepends=True)
    both = rebuild(CLINIC)
    for area in ("east", "west"):
        alone = rebuild(head + "".join(line for line in lines if line.endswith(f"{area}\n")))
        for plan in ("mc-wire-first", "mc-armor-first"):
            found = row(both, "area_totals", area=area, plan=plan)
            assert found["installed_usd"] == pytest.approx(row(alone, "plan_sums", plan=plan)["installed_cost"])


def test_a_box_without_an_area_is_counted(rebuild: Rebuild):
    build = rebuild(CLINIC.replace(",west", ","))
    assert [r["area"] for r in rows(build, "by_area")] == ["east", "(no area)"]
    total = row(build, "plan_sums", plan="mc-wire-first")["installed_cost"]
    assert sum(r["usd_1"] for r in rows(build, "by_area")) == pytest.approx(total)


def mixed(build: Build) -> dict[str, str]:
    """Return the construction of every line of the best mix, by its key."""
    return dict(zip((r["circuit"] for r in rows(build, "mix_choices")), mix_of(build.book), strict=True))


def test_each_circuit_gets_the_cheapest_of_what_the_plans_wire_it_in(bid: Build):
    """A circuit is taken whole from one plan, also where its damp or wet runs are wired otherwise: a line for each."""
    costs = costs_of(bid)
    keys = {title: key for key, title in bid.frame.called.items()}
    chosen: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for line in rows(bid, "mix_choices"):
        chosen[line["circuit"].partition(":")[0]].append(line)
    assert chosen.keys() == costs.keys()
    for circuit, plans in costs.items():
        cheapest = min(usd for usd, _ in plans.values())
        assert sum(line["installed_usd"] for line in chosen[circuit]) == pytest.approx(cheapest)
        wired = " ".join(sorted({keys[line["wired_as"]] for line in chosen[circuit]}))
        assert wired in {w for usd, w in plans.values() if usd == pytest.approx(cheapest)}
    best = row(bid, "best_mix")
    assert best["installed_usd"] == pytest.approx(sum(min(u for u, _ in p.values()) for p in costs.values()))
    assert best["installed_usd"] <= min(r["installed_cost"] for r in rows(bid, "plan_sums")) + 1e-6
    assert best["state"] == "complete"


def test_the_mix_changes_construction_with_the_prices(rebuild: Rebuild):
    """The three-conductor cable with an EGC wire at a tenth of its price: that circuit, and no other, takes it."""
    cheap = prices(lambda r: float(str(r["price_usd"])) * (0.1 if r["item"] == "mc-wire-12-3" else 1))
    build = rebuild(CLINIC, compared="ac-first,mc-wire-first,mc-armor-first", catalogs={"prices": cheap})
    found = mixed(build)
    assert found["P-3,5"] == "mc-wire"
    costs = costs_of(build)
    assert found["P-1"] == costs["P-1"][min(costs["P-1"], key=lambda p: costs["P-1"][p][0])][1] != "mc-wire"


def test_what_a_rule_refuses_is_never_chosen(rebuild: Rebuild):
    """Cables that may not serve patient care at a hundredth of their price: the circuit there does not take them."""
    cheap = prices(lambda r: float(str(r["price_usd"])) * (1 if "redundant" in str(r["item"]) else 0.01))
    build = rebuild(PATIENT, compared=ALL_PLANS, catalogs={"prices": cheap})
    found = mixed(build)
    assert found["P-4"] in FOR_PATIENTS
    assert not {found["P-1"], found["P-2"]} & FOR_PATIENTS


def test_in_the_sample_patient_care_keeps_its_two_ground_paths(bid: Build):
    care = {b.circuit.name for b in bid.job.boxes if b.source.space == "patient-care"}
    found = mixed(bid)
    assert care
    assert {found[c] for c in care} <= FOR_PATIENTS


@pytest.mark.parametrize("held", ["emt-wire", "mc-armor"])
def test_a_circuit_that_is_held_stays_as_it_is_held(rebuild: Rebuild, held: str):
    text = CLINIC.replace("wires,area", "wires,area,construction").replace(
        "E1,P-1,duplex,61,,,east", f"E1,P-1,duplex,61,,,east,{held}"
    )
    build = rebuild(text, compared="ac-first,mc-wire-first")
    assert mixed(build)["P-1"] == held


def test_what_has_no_price_is_no_bargain(rebuild: Rebuild):
    """The cable of the cheapest plan loses its price: its cost of 0 would make it cheaper still."""
    before = mixed(rebuild(CLINIC))
    names = ("item", "price_usd", "source")
    lost = [{"item": f"{before['P-1']}-12-2", "price_usd": 0, "source": INVENTED}]
    after = rebuild(CLINIC, catalogs={"prices": overlay(names, lost)})
    assert mixed(after)["P-1"] != before["P-1"]
    assert row(after, "best_mix")["state"] == "complete"


def test_a_mix_with_something_unpriced_says_so(rebuild: Rebuild):
    """Seven runs have two conductors; no cable of that kind has a price."""
    names = ("item", "price_usd", "source")
    cables = [r for r in shipped("prices") if str(r["item"]).endswith("-12-2")]
    lost = [{"item": r["item"], "price_usd": 0, "source": INVENTED} for r in cables]
    build = rebuild(CLINIC, catalogs={"prices": overlay(names, lost)})
    assert (row(build, "best_mix")["state"], row(build, "best_mix")["lacking"]) == ("NOT COMPLETE", 7)


def test_of_equal_costs_the_first_plan_counts(rebuild: Rebuild):
    """Two plans of the same constructions; the second one is compared first."""
    toml = '[plans]\none = ["ac", "mc-wire"]\ntwo = ["ac", "mc-wire"]\n'
    build = rebuild(CLINIC, toml=toml, compared="two,mc-wire-first,one")
    assert [r["wired_as"] for r in rows(build, "mix_choices")] == ["AC with armor EGC"] * 3
    assert {r["plan"] for r in rows(build, "mix_choices")} == {"two"}


def test_what_simplicity_costs(bid: Build):
    """250 USD for each construction beyond the first, counted for the mix and for every plan alike."""
    costs = costs_of(bid)
    mix = set(mix_of(bid.book))
    best = sum(min(u for u, _ in p.values()) for p in costs.values()) + 250 * (len(mix) - 1)
    assert row(bid, "best_mix")["with_mixing_usd"] == pytest.approx(best)
    for plan in bid.frame.compared:
        used = {w for plans in costs.values() for w in plans[plan][1].split()}
        total = sum(plans[plan][0] for plans in costs.values()) + 250 * (len(used) - 1)
        found = row(bid, "simplicity", plan=plan)
        assert found["constructions"] == len(used)
        assert found["simplicity_usd"] == pytest.approx(total - best, abs=1e-6)


def test_simplicity_may_save_by_hand(rebuild: Rebuild):
    """100 ft of two conductors at 1.00 or 1.08 USD/ft, 100 ft of three at 1.50 or 1.45; no labor, mixing 10 USD.

    Against the mix one plan costs 5 USD more on the second circuit, the other 8 USD more on the first, and
    either saves the 10 USD of mixing.
    """
    text = 'box,circuit,device,run_ft,wires\nA,P-1,junction,100,\nB,"P-2,4",junction,100,A B N\n'
    usd = {"mc-wire-12-2": 1000, "mc-armor-12-2": 1080, "mc-wire-12-3": 1500, "mc-armor-12-3": 1450}

    def price(r: dict[str, object]) -> float:
        if r["item"] in usd:
            return usd[str(r["item"])]
        return 50.0 if "connector" in str(r["item"]) else float(str(r["price_usd"]))

    build = rebuild(
        text,
        "box_tail_ft=0",
        "panel_tail_ft=0",
        "mixing_usd=10",
        catalogs={
            "prices": prices(price),
            "operations": overlay(
                ("operation", "construction", "minutes", "source"), ({**r, "minutes": 0} for r in shipped("operations"))
            ),
            "families": "family,waste_pct\ncable,0\n",
            "uses": overlay(("use", "quantity"), ({**r, "quantity": 0} for r in shipped("uses"))),
        },
    )
    assert mixed(build) == {"P-1": "mc-wire", "P-2,4": "mc-armor"}
    assert row(build, "simplicity", plan="mc-wire-first")["simplicity_usd"] == pytest.approx(5 - 10)
    base = {r["circuit"]: r["saves_usd"] for r in rows(build, "mix_choices")}
    assert base == pytest.approx({"P-1": 0, "P-2,4": 5})  # against the first plan, the base
    assert row(build, "simplicity", plan="mc-armor-first")["simplicity_usd"] == pytest.approx(8 - 10)
