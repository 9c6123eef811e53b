"""What the crew is told, for every pair of constructions: held against the rows of the catalogs, read apart."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable
from itertools import product
from pathlib import Path

import pytest

from takeoff.build import Build, Options, compute
from takeoff.report import training
from takeoff.report.crew_pdf import _training_page, print_crew_pages
from takeoff.report.pdf import MARGIN, PAPERS, height_of, room_of
from takeoff.report.quiz import QUESTIONS, quiz
from tests.conftest import PLAN_OF, ROOT, SAMPLES, Counter
from tests.tables import rows, schedule

TWO = schedule({"box": "A", "device": "duplex", "fed_from": "panel"}, {"box": "B", "device": "duplex", "fed_from": "A"})
PAIRS = list(product(PLAN_OF, PLAN_OF))
EDITION = "2023"
"""Of the shipped inputs."""


def catalog(name: str) -> list[dict[str, str]]:
    with (ROOT / "catalogs" / f"{name}.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


IS = {r["construction"]: r for r in catalog("constructions")}
MARKED = {r["fitting_family"]: r["marking"] for r in catalog("fittings")}
RULES = {(r["construction"], r["fitting_family"]): r for r in catalog("fitting_rules") if EDITION in r["editions"]}
GROUND_ENDS = {"wire": (5, 6), "both": (5, 6), "armor": (2, 2)}
"""Ground ends made up at the end and in the middle of a run, by the rules of DEVELOPERS.md.

With a wire: a splice of the EGCs that come in and two pigtails, one end on the box screw, one on the green terminal, so
1 + 2 + 2 and 2 + 2 + 2; with armor alone a jumper with two ends.
"""
OUTCOMES = {"fails": "No, it fails", "meets": "Yes, it meets", "look": "Only if its carton names this cable too"}
BOTH = "Two ways, each whole by itself: the ground on the box screw, and armor or tubing through its fitting."


def a_carton(old: str, new: str, said: str) -> bool:
    return said == MARKED[IS[new]["fitting_family"]]


def a_old_fitting(old: str, new: str, said: str) -> bool:
    families = IS[old]["fitting_family"], IS[new]["fitting_family"]
    rule = RULES[new, families[0]]
    return families[0] != families[1] and said.startswith(f"{OUTCOMES[rule['outcome']]}: {rule['section']}.")


def a_box(old: str, new: str, said: str) -> bool:
    return said == {"wire": "The ground on the box screw. Left out, box and cover can become live.", "both": BOTH}.get(
        IS[new]["egc_kind"]
    )


def a_box_and_device(old: str, new: str, said: str) -> bool:
    return (
        IS[new]["egc_kind"] == "armor"
        and said == "The fitting grounds the box, a jumper from the box screw the device."
    )


def a_omitted(old: str, new: str, said: str) -> bool:
    return IS[new]["egc_kind"] == "armor" and said == "The box is, the device is not: its frame can be live."


def a_bare(old: str, new: str, said: str) -> bool:
    return IS[new]["bare_conductor"] == "1" and said.startswith("Before the fitting goes on, flush at the armor")


def a_strip(old: str, new: str, said: str) -> bool:
    return IS[new]["bond_strip"] == "1" and said.startswith("Folded back or cut at the armor; it lands on no terminal")


def a_bushing(old: str, new: str, said: str) -> bool:
    return said.startswith("Yes, one at every end" if IS[new]["anti_short_bushing"] == "1" else "No, unless the instr")


def a_supports(old: str, new: str, said: str) -> bool:
    return said == f"Within {IS[new]['support_near_in']} in, then every {IS[new]['support_interval_ft']} ft."


ANSWERS: dict[str, Callable[[str, str, str], bool]] = {
    r"What comes before the first cut": lambda old, new, said: said.startswith(
        "Switch off, lock out, verify it is dead"
    ),
    r"What must the carton": a_carton,
    r"May the fitting marked": a_old_fitting,
    r"What grounds the metal box in .*, and what the device\?": a_box_and_device,
    r"What grounds the metal box in [^?]*\?": a_box,
    r"The jumper is forgotten": a_omitted,
    r"When and where is the bare conductor cut": a_bare,
    r"What becomes of the bond strip": a_strip,
    r"Does .* ask for an anti-short bushing": a_bushing,
    r".*: how near to the box is it secured": a_supports,
    r"Where does an isolated ground go": lambda old, new, said: "never to the box" in said,
    r"When may a shared neutral be opened": lambda old, new, said: said == "With all its poles off, locked and tested.",
    r"What is done to the end of the tubing": lambda old, new, said: (
        IS[new]["wiring_kind"] == "raceway" and said.startswith("Reamed")
    ),
    r"How much free conductor": lambda old, new, said: said.startswith("6 in from where it leaves"),
    r"This page and the instructions of the fitting differ": lambda old, new, said: said.startswith(
        "The instructions, "
    ),
}
"""Questions by their begin, and whether an answer is true of a pair, by the rows of the catalogs."""


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str, str], Build]:
    """Return a function that builds two receptacles with the plans of two constructions on the crew pages."""
    path = tmp_path_factory.mktemp("pairs") / "schedule.csv"
    path.write_text(TWO, encoding="utf-8")

    def build(old: str, new: str) -> Build:
        plans = PLAN_OF[old], PLAN_OF[new]
        sets = f"crew_from={plans[0]}", f"crew_to={plans[1]}"
        return compute(Options(path, sets=sets, plans=",".join(dict.fromkeys(plans))))

    return build


@pytest.mark.parametrize(("old", "new"), PAIRS)
def test_every_pair_is_told_what_its_catalog_rows_say(built: Callable[[str, str], Build], old: str, new: str):
    build = built(old, new)
    assert [b["wired_as"] for b in rows(build, "crew_boxes")][:2] == [old, new]
    the_fitting_is_said_first(build, old, new)
    the_answers_are_true(build, old, new)
    what_changes_is_told(build, old, new)
    where_both_meet_is_told(build, old, new)


def the_fitting_is_said_first(build: Build, old: str, new: str) -> None:
    """Never `same` where the fitting changes; STOP, the rule on the old one and a hold point on every page then."""
    families = [IS[c]["fitting_family"] for c in (old, new)]
    changes = families[0] != families[1]
    rule = RULES[new, families[0]]
    for box in rows(build, "crew_boxes", side="to"):
        stop = f"STOP: ANOTHER FITTING. Read the carton: marked {MARKED[families[1]]}"
        assert box["says_fitting"] == (stop if changes else f"Fitting as before, marked {MARKED[families[1]]}")
        said = "only if its carton names this cable too" if rule["outcome"] == "look" else f"{rule['outcome']} here"
        told = f"The other one, marked {MARKED[families[0]]}: {said}, {rule['section']}"
        assert box["says_other"] == (told if changes else "")
        assert box["says_hold"].startswith("HOLD POINT before the second box: another person") == changes
        assert (box["says_change"] == "NOTHING CHANGES HERE") == (old == new)
        fitted = [
            s["change"]
            for s in rows(build, "crew_steps", type=box["type"], done=1)
            if s["job_step"] in ("connector", "raceway-connector")
        ]
        other_kind = IS[old]["wiring_kind"] != IS[new]["wiring_kind"]
        assert sorted(fitted) == (["DISAPPEARS", "NEW"] if other_kind else ["OTHER FITTING"] if changes else ["same"])


def the_answers_are_true(build: Build, old: str, new: str) -> None:
    asked = quiz(build)
    assert len({q.text for q in asked}) == QUESTIONS
    for q in asked:
        ends = re.search(r"how many ground (wires|ends)", q.text)
        if ends is None:
            check = next((a for begin, a in ANSWERS.items() if re.match(begin, q.text)), None)
            assert check is not None, q.text
            assert check(old, new, q.answer), (q.text, q.answer)
        elif ends[1] == "wires":
            middle = "(2 x 2c12)" in q.text
            assert middle != ("end of run (2c12)" in q.text)
            come_in = 0 if IS[new]["egc_kind"] == "armor" else 1 + middle
            assert q.answer == f"{come_in} ground wires come in."
        else:
            first = build.book.values("crew_boxes", "type")[0]
            middle = "middle" in build.types.by_key[str(first)].describe()
            wanted = [f"{GROUND_ENDS[IS[c]['egc_kind']][middle]} in {IS[c]['title']}" for c in (old, new)]
            assert q.answer == ", ".join(wanted)


def what_changes_is_told(build: Build, old: str, new: str) -> None:
    """Each row of the page, by the catalog: what grounds the box in a cable with both paths are both."""
    found = {title: texts for title, *texts in training.changes(build)}
    grounded = {
        "wire": ("the wire on its screw", "a pigtail of the splice"),
        "both": ("the wire on its screw, and the fitting", "a pigtail of the splice"),
        "armor": ("the fitting", "a jumper from the box screw"),
    }
    for side, c in enumerate((old, new)):
        assert found["fitting, marked"][side] == MARKED[IS[c]["fitting_family"]]
        assert (found["bond strip"][side] == "none") == (IS[c]["bond_strip"] == "0")
        assert (found["bare conductor"][side] == "none") == (IS[c]["bare_conductor"] == "0")
        assert (found["anti-short bushing"][side] == "none asked for") == (IS[c]["anti_short_bushing"] == "0")
        said = found["the box is grounded by"][side], found["the device is grounded by"][side]
        assert said == grounded[IS[c]["egc_kind"]]


def where_both_meet_is_told(build: Build, old: str, new: str) -> None:
    """A splice of EGCs is told of where either brings one, two cartons where there are two kinds of fitting."""
    pair = [IS[c] for c in (old, new)]
    has = training.of_both(build.catalogs, (old, new))
    said = " ".join(training.points(build.catalogs, has, "mixed", {}))
    wire = any(c["egc_kind"] != "armor" for c in pair)
    assert ("every EGC that comes in is joined" in said) == wire
    assert ("No ground wire comes in" in said) == (not wire)
    assert ("from the ground wires" in said) == wire
    assert ("a jumper from the box screw, or a green lead" in said) == (not wire)
    both_ways = wire and any(c["egc_kind"] != "wire" for c in pair)
    assert ("wire and fitting must both be tight" in said) == both_ways
    assert ("two kinds, two cartons" in said) == (pair[0]["fitting_family"] != pair[1]["fitting_family"])


@pytest.mark.parametrize(
    ("inputs", "words"),
    [
        (("self_grounding=yes",), {"mc-armor": ["a device listed as self-grounding takes no jumper"], "mc-wire": []}),
        (
            ("switch_bond=screws",),
            {"mc-armor": ["a switch on metal screws in a metal box takes no jumper"], "mc-wire": []},
        ),
        (
            ("ground_make_up=long-tails",),
            {
                "mc-armor": [],
                "mc-wire": [
                    "here each ground wire is left long: one is looped unbroken under the box screw, each lands on a device"
                ],
            },
        ),
        ((), {"mc-armor": [], "mc-wire": []}),
    ],
)
def test_a_job_that_bonds_otherwise_says_so(count: Counter, inputs: tuple[str, ...], words: dict[str, list[str]]):
    """Behind the path of every construction stands what the job does otherwise, NEC 250.146(B), 404.9(B), 250.148(B)."""
    build = count(TWO, *inputs).build
    for construction, more in words.items():
        has = training.features(build.catalogs["constructions"][construction]) | training.of_inputs(build)
        path = training.points(build.catalogs, has, "path", training.facts_of(build.catalogs, construction))
        assert path[1:] == more


@pytest.mark.parametrize(
    ("chosen", "words"),
    [
        ("ground_make_up=pigtails", ["a pigtail of the splice", "a jumper from the box screw"]),
        ("ground_make_up=long-tails", ["a ground wire left long", "a jumper from the box screw"]),
        ("self_grounding=yes", ["its screws, where listed as self-grounding"] * 2),
    ],
)
def test_what_grounds_the_device_follows_the_make_up_of_the_job(count: Counter, chosen: str, words: list[str]):
    """EGCs left long land on the device themselves, NEC 250.148(B); one listed for it is grounded by its screws, 250.146(B)."""
    found = {title: texts for title, *texts in training.changes(count(TWO, chosen).build)}
    assert found["the device is grounded by"] == words


@pytest.fixture(scope="module")
def crowded(request: pytest.FixtureRequest) -> tuple[Build, str]:
    """Return the large sample, with isolated grounds and control pairs, and a construction that the crew learns."""
    new = str(request.param)
    old = "mc-armor" if new == "mc-wire" else "mc-wire"
    plans = PLAN_OF[old], PLAN_OF[new]
    sets = f"crew_from={plans[0]}", f"crew_to={plans[1]}"
    return compute(Options(SAMPLES / "two-story.csv", sets=sets, plans=",".join(plans))), new


@pytest.mark.parametrize("crowded", ["mc-wire", "mc-armor", "ac", "mc-redundant"], indirect=True)
def test_the_page_of_a_construction_keeps_14_points(crowded: tuple[Build, str]):
    """What stands on it needs no more height than letter or A4 paper has: it is not made smaller."""
    build, new = crowded
    for paper in ("letter", "a4"):
        wide = PAPERS[paper][0] - 2 * MARGIN
        assert height_of(list(_training_page(build, new, wide)), wide) <= room_of(paper), paper


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_each_kind_of_box_is_two_pages_in_the_highest_of_pairs(tmp_path: Path, paper: str):
    """From tubing with an EGC to two ground paths: long texts, high drawings. They give way to 9 pt, not to a page."""
    sets = ("crew_from=emt", "crew_to=mc-redundant-first")
    build = compute(Options(SAMPLES / "two-story.csv", sets=sets, plans="emt,mc-redundant-first"))
    types = len(rows(build, "crew_boxes", side="to"))
    one_by_one = len(training.constructions_used(build)) + len(("changes", "mixed", "quiz", "answers"))
    pages = print_crew_pages(build, tmp_path / "p.pdf", paper)
    assert pages - one_by_one - 2 * types in (1, 2)  # what to watch is a list
