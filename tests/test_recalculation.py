"""LibreOffice recalculates the workbook: every formula gives the value shipped, also after inputs change."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import openpyxl
import pytest

from takeoff.build import Build, Options, compute
from takeoff.output import write_outputs
from takeoff.workbook.crew import NOT_AS_DRAWN
from takeoff.workbook.summary import BASE_CELL
from tests import office

pytestmark = pytest.mark.libreoffice
INVENTED = "illustrative, invented for the demonstration: replace"
"""The source of invented figures: in the workbook it stays where only the figure changes, so the overlay repeats it."""

SCHEDULE = """box,circuit,device,run_ft,fed_from,wires,space,breaker_a,awg,repeat,box_style,construction
R1,KP-1,duplex,46,,,,,10,,,
R2,KP-1,duplex,12,,,,,,,device,
R3,KP-1,gfci,12,,,,,,,,
R4,KP-1,gfci,9,R2,,,,,,,
L1,KP-2,switch-3way,38,,A N,,,,2,,
L2,KP-2,switch-3way,27,,T1 T2 N,,,,,,
L3,KP-2,luminaire,11,,S1 N,damp,,,,,
L4,KP-2,luminaire,10,,S1 N,damp,,,,,
J1,"KP-3,5",junction,52,,A B N IG,,,,,,
J2,"KP-3,5",duplex-ig+duplex,8,J1,A N IG,,,,,,
J3,"KP-3,5",duplex,14,J1,B N,,,,,,
J4,"KP-3,5",junction,14,J1,B N,,,,,,
J5,"KP-3,5",duplex,14,J1,B N,,,,,,
P1,KP-4,duplex-hg,61,,,patient-care,,,,,
E1,KP-6,equipment-3p,48,,A B C,,30,10,,,emt-wire
H1,KP-8,equipment-3p,48,,A B C,,60,4,,,
"""


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


@dataclass(frozen=True)
class Change:
    """A change of one input in the workbook, and the same change as input of a rebuild."""

    name: str
    sheet: str
    row: str
    heading: str
    value: object
    sets: tuple[str, ...] = ()
    catalogs: dict[str, str] = field(default_factory=dict)
    schedule: tuple[str, str] = ("", "")


CHANGES = [
    Change("edition", "Inputs", "code_edition", "value (input)", "2017", ("code_edition=2017",)),
    Change("make-up", "Inputs", "make_up", "value (input)", "through", ("make_up=through",)),
    Change("self-grounding", "Inputs", "self_grounding", "value (input)", "yes", ("self_grounding=yes",)),
    Change("rate", "Inputs", "labor_rate_usd_per_h", "value, by row (input)", 81.5, ("labor_rate_usd_per_h=81.5",)),
    Change("ambient", "Inputs", "ambient_f", "value, by row (input)", 121, ("ambient_f=121",)),
    Change("bundle", "Inputs", "bundled_cables", "value, by row (input)", 11, ("bundled_cables=11",)),
    Change("terminals", "Inputs", "terminal_c", "value (input)", "75", ("terminal_c=75",)),
    Change("insulation", "Inputs", "thermal_insulation", "value (input)", "yes", ("thermal_insulation=yes",)),
    Change("source", "Inputs", "source_mohm", "value, by row (input)", 250, ("source_mohm=250",)),
    Change("warm", "Inputs", "conductor_temp_c", "value, by row (input)", 40, ("conductor_temp_c=40",)),
    Change("advice", "Inputs", "drop_limit_pct", "value, by row (input)", 0.5, ("drop_limit_pct=0.5",)),
    Change("pickup", "Inputs", "pickup_times_rating", "value, by row (input)", 20, ("pickup_times_rating=20",)),
    Change("chart", "Inputs", "chart_breaker_a", "value, by row (input)", 30, ("chart_breaker_a=30",)),
    Change("tail", "Inputs", "box_tail_ft", "value, by row (input)", 1.75, ("box_tail_ft=1.75",)),
    Change("panel tail", "Inputs", "panel_tail_ft", "value, by row (input)", 9, ("panel_tail_ft=9",)),
    Change(
        "waste",
        "Waste and packages",
        "cable",
        "waste, % (input)",
        12.5,
        (),
        {"families": "family,waste_pct\ncable,12.5\n"},
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
        "Box catalog",
        "square-4x1.25",
        "volume, in3 (input)",
        15.0,
        (),
        {"box_sizes": "box,volume_in3\nsquare-4x1.25,15\n"},
    ),
    Change(
        "volume out of order",
        "Box catalog",
        "square-4x1.25",
        "volume, in3 (input)",
        25.0,
        (),
        {"box_sizes": "box,volume_in3\nsquare-4x1.25,25\n"},
    ),
    Change(
        "not stocked",
        "Box catalog",
        "square-4x1.5",
        "stocked, 0/1 (input)",
        0,
        (),
        {"box_sizes": "box,stocked\nsquare-4x1.5,0\n"},
    ),
    Change(
        "size rule",
        "Constructions",
        "mc-armor",
        "EGC size rule (input)",
        "listed",
        (),
        {"constructions": "construction,egc_size_rule\nmc-armor,listed\n"},
    ),
    Change(
        "bushing",
        "Constructions",
        "mc-wire",
        "bushing required, 0/1 (input)",
        1,
        (),
        {"constructions": "construction,anti_short_bushing\nmc-wire,1\n"},
    ),
    Change(
        "support",
        "Constructions",
        "ac",
        "secured every, ft (input)",
        3,
        (),
        {"constructions": "construction,support_interval_ft\nac,3\n"},
    ),
    Change(
        "fitting family",
        "Constructions",
        "mc-armor",
        "fitting family (input)",
        "mc",
        (),
        {"constructions": "construction,fitting_family\nmc-armor,mc\n"},
    ),
    Change("run", "Schedule", "R2", "run, ft (input)", 77.25, (), {}, ("R2,KP-1,duplex,12", "R2,KP-1,duplex,77.25")),
    Change("breaker", "Circuit data", "KP-6", "breaker, A (input)", 100, (), {}, ("A B C,,30,10", "A B C,,100,10")),
    Change(
        "wired in",
        "Circuit data",
        "KP-3,5",
        "wired in (input)",
        "mc-wire",
        (),
        {},
        ('J1,"KP-3,5",junction,52,,A B N IG,,,,,,', 'J1,"KP-3,5",junction,52,,A B N IG,,,,,,mc-wire'),
    ),
    Change("base", "Summary", "", "", "ac", ("base_construction=ac",)),
    Change("crew from", "Inputs", "crew_from", "value (input)", "ac", ("crew_from=ac",)),
    Change("crew to", "Inputs", "crew_to", "value (input)", "ac", ("crew_to=ac",)),
    Change(
        "key point",
        "Job steps",
        "cut-bare",
        "key point (input)",
        "with the cutter of the job",
        (),
        {"job_steps": "job_step,key_point\ncut-bare,with the cutter of the job\n"},
    ),
]


BUILT = {"Order", "Cable order", "Cutting plan", "Order workings", "Risk"}
BUILT_WORDS = ("risk.", NOT_AS_DRAWN)
"""Sheets and words of formulas on cutting plans, draws of the risk and drawings; what stands there is tested with each."""

GROUPS = [CHANGES[n::4] for n in range(4)]
"""Changes that are made together, so that four workbooks serve for all of them."""


def rebuilt(folder: Path, changes: Sequence[Change]) -> Build:
    """Build from the schedule above with changes as inputs."""
    folder.mkdir(parents=True, exist_ok=True)
    text = SCHEDULE
    sets = [s for change in changes for s in change.sets]
    overlay = folder / "catalogs"
    overlay.mkdir()
    for change in changes:
        text = text.replace(*change.schedule) if change.schedule[0] else text
        for name, rows in change.catalogs.items():
            assert not (overlay / f"{name}.csv").exists(), "two changes of one group change the same catalog"
            (overlay / f"{name}.csv").write_text(rows)
    (folder / "schedule.csv").write_text(text)
    return compute(Options(folder / "schedule.csv", overlay, None, sets, "ac,mc-wire,mc-armor"))


def written(build: Build) -> Path:
    """Write the workbook of a build beside its schedule."""
    path = build.options.schedule.with_name("built.xlsx")
    write_outputs(build, path, None)
    return path


def change_cells(source: Path, target: Path, changes: Sequence[Change]) -> None:
    """Change input cells, found by their row and heading, in a copy of a workbook."""
    book = openpyxl.load_workbook(source)
    for change in changes:
        sheet = book[change.sheet]
        if not change.heading:
            sheet[BASE_CELL.replace("$", "")].value = change.value
            continue
        headings = [cell for row in sheet.iter_rows() for cell in row if cell.value == change.heading]
        rows = (
            (row[0].row, cell.column)
            for cell in headings
            for row in sheet.iter_rows(min_row=cell.row + 1)
            if change.row in [c.value for c in row[:4]]
        )
        sheet.cell(*min(rows)).value = change.value
    book.save(target)


def test_changed_inputs_recalculate_to_what_a_rebuild_with_them_gives(
    recalculate: Callable[[list[Path]], list[Path]], tmp_path: Path
):
    source = written(rebuilt(tmp_path / "source", []))
    files = [tmp_path / f"changed-{n}.xlsx" for n, _ in enumerate(GROUPS)]
    for file, changes in zip(files, GROUPS, strict=True):
        change_cells(source, file, changes)
    for number, (changes, again) in enumerate(zip(GROUPS, recalculate(files), strict=True)):
        path = written(rebuilt(tmp_path / f"group-{number}", changes))
        cells = live(office.formulas(path))
        assert cells == live(office.formulas(source))
        assert list(office.differences(office.values(path), office.values(again), cells)) == []


def live(cells: dict[tuple[str, str], str]) -> dict[tuple[str, str], str]:
    """Return the formulas without those on facts of the build, which a change makes stale and only a build renews."""
    return {p: f for p, f in cells.items() if p[0] not in BUILT and not any(word in f for word in BUILT_WORDS)}


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
        "repeat", "Circuit data", "KP-1", "times built, ea (input)", 3, (), {},
        ("R1,KP-1,duplex,46,,,,,10,,", "R1,KP-1,duplex,46,,,,,10,3,"),
    )  # fmt: skip
    source = written(rebuilt(tmp_path / "source", []))
    change_cells(source, tmp_path / "changed.xlsx", [change])
    (again,) = recalculate([tmp_path / "changed.xlsx"])
    path = written(rebuilt(tmp_path / "rebuilt", [change]))
    cells = [c for c in office.formulas(path) if c[0] == "Summary"]
    assert list(office.differences(office.values(path), office.values(again), cells)) == []
    assert office.values(again)["Summary", "A3"] == "Proofs and inputs: nothing is open"
