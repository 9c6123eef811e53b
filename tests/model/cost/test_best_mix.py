"""The best mix as a plan: each circuit in the cheapest of what the other plans wire it in."""

from __future__ import annotations

from pathlib import Path

import pytest

from takeoff.build import Options, compute
from takeoff.report.results import results_of
from takeoff.text.problems import InputError
from tests.conftest import SAMPLES, Counter

SCHEDULE = """box,circuit,device,run_ft,wires,poles,construction
R1,KP-1,duplex,90,,,
R2,KP-1,duplex,60,,,
E1,KP-2,equipment-3p,95,A B C,3,
H1,KP-3,duplex,80,,,emt-wire
"""
PRICES = "item,price_usd\nac-12-2,4000\nac-12-3,100\nmc-wire-12-2,500\nmc-wire-12-3,4000\n"
"""Two-wire cable is dear in one construction, three-wire cable in the other: neither is cheapest throughout."""


def test_it_wires_each_circuit_in_the_cheapest_and_the_held_one_as_held(count: Counter):
    counted = count(SCHEDULE, compared="ac-first,mc-wire-first,best-mix", prices=PRICES)
    book = counted.build.book
    wired = {
        circuit: used
        for circuit, plan, used in zip(
            *(book.values("verdicts", n) for n in ("circuit", "plan", "wired_as")), strict=True
        )
        if plan == "best-mix"
    }
    assert wired == {"KP-1": "mc-wire", "KP-2": "ac", "KP-3": "emt-wire"}
    total = counted.results["plans"]["best-mix"]
    assert total["installed_cost"] == pytest.approx(counted.results["best_mix"]["installed_cost"])
    others = [counted.total("installed_cost", plan) for plan in ("ac-first", "mc-wire-first")]
    assert total["installed_cost"] < min(others)
    alone = [
        count(SCHEDULE, compared="ac-first,mc-wire-first", prices=PRICES).total("installed_cost", p)
        for p in ("ac-first", "mc-wire-first")
    ]
    assert others == pytest.approx(alone)


def test_it_is_a_plan_like_any_other(count: Counter):
    """It can be the base and the end of a swap, and has a bid and an order of its own."""
    sets = ("base_plan=best-mix", "swap_from=ac-first", "swap_to=best-mix")
    counted = count(SCHEDULE, *sets, compared="ac-first,mc-wire-first,best-mix", prices=PRICES)
    swap, totals = counted.results["swap"], counted.results["plans"]
    assert swap["net_usd"] == pytest.approx(totals["ac-first"]["installed_cost"] - totals["best-mix"]["installed_cost"])
    assert totals["best-mix"]["bid"]["difference_usd"] == 0
    assert {o.plan for o in counted.build.orders} == {"ac-first", "mc-wire-first", "best-mix"}
    assert counted.build.book.values("proofs", "open").sum() == 0


def test_it_is_not_compared_unless_named(count: Counter):
    assert "best-mix" not in count(SCHEDULE).results["plans"]


def test_alone_it_has_nothing_to_choose_from(tmp_path: Path):
    with pytest.raises(InputError) as wrong:
        compute(Options(SAMPLES / "small.csv", None, None, (), "best-mix"))
    assert str(wrong.value) == (
        '--plans: needs plans to choose from: "best-mix"; name them before it, such as ac-first,mc-wire-first,best-mix'
    )


def test_no_plan_of_the_user_takes_its_name(tmp_path: Path):
    (tmp_path / "i.toml").write_text('[plans]\nbest-mix = ["ac"]\n')
    with pytest.raises(InputError) as wrong:
        compute(Options(SAMPLES / "small.csv", None, tmp_path / "i.toml"))
    assert str(wrong.value) == 'i.toml:plans.best-mix: is a word with a meaning of its own: "best-mix"; another name'


CUT = """box,circuit,device,run_ft,space
R1,KP-1,duplex,90,
R2,KP-1,duplex,60,
R3,KP-1,duplex,30,damp
L1,KP-2,duplex,40,
L2,KP-2,gfci,25,damp
L3,KP-2,duplex,70,
H1,KP-3,duplex,80,
"""
COMPARED = "ac-first,mc-wire-first,mc-armor-first"


@pytest.mark.parametrize("prices", ["", PRICES, "item,price_usd\nmc-wire-12-2,9000\n"])
def test_where_constructions_meet_it_is_the_least_of_what_the_plans_make_of_each_circuit(count: Counter, prices: str):
    """Each circuit is built alone in every plan; the best mix is the sum of the least of each."""
    more = {"prices": prices} if prices else {}
    head, *lines = CUT.splitlines()
    least = 0.0
    for circuit in ("KP-1", "KP-2", "KP-3"):
        alone = "\n".join([head, *(line for line in lines if f",{circuit}," in line)]) + "\n"
        plans = count(alone, compared=COMPARED, **more).results["plans"]
        least += min(total["installed_cost"] for total in plans.values())
    counted = count(CUT, compared=f"{COMPARED},best-mix", **more)
    assert counted.results["best_mix"]["installed_cost"] == pytest.approx(least)
    assert counted.total("installed_cost", "best-mix") == pytest.approx(least)
    assert {"KP-1", "KP-1: damp", "KP-2", "KP-2: damp"} <= set(counted.results["best_mix"]["circuits"])


def test_a_circuit_is_taken_whole_from_one_plan(tmp_path: Path):
    """The dry runs are cheaper in the one plan, the damp one in the other: what the box costs where they meet hangs on
    both, so neither figure holds for the two together."""
    (tmp_path / "s.csv").write_text("\n".join(CUT.splitlines()[:4]) + "\n", encoding="utf-8")
    toml = '[plans]\none = ["ac", "emt-bare"]\nother = ["mc-armor", "mc-wire"]\n'
    (tmp_path / "i.toml").write_text(toml, encoding="utf-8")
    (tmp_path / "catalogs").mkdir()
    (tmp_path / "catalogs" / "prices.csv").write_text("item,price_usd\nmc-armor-12-2,9000\n", encoding="utf-8")
    made = Options(tmp_path / "s.csv", tmp_path / "catalogs", tmp_path / "i.toml", (), "one,other,best-mix")
    found = results_of(compute(made))
    wired = {b["box"]: b["wired_as"] for b in found["boxes"] if b["plan"] == "best-mix"}
    assert wired == {"R1": "ac", "R2": "ac", "R3": "emt-bare"}
    totals = {plan: total["installed_cost"] for plan, total in found["plans"].items()}
    assert found["best_mix"]["installed_cost"] == pytest.approx(totals["best-mix"]) == pytest.approx(totals["one"])
    assert totals["one"] < totals["other"]
