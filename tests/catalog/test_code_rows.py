"""Rows of the code and of the constructions against the standards, written a second time: no cell may flip unnoticed.

Each table below was written from the section it names, not from the catalogs; sections without a copy at hand are
from memory.
"""

from __future__ import annotations

from takeoff.catalog.rows import Catalogs

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
    **{"ac": "ac", "ac-redundant": "ac", "mc-wire": "mc", "mc-armor": "mc-ground", "mc-redundant": "mc-ground"},
    **{"emt-wire": "emt", "emt-bare": "emt"},
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
