"""Control pairs beside power: cases worked by hand, what is bought, separation, and what is refused.

Volumes are those of NEC Table 314.16(B); counts follow DEVELOPERS.md. Sections of the answers on separation: NEC
725.136 and 725.130(A) by trade questions that quote them; 2023 moved Class 1 to Article 724, subsections from memory.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from takeoff.build import Options, compute
from takeoff.drawing.box import draw_box
from takeoff.drawing.facts import box_facts
from takeoff.report.expanded import expanded_text
from takeoff.report.output import write_outputs
from takeoff.text.problems import InputError
from tests import office
from tests.conftest import SAMPLES, Counted, Counter
from tests.copies import worked
from tests.tables import called, row, rows, schedule

CASES = worked("control")
SEAMS = worked("control_seams")
EDITIONS = ("2017", "2020", "2023")


def chain(**cells: object) -> str:
    """Return a dimmer X, 40 ft from the panel, and behind it the luminaires Y, 15 ft, and Z, 10 ft."""
    size = {"awg": cells.pop("awg", 12)}
    pair = {"wires": "S1 N D1 D2", "device": "luminaire-control", "fed_from": "", **size, **cells}
    return schedule(
        {"box": "X", "device": "dimmer-control", "run_ft": 40, "wires": "A N", **size},
        {"box": "Y", "run_ft": 15, **pair},
        {"box": "Z", "run_ft": 10, **pair},
    )


@pytest.mark.parametrize("case", CASES, ids=[c["id"] for c in CASES])
def test_a_case_worked_by_hand(count: Counter, case: dict[str, str]):
    cells = {name: case[name] for name in ("awg", "control_awg", "control_ft")}
    counted = count(chain(**cells), f"code_edition={case['edition']}", compared=case["plan"])
    found = counted.box(case["box"], case["plan"])
    names = ("circuit_terminations", "circuit_splices", "control_terminations", "control_splices", "fill_in3")
    assert [found[n] for n in names] == [float(case[n]) for n in names]
    made = row(counted, "work", key=f"{found['make_up']}|{found['wired_as']}")
    assert made["control_entries"] == float(case["own_cables"])


def test_splices_of_a_pair_are_among_all_splices(count: Counter):
    build = count(chain(), compared="mc-wire-first").build
    sums, (total,) = row(build, "plan_sums"), rows(build, "totals")
    parts = [sums[f"{name}_splices"] for name in ("circuit", "ground", "control")]
    assert all(parts)
    assert total["splices"] == sum(parts)


def test_what_a_control_cable_of_its_own_takes_and_costs(count: Counter):
    """Type AC: Y and Z by 15 and 10 ft, a foot of tail at each end; ends at X, twice at Y, at Z."""
    counted = count(chain(), compared="ac-first,mc-wire-first")
    hours = counted.total("labor_hours_by_operation", "ac-first")
    bought = counted.total("material_by_item", "ac-first")
    assert hours["control-cable"] == pytest.approx(4 * 1.1 / 60)
    assert hours["control-end"] == pytest.approx((4 + 6 + 4) * 0.45 / 60)
    # power 65 ft, and 25 ft of a cable that takes the minutes of any other
    assert hours["route-cable"] == pytest.approx((65 + 25) * 0.16 / 60)
    # power: 12 in from the boxes, every 4.5 ft: 38, 13, 8 ft are 9, 3, 2 intervals and one more each; the pair 13 and 8 ft
    assert hours["secure-cable"] == pytest.approx((10 + 4 + 3 + 4 + 3) * 0.7 / 60)
    assert bought["control-16-2"] == pytest.approx((17 + 12) * 1.05)
    assert bought["control-connector"] == pytest.approx(4 * 1.02)
    other = counted.total("material_by_item", "mc-wire-first")
    assert other["mc-wire-12-2-d16"] == pytest.approx((17 + 12) * 1.05)
    assert "control-16-2" not in other
    assert "control-cable" not in counted.total("labor_hours_by_operation", "mc-wire-first")


def test_a_control_cable_has_its_own_length(count: Counter):
    counted = count(chain(control_ft=21), compared="mc-armor-first")
    lines = rows(counted, "control_lines")
    assert [(line["ft"], line["bought_ft"], line["supports"]) for line in lines] == [(21, 23, 6), (21, 23, 6)]
    assert counted.total("material_by_item", "mc-armor-first")["control-16-2"] == pytest.approx(46 * 1.05)
    assert {line.item: line.run_ft for line in counted.build.orders}["control-16-2"] == 46


@pytest.mark.parametrize("plan", ["ac-first", "mc-wire-first", "emt"])
def test_the_pair_is_in_no_figure_of_circuit_or_ground(count: Counter, plan: str):
    """Counted with and without the pair: only control, fill and what is bought differ."""
    plain = count(
        chain().replace("-control", "").replace(" D1 D2", "").replace("dimmer,", "dimmer-leads,"), compared=plan
    )
    paired = count(chain(), compared=plan)
    for box in ("X", "Y", "Z"):
        assert paired.counts(box, plan) == plain.counts(box, plan)
        assert paired.box(box, plan)["entries"] == plain.box(box, plan)["entries"]
    assert "control_terminations" not in plain.box("X", plan)
    assert paired.total("control_terminations", plan) == 4 + 6 + 4
    assert paired.total("control_splices", plan) == 6
    sums = row(paired, "totals", title=called(plan))
    circuit, ground = (paired.total(f"{n}_terminations", plan) for n in ("circuit", "ground"))
    assert sums["terminations"] == circuit + ground + 14


@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(feeders=st.lists(st.integers(0, 4), min_size=1, max_size=5), awg=st.sampled_from(["18", "16", "14"]))
def test_counting_a_tree_of_luminaires(tmp_path: Path, feeders: list[int], awg: str):
    """Of each of two conductors: ends that come in with the runs that have the pair, and a lead, in one splice."""
    pair = {"device": "luminaire-control", "wires": "S1 N D1 D2", "control_awg": awg, "box_style": "square"}
    boxes = [{"box": "B0", "device": "sensor-control", "wires": "A N"}]
    boxes += [{"box": f"B{n}", "fed_from": f"B{min(f, n - 1)}", **pair} for n, f in enumerate(feeders, start=1)]
    counted = Counter(tmp_path)(schedule(*boxes), compared="ac-first,mc-armor-first")
    for n in range(len(boxes)):
        fed = sum(min(f, k - 1) == n for k, f in enumerate(feeders, start=1))
        runs = fed + (n > 0)
        ends = 2 * (runs + 1) if runs else 0
        for plan in ("ac-first", "mc-armor-first"):
            found = counted.box(f"B{n}", plan)
            assert (found["control_terminations"], found["control_splices"]) == (ends, 2 if runs else 0)


def test_the_swap_saves_what_a_cable_of_its_own_takes(count: Counter):
    """From Type AC with a control cable to Type MC with the pair under its armor, against the same without a pair.

    Gone: 4 ends x 1.1, 25 ft x 0.16, 7 supports x 0.7 = 13.3 minutes; the cable with the pair takes 1.05 of the
    route minutes: 25 x 0.05 x 0.16 = 0.2. The ends of the pair are made up in both.
    """
    texts = (chain(), chain().replace("-control", "").replace(" D1 D2", "").replace("dimmer,", "dimmer-leads,"))
    sets = "swap_from=ac-first", "swap_to=mc-armor-first"
    saved = []
    for text in texts:
        counted = count(text, *sets, compared="ac-first,mc-armor-first")
        swap = counted.results["swap"]
        saved.append(swap["saved_hours"])
        before, after = (counted.results["plans"][p] for p in ("ac-first", "mc-armor-first"))
        assert swap["gross_usd"] == pytest.approx(before["installed_cost"] - after["installed_cost"])
        assert swap["material_usd"] == pytest.approx(before["material_cost"] - after["material_cost"])
    assert saved[0] - saved[1] == pytest.approx((13.3 - 0.2) / 60)


# A circuit that changes its construction at a box, the pair under one armor on one side


def changing(x: str, y: str, z: str, **cells: object) -> str:
    """Return the chain with the construction that each run is held to; `cells` are of Y and Z."""
    pair = {"wires": "S1 N D1 D2", "device": "luminaire-control", "fed_from": "", "awg": 12, **cells}
    return schedule(
        {"box": "X", "device": "dimmer-control", "run_ft": 40, "wires": "A N", "awg": 12, "run_construction": x},
        {"box": "Y", "run_ft": 15, **pair, "run_construction": y},
        {"box": "Z", "run_ft": 10, **pair, "run_construction": z},
    )


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("case", SEAMS, ids=[c["id"] for c in SEAMS])
def test_a_pair_across_a_change_of_construction(count: Counter, case: dict[str, str], edition: str):
    """The box is made up with all that comes in; a control cable, its ends and connectors go with its own run."""
    names = [n for n in case if n not in ("id", "worked", "source", "x", "y", "z", "box") and not n.startswith("own_")]
    text = changing(case["x"], case["y"], case["z"])
    counted = count(text, f"code_edition={edition}", compared="ac-first")
    found = counted.box(case["box"], "ac-first")
    assert {n: found[n] for n in names} == {n: float(case[n]) for n in names}
    lines = [line for line in rows(counted, "control_lines") if line["cables"]]
    own = {n: float(case[f"own_{n}"]) for n in ("ends", "ft", "bought_ft", "supports")}
    assert {n: sum(line[n] for line in lines) for n in ("ft", "bought_ft", "supports")} == {
        n: own[n] for n in ("ft", "bought_ft", "supports")
    }
    hours, bought = (counted.total(n, "ac-first") for n in ("labor_hours_by_operation", "material_by_item"))
    assert hours.get("control-cable", 0) == pytest.approx(own["ends"] * 1.1 / 60)
    assert hours["control-end"] == pytest.approx((4 + 6 + 4) * 0.45 / 60)
    assert bought.get("control-16-2", 0) == pytest.approx(own["bought_ft"] * 1.05)
    assert bought.get("control-connector", 0) == pytest.approx(own["ends"] * 1.02)
    with_pair = sum(f for item, f in bought.items() if item.endswith("-d16"))
    feet = {"y": 17 if case["y"].startswith("mc-") else 0, "z": 12 if case["z"].startswith("mc-") else 0}
    assert with_pair == pytest.approx(sum(feet.values()) * 1.05)
    assert [e["lacking"] for e in rows(counted, "each")] == [0, 0, 0]


@pytest.mark.parametrize(
    ("answer", "outcomes"),
    [("class-1", ("meets", "look")), ("class-2-listed", ("meets", "meets")), ("class-2-apart", ("fails", "meets"))],
)  # fmt: skip
def test_separation_is_asked_of_each_side_of_a_change(count: Counter, answer: str, outcomes: tuple[str, str]):
    """Under one armor and in a cable of its own, each by its own row; the home run has no pair."""
    text = changing("emt-wire", "mc-armor", "ac", control_wiring=answer)
    counted = count(text, compared="ac-first")
    found = {c["circuit"]: c["outcome"] for c in counted.results["checks"] if c["check"] == "control"}
    assert found == dict(zip(("P-1", "P-1: in mc-armor", "P-1: in ac"), ("does_not_apply", *outcomes), strict=True))


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize(
    ("answer", "outcome"),
    [("", "look"), ("class-1", "look"), ("class-2-listed", "meets"), ("class-2-apart", "fails"), ("class-2-together", "fails")],
)  # fmt: skip
def test_a_pair_run_by_run_in_either_way_is_held_to_the_harder_rule(
    count: Counter, edition: str, answer: str, outcome: str
):
    """Y has a control cable of its own, Z the pair under the armor, in one construction: the worse of both answers."""
    pair = {"wires": "S1 N D1 D2", "device": "luminaire-control", "fed_from": "", "control_wiring": answer}
    text = schedule(
        {"box": "X", "device": "dimmer-control", "run_ft": 40, "wires": "A N"},
        {"box": "Y", "run_ft": 15, "control_ft": 21, **pair},
        {"box": "Z", "run_ft": 10, **pair},
    )
    counted = count(text, f"code_edition={edition}", compared="mc-wire-first")
    found = separation(counted, "mc-wire-first")
    assert (found["outcome"], found["question"] is None) == (outcome, outcome != "look")
    if answer == "class-1":
        assert str(found["section"]).startswith("724.46" if edition == "2023" else "725.46")


@pytest.mark.libreoffice
def test_a_workbook_with_a_pair_across_a_change_recalculates(
    tmp_path: Path, recalculate: Callable[[list[Path]], list[Path]]
):
    text = changing("emt-wire", "mc-armor", "ac") + changing("ac", "", "mc-wire").partition("\n")[2].replace(
        "P-1", "P-2"
    ).replace("X,", "X2,").replace("Y,", "Y2,").replace("Z,", "Z2,")
    (tmp_path / "s.csv").write_text(text, encoding="utf-8")
    build = compute(Options(tmp_path / "s.csv", plans="ac-first,mc-wire-first,mc-armor-first"))
    write_outputs(build, tmp_path / "s.xlsx", None)
    formulas = office.formulas(tmp_path / "s.xlsx")
    office.poison(tmp_path / "s.xlsx", tmp_path / "poisoned.xlsx")
    (again,) = recalculate([tmp_path / "poisoned.xlsx"])
    assert list(office.differences(office.values(tmp_path / "s.xlsx"), office.values(again), formulas)) == []


LOOK, MEETS, FAILS = "look", "meets", "fails"
ANSWERS = [
    # answer, under one armor, in a cable of its own, and where the section differs by edition
    ("", LOOK, LOOK, "725.136(A)"),
    ("class-1", MEETS, LOOK, "48(B)"),
    ("class-2-listed", MEETS, MEETS, "(D)"),
    ("class-2-apart", FAILS, MEETS, "725.136"),
    ("class-2-together", FAILS, FAILS, "725.136(A)"),
]


def separation(counted: Counted, plan: str) -> dict[str, object]:
    (found,) = [c for c in counted.results["checks"] if (c["check"], c["plan"]) == ("control", plan)]
    return found


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize(("answer", "inside", "apart", "section"), ANSWERS, ids=[a[0] or "unknown" for a in ANSWERS])
def test_separation_as_answered(count: Counter, edition: str, answer: str, inside: str, apart: str, section: str):
    text = chain(control_wiring=answer)
    counted = count(text, f"code_edition={edition}", compared="mc-wire-first,ac-first")
    found = [separation(counted, plan) for plan in ("mc-wire-first", "ac-first")]
    assert [f["outcome"] for f in found] == [inside, apart]
    assert [f["question"] is not None for f in found] == [o == LOOK for o in (inside, apart)]
    assert all(section in str(f["section"]) for f in found)
    if answer == "class-1":
        article = "724" if edition == "2023" else "725"
        assert all(f"{article}.48(B)" in str(f["section"]) for f in found)
    state = counted.results["plans"]["mc-wire-first"]["state"]
    assert state == {LOOK: "look first", MEETS: "complete", FAILS: "not to be used"}[inside]
    assert counted.total("circuits_not_settled", "mc-wire-first") == (inside == LOOK)


def test_a_job_without_a_pair_has_nothing_of_it(count: Counter):
    build = count(schedule({"device": "duplex"})).build
    assert not [name for name in build.book.tables if "control" in name]
    names = {column.name for table in build.book.tables.values() for column in table}
    assert {name for name in names if name.startswith("control")} == {"control_awg"}  # of the catalog of cables
    for table, column in (("prices", "item"), ("checks", "check"), ("devices", "device"), ("cables", "key")):
        assert not [key for key in build.book.values(table, column) if "control" in str(key) or "|d1" in str(key)]


@pytest.mark.parametrize(
    ("cells", "message"),
    [
        ({"wires": "S1 N D1"}, "names one conductor of a control pair"),
        ({"wires": "S1 N D1 D2", "control_awg": "12"}, "is no size of a control pair"),
        ({"wires": "S1 N", "device": "luminaire", "control_ft": "9"}, "stands without a control pair"),
        ({"wires": "S1 N"}, "needs a conductor of a control pair"),
        ({"wires": "S1 N D1 D2 D3"}, "is not a conductor role"),
        ({"wires": "S1 N D1 D2", "control_ft": "far"}, "is not a length"),
    ],
)
def test_what_is_wrong_with_a_pair_is_said(count: Counter, cells: dict[str, object], message: str):
    with pytest.raises(InputError) as found:
        count(chain(**cells))
    assert any(message in str(p) for p in found.value.problems)


def test_what_is_wrong_with_a_pair_is_said_beside_the_rest_of_its_row(count: Counter):
    """One pass: a wrong device keeps the circuit from being wired, and the pair is tested before that."""
    with pytest.raises(InputError) as found:
        count(chain(device="luminair", control_awg="12"))
    said = [(p.row, p.column, p.message) for p in found.value.problems]
    for n in (3, 4):
        assert (n, "control_awg", "is no size of a control pair:") in said
        assert any(line[:2] == (n, "device") for line in said)


def test_a_pair_does_not_come_from_a_panel(count: Counter):
    text = schedule({"device": "luminaire-control", "wires": "A N D1 D2"})
    with pytest.raises(InputError) as found:
        count(text)
    assert any("no panel ends a control pair" in str(p) for p in found.value.problems)


def test_the_schedule_written_out_reads_the_same(count: Counter, tmp_path: Path):
    text = chain(control_ft="apart")
    first = count(text)
    again = tmp_path / "again.csv"
    again.write_text(expanded_text(first.build.job), encoding="utf-8")
    assert expanded_text(compute(Options(again)).job) == again.read_text(encoding="utf-8")
    assert [b.run.kind for b in compute(Options(again)).job.boxes] == ["2c12", "2c12a16", "2c12a16"]


def test_a_count_of_luminaires_each_has_a_control_cable(count: Counter):
    """A row of three: the first by its own length, the others along their runs."""
    pair = {"device": "luminaire-control", "wires": "S1 N D1 D2", "fed_from": "X", "count": 3, "next_ft": 8}
    first = {"box": "X", "device": "dimmer-control", "wires": "A N"}
    counted = count(schedule(first, {"box": "L", "run_ft": 15, "control_ft": 22, **pair}), compared="mc-wire-first")
    assert [line["ft"] for line in rows(counted, "control_lines")] == [22, 8, 8]


def test_a_drawing_shows_every_end_of_a_pair(count: Counter):
    counted = count(chain(), compared="ac-first,mc-wire-first")
    for box in ("X", "Y", "Z"):
        for plan, construction, own in (("ac-first", "ac", True), ("mc-wire-first", "mc-wire", False)):
            found = counted.box(box, plan)
            drawing = draw_box(box_facts(counted.build.book, found["make_up"], construction))
            assert drawing.count("control end") == found["control_terminations"]
            assert drawing.count("splice of control ends") == found["control_splices"]
            assert drawing.count("circuit end") == found["circuit_terminations"]
            entries = found["entries"] + own * {"X": 1, "Y": 2, "Z": 1}[box]
            assert drawing.count("cable") == drawing.count("fitting") == entries


def test_the_crew_pages_have_the_steps_of_a_pair(count: Counter):
    counted = count(chain(), "crew_from=ac-first", "crew_to=mc-armor-first", compared="ac-first,mc-armor-first")
    for box, entries, ends in (("X", 1, 4), ("Y", 2, 6), ("Z", 1, 4)):
        kind = counted.box(box, "ac-first")["make_up"]
        steps = {s["job_step"]: s for s in rows(counted, "crew_steps", type=kind)}
        assert [steps["control-cable"][f"count_{side}"] for side in ("from", "to")] == [entries, 0]
        assert [steps["control-end"][f"count_{side}"] for side in ("from", "to")] == [ends, ends]


def test_the_sample_counts_its_pairs():
    """LP-1: a sensor and five luminaires in a chain; LP-3: two behind the sensor, the second feeds two, one of them one.

    Ends of a conductor: chains 2 + 4 x 3 + 2 and 2 + 3 + 4 + 3 + 2 + 2; both conductors, all in splices of twelve boxes.
    """
    build = compute(Options(SAMPLES / "two-story.csv"))
    ends = 2 * (
        16
        + sum(ends_of_tree({"H60": [], "H61": ["H60"], "H62": ["H61"], "H63": ["H62"], "H64": ["H62"], "H65": ["H64"]}))
    )
    for plan in build.frame.compared:
        sums = row(build, "plan_sums", plan=plan)
        assert (sums["control_terminations"], sums["control_splices"]) == (ends, 24)
    own = {p: sum(line["ft"] for line in rows(build, "control_lines", plan=p)) for p in build.frame.compared}
    # LP-1 10 + 4 x 12, LP-3 10 + 12 + 12 + 14 + 12
    assert own == {"ac-first": 118, "mc-wire-first": 0, "mc-armor-first": 0}


def ends_of_tree(fed_from: dict[str, list[str]]) -> list[int]:
    """Return the ends of one conductor in every box: runs that bring it, and the lead."""
    feeders = [parent for parents in fed_from.values() for parent in parents]
    return [len(parents) + feeders.count(box) + 1 for box, parents in fed_from.items()]


def test_tails_of_control_cables_weigh_like_those_of_the_power(count: Counter):
    """What hangs on the length at a box is what a build at 0 ft saves: one end of X, two of Y and Z, pairs beside them."""
    whole, without = (count(chain(control_ft=21), *more) for more in ((), ("box_tail_ft=0",)))
    plans = whole.build.frame.compared
    saved = [whole.total("material_cost", p) - without.total("material_cost", p) for p in plans]
    found = row(whole, "tails", key="box_tail_ft")
    assert [found[f"usd_{n}"] for n, _ in enumerate(plans, start=1)] == [pytest.approx(usd) for usd in saved]
    power, control = (row(whole, "unit_costs", item=i)["usd_each"] for i in ("ac-12-2", "control-16-2"))
    assert saved[plans.index("ac-first")] == pytest.approx(5 * power + 4 * control)
