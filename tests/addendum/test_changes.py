"""What moved between two builds is split by cause, adds up, and is nothing where a cause has not changed."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from takeoff.addendum.moves import CAUSES, Move, moves
from takeoff.addendum.outputs import compare, write_compared
from takeoff.build import Build, compute
from takeoff.cli import app
from takeoff.report.output import write_outputs
from takeoff.report.results import results_of
from tests import office
from tests.addendum.typed import type_into
from tests.changes import tables_of
from tests.priced import SCHEDULE, laid

NEW_SCHEDULE = SCHEDULE.replace("R2,KP-1,duplex,12,", "R2,KP-1,duplex,30,") + "R5,KP-4,duplex,9,,\n"
PRICES = "item,price_usd,source\nac-12-2,900,own\nmc-wire-12-2,1000,own\n"
MINUTES = "operation,construction,minutes,source\nmount-box,all,9,own\n"
BOXES = "box,volume_in3,source\nsquare-4x1.5,15,own\n"
EVERYTHING = {
    "schedule": {"schedule": NEW_SCHEDULE},
    "inputs": {"sets": ("labor_rate_usd_per_h=91",)},
    "prices": {"catalogs": {"prices": PRICES}},
    "minutes": {"catalogs": {"operations": MINUTES}},
    "code edition": {"sets": ("code_edition=2017",)},
    "other catalogs": {"catalogs": {"constructions": "construction,support_interval_ft,source\nac,2,own\n"}},
}
"""A change of each cause."""


def built(folder: Path, *causes: str) -> Build:
    """Return a build with the changes of some causes."""
    said = [EVERYTHING[c] for c in causes]
    catalogs = {name: text for s in said for name, text in s.get("catalogs", {}).items()}  # type: ignore[attr-defined]
    sets = [text for s in said for text in s.get("sets", ())]
    schedule = next((str(s["schedule"]) for s in said if "schedule" in s), SCHEDULE)
    return compute(laid(folder, *sets, schedule=schedule, catalogs=catalogs))


def moved(figures: list[Move]) -> set[str]:
    return {cause for m in figures for cause, step in m.by_cause.items() if step}


@pytest.mark.parametrize("cause", CAUSES)
def test_a_single_change_moves_figures_by_its_own_cause_alone(tmp_path: Path, cause: str):
    """An edition without a figure that counts here may move none."""
    found = moves(built(tmp_path / "old"), built(tmp_path / "new", cause))
    assert moved(list(found.figures)) <= {cause}
    assert moved(list(found.figures)) or cause == "code edition"
    assert found.joined == []


def test_the_causes_add_up_to_the_move_of_every_figure(tmp_path: Path):
    old, new = built(tmp_path / "old"), built(tmp_path / "new", *CAUSES)
    found = moves(old, new)
    assert moved(list(found.figures)) >= set(CAUSES) - {"code edition"}
    for m in found.figures:
        assert m.before + sum(m.by_cause.values()) == pytest.approx(m.after, abs=1e-9)
    before, after = (results_of(build)["plans"] for build in (old, new))
    for plan in before:
        for name, figure in (
            ("labor_hours", "labor, h"),
            ("material_cost", "material, USD"),
            ("installed_cost", "installed, USD"),
        ):
            move = next(m for m in found.figures if (m.plan, m.figure) == (plan, figure))
            assert move.before == pytest.approx(before[plan][name], abs=1e-6)
            assert move.after == pytest.approx(after[plan][name], abs=1e-6)


def test_the_first_causes_are_counted_by_the_old_prices_the_later_ones_on_top(tmp_path: Path):
    """Worked by hand: minutes of boxes cost what the rate of the new inputs says, for inputs come before minutes.

    Five boxes of 9 - 5.5 = 3.5 minutes more are 17.5 minutes, at 91 USD/h 26.54 USD.
    """
    old = built(tmp_path / "old")
    found = moves(old, built(tmp_path / "new", "inputs", "minutes"))
    before = results_of(old)["plans"]["ac-first"]
    installed = next(m for m in found.figures if (m.plan, m.figure) == ("ac-first", "installed, USD"))
    assert installed.by_cause["minutes"] == pytest.approx(5 * 3.5 / 60 * 91)
    assert installed.by_cause["inputs"] == pytest.approx(before["labor_hours"] * 91 - before["labor_cost"])
    hours = next(m for m in found.figures if (m.plan, m.figure) == ("ac-first", "labor, h"))
    assert (hours.by_cause["inputs"], hours.by_cause["minutes"]) == (0, pytest.approx(5 * 3.5 / 60))


def test_a_step_that_cannot_be_built_is_counted_with_the_next_and_said(tmp_path: Path):
    """The new schedule calls for a device that only the new catalogs have."""
    device = {"devices": (Path("catalogs/devices.csv").read_text().splitlines()[0] + "\n")}
    row = next(x for x in Path("catalogs/devices.csv").read_text().splitlines() if x.startswith("duplex,"))
    device["devices"] += row.replace("duplex,", "tall-duplex,", 1) + "\n"
    schedule = SCHEDULE.replace("R2,KP-1,duplex,", "R2,KP-1,tall-duplex,")
    new = compute(laid(tmp_path / "new", schedule=schedule, catalogs=device))
    found = moves(built(tmp_path / "old"), new)
    assert len(found.joined) == 5
    assert found.joined[0].startswith("schedule is counted with inputs: s.csv:3:device: is not a device of the catalog")
    for m in found.figures:
        assert m.before + sum(m.by_cause.values()) == pytest.approx(m.after, abs=1e-9)


def test_two_workbooks_are_compared_as_they_stand(tmp_path: Path):
    """A run and a price were changed by hand in the new one, a line of the bid in the old one."""
    for name, causes in (("old", ()), ("new", ("schedule",))):
        write_outputs(built(tmp_path / name, *causes), tmp_path / f"{name}.xlsx", None)
    type_into(tmp_path / "old.xlsx", tmp_path / "a.xlsx", [("numbers", "profit_pct", "value", 6)])
    typed = [("schedule", "R1", "run, ft", 50), ("prices", "ac-12-2", "price, USD", 801)]
    type_into(tmp_path / "new.xlsx", tmp_path / "b.xlsx", typed)
    found = compare(tmp_path / "a.xlsx", tmp_path / "b.xlsx")
    assert {(d.row, d.what, d.cell, d.before, d.after) for d in found.schedule} == {
        ("R1", "altered", "run, ft", "46", "50"),
        ("R2", "altered", "run, ft", "12", "30"),
        ("R5", "added", "-", "-", "-"),
    }
    assert {(d.row, d.before, d.after) for d in found.inputs if d.what == "altered"} == {
        ("profit_pct", "6", "8"),
        ("profit_pct", "stated", "illustrative"),
        ("ac-12-2", "780", "801"),
        ("(no area)", "1", "2"),
    }
    assert moved(list(found.found.figures)) == {"schedule", "inputs", "prices"}
    assert {fate for _, fate in found.hand} == {"changed by hand in a.xlsx", "changed by hand in b.xlsx"}
    write_compared(found, tmp_path / "c.xlsx")
    values = office.values(tmp_path / "c.xlsx")
    assert {sheet for sheet, _ in values} == {"Changes"}
    lines = tables_of(tmp_path / "c.xlsx")["change_moves"]
    assert lines[0][-1].value == "not explained, in its unit"
    assert {line[-1].value for line in lines[1:]} == {0}
    assert values["Changes", "A2"] == "a.xlsx against b.xlsx, each as it stands, with what was changed in it by hand."


def run(*arguments: object) -> tuple[int, str, str]:
    done = CliRunner().invoke(app, [str(a) for a in arguments])
    return done.exit_code, done.stdout, done.stderr


def test_a_build_over_an_edited_workbook_stops_and_names_both_ways_out(tmp_path: Path):
    laid(tmp_path)
    schedule, out = tmp_path / "s.csv", tmp_path / "o.xlsx"
    assert run("build", schedule, "-o", out)[0] == 0
    assert run("build", schedule, "-o", out)[0] == 0  # nothing was changed: overwritten as ever
    type_into(out, out, [("numbers", "overhead_pct", "value", 12), ("schedule", "R1", "run, ft", 50)])
    before = out.read_bytes()
    code, _, errors = run("build", schedule, "-o", out)
    assert code == 2
    assert errors == (
        f"{out}: was edited by hand since it was written, 2 changes in its cells; "
        f"--carry {out} lays them over the new build, --replace drops them\n"
    )
    assert out.read_bytes() == before
    code, text, _ = run("build", schedule, "-o", out, "--carry", out)
    assert (code, "carried from o.xlsx: 2 of 2 changes made by hand" in text) == (0, True)
    assert run("build", schedule, "-o", out)[0] == 0  # what was carried is part of it now
    type_into(out, out, [("numbers", "overhead_pct", "value", 12)])
    assert run("build", schedule, "-o", out, "--replace")[0] == 0


def test_a_build_over_a_workbook_of_another_kind_stops(tmp_path: Path):
    import openpyxl

    laid(tmp_path)
    openpyxl.Workbook().save(tmp_path / "o.xlsx")
    code, _, errors = run("build", tmp_path / "s.csv", "-o", tmp_path / "o.xlsx")
    assert code == 2
    said = "is there and was not written by this tool; give another name, or move it away"
    assert errors == f"{tmp_path / 'o.xlsx'}: {said}\n"


def test_edits_and_changes_print_what_they_found(tmp_path: Path):
    laid(tmp_path)
    run("build", tmp_path / "s.csv", "-o", tmp_path / "o.xlsx")
    type_into(tmp_path / "o.xlsx", tmp_path / "e.xlsx", [("numbers", "overhead_pct", "value", 12)])
    code, text, _ = run("edits", tmp_path / "e.xlsx", "-o", tmp_path / "files")
    assert code == 0
    assert text.splitlines() == [
        "e.xlsx: 1 of 1 changes made by hand are in the files",
        "  Inputs, overhead_pct, value: 10 -> 12",
        f"build with them: takeoff build SCHEDULE -o NEW.xlsx --inputs {tmp_path / 'files' / 'inputs.toml'}",
    ]
    code, text, _ = run("changes", tmp_path / "o.xlsx", tmp_path / "e.xlsx", "-o", tmp_path / "c.xlsx")
    assert code == 0
    assert "  Inputs that are numbers, overhead_pct: altered, value: 10 -> 12" in text.splitlines()
    assert text.splitlines()[-1] == f"wrote {tmp_path / 'c.xlsx'}"
    code, _, errors = run("edits", tmp_path / "e.xlsx", "-o", tmp_path / "files")
    assert (code, errors) == (2, f"{tmp_path / 'files'}: exists and is not an empty folder; give a new name\n")
