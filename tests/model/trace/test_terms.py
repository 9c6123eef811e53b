"""Terms of the whole job: quantities worked by hand, and the same figures by the way over boxes and circuits."""

from __future__ import annotations

from pathlib import Path

import pytest

from takeoff.build import Build
from tests.priced import priced
from tests.tables import row, rows, schedule
from tests.typed import typed

SCHEDULE = """box,circuit,device,run_ft,fed_from,wires,area,repeat,construction
R1,KP-1,duplex,46,,,kitchen,3,
R2,KP-1,duplex,12,,,kitchen,,
R3,KP-1,gfci,12,,,store,,
L1,KP-2,switch-3way,38,,A N,store,,
L2,KP-2,switch-3way,27,,T1 T2 N,store,,
L3,KP-2,luminaire,11,,S1 N,store,,
R4,KP-4,duplex-ig,20,,A N IG,store,,
E1,KP-6,equipment-3p,48,,A B C,,2,emt-wire
"""
"""KP-1 is built three times, KP-6 twice and in EMT; Type AC with an insulated EGC serves the isolated ground."""

INPUTS = """learning_rate_pct = 90
material_tax_pct = 7.5
panel_tail_ft = 6
box_tail_ft = 1
[areas.kitchen]
height = "from-ladder"
[circuits.KP-2]
occupancy = "occupied"
"""

BY_HAND = {
    # runs with a tail of 6 ft in the panel and of 1 ft in a box; raceway as measured
    "ac-12-2": 3 * (46 + 6 + 1) + 3 * (12 + 2) + 3 * (12 + 2) + (38 + 6 + 1) + (11 + 2),
    "ac-12-3": 27 + 2,
    "ac-redundant-12-2": 20 + 6 + 1,
    "emt-1/2": 2 * 48,
    # two ends of each run, a bushing in each end of Type AC
    "ac-connector-3/8": 2 * (3 * 3 + 3 + 1),
    "anti-short-bushing": 2 * (3 * 3 + 3 + 1),
    "emt-connector-1/2": 2 * 2,
    # boxes: the luminaire hangs on an octagon, equipment stands behind a blank cover, the rest behind a ring
    "square-4x1.5": 3 * 3 + 2 + 1 + 2,
    "octagon-4x1.25": 1,
    "blank-4": 2,
    "ring-4-1gang": 3 * 3 + 2 + 1,
    "ground-screw": 3 * 3 + 2 + 1 + 2,
    "box-fastener": 2 * (3 * 3 + 2 + 1 + 2 + 1),
    # splices: hot and neutral in two of three receptacles, three times; the neutral in each switch box, two leads of the
    # luminaire; three leads of the equipment and its ground, twice
    "joint-small": 3 * 2 * 2 + (1 + 1 + 2) + 2 * (3 + 1),
}


@pytest.fixture(scope="module")
def build(tmp_path_factory: pytest.TempPathFactory) -> Build:
    return priced(tmp_path_factory.mktemp("trace"), toml=INPUTS, schedule=SCHEDULE)


def test_quantities_of_the_whole_job_worked_by_hand(build: Build):
    found = {line["item"]: line["quantity"] for line in rows(build, "trace_material")}
    assert {item: found[item] for item in BY_HAND} == BY_HAND


def test_every_item_and_every_sum_is_that_of_the_other_way(build: Build):
    """Terms of types and kinds of runs, against what each plan buys and the sums over boxes and circuits."""
    bought = {line["item"]: line for line in rows(build, "material")}
    for line in rows(build, "trace_material"):
        assert line["quantity"] == pytest.approx(bought[line["item"]]["net_1"]), line["item"]
        assert line["usd"] == pytest.approx(bought[line["item"]]["usd_1"]), line["item"]
    for line in rows(build, "trace_sums"):
        assert line["here"] == pytest.approx(line["there"]) != 0
        assert line["difference"] == 0
    total = rows(build, "totals")[0]
    hours = sum(line["hours"] for line in rows(build, "trace_labor"))
    assert hours == pytest.approx(total["labor_hours"])
    assert sum(line["usd"] for line in rows(build, "trace_material")) == pytest.approx(total["material_cost"])


def test_every_kind_of_box_and_of_panel_end_is_counted_as_often_as_it_is_built(build: Build):
    """R1 and R2 three times, R3 three times, E1 twice, the rest once; home runs of two wires 3 + 1, of E1 2, of R4 1."""
    assert [line["count"] for line in rows(build, "type_counts")] == [3 + 3, 3, 2, 1, 1, 1, 1, 3 + 1, 2, 1]


def test_installed_and_the_rest_are_the_bid(build: Build):
    (found,) = rows(build, "trace_bid")
    assert found["bid_usd"] > found["installed_usd"] > 0
    assert found["installed_usd"] + found["rest_usd"] == pytest.approx(found["bid_usd"])


def test_what_a_control_pair_takes_is_in_the_terms_too(tmp_path: Path):
    """A dimmer and two luminaires, three times, under one armor and with a control cable of its own."""
    pair = {"wires": "S1 N D1 D2", "device": "luminaire-control", "fed_from": "", "awg": 12}
    boxes = schedule(
        {"box": "X", "device": "dimmer-control", "wires": "A N", "awg": 12, "repeat": 3},
        {"box": "Y", **pair},
        {"box": "Z", **pair},
    )
    for compared in ("mc-wire-first,ac-first", "ac-first,mc-wire-first"):
        found = priced(tmp_path / compared, compared=compared, schedule=boxes)
        bought = {line["item"]: line for line in rows(found, "material")}
        assert any("control" in item and line["net_1"] for item, line in bought.items()) == (compared[0] == "a")
        for line in rows(found, "trace_material"):
            assert line["quantity"] == pytest.approx(bought[line["item"]]["net_1"]), line["item"]


def test_every_scope_in_every_plan_is_as_it_stands_elsewhere(build: Build):
    """The terms of a chosen scope add up to what areas, circuits and boxes have, and the lower scopes to the whole job."""
    scopes = [str(r["scope"]) for r in rows(build, "scopes")]
    for plan in build.frame.titles.values():
        sums: dict[str, float] = {}
        for scope in scopes:
            found = typed(build, {("trace_choice", "plan", 1): plan, ("trace_choice", "scope", 1): scope})
            for line in rows(found, "trace_sums"):
                assert line["difference"] == 0, (plan, scope, line["figure"])
            level = scope.split()[0]
            sums[level] = sums.get(level, 0) + row(found, "trace_figures")["here_installed_usd"]
        assert sums == pytest.approx(dict.fromkeys(("whole", "area", "circuit", "box"), sums["whole"]))


def test_a_scope_that_is_not_of_the_list_finds_nothing(build: Build):
    found = row(typed(build, {("trace_choice", "scope", 1): "area nowhere"}), "trace_figures")
    assert (found["here_installed_usd"], found["there_installed_usd"]) == (0, 0)
