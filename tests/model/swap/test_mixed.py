"""Boxes where old meets new: circuits begun in part, what of them remains, what their seams cost.

Counts are worked by hand in `tests/worked/mixed.csv`, a row each, by the rules of DEVELOPERS.md.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from takeoff.build import Build
from takeoff.report.expanded import expanded_text
from takeoff.report.output import write_outputs
from takeoff.text.problems import InputError
from tests import office
from tests.addendum.typed import type_into
from tests.swapping import CLINIC, FROM_TO, Rebuild, limits_of, minutes, prices, swap_of
from tests.tables import called, row, rows

HEAD = "box,circuit,device,run_ft,fed_from,area,run_construction,run_state\n"
WORKED = list(
    csv.DictReader((Path(__file__).parents[2] / "worked" / "mixed.csv").read_text(encoding="utf-8").splitlines())
)
PREPARED = minutes(lambda r: 10 if r["operation"] == "prepare-egc" else 0)
"""Only an EGC that comes into a box takes time: 10 minutes, at 60 USD/h 10 USD."""


def chain(text: str, circuit: str = "P-1") -> str:
    """Return the rows of a circuit from `box:device:fed from:pulled in`, 20 ft each."""
    lines = []
    for box, device, fed, pulled in (one.split(":") for one in text.split()):
        lines.append(f"{box},{circuit},{device},20,{fed},east,{pulled},{'pulled' if pulled else ''}\n")
    return "".join(lines)


@pytest.fixture
def rebuild(tmp_path: Path) -> Rebuild:
    return Rebuild(tmp_path)


@pytest.mark.parametrize("case", WORKED, ids=[c["id"] for c in WORKED])
def test_a_box_where_old_meets_new_is_made_up_as_worked(rebuild: Rebuild, case: dict[str, str]):
    old, new = case["swap"].split(">")
    build = rebuild(
        HEAD + chain(case["boxes"]),
        *(f"swap_from={old}", f"swap_to={new}", "labor_rate_usd_per_h=60"),
        compared=f"{old},{new}",
        catalogs={"operations": PREPARED, "prices": prices(lambda _: 0.0)},
    )
    (box,) = rows(build, "mixed_boxes")
    assert box["where"] == f"{case['box']}, P-1, east"
    wanted = tuple(float(case[n]) for n in ("grounds", "splices", "fill_in3"))
    assert (box["ground_terminations"], box["ground_splices"], box["fill_in3"]) == wanted
    # ends of the runs apart are EGCs prepared at this box too, in their own construction
    (work,) = rows(build, "mixed_work")
    assert [work[f"{kind}_min"] for kind in ("old", "built", "new")] == [
        10 * float(case[f"prepared_{kind}"]) for kind in ("old", "built", "new")
    ]
    over = [10 * (float(case["prepared_built"]) - float(case[f"prepared_{kind}"])) for kind in ("old", "new")]
    assert [box["over_old_usd"], box["over_new_usd"]] == pytest.approx(over)


BEGUN = HEAD + chain("A1:duplex::mc-wire A2:duplex::mc-wire A3:duplex:: A4:gfci::") + chain("B1:duplex:panel:", "P-2")


def test_what_boxes_where_old_meets_new_cost_is_in_the_saving(rebuild: Rebuild):
    """Without them the saving is that of the boxes behind them, and of the circuit that is not begun."""
    build = rebuild(BEGUN)
    (box,) = rows(build, "mixed_boxes")
    lines = {(r["box"], r["plan"]): r for r in rows(build, "each")}
    rate = row(build, "labor_rate")["usd_per_h"]

    def cost(name: str, plan: str) -> float:
        line = lines[name, plan]
        return float(line["minutes"]) / 60 * rate + float(line["material_usd"])

    # the end of the run to A3 at A2 is work of the line of A3, and so in both
    a2 = sum(cost(b, "mc-armor-first") - cost(b, "mc-wire-first") for b in ("A2",))
    ends = row(build, "mixed_work")
    both = [
        (build.book.values("work", "job_minutes")[int(ends[k]) - 1] / 60 * rate)
        + build.book.values("costs", "material_usd")[int(ends[k]) - 1]
        for k in ("end_1_built", "end_1_old")
    ]
    assert box["over_old_usd"] == pytest.approx(a2 + both[0] - both[1])
    saved = sum(cost(b, "mc-wire-first") - cost(b, "mc-armor-first") for b in ("A2", "A3", "A4", "B1"))
    assert swap_of(build)["gross_usd"] == pytest.approx(saved)


def test_a_run_that_is_pulled_remains_no_more(rebuild: Rebuild):
    """A1 and A2 are pulled: the feet that remain are those of A3, A4, B1, to be bought and to be labored."""
    build = rebuild(BEGUN, "box_tail_ft=0", "panel_tail_ft=0")
    swap = swap_of(build)
    assert (swap["feet_from"], swap["feet_to"], swap["circuits"]) == (60, 60, 2)
    assert {(r["title"], r["runs"], r["run_ft"]) for r in rows(build, "rest_cable")} == {
        (called("mc-wire-first"), 3, 60),
        (called("mc-armor-first"), 3, 60),
    }
    listed = {r["rest_item"]: r for r in rows(build, "rest_list")}
    assert listed["mc-wire-12-2"]["to_quantity"] == 0 < listed["mc-wire-12-2"]["from_quantity"]
    # two connectors of each of the three runs, in the plan swapped from
    waste = 1 + float(str(build.catalogs["families"]["fitting"]["waste_pct"])) / 100
    assert listed["mc-connector-3/8"]["from_quantity"] == pytest.approx(6 * waste)
    # A1 is wired alike in both plans: no part of the swap
    assert swap["boxes_said"].startswith("4")


def test_what_remains_has_the_boxes_of_pulled_runs(rebuild: Rebuild):
    """Boxes, devices' connectors and pigtails of A1 and A2 are still to make up: only the runs are there."""
    found, whole = rebuild(BEGUN), rebuild(BEGUN.replace("pulled", ""))
    mine, all_ = ({r["rest_item"]: r["from_quantity"] for r in rows(b, "rest_list")} for b in (found, whole))
    less = {item: all_[item] - n for item, n in mine.items() if n != pytest.approx(all_[item])}
    assert set(less) == {"mc-wire-12-2", "mc-connector-3/8", "cable-strap"}


def test_a_premium_at_break_even_is_that_of_the_runs_still_to_pull(rebuild: Rebuild):
    """Rebuilt with the new cable at that premium nothing is saved and nothing lost."""
    limits = limits_of(rebuild(BEGUN))
    dearer = limits["premium"] - limits["premium_today"]
    at = prices(lambda r: float(str(r["price_usd"])) + dearer * (r["item"] == "mc-armor-12-2"))
    assert swap_of(rebuild(BEGUN, catalogs={"prices": at}))["net_usd"] == pytest.approx(0, abs=1e-6)


def test_a_state_follows_from_the_runs_and_may_be_changed_in_the_workbook(rebuild: Rebuild):
    states = {r["circuit"]: r["work_state"] for r in rows(rebuild(BEGUN), "circuits")}
    assert states == {"P-1": "partly pulled", "P-2": "as the area"}
    read = rows(rebuild(BEGUN), "schedule")
    assert [r["run_state"] for r in read] == ["pulled", "pulled", "not started", "not started", "not started"]
    all_of = HEAD + chain("A1:duplex::mc-wire A2:duplex::mc-wire") + chain("B1:duplex:panel:", "P-2")
    build = rebuild(all_of)
    assert [r["work_state"] for r in rows(build, "circuits")] == ["pulled", "as the area"]
    assert "mixed_boxes" not in build.book.tables
    again = Rebuild(rebuild.folder)(expanded_text(rebuild(BEGUN).job))
    assert rows(again, "mixed_boxes") == rows(rebuild(BEGUN), "mixed_boxes")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "A1,P-1,duplex,20,,east,,pulled\n",
            'run_construction: is blank, the run is pulled: "", the construction that it is pulled in',
        ),
        (
            "A1,P-1,duplex,20,,east,mc-wire,half\n",
            'run_state: is no state of a run: "half"; accepted: not started, pulled',
        ),
    ],
)
def test_what_cannot_be_meant_is_refused(rebuild: Rebuild, text: str, said: str):
    with pytest.raises(InputError) as found:
        rebuild(HEAD + text)
    assert said.split(":")[1] in str(found.value)


def test_a_pulled_run_in_a_circuit_not_started_is_refused(rebuild: Rebuild):
    with pytest.raises(InputError, match="run_state: stands in the circuit P-1, whose work_state is not started"):
        rebuild(BEGUN, toml='[circuits."P-1"]\nwork_state = "not started"\n')


def test_a_home_run_is_pulled_in_what_home_runs_are_in(rebuild: Rebuild):
    """Where an input says it, the row need not: a raceway home run with an EGC meets the armor as EGC, 5 ends."""
    text = HEAD + "A1,P-1,duplex,20,panel,east,,pulled\nA2,P-1,duplex,20,,east,,\n"
    (box,) = rows(rebuild(text, "home_run_construction=emt-wire"), "mixed_boxes")
    assert (box["pair"], box["ground_terminations"]) == ("emt-wire, mc-armor", 5)


def test_a_job_without_pulled_runs_has_none_of_it(rebuild: Rebuild):
    build = rebuild(CLINIC)
    assert not {"mixed_boxes", "mixed_work"} & set(build.book.tables)
    assert "run_left" not in [f.name for f in build.book.tables["each"].fields]


PULLED = st.lists(st.tuples(st.integers(0, 4), st.booleans()), min_size=2, max_size=6)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(boxes=PULLED)
def test_boxes_where_old_meets_new_are_those_of_a_plain_loop(tmp_path: Path, boxes: list[tuple[int, bool]]):
    """A box is one where a run that enters is pulled and another is not; EGCs that come in are those pulled."""
    feeds = [at % n if n else -1 for n, (at, _) in enumerate(boxes)]
    text = HEAD + "".join(
        f"A{n},P-1,duplex,20,{f'A{feeds[n]}' if n else 'panel'},east,{'mc-wire' if old else ''},{'pulled' if old else ''}\n"
        for n, (_, old) in enumerate(boxes)
    )
    build = Rebuild(tmp_path)(text)
    wanted = {}
    for n, (_, mine) in enumerate(boxes):
        entering = [mine, *(old for k, (_, old) in enumerate(boxes) if k and feeds[k] == n)]
        if any(entering) and not all(entering):
            wanted[f"A{n}, P-1, east"] = sum(entering) + 2 + 1 + 1  # splice of EGCs and two pigtails, screw, device
    mixed = rows(build, "mixed_boxes") if "mixed_boxes" in build.book.tables else []
    assert {r["where"]: r["ground_terminations"] for r in mixed} == wanted
    left = sum(not old for _, old in boxes)
    if 0 < left < len(boxes):
        assert {r["runs"] for r in rows(build, "rest_cable")} == {left}
    assert [p["proof"] for p in rows(build, "proofs") if p["open"]] == []


def built(rebuild: Rebuild, path: Path, text: str, *sets: str, toml: str = "") -> Build:
    build = rebuild(text, *sets, toml=toml, compared=f"ac-first,{FROM_TO}")
    write_outputs(build, path, None)
    return build


@pytest.mark.libreoffice
def test_the_workbook_recalculates_and_follows_another_plan(
    rebuild: Rebuild, tmp_path: Path, recalculate: Callable[[list[Path]], list[Path]]
):
    """Every formula as shipped; and with another plan to swap to as a rebuild with it."""
    text = BEGUN + chain("C1:duplex:panel:mc-wire C2:duplex:C1: C3:duplex:C1: C4:luminaire:C1:mc-wire", "P-3")
    out = tmp_path / "out"
    out.mkdir()
    built(rebuild, out / "s.xlsx", text)
    other = built(rebuild, out / "other.xlsx", text, "swap_to=ac-first")
    office.poison(out / "s.xlsx", out / "poisoned.xlsx")
    type_into(out / "s.xlsx", out / "typed.xlsx", [("choices", "swap_to", "value", "ac-first")])
    again, typed = recalculate([out / "poisoned.xlsx", out / "typed.xlsx"])
    formulas = office.formulas(out / "s.xlsx")
    assert list(office.differences(office.values(out / "s.xlsx"), office.values(again), formulas)) == []
    told = office.values(out / "other.xlsx")
    shown = [place for place, cell in told.items() if place[0] == "Swap" and cell in _figures(other)]
    assert len(shown) > 8
    assert list(office.differences(told, office.values(typed), shown)) == []


def _figures(build: Build) -> set[object]:
    """Return what the table of the boxes says and sums."""
    return {value for line in rows(build, "mixed_boxes") for value in line.values() if not isinstance(value, str)}
