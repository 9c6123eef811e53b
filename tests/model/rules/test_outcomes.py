"""Outcomes that an inspector looked for: one tiny schedule for each, in every edition, and the facts that settle them.

Circular mils of Chapter 9 Table 8 and ampacities of Table 310.16 stand beside their arithmetic; sections are those of
the NEC. A check that asks for a fact says look until it is answered, in the schedule or in the workbook.
"""

from __future__ import annotations

import itertools

import pytest

from takeoff.catalog.rows import Catalogs
from takeoff.text.problems import InputError
from tests.conftest import PLAN_OF, Counted, Counter
from tests.tables import row, rows, schedule

EDITIONS = ("2017", "2020", "2023")
CABLES = ("ac", "mc-wire", "mc-armor", "ac-redundant", "mc-redundant")


def held(count: Counter, construction: str, *sets: str, **cells: object) -> Counted:
    """Build one box, wired as said whatever the checks find."""
    box = {"construction": construction, **cells}
    return count(schedule(box), *sets, compared=PLAN_OF[construction])


def verdict(counted: Counted, check: str) -> dict[str, object]:
    """Return what the results say of a check of the one circuit in the one plan."""
    (found,) = [c for c in counted.results["checks"] if c["check"] == check]
    return found


# 1. Thermal insulation


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("construction", ["mc-wire", "mc-armor", "ac"])
def test_more_than_two_cables_in_insulation_take_the_table(count: Counter, edition: str, construction: str):
    """330.80(C), 320.80(A): five cables of two are 10 conductors, 50 %: 30 x 0.50 = 15 A, not enough for 20 A."""
    sets = f"code_edition={edition}", "bundled_cables=5"
    cells = {"device": "duplex", "awg": 12}
    dry = row(held(count, construction, *sets, **cells), "run_tests", construction=construction)
    assert (dry["ccc_together"], dry["adjust_pct"], dry["overcurrent"]) == (10, 100, "meets")
    insulated = held(count, construction, *sets, "thermal_insulation=yes", **cells)
    packed = row(insulated, "run_tests", construction=construction)
    assert (packed["ccc_together"], packed["adjust_pct"], packed["corrected_a"]) == (10, 50, 15)
    assert packed["overcurrent"] == "fails"


def test_two_cables_in_insulation_keep_the_exception(count: Counter):
    cells = {"device": "duplex", "awg": 12}
    counted = held(count, "mc-wire", "bundled_cables=2", "thermal_insulation=yes", **cells)
    found = row(counted, "run_tests", construction="mc-wire")
    assert (found["ccc_together"], found["adjust_pct"], found["overcurrent"]) == (4, 100, "meets")


def test_a_circuit_says_where_its_insulation_is(count: Counter):
    """The column of the schedule goes before the input of the job, either way."""
    cells = {"device": "duplex", "awg": 12}
    yes = held(count, "mc-wire", "bundled_cables=5", in_insulation="yes", **cells)
    no = held(count, "mc-wire", "bundled_cables=5", "thermal_insulation=yes", in_insulation="no", **cells)
    assert [row(c, "verdicts")["overcurrent_check"] for c in (yes, no)] == ["fails", "meets"]


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize(
    ("space", "construction", "wired", "pct"),
    [("general", "mc-wire", "mc-wire", 100), ("damp", "mc-wire", "mc-wire", 50), ("wet", "mc-wire", "mc-wire", 50), ("wet", "emt-wire", "emt-wire", 100)],
)  # fmt: skip
def test_a_cable_with_an_overall_jacket_is_not_spared_in_a_bundle(
    count: Counter, edition: str, space: str, construction: str, wired: str, pct: int
):
    """310.15(C)(1)(d), 310.15(B)(3)(a)(4) of 2017: only without an overall jacket, and damp or wet asks for one.

    Five cables of two are 10 conductors, 50 %: 30 x 0.50 = 15 A; each raceway has two conductors, no adjustment.
    """
    cells = {"device": "duplex", "awg": 12, "space": space, "listed_for_place": "yes" if space != "general" else ""}
    counted = held(count, construction, f"code_edition={edition}", "bundled_cables=5", **cells)
    found = row(counted, "run_tests", construction=wired)
    assert (found["adjust_pct"], found["corrected_a"]) == (pct, 30 * pct / 100)
    assert verdict(counted, "overcurrent")["outcome"] == ("meets" if pct == 100 else "fails")


def test_a_size_left_open_knows_of_the_jacket(count: Counter):
    """10 AWG: 40 x 0.50 = 20 A; the dry circuit beside it keeps 12 AWG."""
    boxes = [
        {"box": "A", "circuit": "P-1", "device": "duplex", "space": "damp"},
        {"box": "B", "circuit": "P-2", "device": "duplex"},
    ]
    counted = count(schedule(*boxes), "bundled_cables=5", compared="mc-wire-first")
    assert [(r["awg"], r["sized_by"]) for r in rows(counted, "schedule")] == [
        ("10", "smallest for 60 C, 86 F, 5 cables, jacketed"),
        ("12", "smallest for 60 C, 86 F, 5 cables"),
    ]
    assert {v["overcurrent_check"] for v in rows(counted, "verdicts")} == {"meets"}


# 2. Hazardous locations


@pytest.mark.parametrize("edition", EDITIONS)
def test_type_ac_is_no_wiring_method_of_a_hazardous_location(count: Counter, edition: str):
    """501.10(B), 502.10(B), 503.10 list Type MC, not Type AC: a plan passes it over, and Type MC is not settled."""
    counted = count(
        schedule({"device": "duplex", "space": "hazardous"}), f"code_edition={edition}", compared=PLAN_OF["ac"]
    )
    found = row(counted, "verdicts")
    assert (found["wired_as"], found["space_check"]) == ("mc-wire", "look")
    assert found["said"].startswith("AC with armor EGC: Type AC is not among the wiring methods")
    assert counted.total("circuits_not_settled", PLAN_OF["ac"]) == 1
    assert verdict(counted, "space")["question"].startswith("Which class and division")


CLASSES = [
    ("mc-wire", "I-1", "fails", "501.10(A)"),
    ("mc-wire", "I-2", "meets", "501.10(B)(1)"),
    ("mc-armor", "II-1", "fails", "502.10(A)(1)"),
    ("mc-armor", "I-2", "look", "501.10(B)(1), 501.30(A)"),
    ("mc-armor", "II-2", "look", "502.10(B)(1), 502.30(A)"),
    ("mc-redundant", "II-2", "meets", "502.10(B)(1)"),
    ("mc-wire", "III", "meets", "503.10"),
    ("mc-wire", "zone", "look", "505.15, 506.15"),
    ("emt-wire", "I-1", "fails", "501.10(A)"),
    ("emt-wire", "I-2", "fails", "501.10(B)(1)"),
    ("emt-wire", "II-2", "meets", "502.10(B)(1)"),
    ("emt-bare", "II-2", "look", "502.10(B)(1), 502.30(A)"),
    ("emt-bare", "III", "look", "503.10, 503.30(A)"),
    ("ac", "I-2", "fails", "501.10, 502.10, 503.10"),
]


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize(("construction", "answer", "outcome", "section"), CLASSES)
def test_class_and_division_settle_it(
    count: Counter, edition: str, construction: str, answer: str, outcome: str, section: str
):
    """Trade articles on Class I Division 1 and on Class II list the methods; the rest from memory.

    Where armor or tubing is the ground path, 501.30(A) and the like ask for bonding past the locknuts: a person looks.
    """
    cells = {"device": "junction", "space": "hazardous", "class_division": answer}
    found = verdict(held(count, construction, f"code_edition={edition}", **cells), "space")
    assert (found["outcome"], found["section"]) == (outcome, section)
    assert (found["question"] is None) == (outcome != "look")


def test_an_answer_that_is_none_is_refused(count: Counter):
    with pytest.raises(InputError) as wrong:
        count(schedule({"space": "hazardous", "class_division": "I-3"}))
    accepted = "accepted: unknown, I-1, I-2, II-1, II-2, III, zone"
    assert str(wrong.value) == f'schedule.csv:2:class_division: is no answer: "I-3"; {accepted}'


# 3. Sizes that the schedule leaves open


@pytest.mark.parametrize(
    ("sets", "breaker_a", "awg"),
    [
        ((), 60, "4"),  # 6 AWG carries 55 A at 60 C
        (("terminal_c=75",), 60, "6"),  # 65 A
        (("terminal_c=75",), 20, "12"),  # 240.4(D), whatever the column
        (("ambient_f=149",), 20, "10"),  # 30 x 0.65 = 19.5 A; 40 x 0.65 = 26 A
        (("bundled_cables=11",), 20, "8"),  # 22 conductors: 12 AWG 30 x 0.60 = 18, 10 AWG 40 x 0.45 = 18, 8 AWG 24.75 A
        (("bundled_cables=5",), 20, "12"),  # spared
        (("bundled_cables=5", "thermal_insulation=yes"), 20, "10"),  # 30 x 0.50 = 15; 40 x 0.50 = 20 A
    ],
)
@pytest.mark.parametrize("edition", EDITIONS)
def test_the_size_follows_the_inputs(count: Counter, edition: str, sets: tuple[str, ...], breaker_a: int, awg: str):
    counted = count(schedule({"device": "equipment-1p", "breaker_a": breaker_a}), f"code_edition={edition}", *sets)
    found = row(counted, "schedule")
    assert found["awg"] == awg
    assert found["sized_by"].startswith(f"smallest for {75 if 'terminal_c=75' in sets else 60} C, ")


@pytest.mark.parametrize(
    ("terminals", "ambient", "cables", "insulated"),
    [*itertools.product(("60", "75"), ("86", "122"), ("1", "4"), ("no", "yes")), ("60", "158", "1", "no")],
)
def test_a_size_found_here_never_fails_its_own_check(
    count: Counter, terminals: str, ambient: str, cables: str, insulated: str
):
    """Breakers of 15 to 50 A, two to six conductors that carry current, in every construction."""
    wires = ("A N", "A S1 S2 N", "A S1 S2 S3 S4 N")
    boxes = [
        {
            "box": f"B{n}",
            "circuit": f"P-{n}",
            "device": "duplex",
            "wires": w,
            "breaker_a": breaker,
            "construction": "mc-wire",
        }
        for n, (w, breaker) in enumerate(itertools.product(wires, (15, 20, 30, 50)))
    ]
    sets = f"terminal_c={terminals}", f"ambient_f={ambient}", f"bundled_cables={cables}"
    counted = count(schedule(*boxes), *sets, f"thermal_insulation={insulated}", compared="ac-first,mc-wire-first")
    over = [(r["kind"], r["breaker_a"]) for r in rows(counted, "run_tests") if r["overcurrent"] != "meets"]
    assert over == []


@pytest.mark.parametrize("edition", EDITIONS)
def test_a_hair_within_the_rounding_of_the_table_is_no_increase(count: Counter, edition: str):
    """60 A at 75 C on 4 AWG: 10380 x 41740 / 26240 = 16511.3 against 16510 cmil of 8 AWG.

    By the gauge, ASTM B258, 6 to 4 AWG and 10 to 8 AWG are two sizes each: the proportion is exact.
    """
    cells = {"device": "equipment-1p", "breaker_a": 60, "awg": 4}
    overlay = "construction,awg,conductors,egc_awg,bare_awg,sheath_item,wire_item,egc_item,fitting_size,route_factor\n"
    cables = f"{overlay}mc-wire,4,2,8,none,mc-wire-2-2,none,none,1,2\n"
    box = {"construction": "mc-wire", **cells}
    counted = count(
        schedule(box), f"code_edition={edition}", "terminal_c=75", compared=PLAN_OF["mc-wire"], cables=cables
    )
    assert row(counted, "verdicts")["egc_increase_check"] == "meets"


# 4. The ceiling of 250.122(A)


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("breaker_a", [30, 40])
def test_no_egc_is_asked_to_be_larger_than_the_circuit(count: Counter, edition: str, breaker_a: int):
    """12 AWG with 10 AWG aluminum on a motor: the table asks 8 AWG of aluminum, the circuit has 12 AWG of copper."""
    cells = {"device": "motor-2p", "wires": "A B", "awg": 12, "breaker_a": breaker_a, "poles": 2, "volts": 208}
    counted = held(count, "mc-armor", f"code_edition={edition}", **cells)
    found = row(counted, "run_tests", construction="mc-armor")
    assert (found["needed_awg"], found["needed_cmil"], found["fitted_cmil"]) == ("8", 10380, 10380)
    assert row(counted, "verdicts")["egc_size_check"] == "meets"


# 5. Loads of their own article


LOADS = [
    ("motor-2p", "", "look", "430.52"),
    ("compressor-2p", "", "look", "440.22"),
    ("welder-2p", "", "look", "630.12"),
    ("equipment-2p", "", "look", "240.4(D), (G)"),
    ("equipment-2p", "fire-pump", "look", "695.6"),
    ("equipment-2p", "motor", "look", "430.52"),
    ("equipment-2p", "general", "fails", "310.15"),
    ("motor-2p", "motor-by-430", "meets", "430.52"),
    ("receptacle-2p", "", "fails", "310.15"),
]


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize(("device", "load_kind", "outcome", "section"), LOADS)
def test_an_article_of_its_own_sizes_the_breaker_of_a_load(
    count: Counter, edition: str, device: str, load_kind: str, outcome: str, section: str
):
    """12 AWG on 30 A: 240.4(D) has 20 A; 240.4(G) leaves motors, compressors and welders to their articles."""
    cells = {"device": device, "wires": "A B", "awg": 12, "breaker_a": 30, "poles": 2, "volts": 208}
    counted = held(count, "mc-wire", f"code_edition={edition}", load_kind=load_kind, **cells)
    found = verdict(counted, "overcurrent")
    assert found["outcome"] == outcome
    assert section in found["section"]
    assert (found["question"] is not None) == (outcome == "look")


def test_no_load_is_asked_for_where_the_breaker_is_right(count: Counter):
    cells = {"device": "equipment-2p", "wires": "A B", "awg": 10, "breaker_a": 30, "poles": 2, "volts": 208}
    counted = held(count, "mc-wire", **cells)
    assert row(counted, "verdicts")["overcurrent_check"] == "meets"
    assert row(counted, "facts_asked")["circuits"] == "no circuit"


# 6. EGCs increased with the conductors


@pytest.mark.parametrize("edition", ["2020", "2023"])
@pytest.mark.parametrize(("answer", "outcome"), [("unknown", "look"), ("yes", "meets"), ("no", "fails")])
def test_from_2020_a_qualified_person_may_size_the_egc(count: Counter, edition: str, answer: str, outcome: str):
    """250.122(B) exception: 8 AWG on 20 A with an EGC of 10 AWG."""
    cells = {"device": "equipment-1p", "awg": 8}
    found = verdict(
        held(count, "mc-wire", f"code_edition={edition}", f"qualified_egc={answer}", **cells), "egc_increase"
    )
    assert found["outcome"] == outcome
    assert ("qualified person" in str(found["question"])) == (outcome == "look")


@pytest.mark.parametrize(("reading", "outcome"), [("unknown", "look"), ("before", "fails"), ("installation", "meets")])
def test_2017_has_two_readings_where_heat_is_the_reason(count: Counter, reading: str, outcome: str):
    """176 F: 20 / 0.41 = 48.8 A asks 8 AWG. From before correction it is an increase, with the installation none."""
    sets = "code_edition=2017", "ambient_f=176", f"increase_reading={reading}"
    found = verdict(held(count, "mc-wire", *sets, device="equipment-1p", awg=8), "egc_increase")
    assert found["outcome"] == outcome
    if outcome == "look":
        assert "before correction and adjustment, or the size with sufficient ampacity" in found["question"]


def test_2017_has_no_exception_where_both_readings_agree(count: Counter):
    for answer in ("unknown", "yes"):
        sets = "code_edition=2017", f"qualified_egc={answer}"
        counted = held(count, "mc-wire", *sets, device="equipment-1p", awg=8)
        assert row(counted, "verdicts")["egc_increase_check"] == "fails"


# 7. Isolated grounds


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("construction", [*CABLES, "emt-wire", "emt-bare"])
def test_an_isolated_ground_has_a_cable_of_its_own(count: Counter, edition: str, construction: str):
    """250.119, 250.146(D): a second insulated grounding conductor, priced; no conductor of a 3-wire cable serves."""
    cells = {"device": "duplex-ig", "wires": "A N IG"}
    counted = held(count, construction, f"code_edition={edition}", **cells)
    found = row(counted, "runs", construction=construction)
    sheath = {
        "ac": "ac-redundant-12-2",
        "mc-wire": "mc-wire-12-2-ig",
        "mc-armor": "mc-redundant-12-2",
        "ac-redundant": "ac-redundant-12-2-ig",
        "mc-redundant": "mc-redundant-12-2-ig",
        "emt-wire": "emt-1/2",
        "emt-bare": "emt-1/2",
    }
    assert (found["kind"], found["sheath_item"], found["spare"]) == ("3c12ig", sheath[construction], 0)
    assert counted.total("complete", PLAN_OF[construction])
    assert verdict(counted, "cable")["outcome"] == "meets"


def test_without_such_a_cable_the_circuit_falls_back_and_says_why(count: Counter):
    """No cable of 14 AWG has a second insulated grounding conductor; raceway takes any conductor."""
    counted = count(schedule({"device": "duplex-ig", "wires": "A N IG", "awg": 14, "breaker_a": 15}))
    found = row(counted, "verdicts", plan="mc-wire-first")
    assert found["wired_as"] == "emt-wire"
    assert found["said"] == "MC with wire EGC: not in the catalog with these conductors and size (catalog)"


# 8. EMT


def test_raceway_carries_the_egc_that_the_table_asks_for(catalogs: Catalogs):
    """Table 250.122: 100 A asks 8 AWG, 125 A asks 6 AWG; 4 and 3 AWG carry no more than 100 A, 2 AWG 115 A."""
    found = {(r["awg"], r["egc_awg"], r["egc_item"]) for r in catalogs["cables"] if r["construction"] == "emt-wire"}
    assert {f for f in found if f[0] in ("4", "3", "2")} == {
        ("4", "8", "wire-8"),
        ("3", "8", "wire-8"),
        ("2", "6", "wire-6"),
    }


def test_two_3_awg_with_their_egc_are_over_the_fill_of_3_4_in(catalogs: Catalogs):
    """Chapter 9: 2 x 0.0973 + 0.0366 = 0.2312 in2; 3/4 in EMT has 0.533 x 0.40 = 0.213, 1 in 0.346."""
    assert catalogs["cables"]["emt-wire|3|2|0|none"]["fitting_size"] == "1"


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_tubing_is_its_own_egc(count: Counter, edition: str):
    """250.118(4): no EGC is pulled; a receptacle takes a jumper from the box, and patient care falls back."""
    boxes = [
        {"device": "duplex"},
        {"box": "Y", "circuit": "P-2", "device": "duplex-hg", "space": "patient-care"},
    ]
    counted = count(schedule(*boxes), f"code_edition={edition}", compared="emt-as-egc")
    assert counted.total("circuits_wired_as", "emt-as-egc") == {"emt-bare": 1, "emt-wire": 1}
    assert counted.counts("X", "emt-as-egc")[2:] == (2, 0)
    found = rows(counted, "run_ohms")[0]
    assert found["egc_1"] == pytest.approx(0.66, rel=0.01)  # the tubing alone, at 75 C
    section = "250.118(A)(4)" if edition == "2023" else "250.118(4)"
    checks = {c["check"]: c for c in counted.results["checks"] if c["circuit"] == "P-1"}
    assert (checks["egc_kind"]["section"], checks["egc_kind"]["outcome"]) == (section, "meets")


# 10. Assembly, stage, damp and wet


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize(
    ("construction", "outcome"),
    [("ac", "fails"), ("ac-redundant", "meets"), ("mc-wire", "meets"), ("mc-armor", "look"), ("emt-wire", "meets"), ("emt-bare", "look")],
)  # fmt: skip
def test_a_stage_asks_type_ac_for_an_insulated_egc(count: Counter, edition: str, construction: str, outcome: str):
    """520.5(A), where 518.4(A) takes Type AC as it is in other places of assembly; EMT without an EGC as Type MC without."""
    found = verdict(held(count, construction, f"code_edition={edition}", device="duplex", space="stage"), "space")
    assert (found["outcome"], found["section"]) == (outcome, "520.5(A)")
    other = verdict(held(count, construction, f"code_edition={edition}", device="duplex", space="assembly"), "space")
    assert (other["outcome"], other["section"]) == ("meets", "518.4(A)")


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize(("space", "section"), [("damp", "110.3(B)"), ("wet", "330.10(A)(11), 110.3(B)")])
def test_armor_as_egc_has_no_jacket_and_says_so(count: Counter, edition: str, space: str, section: str):
    """330.10(A)(11) asks for a jacket in wet locations; the listing, for dry ones, is IAEI, May/June 2006."""
    found = verdict(held(count, "mc-armor", f"code_edition={edition}", space=space), "space")
    assert (found["outcome"], found["section"]) == ("fails", section)
    assert "the catalog has none with a jacket" in found["found"]
    wire = held(count, "mc-wire", f"code_edition={edition}", space=space)
    assert verdict(wire, "space")["outcome"] == "look"
    for answer, outcome in (("yes", "meets"), ("no", "fails")):
        told = held(count, "mc-wire", f"code_edition={edition}", space=space, listed_for_place=answer)
        assert verdict(told, "space")["outcome"] == outcome


# 11. Receptacles


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize(
    ("device", "breaker_a", "outcome"),
    [("duplex", 20, "meets"), ("duplex", 30, "fails"), ("receptacle-2p", 30, "meets")],
)
def test_a_duplex_stands_on_no_more_than_20_a(count: Counter, edition: str, device: str, breaker_a: int, outcome: str):
    """Table 210.21(B)(3): 15 or 20 A receptacles on 20 A, 30 A ones on 30 A."""
    cells = {"device": device, "breaker_a": breaker_a, "awg": 10}
    if device == "receptacle-2p":
        cells |= {"wires": "A B", "poles": 2, "volts": 208}
    counted = held(count, "mc-wire", f"code_edition={edition}", **cells)
    found = verdict(counted, "receptacle")
    assert (found["outcome"], found["section"]) == (outcome, "210.21(B)")


def test_what_is_not_tested_of_receptacles_is_a_stated_limit(catalogs: Catalogs):
    assert {"receptacle-rating", "hospital-grade", "gfci-afci", "motor-sizing"} <= set(catalogs["limits"].keys)


# 12, 13. Markings and cautions


def test_a_connector_says_the_marking_of_its_carton(count: Counter, catalogs: Catalogs):
    """IAEI, Focus on the Code, May/June 2006: MCI-A, or Metal-Clad Interlocking Armored Ground Cable Type."""
    marks = {str(r["fitting_family"]): str(r["marking"]) for r in catalogs["fittings"]}
    assert marks["mc-ground"].startswith("MCI-A")
    assert len(set(marks.values())) == len(marks)
    counted = held(count, "mc-armor", device="duplex")
    assert verdict(counted, "fitting")["found"] == marks["mc-ground"]


def test_lockout_of_general_industry_is_not_cited_for_construction(catalogs: Catalogs):
    """29 CFR 1910.147(a)(1)(ii)(A), (D): it covers neither construction nor electrical utilization; 1926.417 does."""
    text = str(catalogs["cautions"]["deenergize"]["text"])
    assert "in construction by 29 CFR 1926.416 and 1926.417" in text
    assert text.endswith("29 CFR 1910.147 covers neither.")


# Facts and questions


def test_every_case_answers_every_choice_in_every_edition(catalogs: Catalogs):
    answers = catalogs["answers"]
    facts = {str(r["case"]): str(r["fact"]) for r in answers}
    for case, fact in facts.items():
        assert {r["fact"] for r in answers if r["case"] == case} == {fact}
        for edition in EDITIONS:
            told = {str(r["answer"]) for r in answers if (r["case"], r["edition"]) == (case, edition)}
            choices = set(str(catalogs["facts"][fact]["choices"]).split())
            assert not told or told == choices, (case, edition)


def test_a_rule_that_is_not_for_a_circuit_is_not_said_to_be_met(count: Counter):
    """A duplex at 120 V: no shared neutral, isolated ground, switch or knockout over 250 V to ground is there to test."""
    counted = held(count, "mc-wire", device="duplex")
    for check in ("multiwire", "isolated", "switch_neutral", "knockout"):
        found = verdict(counted, check)
        assert [found[n] for n in ("outcome", "asked", "found", "question")] == ["does_not_apply", None, None, None]
    assert verdict(counted, "receptacle")["outcome"] == "meets"
    counted = held(count, "mc-wire", device="duplex-ig", wires="A N IG")
    assert (verdict(counted, "isolated")["outcome"], verdict(counted, "isolated")["found"]) == ("meets", 1)


def test_the_ceiling_of_the_circuit_stands_beside_what_the_table_asks(count: Counter):
    """12 AWG on a motor breaker of 40 A: the table asks 10 AWG, 250.122(A) no more than the circuit has."""
    cells = {"device": "motor-2p", "wires": "A B", "awg": 12, "breaker_a": 40, "poles": 2, "volts": 208}
    counted = held(count, "mc-wire", "inspected_plan=mc-wire-first", **cells)
    found = verdict(counted, "egc_size")
    assert (found["outcome"], found["asked"]) == ("meets", "10 AWG, not above the circuit's 12 AWG")
    assert row(counted, "inspected")["egc_size_says"] == "meets; 12 AWG for 10, circuit 12"


def test_every_look_has_a_question(count: Counter):
    boxes = [
        {"box": "A", "circuit": "P-1", "device": "duplex", "space": "wet"},
        {"box": "B", "circuit": "P-2", "device": "switch", "wires": "A S1"},
        {"box": "C", "circuit": "P-3", "device": "duplex", "wires": "A B N"},
        {"box": "D", "circuit": "P-4", "device": "duplex-ig", "wires": "A N IG", "space": "patient-care"},
        {
            "box": "E",
            "circuit": "P-5",
            "device": "equipment-1p",
            "volts": 277,
            "awg": 8,
            "run_ft": 900,
            "load_va": 4000,
        },
    ]
    counted = count(schedule(*boxes), "wanted_ratio=9")
    asked = {c["check"]: c["question"] for c in counted.results["checks"] if c["outcome"] == "look"}
    wanted = {"space", "switch_neutral", "multiwire", "isolated", "knockout", "voltage_drop", "fault_path"}
    assert wanted | {"egc_increase"} <= set(asked)
    assert all(question and question.endswith("?") for question in asked.values()), asked
