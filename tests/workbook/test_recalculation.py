"""LibreOffice recalculates the workbook: every formula gives the value shipped, also after inputs change."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests import office
from tests.changes import INVENTED, Change, change_cells, live, rebuilt, written

pytestmark = pytest.mark.libreoffice


def test_every_formula_of_the_sample_recalculates_to_its_shipped_value(
    sample_workbook: Path, recalculate: Callable[[list[Path]], list[Path]], tmp_path: Path
):
    poisoned = tmp_path / "poisoned.xlsx"
    formulas = office.formulas(sample_workbook)
    assert office.poison(sample_workbook, poisoned) == len(formulas) > 100_000
    (again,) = recalculate([poisoned])
    assert list(office.differences(office.values(sample_workbook), office.values(again), formulas)) == []


def test_a_workbook_that_is_not_recalculated_would_be_noticed(sample_workbook: Path, tmp_path: Path):
    poisoned = tmp_path / "poisoned.xlsx"
    office.poison(sample_workbook, poisoned)
    shipped, wrong = office.values(sample_workbook), office.values(poisoned)
    assert len(list(office.differences(shipped, wrong, office.formulas(sample_workbook)))) > 100_000


CHANGES = [
    Change("edition", "Inputs", "code_edition", "value (input)", "2017", ("code_edition=2017",)),
    Change("make-up", "Inputs", "make_up", "value (input)", "through", ("make_up=through",)),
    Change("self-grounding", "Inputs", "self_grounding", "value (input)", "yes", ("self_grounding=yes",)),
    Change(
        "rate", "Inputs", "labor_rate_usd_per_h", "value, in its unit (input)", 81.5, ("labor_rate_usd_per_h=81.5",)
    ),
    Change("ambient", "Inputs", "ambient_f", "value, in its unit (input)", 121, ("ambient_f=121",)),
    Change("bundle", "Inputs", "bundled_cables", "value, in its unit (input)", 11, ("bundled_cables=11",)),
    Change("terminals", "Inputs", "terminal_c", "value (input)", "75", ("terminal_c=75",)),
    Change("insulation", "Inputs", "thermal_insulation", "value (input)", "yes", ("thermal_insulation=yes",)),
    Change("source", "Inputs", "source_mohm", "value, in its unit (input)", 250, ("source_mohm=250",)),
    Change("warm", "Inputs", "conductor_temp_c", "value, in its unit (input)", 40, ("conductor_temp_c=40",)),
    Change("advice", "Inputs", "drop_limit_pct", "value, in its unit (input)", 0.5, ("drop_limit_pct=0.5",)),
    Change("pickup", "Inputs", "pickup_times_rating", "value, in its unit (input)", 20, ("pickup_times_rating=20",)),
    Change("chart", "Inputs", "chart_breaker_a", "value, in its unit (input)", 30, ("chart_breaker_a=30",)),
    Change("tail", "Inputs", "box_tail_ft", "value, in its unit (input)", 1.75, ("box_tail_ft=1.75",)),
    Change("panel tail", "Inputs", "panel_tail_ft", "value, in its unit (input)", 9, ("panel_tail_ft=9",)),
    Change(
        "waste",
        "Prices",
        "cable",
        "waste, % (input)",
        12.5,
        (),
        {"families": f'family,waste_pct,source\ncable,12.5,"{INVENTED}"\n'},
    ),
    Change(
        "price",
        "Prices",
        "mc-wire-12-2",
        "price, USD (input)",
        1234.5,
        (),
        {"prices": f'item,price_usd,source\nmc-wire-12-2,1234.5,"{INVENTED}"\n'},
    ),
    Change(
        "price unit",
        "Prices",
        "ground-screw",
        "price unit (input)",
        "each",
        (),
        {"prices": f'item,unit,source\nground-screw,each,"{INVENTED}"\n'},
    ),
    Change(
        "minutes",
        "Minutes",
        "splice-ground|all",
        "minutes each, min (input)",
        2.4,
        (),
        {"operations": f'operation,construction,minutes,source\nsplice-ground,all,2.4,"{INVENTED}"\n'},
    ),
    Change(
        "parts along the run",
        "Minutes",
        "cable-strap",
        "quantity, each (input)",
        0.5,
        (),
        {"uses": "use,quantity\ncable-strap,0.5\n"},
    ),
    Change(
        "volume",
        "Inputs",
        "square-4x1.5",
        "volume, in3 (input)",
        15.0,
        (),
        {"box_sizes": "box,volume_in3\nsquare-4x1.5,15\n"},
    ),
    Change(
        "volume out of order",
        "Inputs",
        "square-4x1.5",
        "volume, in3 (input)",
        35.0,
        (),
        {"box_sizes": "box,volume_in3\nsquare-4x1.5,35\n"},
    ),
    Change(
        "not stocked",
        "Inputs",
        "square-4x1.5",
        "stocked, 0/1 (input)",
        0,
        (),
        {"box_sizes": "box,stocked\nsquare-4x1.5,0\n"},
    ),
    Change(
        "stocked again",
        "Inputs",
        "square-4x1.25",
        "stocked, 0/1 (input)",
        1,
        (),
        {"box_sizes": f'box,stocked,source\nsquare-4x1.25,1,"{INVENTED}"\n'},
    ),
    Change(
        "support",
        "Catalog",
        "ac",
        "secured every, ft (input)",
        3,
        (),
        {"constructions": "construction,support_interval_ft\nac,3\n"},
    ),
    Change("run", "Schedule", "R2", "run, ft (input)", 77.25, (), {}, ("R2,KP-1,duplex,12", "R2,KP-1,duplex,77.25")),
    Change(
        "wired in",
        "Schedule",
        "KP-3,5",
        "wired in (input)",
        "mc-wire",
        (),
        {},
        ('J1,"KP-3,5",junction,52,,A B N IG,,,12,,,', 'J1,"KP-3,5",junction,52,,A B N IG,,,12,,,mc-wire'),
    ),
    Change("base", "Inputs", "base_plan", "value (input)", "ac-first", ("base_plan=ac-first",)),
    Change("crew from", "Inputs", "crew_from", "value (input)", "ac-first", ("crew_from=ac-first",)),
    Change(
        "a larger box for less",
        "Prices",
        "square-4x2.125",
        "price, USD (input)",
        100,
        (),
        {"prices": f'item,price_usd,source\nsquare-4x2.125,100,"{INVENTED}"\n'},
    ),
    Change("crew to", "Inputs", "crew_to", "value (input)", "ac-first", ("crew_to=ac-first",)),
    Change("tails", "Inputs", "ground_make_up", "value (input)", "long-tails", ("ground_make_up=long-tails",)),
    Change("switches", "Inputs", "switch_bond", "value (input)", "screws", ("switch_bond=screws",)),
    Change("bought", "Inputs", "ground_make_up", "value (input)", "ready-made", ("ground_make_up=ready-made",)),
    Change(
        "key point",
        "Minutes",
        "cut-bare",
        "key point (input)",
        "with the cutter of the job",
        (),
        {"job_steps": "job_step,key_point\ncut-bare,with the cutter of the job\n"},
    ),
    Change("kind of a rate", "Inputs", "profit_pct", "rests on (input)", "stated", ("profit_pct=8",)),
    Change("no demonstration", "Inputs", "demo_share_pct", "value, in its unit (input)", 100, ("demo_share_pct=100",)),
    Change("crew size", "Inputs", "crew_size", "value, in its unit (input)", 4, ("crew_size=4",)),
    Change(
        "source of a cable price",
        "Prices",
        "ac-12-2",
        "source (input)",
        "agreed",
        (),
        {"prices": "item,source\nac-12-2,agreed\n"},
    ),
    Change(
        "source of minutes",
        "Minutes",
        "mount-box|all",
        "source (input)",
        "time study of 2026-10",
        (),
        {"operations": "operation,construction,source\nmount-box,all,time study of 2026-10\n"},
    ),
    Change(
        "source of a wage",
        "Inputs",
        "foreman",
        "source (input)",
        "agreement of 2026",
        (),
        {"crew": "class,source\nforeman,agreement of 2026\n"},
    ),
    Change(
        "source of armor",
        "Catalog",
        "ac|12|2|0|none",
        "source of the armor figure (input)",
        "measured on site",
        (),
        {"cables": "construction,awg,conductors,armor_source\nac,12,2,measured on site\n"},
    ),
    Change(
        "a circuit that changes wired in",
        "Schedule",
        "KP-2",
        "wired in (input)",
        "emt-wire",
        (),
        {},
        ("L1,KP-2,switch-3way,38,,A N,,,12,2,,", "L1,KP-2,switch-3way,38,,A N,,,12,2,,emt-wire"),
    ),
]


GROUPS = [CHANGES[n::5] for n in range(5)]
"""Changes that are made together, so that five workbooks serve for all of them."""


def test_changed_inputs_recalculate_to_what_a_rebuild_with_them_gives(
    recalculate: Callable[[list[Path]], list[Path]], tmp_path: Path
):
    source = written(rebuilt(tmp_path / "source", []))
    files = [tmp_path / f"changed-{n}.xlsx" for n, _ in enumerate(GROUPS)]
    for file, changes in zip(files, GROUPS, strict=True):
        change_cells(source, file, changes)
    for number, (changes, again) in enumerate(zip(GROUPS, recalculate(files), strict=True)):
        path = written(rebuilt(tmp_path / f"group-{number}", changes))
        cells = live(path)
        assert cells == live(source)
        assert list(office.differences(office.values(path), office.values(again), cells)) == []


@pytest.mark.parametrize("change", CHANGES, ids=[c.name for c in CHANGES])
def test_every_one_of_the_changes_moves_something(change: Change, tmp_path: Path):
    before, after = rebuilt(tmp_path / "before", []), rebuilt(tmp_path / "after", [change])
    columns = [(t.name, c.name) for t in before.book.tables.values() for c in t.columns]
    assert any(list(before.book.values(*c)) != list(after.book.values(*c)) for c in columns)


def test_totals_follow_when_a_circuit_is_built_more_often(
    recalculate: Callable[[list[Path]], list[Path]], tmp_path: Path
):
    """The order of the make-up types follows their number, so that rows move: the summary is compared."""
    change = Change(
        "repeat", "Schedule", "KP-1", "times built, ea (input)", 3, (), {},
        ("R1,KP-1,duplex,46,,,,,10,,", "R1,KP-1,duplex,46,,,,,10,3,"),
    )  # fmt: skip
    source = written(rebuilt(tmp_path / "source", []))
    change_cells(source, tmp_path / "changed.xlsx", [change])
    (again,) = recalculate([tmp_path / "changed.xlsx"])
    path = written(rebuilt(tmp_path / "rebuilt", [change]))
    cells = [c for c in live(path) if c[0] == "Summary"]
    assert list(office.differences(office.values(path), office.values(again), cells)) == []
    assert "Arithmetic proofs: 39 of 39 agree." in office.values(again)["Summary", "A3"]
