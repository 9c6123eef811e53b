"""Rows of the code and of the constructions against the standards, written a second time: no cell may flip unnoticed.

Each table below was written from the section it names, not from the catalogs; sections without a copy at hand are
from memory.
"""

from __future__ import annotations

import pytest

from takeoff.catalog.rows import Catalogs
from tests.copies import number, published

EDITIONS = ("2017", "2020", "2023")

PARTS = {
    # armor, bond strip, bare conductor, bushing: NEC 320.100, 320.40 (Type AC); 330.108, UL 1569 (Type MC); 358 (EMT)
    "ac": (1, 1, 0, 1, "armor", "listed", "cable"),
    "mc-wire": (1, 0, 0, 0, "wire", "copper", "cable"),
    "mc-armor": (1, 0, 1, 0, "armor", "aluminum", "cable"),
    "ac-redundant": (1, 1, 0, 1, "both", "copper", "cable"),
    "mc-redundant": (1, 0, 1, 0, "both", "copper", "cable"),
    "emt-wire": (0, 0, 0, 0, "both", "copper", "raceway"),
    "emt-bare": (0, 0, 0, 0, "armor", "listed", "raceway"),
}

OWN_FITTING = {
    # NEC 300.15, 320.40, 330.40, 358.42: the fitting is listed for the wiring method
    "ac": "ac",
    "ac-redundant": "ac",
    "mc-wire": "mc",
    "mc-armor": "mc-ground",
    "mc-redundant": "mc-ground",
    "emt-wire": "emt",
    "emt-bare": "emt",
}

PLACES = {
    # NEC 320.10, 320.12, 330.10, 330.12, 358.10, 517.13, 300.22(C): ac, mc-wire, mc-armor, ac-, mc-redundant, emt-wire, -bare
    "general": "meets meets meets meets meets meets meets",
    "plenum": "meets meets meets meets meets meets meets",
    "damp": "fails look fails fails fails look look",
    "wet": "fails look fails fails fails look look",
    "patient-care": "fails fails fails meets meets meets fails",
}

FIGURES = {
    # 314.16(B)(5): four together, then nothing in 2017 and a quarter each from 2020; a set of isolated ones in 2017
    "egc_first_count": (4, 4, 4),
    "egc_extra_allowance": (0, 0.25, 0.25),
    "isolated_set_allowance": (1, 0, 0),
    # 310.15(B)(3)(a)(4), then 310.15(C)(1)(d): three conductors at most, 12 AWG, 20 in all, else 60 %
    "bundle_each": (3, 3, 3),
    "bundle_area": (6530, 6530, 6530),
    "bundle_total": (20, 20, 20),
    "bundle_pct": (60, 60, 60),
    # 210.19(A), 210.20(A)
    "continuous_pct": (125, 125, 125),
    # 250.97: over 250 V to ground
    "knockout_v": (250, 250, 250),
    # Chapter 9 Table 8
    "table_8_c": (75, 75, 75),
    # 320.80(A), 330.80: more than two cables in contact with insulation
    "insulated_cables": (2, 2, 2),
    "area_rounding_pct": (0.05, 0.05, 0.05),
}

MORE_PLACES = {
    # NEC 518.4(A); 520.5(A): Type AC with an insulated EGC, Type MC; 501.10, 502.10, 503.10; sections from memory
    "assembly": "meets meets meets meets meets meets meets",
    "stage": "fails meets look meets meets meets look",
    "hazardous": "fails look look fails look look look",
}

CASES = {
    "mc-wire damp": "damp-mc",
    "mc-wire wet": "wet-mc",
    **dict.fromkeys(("mc-armor stage", "emt-bare stage"), "stage-egc"),
    "mc-armor hazardous": "class-armor",
    "emt-bare hazardous": "class-tube",
}
"""What decides where a person must look, beside the classes of hazardous places and the listing of fittings of tubing."""

ANSWERS = {
    # NEC 501.10, 502.10, 503.10: Type MC where the Division is 2, or Class III; from memory
    "class-mc": ("class_division", "unknown look I-1 fails I-2 meets II-1 fails II-2 meets III meets zone look"),
    "class-emt": ("class_division", "unknown look I-1 fails I-2 fails II-1 fails II-2 meets III meets zone look"),
    # NEC 501.30(A), 502.30(A), 503.30(A): armor or tubing that is the ground path is not bonded by locknuts; from memory
    "class-armor": ("class_division", "unknown look I-1 fails I-2 look II-1 fails II-2 look III look zone look"),
    "class-tube": ("class_division", "unknown look I-1 fails I-2 fails II-1 fails II-2 look III look zone look"),
    # NEC 520.5(A): for every cable and raceway, where the authority reads it so
    "stage-egc": ("stage_egc", "unknown look yes fails no meets"),
    # NEC 725.136, 725.130(A): under one armor, in a cable of its own, or run by run in either
    "control-cable": (
        "control_wiring",
        "unknown look class-1 meets class-2-listed meets class-2-apart fails class-2-together fails",
    ),
    "control-apart": (
        "control_wiring",
        "unknown look class-1 look class-2-listed meets class-2-apart meets class-2-together fails",
    ),
    "control-both": (
        "control_wiring",
        "unknown look class-1 look class-2-listed meets class-2-apart fails class-2-together fails",
    ),
    # NEC 330.10(A)(11), 358.10, 300.6: where listed for it
    "wet-mc": ("listed_for_place", "unknown look yes meets no fails"),
    "damp-mc": ("listed_for_place", "unknown look yes meets no fails"),
    "place-emt": ("listed_for_place", "unknown look yes meets no fails"),
    # NEC 240.4(G) with 430, 440, 630, 695: what the table names is not held to 240.4 as others are
    "load": (
        "load_kind",
        "unknown look general fails motor look motor-by-430 meets compressor look compressor-by-440 meets "
        "welder look welder-by-630 meets fire-pump look fire-pump-by-695 meets",
    ),
}

MORE_ANSWERS = {
    # 250.122(B): always in 2017; from 2020 a qualified person may size the EGC by 250.4
    "increase": (
        "qualified_egc",
        "unknown fails yes fails no fails",
        *["unknown look yes meets no fails"] * 2,
    ),
    # the same: 2017 speaks of ungrounded conductors increased in size, read in two ways; later editions say for what
    "reading": (
        "increase_reading",
        "unknown look before fails installation meets",
        *["unknown meets before meets installation meets"] * 2,
    ),
}
"""Fact, and the outcome of each answer in 2017, 2020 and 2023; wordings from memory."""

UNITS = {
    "egc_first_count": "EGC",
    **dict.fromkeys(("egc_extra_allowance", "isolated_set_allowance"), "allowance"),
    **dict.fromkeys(("bundle_each", "bundle_total", "insulated_cables"), "ea"),
    "bundle_area": "cmil",
    **dict.fromkeys(("bundle_pct", "continuous_pct", "area_rounding_pct"), "%"),
    "knockout_v": "V",
    "table_8_c": "C",
}
"""What each figure of the code counts or measures."""

REFUSED = {
    "cable": "not in the catalog",
    "egc_kind": "not recognized",
    "egc_size": "smaller than the breaker asks for",
    "egc_increase": "made larger",
    "fitting": "no fitting listed",
    "space": "the kind of space does not allow it or asks for more",
    "overcurrent": "above what the conductors carry",
    "load": "above breaker or conductors",
    "switch_neutral": "no neutral",
    "multiwire": "open together",
    "isolated": "second ground path",
    "receptacle": "smaller rating than the breaker",
    "knockout": "bonding around knockouts",
    "voltage_drop": "more voltage drop than advised",
    "fault_path": "may not trip",
    "box_fill": "no catalog box is large enough",
    "control": "beside power",
}
"""What each check refuses, in words of its section."""

EXCEPTED = {
    **dict.fromkeys(("cable", "egc_kind", "fitting", "receptacle"), ("none",)),
    "egc_size": ("never larger than the circuit conductors",),  # 250.122(A)
    "egc_increase": ("from 2020", "qualified person"),  # 250.122(B) exception
    "space": ("kind of space",),
    "overcurrent": ("240.4(B)", "(E)", "(G)", "next standard", "taps", "motors"),
    "load": ("100 %", "continuous"),  # 210.19(A)(1), 210.20(A) exceptions
    "switch_neutral": ("404.2(C)", "raceway", "automatic"),
    "multiwire": ("210.4(B)", "handle ties"),
    "isolated": ("517.16", "patient care vicinity"),
    "knockout": ("250.97", "listed"),
    **dict.fromkeys(("voltage_drop", "fault_path"), ("advice only",)),  # 210.19 informational note; no rule of the code
    "box_fill": ("314.28", "4 AWG"),
    "control": ("725.136(B)", "(D) 1/4 in", "725.130(A)", "Class 1"),
}
"""What may except a circuit from each check: sections and what they ask for."""

LOOKED_AT = {
    "cable": ("delivered",),
    "egc_kind": ("marking",),
    "egc_size": ("size of the grounding conductor",),
    "egc_increase": ("size of the grounding conductor", "larger"),
    "fitting": ("marking on the fitting", "locknut"),
    "space": ("the space", "jacket"),
    "overcurrent": ("rating of the breaker", "size of the conductors", "insulation around"),
    "load": ("load",),
    "switch_neutral": ("neutral in every switch box",),
    "multiwire": ("handle tie or common trip", "pigtailed", "grouped"),
    "isolated": ("insulated grounding conductor", "bond of the box"),
    "receptacle": ("rating on the receptacle", "hospital grade", "GFCI"),
    "knockout": ("knockouts", "250 V"),
    "voltage_drop": ("none",),
    "fault_path": ("reading of the loop",),
    "box_fill": ("marked volume",),
    "control": ("jacket", "barrier", "marking"),
}
"""What a person looks at on site for each check: common practice, no source."""

NOT_STOCKED = {"square-4x1.25"}
"""Invented for the demonstration, a regression check: the shop stocks all boxes but the shallowest square one."""

SYSTEMS = {
    # nominal voltages: to ground and to neutral of a wye; ANSI C84.1, from memory. 240 V: two legs of 120 V
    (208, 2): (120, 120),
    (208, 3): (120, 120),
    (240, 2): (120, 120),
    (240, 3): (240, 0),  # a delta, taken without a neutral
    (480, 2): (277, 277),
    (480, 3): (277, 277),
    (600, 2): (347, 347),
    (600, 3): (347, 347),
    **{(volts, poles): (volts, volts) for volts in (120, 277) for poles in (1, 2, 3)},
    (347, 1): (347, 347),
}

STOPS = {
    # outcomes of a rule of the code stop a plan; what 210.19 and the fault path advise does not
    **dict.fromkeys(("cable", "egc_kind", "egc_size", "egc_increase", "fitting", "space"), (1, 1)),
    **dict.fromkeys(("overcurrent", "load", "switch_neutral", "multiwire", "isolated"), (0, 1)),
    **dict.fromkeys(("receptacle", "knockout", "box_fill", "control"), (0, 1)),
    **dict.fromkeys(("voltage_drop", "fault_path"), (0, 0)),
}

SAYS = {
    "licensed": ("can kill", "licensed and qualified", "belong to"),
    "adopted-code": ("authority having jurisdiction", "decide", "adopted"),
    "listing": ("listing", "instructions", "go before"),
    "checks": ("one rule", "no statement about anything else"),
    "deenergize": ("De-energize", "lock out", "verify", "1926.416", "1926.417", "1910.333(b)"),
    "illustrative": ("invented", "before using a total"),
    "scope": ("only as lines of your own",),
}


def test_what_stands_under_the_armor_of_each_construction(catalogs: Catalogs):
    columns = (
        "armor",
        "bond_strip",
        "bare_conductor",
        "anti_short_bushing",
        "egc_kind",
        "egc_size_rule",
        "wiring_kind",
    )
    assert {r["key"]: tuple(r[c] for c in columns) for r in catalogs["constructions"]} == PARTS


def test_each_construction_goes_into_its_own_fitting(catalogs: Catalogs):
    """A fitting of the ground family may be listed for Type MC of both kinds: a person looks."""
    assert {r["key"]: r["fitting_family"] for r in catalogs["constructions"]} == OWN_FITTING
    for row in catalogs["fitting_rules"]:
        looked = (row["construction"], row["fitting_family"]) == ("mc-wire", "mc-ground")
        own = OWN_FITTING[str(row["construction"])] == row["fitting_family"]
        assert row["outcome"] == ("look" if looked else "meets" if own else "fails"), row["key"]


def test_each_construction_has_an_equipment_grounding_conductor(catalogs: Catalogs):
    """NEC 250.118: wire, armor of Type AC, armor with bare conductor of Type MC, metallic tubing."""
    assert {r["outcome"] for r in catalogs["egc_rules"]} == {"meets"}


def test_where_each_construction_may_be_used(catalogs: Catalogs):
    for edition in EDITIONS:
        for space, outcomes in PLACES.items():
            ours = [catalogs["space_rules"][f"{edition}|{c}|{space}"]["outcome"] for c in PARTS]
            assert " ".join(map(str, ours)) == outcomes, (edition, space)


def test_figures_of_the_code(catalogs: Catalogs):
    ours = {r: tuple(catalogs["rules"][f"{e}|{r}"]["value"] for e in EDITIONS) for r in catalogs["rules"].texts("rule")}
    assert ours == FIGURES


def test_allowances_of_each_part_in_a_box(catalogs: Catalogs):
    """NEC 314.16(B)(1) to (4), and (6) of 2023: a terminal block counts once, in earlier editions not at all."""
    one = {"conductor": 1, "lead": 1, "clamps": 1, "support-fitting": 1, "yoke-gang": 2}
    for edition in EDITIONS:
        ours = {r["part"]: r["allowances_each"] for r in catalogs["fill_parts"] if r["edition"] == edition}
        assert ours == {**one, "terminal-block": 1 if edition == "2023" else 0}


def test_standard_ratings(catalogs: Catalogs):
    """NEC 240.6(A); 10 A is new in 2023."""
    ratings = [15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125]
    for edition in EDITIONS:
        ours = sorted(float(str(r["rating_a"])) for r in catalogs["breakers"] if r["edition"] == edition)
        known = [10, *ratings] if edition == "2023" else ratings
        assert [r for r in ours if r not in known] == []
        assert ours == known[: len(ours)]


def test_each_caution_says_what_it_must(catalogs: Catalogs):
    assert set(catalogs["cautions"].keys) == set(SAYS)
    for key, words in SAYS.items():
        assert [w for w in words if w not in str(catalogs["cautions"][key]["text"])] == [], key
    for row in catalogs["cautions"]:
        assert not any(w in str(row["text"]).casefold() for w in ("compliant", "safe to", "approved", "no need"))


def test_where_each_construction_may_be_used_by_occupancy(catalogs: Catalogs):
    for edition in EDITIONS:
        for space, outcomes in MORE_PLACES.items():
            ours = [catalogs["space_rules"][f"{edition}|{c}|{space}"]["outcome"] for c in PARTS]
            assert " ".join(map(str, ours)) == outcomes, (edition, space)
    for row in catalogs["space_rules"]:
        construction, space = str(row["construction"]), str(row["space"])
        case = CASES.get(f"{construction} {space}", "none")
        if row["outcome"] == "look" and case == "none":
            kind = construction.partition("-")[0]
            case = f"class-{kind}" if space == "hazardous" else f"place-{kind}"
        assert row["case"] == case, row["key"]


def test_what_an_answer_to_a_fact_decides(catalogs: Catalogs):
    for edition in EDITIONS:
        for case, (fact, outcomes) in ANSWERS.items():
            rows = [r for r in catalogs["answers"] if (r["edition"], r["case"]) == (edition, case)]
            words = outcomes.split()
            assert {r["fact"] for r in rows} == {fact}
            assert {r["answer"]: r["outcome"] for r in rows} == dict(zip(words[::2], words[1::2], strict=True)), (
                edition,
                case,
            )


def test_what_an_answer_decides_by_edition(catalogs: Catalogs):
    assert {r["case"] for r in catalogs["answers"]} == {*ANSWERS, *MORE_ANSWERS}
    for case, (fact, *by_edition) in MORE_ANSWERS.items():
        for edition, outcomes in zip(EDITIONS, by_edition, strict=True):
            rows = [r for r in catalogs["answers"] if (r["edition"], r["case"]) == (edition, case)]
            words = outcomes.split()
            assert {r["fact"] for r in rows} == {fact}
            ours = {r["answer"]: r["outcome"] for r in rows}
            assert ours == dict(zip(words[::2], words[1::2], strict=True)), (edition, case)


def test_units_of_the_figures_of_the_code(catalogs: Catalogs):
    assert {r["key"]: r["unit"] for r in catalogs["rules"]} == {f"{e}|{r}": UNITS[r] for e in EDITIONS for r in UNITS}


def test_every_check_says_what_it_must(catalogs: Catalogs):
    for row in catalogs["checks"]:
        check = str(row["check"])
        assert REFUSED[check] in str(row["refusal"]), row["key"]
        for column, words in (("exception", EXCEPTED), ("on_site", LOOKED_AT)):
            assert [w for w in words[check] if w not in str(row[column])] == [], (row["key"], column)
            assert (row[column] == "none") == (words[check] == ("none",)), (row["key"], column)


def test_adjustment_for_more_conductors_against_the_published_table(catalogs: Catalogs):
    """NEC Table 310.15(B)(3)(a): from its first to its last row, which has no upper end."""
    table = [(number(r["ccc_to"] or 1e6), number(r["percent"])) for r in published("adjustment_factors")]
    for edition in EDITIONS:
        assert [(r["ccc_to"], r["percent"]) for r in catalogs["adjustments"] if r["edition"] == edition] == table


def test_each_box_is_of_the_family_that_its_key_names(catalogs: Catalogs):
    assert {r["key"]: r["family"] for r in catalogs["box_sizes"]} == {
        key: key.partition("-")[0] for key in catalogs["box_sizes"].keys
    }


def test_boxes_that_the_shop_of_the_demonstration_does_not_stock(catalogs: Catalogs):
    assert {str(r["key"]) for r in catalogs["box_sizes"] if not r["stocked"]} == NOT_STOCKED
    assert all("illustrative" in str(catalogs["box_sizes"][key]["source"]) for key in NOT_STOCKED)


def test_supports_of_tubing(catalogs: Catalogs):
    """NEC 358.30(A): within 36 in of each box, and every 10 ft, whatever the EGC in it is."""
    for key in ("emt-wire", "emt-bare"):
        row = catalogs["constructions"][key]
        assert (row["support_near_in"], row["support_interval_ft"]) == (36, 10)


def test_voltages_of_each_system(catalogs: Catalogs):
    ours = {(r["volts"], r["poles"]): (r["to_ground_v"], r["neutral_v"]) for r in catalogs["systems"]}
    assert ours == SYSTEMS


def test_factors_of_each_connection(catalogs: Catalogs):
    """Single phase: current VA / V, drop over both conductors; three phases: the root of three for both."""
    ours = {str(r["key"]): (r["phase_factor"], r["drop_factor"]) for r in catalogs["connections"]}
    assert ours == {"1": (1, 2), "2": (1, 2), "3": (pytest.approx(3**0.5), pytest.approx(3**0.5))}


def test_what_a_check_stops(catalogs: Catalogs):
    for row in catalogs["checks"]:
        assert (row["refuses"], row["stops"]) == STOPS[str(row["check"])], row["key"]


def test_small_conductors_and_the_limits_of_type_ac(catalogs: Catalogs):
    """NEC 240.4(D): 15, 20 and 30 A; an aluminum EGC is two sizes larger, ASTM B258; 320.80(A), 330.30(B)."""
    rows = {str(r["key"]): r for r in catalogs["conductors"]}
    assert {k: r["small_conductor_a"] for k, r in rows.items() if r["small_conductor_a"]} == {
        "14": 15,
        "12": 20,
        "10": 30,
    }
    for awg, row in rows.items():
        small = {"14": 15, "12": 20, "10": 30}.get(awg)
        assert row["copper_limit_a"] == (small or row["copper_60c_a"]), awg
        wanted = 1_000_000 if awg in ("18", "16") else (5 * 92 ** ((36 - int(awg) + 2) / 39)) ** 2
        assert row["aluminum_cmil"] == pytest.approx(wanted, rel=0.003), awg
    for row in catalogs["constructions"]:
        kind = str(row["key"]).partition("-")[0]
        limits = {"ac": ("60", 1000, 1e6), "mc": ("90", 4, 10380), "emt": ("90", 1000, 1e6)}[kind]
        assert (row["insulation_c"], row["near_conductors"], row["near_cmil"]) == limits, row["key"]
        assert row["support_section"] == {"ac": "320.30", "mc": "330.30", "emt": "358.30"}[kind]


def test_constants_of_metals(catalogs: Catalogs):
    """Onderdonk's equation, ICEA P-32-382, NEC Chapter 9 Table 8 note 2, ASTM B230 and B258; from memory."""
    copper, aluminum = (catalogs["metals"][m] for m in ("copper", "aluminum"))
    names = ("zero_c", "melts_c", "alpha_75c", "fusing_constant", "withstand_constant", "insulation_limit_c")
    assert [copper[n] for n in names] == [234, 1083, 0.00323, 33, 0.0297, 150]
    assert [aluminum[n] for n in names] == [228, 657, 0.0033, pytest.approx(1 / 0.0125), 0.0125, 150]
    for metal, density in ((copper, 8.89), (aluminum, 2.703)):  # g/cm3; a foot of one cmil, 453.59237 g to the pound
        weight = density * 0.7853981634e-6 * 2.54**2 * 30.48 / 453.59237 * 1000
        assert metal["lb_per_kft_cmil"] == pytest.approx(weight, rel=0.001)


def test_sections_of_a_ganged_box_add(catalogs: Catalogs):
    """NEC Table 314.16(A): a volume for each gang, and boxes of sections add; a cast box of more gangs has 18 or 24 in each."""
    for row in catalogs["box_sizes"]:
        base, _, gangs = str(row["key"]).rpartition("-")
        if gangs.endswith("gang") and gangs != "1gang" and not base.startswith("cast"):
            one = catalogs["box_sizes"][f"{base}-1gang" if f"{base}-1gang" in catalogs["box_sizes"] else base]
            assert row["volume_in3"] == int(gangs[0]) * float(str(one["volume_in3"])), row["key"]
    each = {"cast-fs-1gang": 13.5, "cast-fd-1gang": 18, "cast-fs-2gang": 2 * 18, "cast-fd-2gang": 2 * 24}
    assert {k: catalogs["box_sizes"][k]["volume_in3"] for k in each} == each


SPACES = {
    # isolated grounds asked about, rules for the whole circuit: NEC 517.13, 517.16 (patient care); an overall jacket over
    # the armor: 330.10(A)(11), common practice in damp places; sections from memory
    **dict.fromkeys(("general", "assembly", "stage", "plenum", "hazardous"), (0, 0, 0)),
    "patient-care": (1, 1, 0),
    **dict.fromkeys(("damp", "wet"), (0, 0, 1)),
}


def test_what_holds_in_each_kind_of_space(catalogs: Catalogs):
    names = "isolated_rules", "whole_circuit", "jacketed"
    assert {s["key"]: tuple(s[n] for n in names) for s in catalogs["spaces"]} == SPACES


FACTS = {
    # NEC 500.5, 505; 110.3(B); 520.5(A); 430, 440, 630, 695; 320.80, 330.80; 250.122(B); Articles 724, 725, 300.3(C)(1)
    "class_division": ("circuit", "unknown I-1 I-2 II-1 II-2 III zone"),
    **dict.fromkeys(("listed_for_place", "stage_egc", "in_insulation"), ("circuit", "unknown yes no")),
    "load_kind": (
        "circuit",
        "unknown general motor motor-by-430 compressor compressor-by-440 welder welder-by-630 fire-pump fire-pump-by-695",
    ),
    "qualified_egc": ("job", "unknown yes no"),
    "increase_reading": ("job", "unknown before installation"),
    "control_wiring": ("circuit", "unknown class-1 class-2-listed class-2-apart class-2-together"),
}


def test_who_tells_each_fact_and_how(catalogs: Catalogs):
    assert {f["key"]: (f["told_by"], f["choices"]) for f in catalogs["facts"]} == FACTS


MEANINGS = {
    # word, short word, what the meaning must say; no outcome says more than which rule was tested
    "meets": ("meets the rule tested", "meets", "the one rule named; nothing else was tested"),
    "fails": ("does not meet the rule tested", "does not meet", "do not meet the rule named"),
    "look": ("a person must look", "look", "facts that nobody has given yet"),
    "screening": ("screening only", "screening", "illustrative figures: it proves nothing until they are replaced"),
    "untested": ("not tested", "not tested", "a figure that the test needs is missing"),
    "does_not_apply": ("does not apply", "does not apply", "the rule is not for this construction or this circuit"),
}


def test_each_outcome_says_what_it_must_and_no_more(catalogs: Catalogs):
    assert {o["key"]: (o["word"], o["short"]) for o in catalogs["outcomes"]} == {k: m[:2] for k, m in MEANINGS.items()}
    assert all(MEANINGS[str(o["key"])][2] in str(o["meaning"]) for o in catalogs["outcomes"])


AGAINST_A_TOTAL = {
    # what makes a total wrong, against what a person should see to: convention, by hand
    "not to be used": {
        "inputs": ("job", "Rates"),
        **dict.fromkeys(("errors", "proofs"), ("job", "Checks")),
        **dict.fromkeys(("refused", "unserved", "no_cable"), ("plan", "Inspection")),
        **dict.fromkeys(("unsized", "other_unpriced"), ("plan", "Boxes")),
        "prices_missing": ("plan", "Prices"),
    },
    "look first": {
        **dict.fromkeys(("price_slips", "prices_expired"), ("plan", "Prices")),
        "stale_order": ("job", "Order"),
        "stale_risk": ("job", "Swap"),
        "stale_cable": ("job", "Breakdown"),
        "uncounted": ("job", "Bid lines and Prices"),
        **dict.fromkeys(("advised", "circuits_to_look"), ("plan", "Inspection")),
        "not_settled": ("plan", "Inputs"),
    },
}


def test_what_stands_against_a_total(catalogs: Catalogs):
    ours = {r["key"]: (r["state"], r["counted"], str(r["look_at"]).split(" ", 1)[1]) for r in catalogs["stops"]}
    assert ours == {key: (state, *rest) for state, rows in AGAINST_A_TOTAL.items() for key, rest in rows.items()}
    assert all(str(r["look_at"]).startswith(("sheet ", "sheets ")) for r in catalogs["stops"])


BANDS_S = {
    # NEMA AB 4, most seconds at 300 % by rating to 30, 50, 100, 150 A, at 250 V and at 600 V, from memory
    250: {30: 50, 50: 80, 100: 140, 150: 200},
    600: {30: 70, 50: 100, 100: 160, 150: 250},
}


def test_bands_of_breakers(catalogs: Catalogs):
    """Times of NEMA AB 4, its 25 % on an instantaneous trip; 1.1 cycles of 60 Hz to 100 A, 1.5 beyond (IEEE 242).

    The low edge is a tenth of the high one, which is invented and says so.
    """
    bands = list(catalogs["breaker_bands"])
    assert {(b["volts_to"], b["rating_to_a"]): b["long_high_s"] for b in bands} == {
        (volts, rating): seconds for volts, rows in BANDS_S.items() for rating, seconds in rows.items()
    }
    for band in bands:
        assert (band["long_times"], band["inst_low_pct"], band["inst_high_pct"]) == (3, 100 - 25, 100 + 25)
        assert band["clear_s"] == pytest.approx((1.1 if band["rating_to_a"] <= 100 else 1.5) / 60, abs=5e-4)
        assert band["long_low_s"] == band["long_high_s"] / 10
        assert str(band["low_source"]).startswith("illustrative")
