"""The first page of the sheet Swap: all that a decision rests on, on one letter page, in letters of 9 points or more."""

from __future__ import annotations

import csv
import re
import shutil
import subprocess
import zipfile
from collections import Counter
from pathlib import Path

import openpyxl
import pytest

from takeoff.build import Build, Options, compute
from takeoff.report.output import write_outputs
from takeoff.workbook.pages import swap as page
from takeoff.workbook.sheets.plan import SWAP
from tests import office
from tests.conftest import ROOT
from tests.tables import row, rows

SAMPLES = ROOT / "samples"
QUOTES = tuple(SAMPLES / f"quote-{which}.csv" for which in ("current", "expired"))
BODY, LETTER = 9.0, (8.5, 11.0)
PRINTED = 'pdf:calc_pdf_Export:{"PageRange":{"type":"string","value":"1-14"}}'


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Build, Path]:
    """Return the bid of the sample, as the README builds it."""
    build = compute(Options(SAMPLES / "two-story.csv", inputs=SAMPLES / "bid.toml", quotes=QUOTES))
    path = tmp_path_factory.mktemp("swap") / "bid.xlsx"
    write_outputs(build, path, None)
    return build, path


@pytest.fixture(scope="module")
def shown(built: tuple[Build, Path]) -> dict[str, object]:
    """Return the values of the cells of the page."""
    return {at: value for (sheet, at), value in office.values(built[1]).items() if sheet == SWAP}


@pytest.mark.libreoffice
@pytest.mark.skipif(not shutil.which("pdftotext"), reason="poppler is missing: print is not read")
def test_the_decision_prints_on_one_letter_page_at_9_points(built: tuple[Build, Path], tmp_path: Path):
    """Sizes of letters as LibreOffice sets them, charts, head and foot too; what the page must hold is read from it."""
    build, path = built
    office.convert(tmp_path / "profile", [path], PRINTED, tmp_path)
    pdf = tmp_path / "bid.pdf"
    done = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True)
    pages = [" ".join(text.split()) for text in done.stdout.split("\f")]
    (place,) = [n for n, text in enumerate(pages) if "NET SAVING IF DECIDED TODAY" in text]
    sizes = office.letters(pdf)[place]
    assert len(sizes) > 150
    assert min(sizes) >= BODY - 0.05
    boxes = re.findall(rb"/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]", pdf.read_bytes())
    assert tuple(map(float, boxes[place])) == pytest.approx([72 * side for side in LETTER], abs=0.5)
    limits, said = row(build, "break_evens"), pages[place]
    verdict = str(row(build, "risk")["verdict"])
    assert verdict.startswith(("GO", "WAIT", "NO"))
    assert verdict in said
    for name in ("premium", "wage"):  # in the table, and beside its mark in the chart
        assert f"{limits[name]:,.2f}" in said
        assert f"break-even {limits[name]:.1f}" in said
    (first,) = (r for r in rows(build, "swap_by_area") if r["area"] == most_boxes(build)[0])
    assert f"{first['area']} {first['crew_days']:.2f}" in said
    for blocked in rows(build, "blocked")[:2]:
        assert f"{blocked['circuits']} {blocked['saved_usd']:.2f}" in said
        assert set(str(blocked["why"]).split()) <= set(said.split())
    assert "more, below" in said
    assert "having jurisdiction" in said


def test_it_fits_its_page_at_full_scale(built: tuple[Build, Path]):
    """Widths and heights of what stands before the first break, in points, against the paper less its margins."""
    sheet = openpyxl.load_workbook(built[1])[SWAP]
    last = sheet.row_breaks.brk[0].id
    assert last == page.CHARTS_ROW
    wide = sum(int(d.width * 7 + 5) for d in sheet.column_dimensions.values()) / 96 * 72
    high = sum(sheet.row_dimensions[n].height for n in range(1, last + 1))
    margins = sheet.page_margins
    assert wide <= (LETTER[0] - margins.left - margins.right) * 72
    assert high <= (LETTER[1] - margins.top - margins.bottom) * 72
    assert re.fullmatch(r"'Swap'!\$A\$1:\$I\$\d+", str(sheet.print_area))
    assert min(c.font.sz for line in sheet.iter_rows(max_row=last) for c in line if c.value is not None) >= BODY


def most_boxes(build: Build) -> list[str]:
    """Return the rooms of the schedule, those with most boxes first."""
    read = csv.DictReader((SAMPLES / "two-story.csv").read_text(encoding="utf-8").splitlines())
    found = Counter(line["area"] for line in read if line["area"])
    assert sum(found.values()) == len(build.job.boxes)
    return [area for area, _ in found.most_common()]


def test_rooms_and_the_line_of_all_others_make_the_whole(built: tuple[Build, Path], shown: dict[str, object]):
    """Those with most boxes in the schedule stand first; what is not shown is counted and added up."""
    build = built[0]
    areas = rows(build, "swap_by_area")
    assert len(areas) > page.MOST_ROOMS
    first = page.ROOMS_ROW + 1
    lines = range(first, first + page.MOST_ROOMS)
    assert [shown[f"E{n}"] for n in lines] == most_boxes(build)[: page.MOST_ROOMS]
    days = {a["area"]: a["crew_days"] for a in areas}
    assert [shown[f"H{n}"] for n in lines] == [days[str(shown[f"E{n}"])] for n in lines]
    assert shown[f"E{lines[-1] + 1}"] == f"and {len(areas) - page.MOST_ROOMS} more, below"
    for letter, name in (("H", "crew_days"), ("I", "saved_usd")):
        cells = [float(str(shown[f"{letter}{n}"])) for n in range(first, lines[-1] + 2)]
        assert sum(cells) == pytest.approx(sum(a[name] for a in areas))


def test_every_mark_of_a_break_even_is_named_by_a_live_cell(built: tuple[Build, Path]):
    """The names of the marks are cells of the points, which follow what is changed in the workbook."""
    build, path = built
    sheet = openpyxl.load_workbook(path)["Plan workings"]
    cells = {f"'Plan workings'!${c.column_letter}${c.row}": c.value for line in sheet.iter_rows() for c in line}
    archive = zipfile.ZipFile(path)
    charts = [archive.read(n).decode() for n in archive.namelist() if n.startswith("xl/charts/chart")]
    points = rows(build, "break_even_points")
    for name in ("premium", "wage"):
        for point in points:
            value = point[f"{name}_said"]
            (where,) = {
                m for c in charts for m in re.findall(rf"<f>([^<]*)</f><strCache>.{{0,60}}<v>{value}</v>", c, re.DOTALL)
            }
            assert str(cells[where]).startswith("=")
        assert points[1][f"{name}_said"] == f"break-even {row(build, 'break_evens')[name]:.1f}"
    assert points[0]["wage_said"] == f"today {row(build, 'labor_rate')['today']:.1f}"


def test_a_break_even_that_is_not_there_is_marked_as_none(tmp_path: Path):
    build = compute(Options(SAMPLES / "small.csv", sets=("swap_from=ac-first", "swap_to=ac-first")))
    assert row(build, "break_evens")["wage"] == "none"
    today, there = rows(build, "break_even_points")
    assert there["wage_said"] == "break-even: none"
    assert today["wage_said"].startswith("today ")


def test_every_part_of_the_decision_stands_on_its_page(built: tuple[Build, Path], shown: dict[str, object]):
    """What is asked of the page, line by line; costs, as the inputs of the bid state them, are negative there."""
    build = built[0]
    swap, risk, limits = (row(build, name) for name in ("swap", "risk", "break_evens"))
    lines = {str(shown[f"A{n}"]): n for n in range(page.TOP_ROW, page.BLOCKED_ROW) if f"A{n}" in shown}
    right = {str(shown[f"E{n}"]): n for n in range(page.TOP_ROW, page.ROOMS_ROW) if f"E{n}" in shown}
    by_hand = {
        "restocking charge, USD": -0.15 * 900,
        "material that cannot go back, USD": -120,
        "resubmittal and review, USD": -350,
        "re-inspection, USD": -180,
    }
    wanted = by_hand | {
        "what remains, installed, USD": swap["gross_usd"],
        "built the old way until the cable is on site, USD": -swap["waited_usd"],
        "whole coils beyond feet with waste, USD": -swap["coil_usd"],
        "NET SAVING IF DECIDED TODAY, USD": swap["net_usd"],
        "ranges with unequal ends, each alone (table below), USD": risk["leaning_usd"],
        "ranges together, and the draws, USD": risk["joint_usd"],
        "EXPECTED: mean of the draws, USD": risk["mean_usd"],
        "crew-days saved on what remains": swap["crew_days"],
        "labor saved in the whole job, nothing built yet, h": swap["whole_hours"],
        "circuits in a fallback": swap["fallbacks"],
    }
    for said, value in wanted.items():
        assert shown[f"D{lines[said]}"] == pytest.approx(value), said
    assert sum(by_hand.values()) - swap["waited_usd"] + swap["gross_usd"] == pytest.approx(swap["net_usd"])
    for said, cells in {
        "premium, USD for 1000 ft": (limits["premium_today"], limits["premium"]),
        "labor rate, USD/h": (row(build, "labor_rate")["today"], limits["wage"]),
        "minutes of a ground": (limits["minutes_today"], limits["minutes"]),
        "feet of this work": (swap["feet_to"], limits["feet"]),
    }.items():
        assert tuple(shown[f"{letter}{right[said]}"] for letter in "HI") == cells, said
    assert tuple(shown[f"{letter}{right['net saving, USD']}"] for letter in "GHI") == tuple(
        risk[f"p{p}_usd"] for p in (10, 50, 90)
    )
    assert shown[f"I{right['chance of a saving, %']}"] == risk["chance_pct"]
    assert limits["decided"] in right
    assert (shown["A5"], shown["A6"]) == (risk["verdict"], risk["apart"])
    assert (shown["B7"], shown["B8"]) == ("MC wire EGC first", "MC armor EGC first")
    assert (build.inputs["swap_from"], build.inputs["swap_to"]) == ("mc-wire-first", "mc-armor-first")
