"""Plans: a circuit is wired in the first construction of a plan that no refusing check passes over.

What may serve stands in NEC 320.10, 320.12 (Type AC: dry), 330.10 (Type MC), 517.13 (patient care), 250.122.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from takeoff.build import Build, Options, compute
from takeoff.catalog.rows import Catalogs
from takeoff.report.results import results_of
from takeoff.text.problems import InputError
from tests.conftest import ALL_PLANS, PLAN_OF, Counted, Counter
from tests.copies import worked
from tests.priced import laid
from tests.tables import row, rows, schedule

SHIPPED = list(PLAN_OF)
DEFAULT = ["ac-first", "mc-wire-first", "mc-armor-first"]
KEYS = (
    "ac-first (AC first), mc-wire-first (MC wire EGC first), mc-armor-first (MC armor EGC first), "
    "ac-redundant-first (AC for patient care first), mc-redundant-first (MC for patient care first), "
    "emt (EMT throughout), emt-as-egc (EMT as EGC first)"
)
NEEDS = "another size or space, a plan with another construction, or a construction for the circuit"
AC_DRY = "AC with armor EGC: Type AC is for dry locations (320.10, 320.12)"
AC_CARE = "AC with armor EGC: no insulated copper EGC in the cable (517.13(B))"
DUPLEX = {"device": "duplex"}


def build(folder: Path, text: str, toml: str = "", compared: str = "") -> Build:
    """Build a schedule with an inputs file."""
    path, inputs = folder / "s.csv", folder / "in.toml"
    path.write_text(text, encoding="utf-8")
    inputs.write_text(toml, encoding="utf-8")
    return compute(Options(path, inputs=inputs, plans=compared))


def titles_by_key(found: Build) -> dict[str, str]:
    return {str(r["key"]): str(r["short_title"]) for r in found.catalogs["constructions"]}


def refused(folder: Path, text: str, toml: str = "", compared: str = "") -> list[str]:
    with pytest.raises(InputError) as wrong:
        build(folder, text, toml, compared)
    return str(wrong.value).splitlines()


def passed_over(found: Counted | Build, verdict: dict[str, Any]) -> list[str]:
    """Return what is said of every construction that is passed over for a circuit, in the order of the plan."""
    wired = row(found, "wiring", key=verdict["key"])
    planned = row(found, "plan", key=f"{wired['alike']}|{wired['plan']}")
    said = [planned[name] for name in planned if name.startswith("said_")]
    return [text for text in said if text != "-"]


# The first that may serve


@pytest.mark.parametrize("case", worked("plan"), ids=lambda c: c["id"])
def test_a_plan_worked_by_hand(count: Counter, case: dict[str, str]):
    box = {name: case[name] for name in ("space", "device", "wires", "awg", "breaker_a") if case[name]}
    counted = count(schedule(box), f"code_edition={case['edition']}", compared=case["plan"])
    assert counted.box("X", case["plan"])["wired_as"] == case["wired_as"]


def test_in_a_dry_general_space_every_plan_takes_its_preferred_construction(count: Counter):
    found = count(schedule(DUPLEX), compared=ALL_PLANS).results["plans"]
    assert {plan: c["circuits_wired_as"] for plan, c in found.items()} == {
        plan: {c: 1} for c, plan in PLAN_OF.items() if plan in ALL_PLANS.split(",")
    }
    assert all(c["circuits_fallen_back"] == 0 for c in found.values())


@pytest.mark.parametrize(
    ("preferred", "wired_as"),
    [
        ("ac", "ac-redundant"),
        ("mc-wire", "mc-redundant"),
        ("mc-armor", "mc-redundant"),
        ("ac-redundant", "ac-redundant"),
        ("mc-redundant", "mc-redundant"),
        ("emt-wire", "emt-wire"),
    ],
)
@pytest.mark.parametrize("edition", ["2017", "2020", "2023"])
def test_patient_care_falls_to_the_redundant_kind(count: Counter, preferred: str, wired_as: str, edition: str):
    """NEC 517.13(A) and (B): a metal path that is recognized by itself, and an insulated copper EGC."""
    plan = PLAN_OF[preferred]
    counted = count(schedule({**DUPLEX, "space": "patient-care"}), f"code_edition={edition}", compared=plan)
    assert counted.box("X", plan)["wired_as"] == wired_as
    assert counted.box("X", plan)["space_check"] == "meets"
    assert counted.total("circuits_wired_as", plan) == {wired_as: 1}
    assert counted.total("circuits_fallen_back", plan) == int(preferred != wired_as)


def test_type_ac_falls_past_its_redundant_kind_where_it_is_wet(count: Counter):
    """NEC 320.10, 320.12; Type MC where listed for it, 330.10(A)(11): a person must look."""
    counted = count(schedule({**DUPLEX, "space": "wet"}), compared="ac-first")
    found = row(counted, "verdicts")
    assert (found["wired_as"], found["space_check"], found["falls"]) == ("mc-wire", "look", 1)
    assert found["said"] == AC_DRY
    assert passed_over(counted, found) == [AC_DRY, AC_DRY.replace("AC with armor EGC", "AC for patient care", 1)]


def test_a_size_that_the_catalog_lacks_is_passed_over(count: Counter):
    """Type AC has no cable of five conductors, nor one of 4 AWG."""
    for box in ({"wires": "A B C NA NB"}, {"awg": 4, "breaker_a": 70}):
        found = row(count(schedule({"device": "equipment-1p", **box}), compared="ac-first"), "verdicts")
        assert found["wired_as"] == "mc-wire"
        assert found["said"] == "AC with armor EGC: not in the catalog with these conductors and size (catalog)"


def test_one_box_decides_for_its_whole_circuit_and_for_no_other(count: Counter):
    boxes = [
        {**DUPLEX, "box": "A1"},
        {**DUPLEX, "box": "A2", "fed_from": "A1", "space": "patient-care"},
        {**DUPLEX, "box": "B1", "circuit": "P-3"},
    ]
    counted = count(schedule(*boxes), compared="ac-first")
    assert [counted.box(b, "ac-first")["wired_as"] for b in ("A1", "A2", "B1")] == [
        "ac-redundant",
        "ac-redundant",
        "ac",
    ]


def test_circuits_fall_back_as_often_as_they_are_built(count: Counter):
    boxes = [
        {**DUPLEX, "box": "A", "space": "wet", "repeat": 3},
        {**DUPLEX, "box": "B", "circuit": "P-3", "repeat": 2},
        {**DUPLEX, "box": "C", "circuit": "P-5", "space": "patient-care"},
    ]
    counted = count(schedule(*boxes), compared="ac-first,emt")
    assert counted.total("circuits_wired_as", "ac-first") == {"mc-wire": 3, "ac": 2, "ac-redundant": 1}
    assert counted.total("circuits_fallen_back", "ac-first") == 4
    assert counted.total("circuits_wired_as", "emt") == {"emt-wire": 6}
    assert counted.total("circuits_fallen_back", "emt") == 0
    assert [r["fallen_back_pct"] for r in rows(counted, "plan_flags")] == pytest.approx([100 * 4 / 6, 0])
    assert [r["falls"] for r in rows(counted, "verdicts", plan="ac-first")] == [1, 0, 1]
    assert [r["chosen_place"] - 1 for r in rows(counted, "plan", plan="ac-first")] == [2, 0, 1]


def test_a_check_that_does_not_refuse_passes_nothing_over(count: Counter):
    """A breaker above what the conductors carry is the same in every construction: it is shown, not passed over."""
    counted = count(schedule({**DUPLEX, "awg": 14, "breaker_a": 20}), compared="ac-first")
    found = row(counted, "verdicts")
    assert (found["wired_as"], found["overcurrent_check"]) == ("ac", "fails")
    assert counted.total("circuits_with_a_check_not_met", "ac-first") == 1


def test_a_check_may_be_made_to_refuse_and_not_to(count: Counter):
    """The catalog of checks says which pass over: bonding at knockouts never fails, the space may be let go."""
    wet = schedule({**DUPLEX, "space": "wet"})
    let_go = "check,editions,refuses\nspace,2017 2020 2023,0\n"
    found = row(count(wet, compared="ac-first", checks=let_go), "verdicts")
    assert (found["wired_as"], found["space_check"], found["failed"]) == ("ac", "fails", 1)
    bundled = schedule(
        *({**DUPLEX, "awg": 12, "box": f"B{n}", "fed_from": f"B{n - 1}" if n else "panel"} for n in range(2))
    )
    refuse = "check,editions,refuses\novercurrent,2017 2020 2023,1\n"
    found = row(count(bundled, "bundled_cables=11", compared="ac-first", checks=refuse), "verdicts")
    assert found["wired_as"] == "emt-wire"
    assert found["said"] == "AC with armor EGC: the breaker is above what the conductors carry here (310.15, 240.4)"


# What was passed over, and why


def test_every_passed_over_construction_names_reason_and_section(count: Counter):
    spaces = ["general", "patient-care", "assembly", "plenum", "damp", "wet", "hazardous"]
    boxes = [{**DUPLEX, "box": f"B{n}", "circuit": f"P-{n}", "space": s} for n, s in enumerate(spaces)]
    counted = count(schedule(*boxes), compared=ALL_PLANS)
    fallen = rows(counted, "verdicts", falls=1)
    told = [text for found in fallen for text in passed_over(counted, found)]
    titles = {str(r["short_title"]) for r in counted.build.catalogs["constructions"]}
    assert len(told) > len(spaces)
    for text in told:
        match = re.fullmatch(r"([^:]+): (.+) \((.+)\)", text)
        assert match, text
        assert match[1] in titles
        assert re.match(r"\d{3}\.\d+|catalog", match[3]), text


def test_the_words_of_a_reason_are_those_of_the_rule(count: Counter):
    found = row(count(schedule({**DUPLEX, "space": "patient-care"}), compared="mc-armor-first"), "verdicts")
    assert found["said"] == AC_CARE.replace("AC", "MC", 1)
    found = row(count(schedule({**DUPLEX, "space": "patient-care"}), compared="mc-wire-first"), "verdicts")
    assert found["said"] == "MC with wire EGC: the armor is not itself a recognized EGC (517.13(A))"


# Held by the schedule


@pytest.mark.parametrize("compared", ["ac-first", "mc-wire-first", "emt"])
def test_a_held_circuit_is_wired_as_held_even_where_refused_and_shows_it(count: Counter, compared: str):
    counted = count(schedule({**DUPLEX, "space": "wet", "construction": "ac", "repeat": 2}), compared=compared)
    found = row(counted, "verdicts")
    assert (found["wired_as"], found["space_check"], found["failed"]) == ("ac", "fails", 1)
    assert (found["falls"], found["unserved"]) == (0, 0)
    assert counted.total("circuits_with_a_check_not_met", compared) == 2
    assert counted.total("circuits_fallen_back", compared) == 0
    assert counted.total("circuits_wired_as", compared) == {"ac": 2}


def test_a_held_circuit_needs_no_plan_that_may_serve_it(tmp_path: Path):
    text = schedule({**DUPLEX, "space": "wet", "construction": "mc-armor"})
    found = row(build(tmp_path, text, '[plans]\ndry = ["ac"]\n', "dry"), "verdicts")
    assert (found["wired_as"], found["unserved"], found["failed"]) == ("mc-armor", 0, 1)


def test_of_a_held_circuit_nothing_is_passed_over(count: Counter):
    """Held to Type AC where it is wet: that AC was passed over would be untrue."""
    counted = count(schedule({**DUPLEX, "space": "wet", "construction": "ac"}), compared="ac-first")
    found = row(counted, "verdicts")
    assert found["wired_as"] == "ac"
    assert found["said"] == "-"


# Plans of the inputs file


def test_plans_of_the_inputs_file_are_compared_beside_those_compared_by_default(tmp_path: Path):
    toml = 'project = "clinic"\n\n[plans]\nclinic = ["mc-armor", "mc-redundant"]\nplain = "emt-wire"\n'
    found = results_of(build(tmp_path, schedule({**DUPLEX, "space": "patient-care"}), toml))
    assert list(found["plans"]) == [*DEFAULT, "clinic", "plain"]
    assert found["plans"]["clinic"]["circuits_wired_as"] == {"mc-redundant": 1}
    assert found["plans"]["plain"]["circuits_wired_as"] == {"emt-wire": 1}
    assert found["plans"]["clinic"]["title"] == "clinic"
    assert found["inputs"]["project"] == "clinic"


def test_a_plan_may_be_named_alone_and_order_is_its_own(tmp_path: Path):
    toml = '[plans]\none = ["mc-redundant", "ac-redundant"]\nother = ["ac-redundant", "mc-redundant"]\n'
    text = schedule({**DUPLEX, "space": "patient-care"})
    found = results_of(build(tmp_path, text, toml, "other,one"))
    assert {p: c["circuits_wired_as"] for p, c in found["plans"].items()} == {
        "other": {"ac-redundant": 1},
        "one": {"mc-redundant": 1},
    }


@pytest.mark.parametrize("members", [1, 2, 3, 4, 6])
def test_a_plan_of_any_length_may_be_compared_alone(tmp_path: Path, members: int):
    """The last member of the plan is the only one that serves; all before it are named."""
    plan = ["ac", "mc-armor", "mc-wire", "ac-redundant", "mc-redundant", "emt-wire"][-members:]
    text = schedule({"device": "equipment-1p", "wires": "A S1 S2 S3 S4 S5 S6 N", "awg": 12})
    built = build(tmp_path, text, f"[plans]\nmine = {plan}\n", "mine")
    assert row(built, "verdicts")["wired_as"] == "emt-wire"
    passed = [row(built, "plan")[f"said_{n}"] for n in range(1, members)]
    assert [said.partition(":")[0] for said in passed] == [titles_by_key(built)[c] for c in plan[:-1]]


def test_a_plan_may_be_one_text_in_any_case(tmp_path: Path):
    found = build(tmp_path, schedule(DUPLEX), '[plans]\nMine = "MC-Armor AC"\n', "MINE")
    assert [(p.key, list(p.members)) for p in found.frame.plans] == [("Mine", ["mc-armor", "ac"])]
    assert row(found, "verdicts")["wired_as"] == "mc-armor"


def test_a_plan_may_be_the_base_of_the_differences(tmp_path: Path):
    toml = 'base_plan = "mine"\n[plans]\nmine = ["ac"]\n'
    assert build(tmp_path, schedule(DUPLEX), toml).inputs["base_plan"] == "mine"


BAD_PLANS = [
    (
        "unknown construction",
        'mine = ["acc"]',
        'in.toml:plans.mine: is not a construction of the catalog: "acc"; '
        "accepted: ac, mc-wire, mc-armor, ac-redundant, mc-redundant, emt-wire, emt-bare",
    ),
    (
        "a construction twice",
        'mine = ["ac", "mc-wire", "ac"]',
        'in.toml:plans.mine: stands twice: "ac"; each construction once',
    ),
    ("name of a plan", 'emt = ["ac"]', 'in.toml:plans.emt: is a plan of the catalog: "emt"; another name'),
    (
        "name of a construction",
        'ac = ["ac"]',
        'in.toml:plans.ac: is a construction of the catalog: "ac"; another name',
    ),
    ("name in another case", 'EMT = ["ac"]', 'in.toml:plans.EMT: is a plan of the catalog: "EMT"; another name'),
    (
        "construction in another case",
        'AC = ["ac"]',
        'in.toml:plans.AC: is a construction of the catalog: "AC"; another name',
    ),
    ("empty list", "mine = []", "in.toml:plans.mine: names no constructions; a list of them, the preferred one first"),
    ("a table", "mine.x = 1", "in.toml:plans.mine: names no constructions; a list of them, the preferred one first"),
    ("empty text", 'mine = ""', "in.toml:plans.mine: names no constructions; a list of them, the preferred one first"),
    (
        "name that is no key",
        '"my plan" = ["ac"]',
        'in.toml:plans.my plan: is not a key: "my plan"; letters, digits and . _ / - only',
    ),
    (
        "name with a meaning",
        'none = ["ac"]',
        'in.toml:plans.none: is a word with a meaning of its own: "none"; another name',
    ),
    (
        "a number",
        "mine = 5",
        'in.toml:plans.mine: is not a construction of the catalog: "5"; '
        "accepted: ac, mc-wire, mc-armor, ac-redundant, mc-redundant, emt-wire, emt-bare",
    ),
]


@pytest.mark.parametrize(("line", "message"), [p[1:] for p in BAD_PLANS], ids=[p[0] for p in BAD_PLANS])
def test_a_bad_plan_is_named(tmp_path: Path, line: str, message: str):
    assert refused(tmp_path, schedule(DUPLEX), f"[plans]\n{line}\n") == [message]


def test_a_construction_twice_in_another_case_is_named(tmp_path: Path):
    found = refused(tmp_path, schedule(DUPLEX), '[plans]\nmine = ["ac", "AC"]\n')
    assert found[0] == 'in.toml:plans.mine: stands twice: "ac"; each construction once'


def test_plans_that_are_no_table_are_named(tmp_path: Path):
    found = refused(tmp_path, schedule(DUPLEX), 'plans = "ac"\n')
    accepted = 'a table [plans] with lines such as mine = ["mc-wire", "emt-wire"]'
    assert found == [f'in.toml:plans: is no table of plans: "ac"; {accepted}']


def test_all_bad_plans_and_inputs_are_told_in_one_pass(tmp_path: Path):
    toml = 'terminal_c = 80\n[plans]\nmine = ["acc"]\nempty = []\n'
    found = refused(tmp_path, schedule({"device": "duplexx"}), toml, "mime")
    assert len(found) == 5
    assert [line.partition(": ")[0] for line in found] == [
        "in.toml:plans.mine",
        "in.toml:plans.empty",
        "in.toml:terminal_c",
        "--plans",
        "s.csv:2:device",
    ]


@pytest.mark.parametrize(
    ("compared", "message"),
    [
        ("mine,mine", '--plans: stands twice: "mine"; each one once'),
        (
            "mime",
            f'--plans: is not a plan: "mime"; accepted: {KEYS}, mine',
        ),
    ],
)
def test_what_is_compared_must_be_a_plan_once(tmp_path: Path, compared: str, message: str):
    assert refused(tmp_path, schedule(DUPLEX), '[plans]\nmine = ["ac"]\n', compared) == [message]


@pytest.mark.parametrize(
    ("compared", "keys"),
    [
        ("AC first, MC wire EGC first", ["ac-first", "mc-wire-first"]),  # as sheets call them
        ("mc WIRE egc first,ac-first", ["mc-wire-first", "ac-first"]),
        ("emt,EMT as EGC first", ["emt", "emt-as-egc"]),
        ("ac-first, mine, Best Mix", ["ac-first", "mine", "best-mix"]),
    ],
)
def test_a_plan_may_be_named_by_its_title(tmp_path: Path, compared: str, keys: list[str]):
    options = laid(tmp_path, toml='[plans]\nmine = ["mc-wire"]\n', compared=compared)
    assert list(compute(options).frame.compared) == keys


@pytest.mark.parametrize(
    ("compared", "message"),
    [
        ("ac-first, AC first", '--plans: stands twice: "AC first"; each one once'),
        ("AC frist, best mix", f'--plans: is not a plan: "AC frist"; accepted: {KEYS}, best-mix (best mix)'),
        ("AC frist", f'--plans: is not a plan: "AC frist"; accepted: {KEYS}'),
        ("MC wire EGC first", '--plans: is the title of more than one plan: "MC wire EGC first"; one of mc-wire-first, twin'),
    ],
)  # fmt: skip
def test_a_title_that_is_no_one_plan_is_refused(tmp_path: Path, compared: str, message: str):
    twin = 'plan,title,members,source\ntwin,"mc wire egc first",mc-wire,test\n' if "MC" in compared else ""
    options = laid(tmp_path, compared=compared, catalogs={"plans": twin} if twin else None)
    with pytest.raises(InputError) as found:
        compute(options)
    assert str(found.value).splitlines() == [message]


@pytest.mark.parametrize(
    ("compared", "named"),
    [("ac", ["ac-first, mine"]), ("EMT-wire", ["emt"]), ("mc-wire,ac-first,ac", ["mc-wire-first", "ac-first, mine"])],
)
def test_a_construction_is_no_plan_and_the_plans_that_prefer_it_are_named(
    tmp_path: Path, compared: str, named: list[str]
):
    found = refused(tmp_path, schedule(DUPLEX), '[plans]\nmine = ["ac", "mc-wire"]\n', compared)
    asked = [name for name in compared.split(",") if name.casefold() in SHIPPED]
    assert found == [
        f'--plans: is a construction, not a plan: "{name}"; a plan that prefers it: {plans}'
        for name, plans in zip(asked, named, strict=True)
    ]


def test_what_is_compared_by_default_stands_in_the_catalog(count: Counter):
    assert count(schedule(DUPLEX)).build.frame.compared == DEFAULT
    only = "plan,default\n" + "".join(f"{plan},0\n" for plan in DEFAULT)
    assert count(schedule(DUPLEX), plans=f"{only}emt,1\n").build.frame.compared == ["emt"]
    assert count(schedule(DUPLEX), plans=only).build.frame.compared == list(PLAN_OF.values())


def test_a_construction_that_no_plan_prefers_gets_a_plan_of_its_own(count: Counter):
    """Its name gives way where it is taken."""
    others = "plan,members\nac-first,mc-wire emt-wire\n"
    assert "ac-first-2" in count(schedule(DUPLEX), plans=others).build.catalogs["plans"]
    found = count(schedule(DUPLEX), plans=others, compared="ac-first-2").results["plans"]["ac-first-2"]
    assert found["circuits_wired_as"] == {"ac": 1}


# Circuits that nothing may serve


def test_a_circuit_that_no_member_may_serve_stops_the_build(tmp_path: Path):
    assert refused(tmp_path, schedule({**DUPLEX, "space": "wet"}), '[plans]\ndry = ["ac"]\n', "dry") == [
        f's.csv:2:circuit: no construction of the plan dry may serve it, {AC_DRY}: "P-1"; {NEEDS}'
    ]


def test_every_unserved_circuit_and_every_reason_is_told_in_one_pass(tmp_path: Path):
    boxes = [
        {**DUPLEX, "box": "W", "space": "wet"},
        {**DUPLEX, "box": "G", "circuit": "P-2"},
        {**DUPLEX, "box": "C", "circuit": "P-3", "space": "patient-care", "awg": 8, "breaker_a": 40},
    ]
    toml = '[plans]\ndry = ["ac"]\nred = ["ac-redundant", "mc-armor"]\n'
    mc_dry = (
        "MC with armor EGC: a jacket over the armor is asked for, and cable whose armor is the EGC is listed "
        "for dry locations: the catalog has none with a jacket, unlike Type MC with a wire EGC (330.10(A)(11), 110.3(B))"
    )
    assert refused(tmp_path, schedule(*boxes), toml, "dry,red") == [
        f's.csv:2:circuit: no construction of the plan dry may serve it, {AC_DRY}: "P-1"; {NEEDS}',
        "s.csv:2:circuit: no construction of the plan red may serve it, "
        f'{AC_DRY.replace("AC with armor EGC", "AC for patient care", 1)}; {mc_dry}: "P-1"; {NEEDS}',
        f's.csv:4:circuit: no construction of the plan dry may serve it, {AC_CARE}: "P-3"; {NEEDS}',
        "s.csv:4:circuit: no construction of the plan red may serve it, "
        "AC for patient care: not in the catalog with these conductors and size (catalog); "
        f'{AC_CARE.replace("AC", "MC", 1)}: "P-3"; {NEEDS}',
    ]


# The sample


def test_no_wired_circuit_of_the_sample_fails_a_refusing_check(sample_build: Build, catalogs: Catalogs):
    refusing = {str(r["check"]) for r in catalogs["checks"] if r["refuses"]}
    assert refusing == {"cable", "egc_kind", "egc_size", "egc_increase", "fitting", "space"}
    for found in rows(sample_build, "verdicts"):
        assert not [c for c in refusing if found[f"{c}_check"] == "fails"], found["key"]


def test_the_circuits_of_the_sample_are_all_wired_once_in_every_plan(sample_build: Build):
    """A circuit counts once for each set of spaces that its runs see: both ends of a run, patient care everywhere."""
    seen: dict[str, set[frozenset[str]]] = {}
    for box in sample_build.job.boxes:
        ends = [box, *([box.upstream] if box.upstream else [])]
        care = {s for b in sample_build.job.boxes if b.circuit is box.circuit for s in b.source.spaces}
        mine = {s for end in ends for s in end.source.spaces} | ({"patient-care"} & care)
        seen.setdefault(box.circuit.name, set()).add(frozenset(mine - {"general"}))
    lines = sum(c.repeat * len(seen[c.name]) for c in sample_build.job.circuits)
    assert lines > sum(c.repeat for c in sample_build.job.circuits)
    for found in results_of(sample_build)["plans"].values():
        assert sum(found["circuits_wired_as"].values()) == lines


def test_every_fallback_of_the_sample_says_what_was_passed_over(sample_build: Build):
    members = {p.key: list(p.members) for p in sample_build.frame.plans}
    fallen = rows(sample_build, "verdicts", falls=1)
    assert fallen
    for found in fallen:
        told = passed_over(sample_build, found)
        assert found["said"] == told[0]
        plan = members[found["plan"]]
        assert [text.partition(":")[0] for text in told] == [
            titles_by_key(sample_build)[c] for c in plan[: plan.index(found["wired_as"])]
        ]
        assert all(re.fullmatch(r"[^:]+: [^:]+ \((\d{3}\.\d+.*|catalog)\)", text) for text in told), told


# Any plan, any circuit


SPACES = ["general", "patient-care", "assembly", "plenum", "damp", "wet", "hazardous"]
REFUSED_IN = {
    "ac": {"patient-care", "damp", "wet", "hazardous"},
    "mc-wire": {"patient-care"},
    "mc-armor": {"patient-care", "damp", "wet"},
    "ac-redundant": {"damp", "wet", "hazardous"},
    "mc-redundant": {"damp", "wet"},
    "emt-wire": set(),
}
"""NEC 320.10, 320.12, 330.10, 330.12, 501.10(B), 517.13, and the listing of armor-type Type MC for dry locations."""

CONDUCTORS = {
    "ac": {"12": 4, "10": 4, "8": 4},
    "mc-wire": {"12": 6, "10": 6, "8": 4},
    "mc-armor": {"12": 4, "10": 4, "8": 3},
    "ac-redundant": {"12": 4, "10": 4},
    "mc-redundant": {"12": 4, "10": 4},
    "emt-wire": {"12": 8, "10": 8, "8": 5},
}
"""Most conductors of the shipped cables and raceways."""

plans_of_any_kind = st.lists(
    st.permutations(list(REFUSED_IN)).flatmap(lambda p: st.integers(1, 6).map(lambda n: p[:n])), min_size=1, max_size=3
)
boxes_of_any_kind = st.lists(
    st.tuples(st.sampled_from(SPACES), st.sampled_from(["12", "10", "8"]), st.integers(2, 7)), min_size=1, max_size=3
)


def may_serve(construction: str, boxes: list[tuple[str, str, int]]) -> bool:
    """Say straight from the rules whether a construction may serve a circuit of 20 A."""
    return all(
        space not in REFUSED_IN[construction] and conductors <= CONDUCTORS[construction].get(awg, 0)
        for space, awg, conductors in boxes
    )


def boxes_of_a_choice(boxes: list[tuple[str, str, int]]) -> list[list[tuple[str, str, int]]]:
    """Return for each box, all fed from the panel, what one choice has to serve: the boxes that see the same spaces.

    A patient care space holds for the whole circuit, any other for its own run.
    """
    care = {"patient-care"} & {space for space, *_ in boxes}
    seen = [({space} | care) - {"general"} for space, *_ in boxes]
    alike = [[box for box, other in zip(boxes, seen, strict=True) if other == mine] for mine in seen]
    return [
        [(space, awg, conductors) for space in mine or {"general"} for _, awg, conductors in group]
        for mine, group in zip(seen, alike, strict=True)
    ]


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(plans=plans_of_any_kind, circuits=st.lists(boxes_of_any_kind, min_size=1, max_size=3))
def test_the_construction_used_is_the_first_that_may_serve(
    tmp_path: Path, plans: list[list[str]], circuits: list[list[tuple[str, str, int]]]
):
    text = schedule(
        *(
            {"box": f"B{c}.{n}", "circuit": f"P-{c}", "space": space, "awg": awg, "wires": wires(conductors)}
            for c, boxes in enumerate(circuits)
            for n, (space, awg, conductors) in enumerate(boxes)
        )
    )
    toml = "[plans]\n" + "".join(f"p{n} = {members}\n" for n, members in enumerate(plans))
    names = [f"p{n}" for n in range(len(plans))]
    wanted = {
        (f"B{c}.{n}", name): next((m for m in members if may_serve(m, run)), None)
        for c, boxes in enumerate(circuits)
        for n, run in enumerate(boxes_of_a_choice(boxes))
        for name, members in zip(names, plans, strict=True)
    }
    try:
        built = build(tmp_path, text, toml, ",".join(names))
    except InputError as stopped:
        told = {(p.value.split(":")[0], re.findall(r"of the plan (\S+) may", p.message)[0]) for p in stopped.problems}
        unserved = {(box, name) for (box, name), member in wanted.items() if member is None}
        assert told == {(f"P-{box[1:].split('.')[0]}", name) for box, name in unserved}
        return
    assert {(r["box"], r["plan"]): r["wired_as"] for r in rows(built, "each")} == wanted
    check_against_options(built)


def wires(conductors: int) -> str:
    return " ".join(["A", "N", *(f"S{n}" for n in range(1, conductors - 1))])


def check_against_options(built: Build) -> None:
    """The members before the one used are all refused by a check; the one used is not."""
    options: dict[str, dict[str, Any]] = {r["key"]: r for r in rows(built, "options")}
    chosen = {r["key"]: r["chosen_place"] for r in rows(built, "plan")}
    for found in rows(built, "wiring"):
        members = next(p.members for p in built.frame.plans if p.key == found["plan"])
        kind = built.frame.alike_of[found["circuit_key"]]
        refusals = [options[f"{kind}|{m}"]["refused"] for m in members]
        place = members.index(found["wired_as"])
        assert refusals[: place + 1] == [1] * place + [0]
        assert (chosen[f"{kind}|{found['plan']}"] - 1, found["falls"]) == (place, min(place, 1))
