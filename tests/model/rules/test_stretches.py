"""A circuit changes its construction at a box: what is chosen for which runs, and how the box is made up.

Counts are by the rules of DEVELOPERS.md: a box into which any wire-type EGC comes is made up with it, 250.148 and
517.13; which runs a space holds for is a convention of this project.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from takeoff.build import Options, compute
from takeoff.report.output import write_outputs
from tests import office
from tests.addendum.typed import type_into
from tests.conftest import Counted, Counter
from tests.tables import row, rows, schedule

BY_RUN, BY_CIRCUIT = "construction_by=run", "construction_by=circuit"
PLANS = "ac-first,mc-wire-first,mc-armor-first"


def chain(*boxes: dict[str, object]) -> str:
    """Return a circuit of duplex receptacles A1, A2 ... in a chain, 20 ft each."""
    return schedule(
        *({"box": f"A{n}", "device": "duplex", "fed_from": "", **box} for n, box in enumerate(boxes, start=1))
    )


def wired(found: Counted, plan: str) -> dict[str, str]:
    """Return what the run to each box is wired in."""
    return {str(b["box"]): str(b["wired_as"]) for b in found.results["boxes"] if b["plan"] == plan}


EIGHT = [{} for _ in range(7)] + [{"space": "damp"}]


def test_a_damp_box_at_the_end_moves_no_dry_one(count: Counter):
    """Type AC is for dry locations, 320.10: only the run to the damp box is in Type MC."""
    found = count(chain(*EIGHT), BY_RUN, compared=PLANS)
    assert list(wired(found, "ac-first").values()) == ["ac"] * 7 + ["mc-wire"]
    assert list(wired(found, "mc-armor-first").values()) == ["mc-armor"] * 7 + ["mc-wire"]
    lines = [(v["circuit"], v["wired_as"], v["space_check"]) for v in rows(found, "verdicts", plan="ac-first")]
    assert lines == [("P-1", "ac", "meets"), ("P-1: damp", "mc-wire", "look")]


def test_one_construction_for_a_circuit_moves_all_of_it(count: Counter):
    found = count(chain(*EIGHT), BY_CIRCUIT, compared=PLANS)
    assert set(wired(found, "ac-first").values()) == {"mc-wire"}
    assert [v["circuit"] for v in rows(found, "verdicts", plan="ac-first")] == ["P-1"]


def test_a_damp_box_in_the_middle_moves_both_runs_that_enter_it(count: Counter):
    """The run that leaves it has an end in the damp location."""
    found = count(chain({}, {"space": "damp"}, {}, {}), BY_RUN, compared=PLANS)
    assert list(wired(found, "ac-first").values()) == ["ac", "mc-wire", "mc-wire", "ac"]


def test_a_patient_care_space_holds_for_all_of_its_branch_circuit(count: Counter):
    """517.13: branch circuits that serve patient care spaces, the home run and all."""
    found = count(chain({}, {}, {"space": "patient-care"}), BY_RUN, compared=PLANS)
    assert set(wired(found, "ac-first").values()) == {"ac-redundant"}
    assert set(wired(found, "mc-wire-first").values()) == {"mc-redundant"}


def test_a_circuit_that_is_held_is_tested_run_by_run_too(count: Counter):
    """Held to Type AC, which is for dry locations, 320.10: the run to the damp box alone does not meet the rule."""
    found = count(chain({"construction": "ac"}, {"space": "damp"}), compared=PLANS)
    for plan in FIRST:
        assert set(wired(found, plan).values()) == {"ac"}
        lines = [(v["circuit"], v["space_check"]) for v in rows(found, "verdicts", plan=plan)]
        assert lines == [("P-1", "meets"), ("P-1: damp", "fails")]


def test_home_runs_in_raceway_change_at_their_first_box(count: Counter):
    """An input holds home runs; a circuit for which the schedule names a construction keeps it."""
    text = chain({}, {}, {"box": "B1", "circuit": "P-2", "construction": "mc-wire"}, {"box": "B2", "circuit": "P-2"})
    found = count(text, "home_run_construction=emt-wire", compared=PLANS)
    assert list(wired(found, "ac-first").values()) == ["emt-wire", "ac", "mc-wire", "mc-wire"]
    names = ["P-1", "P-1: home run", "P-2", "P-2: home run"]
    assert [v["circuit"] for v in rows(found, "verdicts", plan="ac-first")] == names
    lines = rows(found, "verdicts", plan="mc-armor-first")
    assert [v["wired_as"] for v in lines] == ["mc-armor", "emt-wire", "mc-wire", "mc-wire"]


def test_what_home_runs_are_held_to_must_be_a_construction(count: Counter):
    with pytest.raises(Exception, match="is not a construction"):
        count(chain({}), "home_run_construction=tubing")


def test_a_run_is_held_by_its_own_row(count: Counter):
    found = count(chain({}, {"run_construction": "EMT"}, {}), compared=PLANS)
    assert list(wired(found, "ac-first").values()) == ["ac", "emt-wire", "ac"]


# Box A1: home run from the panel, and on to A2. One duplex on a yoke, metal box, 12 AWG, 2.25 in3 each.
# own, onward: EGCs that come in; ground splices, ground terminations; fill.
# none: jumper box to device, 2 ends; 4 conductors + 2 for the yoke = 6 x 2.25 = 13.5.
# one EGC: splice of EGC, pigtail to device, pigtail to box screw: 3 ends, then screw 1, device 1 = 5;
#   7 x 2.25 = 15.75, the first four EGCs taking one allowance, 314.16(B)(5).
# two EGCs: 4 ends, screw 1, device 1 = 6; 15.75.
SEAMS = [
    ("ac", "mc-armor", (0, 2, 13.5)),
    ("ac", "mc-wire", (1, 5, 15.75)),
    ("emt-wire", "ac", (1, 5, 15.75)),
    ("emt-bare", "ac", (0, 2, 13.5)),
    ("emt-wire", "mc-wire", (1, 6, 15.75)),
    ("mc-redundant", "mc-armor", (1, 5, 15.75)),
]


@pytest.mark.parametrize(("own", "onward", "wanted"), SEAMS)
def test_grounds_are_made_up_across_both_constructions(count: Counter, own: str, onward: str, wanted: tuple[Any, ...]):
    found = count(chain({"run_construction": own}, {"run_construction": onward}), compared="ac-first")
    box = found.box("A1", "ac-first")
    assert (box["ground_splices"], box["ground_terminations"], box["fill_in3"]) == wanted
    assert (box["entries"], box["wired_as"]) == (2, own)
    assert [e["lacking"] for e in rows(found, "each")] == [0, 0]


def test_egcs_left_long_are_those_that_come_in(count: Counter):
    """One EGC with the raceway, none with the cable: it lands on the device, looped under the box screw: 2 ends."""
    held = chain({"run_construction": "emt-wire"}, {"run_construction": "ac"})
    found = count(held, "ground_make_up=long-tails", compared="ac-first")
    assert found.counts("A1", "ac-first")[2:] == (2, 0)


def test_the_ends_of_a_run_are_work_of_its_construction(count: Counter):
    """A raceway end at the panel and at A1, an armor end at A1 and at A2, each with its bushing: Type AC, 320.40."""
    found = count(chain({"run_construction": "emt-wire"}, {"run_construction": "ac"}), compared="ac-first")
    built = [r["count_1"] for r in rows(found, "built")]
    work = rows(found, "work")

    def ends(name: str) -> float:
        return float(sum(n * w[name] for n, w in zip(built, work, strict=True)))

    names = ("raceway_ends", "armor_ends", "bushing_ends", "bond_strip_ends", "egc_ends", "entries")
    assert [ends(n) for n in names] == [2, 2, 2, 2, 2, 4]


def test_the_ground_path_is_added_up_run_by_run(count: Counter):
    """Two runs of one length: the path to the second box is that of both constructions; fittings without resistance."""
    bare = "fitting_mohm=0"
    alone = {m: count(chain({"run_construction": m}), bare, compared="ac-first") for m in ("emt-wire", "ac")}
    first = {m: row(found, "paths", box="A1")["egc_1"] for m, found in alone.items()}
    feet = {m: row(found, "paths", box="A1")["run_ft"] for m, found in alone.items()}
    found = count(chain({"run_construction": "emt-wire"}, {"run_construction": "ac"}), bare, compared="ac-first")
    second = row(found, "paths", box="A2")
    cable = first["ac"] / feet["ac"] * second["run_ft"]
    assert second["egc_1"] == pytest.approx(first["emt-wire"] + cable)


def test_circuits_alike_in_space_come_out_the_same_either_way(count: Counter):
    text = chain({"space": "damp"}, {"space": "damp"}, {"box": "B1", "circuit": "P-2"}, {"circuit": "P-2", "box": "B2"})
    first, second = (count(text, by, compared=PLANS).results for by in (BY_RUN, BY_CIRCUIT))
    assert {k: v for k, v in first.items() if k != "inputs"} == {k: v for k, v in second.items() if k != "inputs"}


def test_the_swap_counts_all_of_a_circuit_of_which_a_part_differs(count: Counter):
    found = count(chain({}, {"space": "damp"}), BY_RUN, "swap_from=ac-first", "swap_to=mc-armor-first", compared=PLANS)
    assert [(s["circuit"], s["differs"], s["swapped"]) for s in rows(found, "swap_circuits")] == [
        ("P-1", 1, 1),
        ("P-1: damp", 0, 1),
    ]


WIRE = {"ac": 0, "mc-wire": 1, "mc-armor": 0, "emt-wire": 1, "emt-bare": 0, "mc-redundant": 1}
FIRST = {"ac-first": "ac", "mc-wire-first": "mc-wire", "mc-armor-first": "mc-armor"}
BOX = st.tuples(
    st.sampled_from(["duplex", "luminaire", "junction"]),
    st.integers(0, 5),
    st.sampled_from(["", "", "damp"]),
    st.sampled_from(["", "", "emt-wire", "emt-bare", "ac"]),
)


def ends_of_grounds(egcs: int, terminals: int, leads: int) -> int:
    """Count the ground terminations of one metal box straight from the words of the rules."""
    if not egcs:
        return 2 * terminals + leads
    joined = egcs + terminals + leads
    return 1 if joined == 1 else joined + 1 + 1 + terminals


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(boxes=st.lists(BOX, min_size=2, max_size=6))
def test_counts_of_mixed_circuits_are_those_of_a_plain_loop(tmp_path: Path, boxes: list[tuple[str, int, str, str]]):
    feeds = [at % n if n else -1 for n, (_, at, *_) in enumerate(boxes)]
    text = schedule(
        *(
            {
                "box": f"A{n}",
                "device": device,
                "fed_from": f"A{feeds[n]}" if n else "panel",
                "space": space,
                "run_construction": held,
            }
            for n, (device, _, space, held) in enumerate(boxes)
        )
    )
    (tmp_path / "s.csv").write_text(text, encoding="utf-8")
    build = compute(Options(tmp_path / "s.csv", sets=(BY_RUN,), plans=PLANS))
    found = Counted(build, {})
    assert [p["proof"] for p in rows(found, "proofs") if p["open"]] == []
    assert all(
        line["lacking"] == (line["box_outcome"] != "meets") for line in rows(found, "each")
    )  # an octagon box may be too small
    for place, (plan, preferred) in enumerate(FIRST.items(), start=1):
        used = []
        for n, (_, _, space, held) in enumerate(boxes):
            damp = "damp" in (space, boxes[feeds[n]][2] if n else "")
            used.append(held or ("mc-wire" if damp else preferred))
        for n, (device, *_) in enumerate(boxes):
            entering = [used[n], *(used[k] for k, feed in enumerate(feeds) if feed == n and k)]
            egcs = sum(WIRE[m] for m in entering)
            wanted = ends_of_grounds(egcs, int(device == "duplex"), int(device == "luminaire"))
            got = row(found, "box_outcomes", box=f"A{n}")
            assert got[f"ground_terminations_{place}"] == wanted, (plan, n, entering)
            assert got[f"wired_as_{place}"] == build.catalogs["constructions"][used[n]]["short_title"]
            assert got["runs"] == len(entering)


@pytest.mark.libreoffice
def test_a_workbook_with_circuits_that_change_recalculates(
    tmp_path: Path, recalculate: Callable[[list[Path]], list[Path]]
):
    text = chain({"run_construction": "emt-wire"}, {}, {"space": "damp"}, {}, {"box": "B1", "fed_from": "A1"})
    (tmp_path / "s.csv").write_text(text, encoding="utf-8")
    build = compute(Options(tmp_path / "s.csv", sets=(BY_RUN,), plans=PLANS))
    write_outputs(build, tmp_path / "s.xlsx", None)
    formulas = office.formulas(tmp_path / "s.xlsx")
    office.poison(tmp_path / "s.xlsx", tmp_path / "poisoned.xlsx")
    (again,) = recalculate([tmp_path / "poisoned.xlsx"])
    assert list(office.differences(office.values(tmp_path / "s.xlsx"), office.values(again), formulas)) == []


@pytest.mark.libreoffice
def test_a_box_follows_in_the_workbook_what_its_other_run_is_wired_in(
    tmp_path: Path, recalculate: Callable[[list[Path]], list[Path]]
):
    """520.5(A): where the authority asks for an insulated EGC on the stage, that run alone changes to one that has it.

    A2 then has one EGC: 5 ground terminations in place of the 2 of its jumper.
    """
    text = chain({}, {}, {"space": "stage"})
    files = {}
    for name, said in (("asked", text), ("told", chain({"stage_egc": "yes"}, {}, {"space": "stage"}))):
        (tmp_path / "s.csv").write_text(said, encoding="utf-8")
        build = compute(Options(tmp_path / "s.csv", sets=(BY_RUN,), plans="mc-armor-first,mc-wire-first"))
        (box,) = rows(build, "box_outcomes", box="A2")
        assert box["ground_terminations_1"] == {"asked": 2, "told": 5}[name]
        files[name] = tmp_path / f"{name}.xlsx"
        write_outputs(build, files[name], None)
    type_into(files["asked"], tmp_path / "typed.xlsx", [("facts_asked", "stage_egc", "answer", "yes")])
    (again,) = recalculate([tmp_path / "typed.xlsx"])
    told, typed = office.values(files["told"]), office.values(again)
    sheets, status = ("Boxes", "Circuits", "Inspection"), "A3"  # which says that the draws of the risk are stale
    shown = [place for place in told if place[0] in sheets and place[1] != status]
    assert len(shown) > 300
    assert list(office.differences(told, typed, shown)) == []


@pytest.mark.libreoffice
@pytest.mark.parametrize("home", ["as planned", "emt-wire"])
def test_a_cut_circuit_held_in_the_workbook_is_as_one_held_in_the_schedule(
    tmp_path: Path, recalculate: Callable[[list[Path]], list[Path]], home: str
):
    """P-1 has a damp box at its end; it is held where a plan chose, and left to the plan where it was held."""
    said = [{"construction": "mc-wire"}, {}, {"space": "damp"}, {"box": "B1", "circuit": "P-2"}]
    texts = {"held": chain(*said), "free": chain({}, *said[1:])}
    files = {}
    for name, text in texts.items():
        (tmp_path / "s.csv").write_text(text, encoding="utf-8")
        build = compute(Options(tmp_path / "s.csv", sets=(f"home_run_construction={home}",), plans=PLANS))
        files[name] = tmp_path / f"{name}.xlsx"
        write_outputs(build, files[name], None)
    typed = {"held": "as planned", "free": "mc-wire"}
    for name, choice in typed.items():
        type_into(files[name], tmp_path / f"typed-{name}.xlsx", [("circuits", "P-1", "wired in", choice)])
    again = recalculate([tmp_path / f"typed-{name}.xlsx" for name in typed])
    for other, path in zip(("free", "held"), again, strict=True):
        wanted, found = office.values(files[other]), office.values(path)
        shown = [place for place in wanted if place[0] in ("Boxes", "Circuits", "Inspection") and place[1] != "A3"]
        assert len(shown) > 300
        assert list(office.differences(wanted, found, shown)) == []


def test_what_a_run_is_held_to_stands_in_the_schedule(count: Counter):
    held = rows(count(chain({}, {"run_construction": "EMT"}), compared="ac-first"), "schedule")
    assert [r["held"] for r in held] == ["as planned", "emt-wire"]
    assert "held" not in rows(count(chain({}), compared="ac-first"), "schedule")[0]
