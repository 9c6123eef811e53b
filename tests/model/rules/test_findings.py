"""Traps of the trade, one test for each: what a check finds, what is counted, what a person must look at.

Traps are numbered in worked/traps.csv, each in a sentence: 1 to 24 constructions and grounding, 25 to 41 box fill
(test_box_fill.py), 42 to 60 circuits, ampacity and support. What the tool does not model is a stated limit.
"""

from __future__ import annotations

import re

import pytest

from takeoff.catalog.rows import Catalogs
from takeoff.text.problems import InputError
from tests.conftest import ALL_PLANS, PLAN_OF, ROOT, Counted, Counter
from tests.copies import worked
from tests.tables import NO_TAILS, row, rows, schedule

EDITIONS = ("2017", "2020", "2023")
KINDS = ["ac", "mc-wire", "mc-armor", "ac-redundant", "mc-redundant", "emt-wire"]
CABLES = KINDS[:-1]
DUPLEX = {"device": "duplex"}
TWO = [{**DUPLEX}, {**DUPLEX, "box": "Y", "fed_from": "X"}]
"""A receptacle with a run in and a run out, and one at the end."""

STATED = {
    12: "care-exceptions",
    17: "one-raceway",
    19: "metal-boxes",
    53: "reidentified",
    55: "support-count",
}
"""Traps that the tool does not model, and the row of limits.csv that says so.

12: luminaires above 7.5 ft and switches outside the patient care vicinity need one path only. 17: 250.148 leaves out
grounding conductors that pass through. 19: armor cable into a nonmetallic box. 53: a white conductor used as supply.
55: unsupported whips in accessible ceilings.
"""


def of_all(counted: Counted, check: str) -> dict[str, str]:
    """Return the outcome of a check by what the one circuit is wired in."""
    return {r["wired_as"]: r[f"{check}_check"] for r in rows(counted, "verdicts")}


def held(count: Counter, construction: str, *sets: str, **cells: object) -> dict[str, object]:
    """Return the verdict on one box, wired as said whatever the checks find."""
    return row(
        count(schedule({"construction": construction, **cells}), *sets, compared=PLAN_OF[construction]), "verdicts"
    )


# Every trap is covered


def test_every_trap_is_a_test_or_a_stated_limit(catalogs: Catalogs):
    tests = "\n".join(path.read_text(encoding="utf-8") for path in (ROOT / "tests").rglob("test_*.py"))
    tested = {int(n) for name in re.findall(r"^def (test_\w+)", tests, re.M) for n in re.findall(r"trap_(\d+)", name)}
    listed = [int(trap["trap"]) for trap in worked("traps")]
    assert listed == list(range(1, 61))
    assert set(listed) - tested == set(STATED)
    assert [key for key in STATED.values() if key not in catalogs["limits"]] == []


# Constructions and grounding


def test_trap_01_the_bare_aluminum_cut_flush_enters_no_box(count: Counter):
    """IAEI, Focus on the Code, May/June 2006: it may be clipped at the armor: no room, no termination, a snip."""
    counted = count(schedule(*TWO), *NO_TAILS, compared="mc-armor-first,ac-first")
    armor, strip = (counted.box("X", c) for c in ("mc-armor-first", "ac-first"))
    assert armor["fill_in3"] == strip["fill_in3"] == (4 + 2) * 2.25
    assert counted.counts("X", "mc-armor-first") == counted.counts("X", "ac-first") == (8, 2, 2, 0)
    # two runs have four ends, the panel's among them
    assert counted.total("labor_hours_by_operation", "mc-armor-first")["cut-bare"] == pytest.approx(4 * 0.2 / 60)
    assert "cut-bare" not in counted.total("labor_hours_by_operation", "ac-first")


def test_trap_02_cables_that_look_alike_are_grounded_by_their_kind(count: Counter):
    """NEC 250.118(8), (10)(a), (10)(b): armor with strip, armor that is no EGC, armor with full-size aluminum."""
    counted = count(schedule(*TWO))
    assert {c: counted.counts("X", PLAN_OF[c])[2:] for c in ("ac", "mc-wire", "mc-armor")} == {
        "ac": (2, 0),
        "mc-wire": (6, 1),
        "mc-armor": (2, 0),
    }
    credited = {r["construction"]: (r["wire_egc"], r["armor_egc"]) for r in rows(counted, "in_use")}
    assert {c: credited[c] for c in ("ac", "mc-wire", "mc-armor")} == {
        "ac": (0, 1),
        "mc-wire": (1, 0),
        "mc-armor": (0, 1),
    }


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("wires", ["A N", "A N IG"])
def test_trap_11_patient_care_wants_metal_that_is_recognized_and_an_insulated_conductor(
    count: Counter, edition: str, wires: str
):
    """NEC 517.13(A), (B): Type MC with a wire-type EGC only does not meet it, even with a second green wire."""
    cells = {"device": "duplex-hg", "space": "patient-care", "wires": wires}
    found = {c: held(count, c, f"code_edition={edition}", **cells)["space_check"] for c in KINDS}
    assert found == {
        "ac": "fails",
        "mc-wire": "fails",
        "mc-armor": "fails",
        "ac-redundant": "meets",
        "mc-redundant": "meets",
        "emt-wire": "meets",
    }


@pytest.mark.parametrize(("space", "outcome"), [("general", "meets"), ("patient-care", "look")])
def test_trap_13_an_isolated_ground_is_looked_at_in_patient_care(count: Counter, space: str, outcome: str):
    """NEC 250.146(D): a path of its own beside that of the box; 517.16: none in the patient care vicinity."""
    box = {"device": "duplex-ig", "wires": "A N IG", "space": space}
    counted = count(schedule(box), compared=ALL_PLANS)
    assert {r["isolated_check"] for r in rows(counted, "verdicts")} == {outcome}
    plain = count(schedule({"device": "duplex-hg", "space": space}), compared=ALL_PLANS)
    assert {r["isolated_check"] for r in rows(plain, "verdicts")} == {"does_not_apply"}


@pytest.mark.parametrize("construction", KINDS)
def test_trap_13_an_isolated_ground_has_two_paths_in_every_construction(count: Counter, construction: str):
    """The isolated conductor, and armor or a second wire for the box: Type MC carries two wires beside the circuit."""
    counted = count(schedule({"device": "duplex-ig", "wires": "A N IG", "construction": construction}))
    found = row(counted, "in_use", construction=construction)
    assert found["wire_egc"] + found["armor_egc"] >= 1
    assert row(counted, "runs", key=f"3c12ig|{construction}")["no_cable"] == 0


def test_trap_14_the_box_stays_bonded_without_its_self_grounding_device(count: Counter):
    """NEC 250.148: two EGCs and the box in one splice, and the box screw; the device takes nothing."""
    counted = count(schedule(*TWO), "self_grounding=yes")
    assert counted.counts("X", "mc-wire-first")[2:] == (3 + 1, 1)
    assert counted.counts("Y", "mc-wire-first")[2:] == (1, 0)  # lands on the box, not on the device alone
    assert counted.counts("X", "ac-first")[2:] == (0, 0)


@pytest.mark.parametrize("construction", ["ac", "mc-armor"])
def test_trap_15_a_yoke_on_a_plaster_ring_takes_its_jumper(count: Counter, construction: str):
    """NEC 250.146(A) is for surface boxes: the jumper is counted, two ends, unless the device is self-grounding."""
    for sets, jumpers in (((), 1), (("self_grounding=yes",), 0)):
        counted = count(schedule(DUPLEX), *sets)
        assert counted.total("material_by_item", PLAN_OF[construction])["ring-4-1gang"] == 1
        assert counted.counts("X", PLAN_OF[construction])[2] == 2 * jumpers
        bought = counted.total("material_by_item", PLAN_OF[construction]).get("ground-pigtail", 0)
        assert bought == pytest.approx(1.03 * jumpers)  # 3 % waste


@pytest.mark.parametrize("construction", KINDS)
def test_trap_16_a_screw_of_the_ring_is_no_grounding_screw(count: Counter, construction: str):
    """NEC 250.148(C): a box with a plaster ring still gets a green screw of its own for what lands on it."""
    counted = count(schedule(DUPLEX), compared=PLAN_OF[construction])
    assert counted.total("material_by_item", PLAN_OF[construction])["ring-4-1gang"] == 1
    assert counted.total("material_by_item", PLAN_OF[construction])["ground-screw"] == pytest.approx(1.03)


@pytest.mark.parametrize(
    ("volts", "poles", "outcome"),
    [
        (120, 1, "does_not_apply"),
        (208, 3, "does_not_apply"),
        (240, 2, "does_not_apply"),
        (240, 3, "does_not_apply"),
        (277, 1, "look"),
        (480, 2, "look"),
        (480, 3, "look"),
        (347, 1, "look"),
        (250, 1, "does_not_apply"),
        (251, 1, "look"),  # not in the table of systems: taken as its full voltage
    ],
)
def test_trap_18_over_250_v_to_ground_the_knockouts_are_looked_at(count: Counter, volts: int, poles: int, outcome: str):
    """NEC 250.97: bonding at concentric and eccentric knockouts; armor and raceway alike; not for 250 V and less."""
    box = {"device": "equipment-1p", "volts": volts, "poles": poles, "wires": "A N"}
    counted = count(schedule(box), compared=ALL_PLANS)
    assert of_all(counted, "knockout") == dict.fromkeys(KINDS, outcome)


WRONG_FAMILIES = [
    ("ac", "mc"),
    ("ac", "mc-ground"),
    ("ac-redundant", "mc"),
    ("mc-armor", "mc"),
    ("mc-armor", "ac"),
    ("mc-redundant", "mc"),
]


@pytest.mark.parametrize(("construction", "family"), WRONG_FAMILIES)
def test_trap_20_a_fitting_of_another_family_fails(count: Counter, construction: str, family: str):
    """NEC 300.15, 320.40, 330.40: the fitting is listed for the construction, not for cable that looks like it."""
    overlay = f"construction,fitting_family\n{construction},{family}\n"
    counted = count(
        schedule({**DUPLEX, "construction": construction}), compared=PLAN_OF[construction], constructions=overlay
    )
    assert row(counted, "verdicts")["fitting_check"] == "fails"
    free = count(schedule(DUPLEX), compared=PLAN_OF[construction], constructions=overlay)
    found = row(free, "verdicts")
    assert found["wired_as"] != construction
    title = free.build.catalogs["constructions"][construction]["short_title"]
    assert found["said"] == f"{title}: no fitting listed for it (300.15)"


def test_trap_20_the_own_family_is_the_only_one_that_meets(catalogs: Catalogs):
    own = {str(r["key"]): str(r["fitting_family"]) for r in catalogs["constructions"]}
    for rule in catalogs["fitting_rules"]:
        outcome = "meets" if rule["fitting_family"] == own[str(rule["construction"])] else "fails"
        if (rule["construction"], rule["fitting_family"]) == ("mc-wire", "mc-ground"):
            outcome = "look"  # some are marked for both
        assert rule["outcome"] == outcome, rule["key"]


def test_trap_21_anti_short_bushings_are_bought_for_type_ac_only(count: Counter):
    """NEC 320.40, one at each end of a run: two runs, four bushings and 3 % waste. 330.40 asks for none."""
    counted = count(schedule(*TWO), compared=ALL_PLANS)
    bought = {c: counted.total("material_by_item", PLAN_OF[c]).get("anti-short-bushing", 0) for c in KINDS}
    four = pytest.approx(4 * 1.03)
    assert bought == {"ac": four, "mc-wire": 0, "mc-armor": 0, "ac-redundant": four, "mc-redundant": 0, "emt-wire": 0}
    inserted = {c for c in KINDS if "insert-bushing" in counted.total("labor_hours_by_operation", PLAN_OF[c])}
    assert inserted == {"ac", "ac-redundant"}


@pytest.mark.parametrize("construction", ["ac", "mc-armor"])
def test_trap_22_armor_is_spliced_by_its_fitting_which_then_carries_the_fault(count: Counter, construction: str):
    """No ground splice in any box; what withstands the fault is the short-time test of the connector, 470 A for 4 s."""
    counted = count(schedule(*TWO))
    assert counted.total("ground_splices", PLAN_OF[construction]) == 0
    assert "splice-ground" not in counted.total("labor_hours_by_operation", PLAN_OF[construction])
    found = row(counted, "faults", plan=PLAN_OF[construction], wired_as=construction)
    assert (found["wire_share"], rows(counted, "ohms")[int(found["ohm_row"]) - 1]["metal_share"]) == (0, 1)
    assert found["fitting_pct"] == pytest.approx(100 * found["let_a2s"] / (470 * 470 * 4))


# Circuits


@pytest.mark.parametrize(
    ("wires", "poles", "outcome"),
    [
        ("A B N", 1, "look"),
        ("A B N", 2, "meets"),
        ("A B C N", 1, "look"),
        ("A B C N", 2, "look"),
        ("A B C N", 3, "meets"),
        ("A B NA NB", 1, "does_not_apply"),  # a neutral each: nothing is shared
        ("A N", 1, "does_not_apply"),
    ],
)
def test_trap_42_the_hots_of_a_shared_neutral_open_together(count: Counter, wires: str, poles: int, outcome: str):
    """NEC 210.4(B): a handle tie or a breaker of as many poles; a person looks where the schedule has fewer."""
    counted = count(schedule({**DUPLEX, "wires": wires, "poles": poles}), compared="mc-wire-first,emt")
    assert {r["multiwire_check"] for r in rows(counted, "verdicts")} == {outcome}
    assert {r["failed"] for r in rows(counted, "verdicts")} == {0}


def test_trap_42_the_shared_neutral_is_pigtailed_at_every_device(count: Counter):
    """NEC 300.13(B): through the device go the hot and a neutral of its own, a shared neutral never."""
    shared = [{**b, "wires": "A B N", "taps": "A N"} for b in TWO]
    apart = [{**b, "wires": "A B NA NB", "taps": "A NA"} for b in TWO]
    one, other = (count(schedule(*boxes), "make_up=through", compared="emt") for boxes in (shared, apart))
    # A lands twice, B is spliced through; shared: the neutral spliced with a pigtail, 3 ends and 1 landed
    assert one.counts("X", "emt")[:2] == (2 + 2 + 3 + 1, 2)
    # a neutral each: NA lands twice, NB is spliced through
    assert other.counts("X", "emt")[:2] == (2 + 2 + 2 + 2, 2)


def test_trap_51_the_rating_of_10_a_is_a_step_from_2023_only(count: Counter):
    """Table 240.6(A): 14 AWG at 185 F carries 25 x 0.29 = 7.25 A; the next standard rating is 15 A, from 2023 10 A."""
    box = {"device": "equipment-1p", "awg": 14, "breaker_a": 15}
    for edition, next_a, outcome in (("2017", 15, "meets"), ("2020", 15, "meets"), ("2023", 10, "fails")):
        counted = count(schedule(box), f"code_edition={edition}", "ambient_f=185", compared="ac-first")
        found = row(counted, "run_tests", construction="ac")
        assert (found["next_a"], found["overcurrent"]) == (next_a, outcome)


def test_trap_51_no_conductor_is_anything_but_copper(count: Counter, catalogs: Catalogs):
    """NEC 310.3, 320.104, 330.104: no copper-clad aluminum of 14 AWG in these cables; a 10 A circuit has copper too."""
    assert not [r for name in ("conductors", "cables") for r in catalogs[name] if "clad" in str(r).casefold()]
    counted = count(schedule({"device": "luminaire", "breaker_a": 10}), "min_awg=14", compared="ac-first")
    assert row(counted, "schedule")["awg"] == "14"
    assert row(counted, "run_tests", construction="ac")["corrected_a"] == 25  # 14 AWG copper at 90 C


@pytest.mark.parametrize(
    ("into", "onward", "cable"),
    [
        pytest.param("A N", "S1 N", "meets", id="a neutral in and out"),
        pytest.param("A", "S1", "look", id="a loop without a neutral"),
    ],
)
def test_trap_52_a_switch_box_without_a_neutral_is_looked_at_in_cable(
    count: Counter, into: str, onward: str, cable: str
):
    """NEC 404.2(C): a raceway lets a neutral be pulled in later and is excepted; no rule of it is ever not met."""
    boxes = [{"device": "switch", "wires": into}, {"box": "L", "wires": onward, "fed_from": "X"}]
    counted = count(schedule(*boxes), compared=ALL_PLANS)
    assert of_all(counted, "switch_neutral") == {**dict.fromkeys(CABLES, cable), "emt-wire": "meets"}


def test_trap_52_a_box_without_a_switch_needs_no_neutral(count: Counter):
    box = {"device": "equipment-2p", "wires": "A B", "poles": 2, "volts": 208}
    counted = count(schedule(box), compared=ALL_PLANS)
    assert of_all(counted, "switch_neutral") == dict.fromkeys(KINDS, "does_not_apply")


# Support


SUPPORTS = [
    # 60 ft. Two at the ends, within 12 in: 58 ft between them, 10 intervals of 6 ft, 9 more
    ("mc-wire", "A N", 12, 11),
    ("mc-wire", "A B C", 12, 11),  # three and the green: four
    ("mc-wire", "A B C N", 12, 9),  # three hots, neutral and green: five; 10 intervals of 6 ft, 9 between them
    ("mc-wire", "A N", 10, 11),
    ("mc-wire", "A N", 8, 9),  # over 10 AWG
    ("mc-redundant", "A B C N", 12, 9),
    # the bare conductor counts as the green one does: three and it are four, four and it are five
    ("mc-armor", "A B C", 12, 11),
    ("mc-armor", "A B C N", 12, 9),
    # Type AC, 320.30(B): whatever it carries; 58 ft are 13 intervals of 4.5 ft
    ("ac", "A N", 12, 14),
    ("ac", "A B C N", 12, 14),
    ("ac", "A N", 8, 14),
    # EMT, 358.30(A): within 3 ft of each end; 54 ft are 6 intervals of 10 ft
    ("emt-wire", "A B C N", 12, 7),
]


@pytest.mark.parametrize(("construction", "wires", "awg", "supports"), SUPPORTS)
def test_trap_54_type_mc_is_secured_near_boxes_only_where_it_is_light(
    count: Counter, construction: str, wires: str, awg: int, supports: int
):
    """NEC 330.30(B): four or fewer conductors, none over 10 AWG; grounding conductors count, insulated or bare; ask the authority."""
    box = {"wires": wires, "awg": awg, "run_ft": 60, "construction": construction}
    found = row(count(schedule(box), compared=PLAN_OF[construction]), "each")
    assert found["cable_supports"] + found["raceway_supports"] == supports


@pytest.mark.parametrize(
    ("run_ft", "supports", "couplings"),
    [
        pytest.param(1.5, 1, 0.15, id="an 18-in nipple has no free pass"),
        pytest.param(6, 1, 0.6, id="one strap is within 3 ft of both ends"),
        pytest.param(16, 2, 1.6, id="10 ft between two straps"),
        pytest.param(100, 11, 10, id="94 ft between the end straps: nine more"),
    ],
)
def test_trap_56_a_coupling_is_no_termination_and_a_nipple_is_secured(
    count: Counter, run_ft: float, supports: int, couplings: float
):
    """NEC 358.30(A): within 3 ft of each box, every 10 ft between; couplings ask for no strap and end no conductor."""
    counted = count(schedule({**DUPLEX, "run_ft": run_ft}), compared="emt")
    assert row(counted, "each")["raceway_supports"] == supports
    bought = counted.total("material_by_item", "emt")
    assert bought["emt-coupling-1/2"] == pytest.approx(couplings * 1.05)
    assert bought["emt-connector-1/2"] == pytest.approx(2 * 1.02)
    assert counted.counts("X", "emt")[0] == 2


def test_trap_57_free_length_is_in_the_tails(count: Counter):
    """NEC 300.14: 6 in free at every box; the tails are bought: 20 + 6 + 1 ft and 12 + 1 + 1 ft, with 5 % waste."""
    boxes = [DUPLEX, {**DUPLEX, "box": "Y", "fed_from": "X", "run_ft": 12}]
    counted = count(schedule(*boxes), compared="ac-first,emt")
    tails = [counted.results["inputs"][n] for n in ("panel_tail_ft", "box_tail_ft")]
    assert tails == [6, 1]
    assert min(tails) >= 6 / 12
    assert counted.total("material_by_item", "ac-first")["ac-12-2"] == pytest.approx((27 + 14) * 1.05)
    # raceway has no tails; its two conductors and EGC have, with 4 % waste
    assert counted.total("material_by_item", "emt")["emt-1/2"] == pytest.approx(32 * 1.05)
    assert counted.total("material_by_item", "emt")["wire-12"] == pytest.approx(3 * (27 + 14) * 1.04)
    longer = count(schedule(*boxes), "box_tail_ft=1.5", compared="ac-first")
    assert longer.total("material_by_item", "ac-first")["ac-12-2"] == pytest.approx((27.5 + 15) * 1.05)


# Spaces


@pytest.mark.parametrize("edition", EDITIONS)
def test_trap_58_every_construction_meets_the_rule_of_plenums(count: Counter, edition: str, catalogs: Catalogs):
    """NEC 300.22(C)(1): armored cable without an overall nonmetallic covering; the catalog has no jacketed cable."""
    counted = count(schedule({**DUPLEX, "space": "plenum"}), f"code_edition={edition}", compared=ALL_PLANS)
    assert of_all(counted, "space") == dict.fromkeys(KINDS, "meets")
    titles = [str(r["title"]) for r in catalogs["prices"]]
    assert not [t for t in titles if "jacket" in t and not t.startswith("control cable")]


# Advice and editions


def test_trap_59_voltage_drop_is_looked_at_and_never_fails(count: Counter):
    """NEC 210.19, informational note: 3 % advised. 16 A over 100 ft of 12 AWG drops 5.28 %, over 1000 ft 52.8 %."""
    for run_ft, limit, outcome in ((100, 3, "look"), (1000, 3, "look"), (100, 5.3, "meets"), (50, 3, "meets")):
        box = {"device": "equipment-1p", "load_va": 1920, "run_ft": run_ft}
        counted = count(schedule(box), *NO_TAILS, f"drop_limit_pct={limit}", compared="ac-first")
        found = row(counted, "verdicts")
        assert (found["voltage_drop_check"], found["failed"]) == (outcome, 0)
        assert row(counted, "findings", check="voltage_drop")["fails"] == 0


def test_trap_59_no_advice_passes_a_construction_over(catalogs: Catalogs):
    advice = {"voltage_drop", "fault_path", "knockout", "switch_neutral", "multiwire", "isolated"}
    assert {r["refuses"] for r in catalogs["checks"] if r["check"] in advice} == {0}


SECTIONS = {
    "egc_kind": ["250.118", "250.118", "250.118(A)"],
    "overcurrent": ["310.15(B), 240.4", "310.15, 240.4", "310.15, 240.4"],
    "voltage_drop": ["210.19(A)(1) note", "210.19 note", "210.19 note"],
    "egc_increase": ["250.122(B)"] * 3,
}
"""Sections of the checks in 2017, 2020 and 2023."""


@pytest.mark.parametrize(("edition", "place"), [(e, n) for n, e in enumerate(EDITIONS)])
def test_trap_60_sections_are_those_of_the_edition(count: Counter, edition: str, place: int):
    counted = count(schedule(DUPLEX), f"code_edition={edition}", compared="ac-first")
    found = {r["check"]: r["section"] for r in rows(counted, "check_list")}
    assert {c: found[c] for c in SECTIONS} == {c: sections[place] for c, sections in SECTIONS.items()}
    told = {r["check"]: r["section"] for r in rows(counted, "findings")}
    assert {c: told[c] for c in SECTIONS} == {c: found[c] for c in SECTIONS}
    ambient = ["Table 310.15(B)(2)(a)", "Table 310.15(B)(1)", "Table 310.15(B)(1)(1)"]
    assert row(counted, "conditions")["ambient_section"] == ambient[place]


def test_trap_60_an_edition_without_rows_is_refused(count: Counter):
    """In 2026 articles and letters moved: nothing of it is shipped, and no older number is passed off as its own."""
    with pytest.raises(InputError) as wrong:
        count(schedule(DUPLEX), "code_edition=2026")
    assert str(wrong.value) == '--set:code_edition: is not accepted: "2026"; one of 2017, 2020, 2023'


# The findings


def test_findings_count_circuits_as_often_as_they_are_built(count: Counter):
    boxes = [
        {"box": "W", "device": "equipment-1p", "load_va": 1920, "run_ft": 100, "repeat": 3},
        {"box": "S", "circuit": "P-2", "device": "equipment-1p", "load_va": 100, "repeat": 2},
        {"box": "O", "circuit": "P-3", "device": "equipment-1p", "load_va": 2500},
    ]
    counted = count(schedule(*boxes), *NO_TAILS, compared="ac-first")
    outcomes = ("meets", "fails", "look", "does_not_apply")

    def told(check: str) -> tuple[float, ...]:
        found = row(counted, "findings", check=check)
        return tuple(found[o] for o in outcomes)

    assert told("voltage_drop") == (3, 0, 3, 0)
    assert told("load") == (5, 1, 0, 0)
    assert told("egc_size") == (0, 0, 0, 6)
    assert told("space") == (6, 0, 0, 0)
    every = (*outcomes, "screening", "untested")  # the fault path, on invented figures
    assert {sum(r.get(o, 0) for o in every) for r in rows(counted, "findings")} == {6}
    assert counted.total("circuits_with_a_check_not_met", "ac-first") == 1
    assert counted.total("circuits_to_look_at", "ac-first") == 3
