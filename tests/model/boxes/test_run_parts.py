"""What hangs on a run: supports, feet and runs with their minutes and small parts, worked by hand."""

from __future__ import annotations

import pytest

from tests.conftest import PLAN_OF, Counter
from tests.tables import rows as table_rows

RUN = "box,circuit,device,run_ft\nB1,P-1,duplex,{feet}\n"
PRICE = "item,title,family,unit,price_usd,date,source\ntag,tag of the test,small,C,25,2026-01,test\n"
USES = "use,driver,item,quantity,source\n"
TAG = 0.25 * 1.03
"""25 USD for a hundred, small parts with 3 % waste."""


@pytest.mark.parametrize(
    ("construction", "feet", "supports"),
    [
        # NEC 330.30: within 12 in of each end and every 6 ft: 1 + (run - 2) / 6, rounded up
        ("mc-wire", "0.5", 1),
        ("mc-wire", "2", 1),
        ("mc-wire", "2.1", 2),
        ("mc-wire", "8", 2),
        ("mc-wire", "8.1", 3),
        ("mc-wire", "20", 4),
        ("mc-armor", "20", 4),
        ("mc-wire", "50", 9),
        # NEC 320.30: within 12 in and every 4.5 ft: 1 + (run - 2) / 4.5
        ("ac", "2", 1),
        ("ac", "6.5", 2),
        ("ac", "6.6", 3),
        ("ac", "20", 5),
        # NEC 358.30: within 3 ft and every 10 ft: 1 + (run - 6) / 10
        ("emt-wire", "6", 1),
        ("emt-wire", "16", 2),
        ("emt-wire", "16.1", 3),
        ("emt-wire", "20", 3),
    ],
)
def test_supports_of_one_run(count: Counter, construction: str, feet: str, supports: int):
    counted = count(RUN.format(feet=feet), compared=PLAN_OF[construction])
    hours = counted.total("labor_hours_by_operation", PLAN_OF[construction])
    bought = counted.total("material_by_item", PLAN_OF[construction])
    raceway = construction == "emt-wire"
    operation, minutes, strap = (
        ("secure-raceway", 1.1, "raceway-strap") if raceway else ("secure-cable", 0.7, "cable-strap")
    )
    assert hours[operation] == pytest.approx(supports * minutes / 60)
    assert bought[strap] == pytest.approx(supports * 1.03)  # straps with 3 % waste
    assert not {"secure-raceway", "secure-cable"} - {operation} & hours.keys()
    assert not {"raceway-strap", "cable-strap"} - {strap} & bought.keys()


def test_supports_are_counted_for_each_run_by_itself(count: Counter):
    rows = "box,circuit,device,run_ft,repeat\nB1,P-1,duplex,20,3\nB2,P-1,duplex,9,\n"
    hours = count(rows).total("labor_hours_by_operation", "mc-wire-first")
    # 1 + 18/6 = 4, and 1 + 7/6 up = 3, three times; not those of one run of 29 ft
    assert hours["secure-cable"] == pytest.approx(3 * (4 + 3) * 0.7 / 60)


@pytest.mark.parametrize(
    ("driver", "in_cable", "in_raceway"),
    [
        ("runs", 1, 1),
        ("cable_ft", 20, 0),
        ("raceway_ft", 0, 20),
        ("cable_supports", 4, 0),  # 1 + 18/6
        ("raceway_supports", 0, 3),  # 1 + 14/10 up
        ("pulled_ft", 0, 81),  # 20 + 1 + 6 ft of hot, neutral and EGC
    ],
)
def test_a_small_part_hangs_on_what_is_counted_along_a_run(
    count: Counter, driver: str, in_cable: float, in_raceway: float
):
    """The item costs its price in the box and in the item list, and nothing else moves."""
    plain = count(RUN.format(feet=20), compared="mc-wire-first,emt")
    tagged = count(
        RUN.format(feet=20), compared="mc-wire-first,emt", prices=PRICE, uses=f"{USES}tag,{driver},tag,2,test\n"
    )
    for plan, counted in (("mc-wire-first", in_cable), ("emt", in_raceway)):
        tags = 2 * counted
        more = tagged.box("B1", plan)["material_cost"] - plain.box("B1", plan)["material_cost"]
        assert more == pytest.approx(tags * TAG)
        more = tagged.total("material_cost", plan) - plain.total("material_cost", plan)
        assert more == pytest.approx(tags * TAG)
        bought = tagged.total("material_by_item", plan)
        assert bought.pop("tag", 0) == pytest.approx(tags * 1.03)
        assert bought == plain.total("material_by_item", plan)
        assert tagged.total("labor_hours", plan) == plain.total("labor_hours", plan)


@pytest.mark.parametrize(("awg", "factored"), [("12", 20.0), ("10", 23.0), ("8", 28.0)])
def test_feet_with_a_size_factor(count: Counter, awg: str, factored: float):
    """Route factors of the catalog: 1 for 12 AWG, 1.15 for 10 AWG, 1.4 for 8 AWG."""
    breaker = {"12": 20, "10": 30, "8": 40}[awg]  # not oversized, which would ask for a larger EGC
    rows = f"box,circuit,device,run_ft,awg,breaker_a\nB1,P-1,duplex,20,{awg},{breaker}\n"
    counted = count(rows, compared="mc-wire-first", prices=PRICE, uses=f"{USES}tag,cable_factored_ft,tag,1,test\n")
    assert counted.total("material_by_item", "mc-wire-first")["tag"] == pytest.approx(factored * 1.03)
    assert counted.total("labor_hours_by_operation", "mc-wire-first")["route-cable"] == pytest.approx(
        factored * 0.16 / 60
    )


def test_a_small_part_along_a_run_is_bought_again_for_every_repeat(count: Counter):
    rows = "box,circuit,device,run_ft,repeat\nB1,P-1,duplex,20,4\nB2,P-1,duplex,9,\n"
    counted = count(rows, compared="ac-first", prices=PRICE, uses=f"{USES}tag,cable_ft,tag,1,test\n")
    assert counted.total("material_by_item", "ac-first")["tag"] == pytest.approx(4 * 29 * 1.03)


def test_a_circuit_held_to_raceway_has_no_cable_feet(count: Counter):
    rows = "box,circuit,device,run_ft,construction\nB1,P-1,duplex,20,emt-wire\nB2,P-3,duplex,9,\n"
    counted = count(rows, compared="ac-first,mc-wire-first", prices=PRICE, uses=f"{USES}tag,cable_ft,tag,1,test\n")
    for plan in ("ac-first", "mc-wire-first"):
        assert counted.total("material_by_item", plan)["tag"] == pytest.approx(9 * 1.03)


def test_an_operation_hangs_on_what_is_counted_along_a_run(count: Counter):
    operation = (
        "operation,construction,title,driver,minutes,step,source\nlabel,all,label the run,cable_ft,0.25,4,test\n"
    )
    plain = count(RUN.format(feet=20), compared="mc-wire-first,emt")
    more = count(RUN.format(feet=20), compared="mc-wire-first,emt", operations=operation)
    for plan, minutes in (("mc-wire-first", 20 * 0.25), ("emt", 0)):
        hours = more.total("labor_hours_by_operation", plan)
        assert hours.get("label", 0) == pytest.approx(minutes / 60)
        box = more.box("B1", plan)["minutes"] - plain.box("B1", plan)["minutes"]
        assert box == pytest.approx(minutes)


def test_minutes_and_material_of_one_box_worked_by_hand(count: Counter):
    """A receptacle at the end of a home run of 20 ft, Type AC, by the shipped minutes and prices."""
    found = count(RUN.format(feet=20), compared="ac-first").box("B1", "ac-first")
    box = 5.5 + 0.6 + 1.8  # mount, test, fold and mount the device
    end = 0.9 + 0.25 + 0.2 + 0.9 + 2 * 0.3 + 2 * 0.5  # armor, bushing, strip, connector, two conductors land
    jumper = 0.45 + 0.7 + 0.5  # cut, box screw, green terminal
    run = 1 + 20 * 0.16 + 5 * 0.7  # cut, route, 1 + 18/4.5 straps
    assert found["minutes"] == pytest.approx(box + 2 * end + jumper + run)
    cable = 27 * 0.78 * 1.05  # 20 + 1 + 6 ft
    parts = 2 * 0.95 * 1.02 + 5 * 0.38 * 1.03  # connectors, straps
    small = (2 * 0.07 + 0.22 + 0.42 + 2 * 0.14) * 1.03  # bushings, ground screw, ground pigtail, box fasteners
    assert found["material_cost"] == pytest.approx(cable + parts + small + 2.30 + 1.20)  # box and ring


def test_a_run_is_without_a_price_where_the_catalog_has_no_cable_for_it_and_nowhere_else(count: Counter):
    """Worked by hand: no cable of four 1 AWG is in the catalog, so one run of two lacks something in every plan.

    Its box at 1 AWG has no size by 314.16 either, which makes two things without a price; every cable in the catalog has a
    fitting, so nothing is without one alone.
    """
    box = "box,circuit,device,run_ft,wires,awg,construction\nA,P-1,junction,100,A N,12,\n"
    counted = count(f"{box}B,P-5,junction,50,A B C N,1,ac\n", compared="ac-first,mc-wire-first")
    found = {(r["kind"], r["construction"]): r for r in table_rows(counted, "run_costs")}
    for construction in ("ac", "mc-wire", "emt-wire"):
        assert [found[kind, construction]["lacking"] for kind in ("2c12", "4c1")] == [0, 1], construction
    names = ("no_cable", "other_unpriced", "unsized", "unpriced")
    for flags in table_rows(counted, "plan_flags"):
        assert [flags[n] for n in names] == [1, 0, 1, 2], flags["plan"]


@pytest.mark.parametrize(
    ("without", "lacks"),
    [((), 0), (("coupling",), 1), (("coupling", "connector"), 2), (("tube", "coupling"), 2), (("wire", "coupling"), 3)],
    ids=str,
)
def test_every_price_that_a_run_lacks_is_counted(count: Counter, without: tuple[str, ...], lacks: int):
    """A run of raceway buys tube, couplings, connectors, wires, and a wire EGC, which is of the same wire."""
    items = {"coupling": "emt-coupling-1/2", "connector": "emt-connector-1/2", "tube": "emt-1/2", "wire": "wire-12"}
    prices = "item,price_usd,source\n" + "".join(f"{items[name]},0,test\n" for name in without)
    counted = count(RUN.format(feet=20), compared="emt", prices=prices)
    (found,) = (r for r in table_rows(counted.build, "run_costs") if r["construction"] == "emt-wire")
    assert (found["missing"], found["lacking"]) == (lacks, lacks)
