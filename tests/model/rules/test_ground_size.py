"""The size of the equipment grounding conductor: NEC 250.122(A), (B), by the table and in proportion.

Circular mils of Chapter 9 Table 8: 14 AWG 4110, 12 AWG 6530, 10 AWG 10380, 8 AWG 16510, 6 AWG 26240, 4 AWG 41740,
3 AWG 52620, 1 AWG 83690, 1/0 AWG 105600. Table 250.122, copper: 15 A 14, 20 A 12, 60 A 10, 100 A 8 AWG; aluminum:
15 A 12, 20 A 10, 60 A 8, 100 A 6 AWG.
"""

from __future__ import annotations

import pytest

from tests.conftest import PLAN_OF, Counted, Counter
from tests.tables import row, rows, schedule

WIRE, ARMOR, AC = "mc-wire", "mc-armor", "ac"
CABLE = (
    "construction,awg,conductors,egc_awg,bare_awg,sheath_item,wire_item,egc_item,fitting_size,route_factor,"
    "armor_ohm_per_kft,armor_source,source\n"
)
ANY_REASON, SPARED = ["2017"], ["2020", "2023"]


def cable(awg: str, egc_awg: str) -> str:
    """Return the catalog of cables with one of Type MC of two conductors that carries a wire-type EGC of a size."""
    return f"{CABLE}{WIRE},{awg},2,{egc_awg},none,mc-wire-2-2,none,none,1,2,0,not credited,test\n"


def two_wire(count: Counter, awg: str, breaker_a: int, *sets: str, held: str = WIRE, **catalogs: str) -> Counted:
    """Build a circuit of one two-wire run, wired as said whatever the checks find."""
    box = {"device": "equipment-1p", "wires": "A N", "awg": awg, "breaker_a": breaker_a, "construction": held}
    return count(schedule(box), *sets, compared=PLAN_OF[held], **catalogs)


def sized(counted: Counted, construction: str = WIRE) -> dict[str, object]:
    return row(counted, "run_tests", construction=construction)


# By the table: 250.122(A)


@pytest.mark.parametrize(
    ("breaker_a", "asked"),
    [(15, "14"), (20, "12"), (25, "10"), (45, "10"), (60, "10"), (70, "8"), (100, "8"), (110, "6")],
)
def test_trap_10_the_first_row_not_under_the_breaker(count: Counter, breaker_a: int, asked: str):
    """70 A goes by the row of 100 A, 45 A by that of 60 A."""
    assert sized(two_wire(count, "2", breaker_a))["needed_awg"] == asked


@pytest.mark.parametrize(
    ("breaker_a", "egc_awg", "outcome"), [(70, "10", "fails"), (70, "8", "meets"), (60, "10", "meets")]
)
def test_trap_10_a_breaker_of_70_a_asks_for_8_awg(count: Counter, breaker_a: int, egc_awg: str, outcome: str):
    counted = two_wire(count, "4", breaker_a, cables=cable("4", egc_awg))
    assert sized(counted)["egc_size"] == row(counted, "verdicts")["egc_size_check"] == outcome


def test_trap_10_never_larger_than_the_circuit_conductors(count: Counter):
    """14 AWG on 20 A: the table asks 12 AWG, 250.122(A) no more than the circuit has. The breaker is another check."""
    found = sized(two_wire(count, "14", 20))
    assert (found["needed_awg"], found["needed_cmil"], found["fitted_cmil"]) == ("12", 4110, 4110)
    assert (found["egc_size"], found["overcurrent"]) == ("meets", "fails")


@pytest.mark.parametrize("awg", ["14", "12", "10", "8", "6"])
def test_trap_3_the_strip_of_type_ac_is_never_looked_up_in_the_table(count: Counter, awg: str):
    """16 AWG aluminum for every size: armor and strip are the EGC by their listing, NEC 320.108, 250.118."""
    counted = two_wire(count, awg, 15, held=AC)
    found = sized(counted, AC)
    assert (row(counted, "runs", construction=AC)["bare_awg"], found["by_table"]) == ("16", 0)
    assert (found["egc_size"], found["egc_increase"]) == ("does_not_apply", "does_not_apply")
    assert row(counted, "verdicts")["egc_size_check"] == "does_not_apply"


@pytest.mark.parametrize(
    ("awg", "breaker_a", "bare_awg", "outcome"),
    [
        ("12", 20, "12", "fails"),  # what two forum posters call the conductor of this cable
        ("12", 20, "10", "meets"),
        ("10", 30, "10", "fails"),
        ("10", 30, "8", "meets"),
        ("8", 40, "8", "meets"),
        ("14", 15, "12", "meets"),
    ],
)
def test_trap_4_bare_aluminum_goes_by_the_aluminum_column(
    count: Counter, awg: str, breaker_a: int, bare_awg: str, outcome: str
):
    """Table 250.122: 20 A asks 10 AWG of aluminum, 30 A asks 8 AWG."""
    overlay = f"construction,awg,conductors,bare_awg\n{ARMOR},{awg},2,{bare_awg}\n"
    found = sized(two_wire(count, awg, breaker_a, held=ARMOR, cables=overlay), ARMOR)
    assert (found["fitted_awg"], found["egc_size"]) == (bare_awg, outcome)


# In proportion to the circuit conductors: 250.122(B)


@pytest.mark.parametrize(("egc_awg", "outcome"), [("12", "fails"), ("10", "fails"), ("8", "fails"), ("6", "meets")])
def test_published_12_to_6_awg_on_20_a_asks_6_awg(count: Counter, egc_awg: str, outcome: str):
    """Trade magazine, code questions, April 2013: 6530 x 26240 / 6530 = 26240 cmil, 6 AWG."""
    found = sized(two_wire(count, "6", 20, cables=cable("6", egc_awg)))
    assert found["increase_asked"] == 6530 * 26240
    assert found["egc_increase"] == outcome


@pytest.mark.parametrize(("egc_awg", "outcome"), [("1", "fails"), ("1/0", "meets")])
def test_published_12_to_1_0_awg_on_20_a_asks_1_0_awg(count: Counter, egc_awg: str, outcome: str):
    """Public question bank, question 287: 6530 x 105600 / 6530 = 105600 cmil, 1/0 AWG."""
    size = (
        "awg,area_cmil,copper_60c_a,copper_limit_a,copper_75c_a,copper_90c_a,copper_ohm_per_kft,"
        "aluminum_ohm_per_kft,small_conductor_a,aluminum_cmil,source\n"
        "1/0,105600,125,125,150,170,0.122,0.201,0,167800,test\n"
    )
    found = sized(two_wire(count, "1/0", 20, conductors=size, cables=cable("1/0", egc_awg)))
    assert (found["least_cmil"], found["circuit_cmil"]) == (6530, 105600)
    assert found["egc_increase"] == outcome


def test_trap_6_a_factory_cable_of_8_awg_on_20_a_fails_and_one_of_10_awg_meets(count: Counter):
    """8 AWG with a 10 AWG EGC: 6530 x 16510 / 6530 = 16510 > 10380; 10 AWG with 10 AWG is as large as the circuit.

    The exception of 2020 for a qualified person asks a person, so that the check says look until it is answered.
    """
    eight, ten = (two_wire(count, awg, 20) for awg in ("8", "10"))
    assert [(sized(c)["fitted_awg"], sized(c)["egc_size"], sized(c)["egc_increase"]) for c in (eight, ten)] == [
        ("10", "meets", "fails"),
        ("10", "meets", "meets"),
    ]
    assert [row(c, "verdicts")["egc_increase_check"] for c in (eight, ten)] == ["look", "meets"]


@pytest.mark.parametrize(("egc_awg", "outcome"), [("10", "fails"), ("8", "fails"), ("6", "meets"), ("4", "meets")])
def test_trap_7_rounding_of_the_table_decides_no_tie(count: Counter, egc_awg: str, outcome: str):
    """40 A, 8 to 4 AWG: 10380 x 41740 / 16510 = 26242.4 > 26240, by the rounding of the table alone.

    ASTM B258: from 8 to 4 AWG and from 10 to 6 AWG are four sizes, the same proportion: 6 AWG is exactly as asked.
    """
    found = sized(two_wire(count, "4", 40, cables=cable("4", egc_awg)))
    assert (found["table_cmil"], found["least_cmil"]) == (10380, 16510)
    assert found["increase_asked"] == 10380 * 41740
    assert found["egc_increase"] == outcome


@pytest.mark.parametrize(("egc_awg", "outcome"), [("6", "fails"), ("4", "fails"), ("3", "meets"), ("1", "meets")])
def test_trap_8_three_circular_mils_decide(count: Counter, egc_awg: str, outcome: str):
    """40 A, 8 to 1 AWG: 10380 x 83690 / 16510 = 52616.7 < 52620: 3 AWG passes; a rounded ratio of 5.07 fails it."""
    assert round(83690 / 16510, 2) * 10380 > 52620  # what rounding would do
    found = sized(two_wire(count, "1", 40, cables=cable("1", egc_awg)))
    assert found["increase_asked"] == 10380 * 83690
    assert found["egc_increase"] == outcome


@pytest.mark.parametrize(
    ("awg", "breaker_a", "least_cmil"),
    [("12", 15, 4110), ("12", 20, 6530), ("10", 30, 10380), ("8", 40, 16510), ("6", 50, 26240), ("4", 60, 41740)],
)
def test_the_least_size_is_the_smallest_for_the_breaker(count: Counter, awg: str, breaker_a: int, least_cmil: int):
    """60 C column of Table 310.16 with 240.4(D); a 60 A breaker asks 4 AWG, 6 AWG carries 55 A."""
    assert sized(two_wire(count, awg, breaker_a))["least_cmil"] == least_cmil


@pytest.mark.parametrize(("awg", "breaker_a", "least_cmil"), [("8", 50, 16510), ("3", 100, 52620), ("12", 20, 6530)])
def test_the_least_size_follows_the_terminals(count: Counter, awg: str, breaker_a: int, least_cmil: int):
    """75 C column: 8 AWG carries 50 A, 3 AWG 100 A; 12 AWG stays at 20 A by 240.4(D)."""
    assert sized(two_wire(count, awg, breaker_a, "terminal_c=75"))["least_cmil"] == least_cmil


@pytest.mark.parametrize(
    ("held", "awg"), [(AC, "8"), (AC, "6"), (ARMOR, "10"), (ARMOR, "8")]
)  # fmt: skip
def test_trap_5_armor_does_not_grow_with_the_circuit(count: Counter, held: str, awg: str):
    """NEC 250.122(B) is for wire-type EGCs; 250.4(A)(5) is looked at by the fault path instead."""
    counted = two_wire(count, awg, 20, held=held)
    assert sized(counted, held)["egc_increase"] == "does_not_apply"
    found = row(counted, "verdicts")
    assert (found["egc_increase_check"], found["failed"]) == ("does_not_apply", 0)
    assert found["fault_path_check"] in ("screening", "look")


def test_trap_5_the_wire_beside_the_armor_grows(count: Counter):
    """A cable for patient care has a wire-type EGC too: 8 AWG with 10 AWG on 20 A does not meet 250.122(B)."""
    overlay = f"{CABLE}mc-redundant,8,2,10,8,mc-redundant-10-2,none,none,3/8,1.4,2,test,test\n"
    assert (
        sized(two_wire(count, "8", 20, held="mc-redundant", cables=overlay), "mc-redundant")["egc_increase"] == "fails"
    )


# What sets the increase off, by edition


@pytest.mark.parametrize(
    ("edition", "least_cmil", "outcome"),
    [*((e, 16510, "look") for e in ANY_REASON), *((e, 16510, "meets") for e in SPARED)],
)
@pytest.mark.parametrize("why", ["ambient_f=176", "bundled_cables=15"])
def test_trap_9_from_2020_an_increase_for_heat_or_bundling_is_spared(
    count: Counter, edition: str, least_cmil: int, outcome: str, why: str
):
    """20 A on 8 AWG with a 10 AWG EGC.

    At 176 F 20 / 0.41 = 48.8 A, in a bundle of 30 conductors 20 / 0.45 = 44.4 A of the 90 C column: 10 AWG has 40,
    8 AWG 55 A. From 2020 the least size is 8 AWG and nothing was increased; in 2017 it depends on the reading.
    """
    counted = two_wire(count, "8", 20, why, f"code_edition={edition}")
    found = sized(counted)
    assert (found["plain_cmil"], found["least_cmil"]) == (6530, least_cmil)
    assert row(counted, "verdicts")["egc_increase_check"] == outcome


@pytest.mark.parametrize("edition", SPARED)
def test_trap_9_what_goes_beyond_heat_is_an_increase_still(count: Counter, edition: str):
    """At 131 F 20 / 0.76 = 26.3 A: 12 AWG has 30 A, so that 8 AWG was chosen for another reason."""
    found = sized(two_wire(count, "8", 20, "ambient_f=131", f"code_edition={edition}"))
    assert (found["least_cmil"], found["egc_increase"]) == (6530, "fails")


@pytest.mark.parametrize("edition", SPARED)
def test_trap_9_part_of_an_increase_may_be_spared(count: Counter, edition: str):
    """At 149 F 20 / 0.65 = 30.8 A asks 10 AWG; 6 AWG asks 6530 x 26240 / 10380 = 16507 cmil, and has 16510."""
    counted = two_wire(count, "6", 20, "ambient_f=149", f"code_edition={edition}")
    assert (sized(counted)["least_cmil"], sized(counted)["fitted_awg"]) == (10380, "8")
    assert row(counted, "verdicts")["egc_increase_check"] == "meets"


# What a plan makes of it


def test_a_plan_passes_over_a_cable_whose_ground_did_not_grow(count: Counter):
    """8 AWG on 20 A, no qualified person: Type MC with a wire-type EGC of 10 AWG is passed over, pulled wire serves."""
    box = {"device": "equipment-1p", "wires": "A N", "awg": 8}
    counted = count(schedule(box), "qualified_egc=no", compared=PLAN_OF[WIRE])
    found = row(counted, "verdicts")
    assert (found["wired_as"], found["failed"]) == ("emt-wire", 0)
    assert found["said"] == (
        "MC with wire EGC: the circuit conductors were made larger and the ground conductor in this cable was not (250.122(B))"
    )


def test_every_size_of_run_of_a_circuit_is_tested(count: Counter):
    """A home run of 8 AWG with 12 AWG behind it: one of the two kinds of run fails, so does the circuit."""
    boxes = [{"wires": "A N", "awg": 8, "construction": WIRE}, {"box": "Y", "wires": "A N", "awg": 12, "fed_from": "X"}]
    counted = count(schedule(*boxes), "qualified_egc=no", compared=PLAN_OF[WIRE])
    assert {r["awg"]: r["egc_increase"] for r in rows(counted, "run_tests", construction=WIRE)} == {
        "8": "fails",
        "12": "meets",
    }
    assert row(counted, "verdicts")["egc_increase_check"] == "fails"
