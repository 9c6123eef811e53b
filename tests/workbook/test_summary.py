"""The first page: print of 9 points on one letter page, complete sentences, captions that follow the inputs."""

from __future__ import annotations

import random
import re
import zipfile
from collections import Counter
from pathlib import Path

import pytest
from openpyxl import load_workbook
from reportlab.pdfbase.pdfmetrics import stringWidth

from takeoff.build import Build
from takeoff.catalog.rows import Catalogs
from takeoff.report.results import results_of
from takeoff.workbook.pages import summary
from tests import office
from tests.changes import written
from tests.model.cost.test_basis import INVENTED, MEASURED, STATED, catalog, overlay, sourced
from tests.priced import priced
from tests.tables import row, rows

LETTER = 11.0, 8.5
FIRST_PAGE = 'pdf:calc_pdf_Export:{"PageRange":{"type":"string","value":"1"}}'
BODY = 9.0


@pytest.mark.libreoffice
def test_the_summary_prints_on_one_letter_page_at_9_points(sample_workbook: Path, tmp_path: Path):
    """Sizes of letters as LibreOffice sets them on the page: 9 or more, headings and foot too."""
    office.convert(tmp_path / "profile", [sample_workbook], FIRST_PAGE, tmp_path)
    printed = tmp_path / sample_workbook.with_suffix(".pdf").name
    pdf = printed.read_bytes()
    (box,) = {tuple(map(float, found)) for found in re.findall(rb"/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]", pdf)}
    assert box == pytest.approx([72 * side for side in LETTER], abs=0.5)
    sizes = Counter(round(size * 2) / 2 for page in office.letters(printed) for size in page)
    assert set(sizes) <= {BODY, 10.0, 15.0}
    assert sizes[BODY] > 150
    assert max(sizes, key=lambda size: sizes[size]) == BODY


def test_everything_on_the_summary_fits_its_page_at_full_scale(sample_workbook: Path):
    """Widths and heights of what is printed, in points, against the paper less its margins."""
    sheet = load_workbook(sample_workbook)["Summary"]
    last = int(re.findall(r"\d+", str(sheet.print_area))[-1])
    wide = sum(int(d.width * 7 + 5) for d in sheet.column_dimensions.values()) / 96 * 72
    default = sheet.sheet_format.defaultRowHeight
    high = sum(sheet.row_dimensions[n].height or default for n in range(1, last + 1))
    margins = sheet.page_margins
    assert wide <= (LETTER[0] - margins.left - margins.right) * 72
    assert high <= (LETTER[1] - margins.top - margins.bottom) * 72
    assert sheet.page_setup.orientation == "landscape"
    assert default >= 1.15 * BODY  # ascent and descent of the font


@pytest.fixture(scope="module")
def values(sample_workbook: Path) -> dict[tuple[str, str], object]:
    return office.values(sample_workbook)


def test_no_sentence_of_the_summary_runs_off_the_page_or_into_another(
    sample_workbook: Path, values: dict[tuple[str, str], object]
):
    """Widths of the letters of Helvetica, which Arial shares."""
    sheet = load_workbook(sample_workbook)["Summary"]
    last = int(re.findall(r"\d+", str(sheet.print_area))[-1])
    edges = [0.0]
    for column in range(1, summary.LAST_COLUMN + 1):
        edges.append(edges[-1] + int(sheet.column_dimensions[sheet.cell(1, column).column_letter].width * 7 + 5) * 0.75)
    seen = 0
    for line in sheet.iter_rows(min_row=1, max_row=last, max_col=summary.LAST_COLUMN):
        filled = [c for c in line if values.get(("Summary", c.coordinate)) not in (None, "")]
        for cell, following in zip(filled, [*(c.column for c in filled[1:]), summary.LAST_COLUMN + 1], strict=False):
            shown, look = values["Summary", cell.coordinate], cell.font
            if not isinstance(shown, str) or cell.alignment.horizontal == "right" or cell.alignment.wrap_text:
                continue
            font = "Helvetica" + ("-Bold" if look.b else "-Oblique" if look.i else "")
            room = edges[following - 1] - edges[cell.column - 1]
            assert stringWidth(shown, font, look.sz) <= room + 1, (cell.coordinate, shown)
            seen += 1
    assert seen > 40
    date = sheet.cell(2, summary.DATE_COLUMN)
    assert "yy" in date.number_format
    assert sheet.column_dimensions[date.column_letter].width >= len("2026-11-20") + 1.5  # else it prints as ###


def test_each_chart_has_a_caption_that_says_what_of_it_is_invented(
    sample_build: Build, sample_workbook: Path, values: dict[tuple[str, str], object]
):
    """Live cells above the charts; titles in the charts claim nothing that an input can change."""
    formulas = office.formulas(sample_workbook)
    said = {str(v): cell for cell, v in values.items() if cell[0] == "Summary" and isinstance(v, str)}
    apart = {r["part"]: r["off_usd"] for r in rows(sample_build, "pair_parts")}
    words = ", ".join(f"{part} {usd:.0f}" for part, usd in apart.items())
    for caption in (
        f"Next less lowest. Invented, USD apart: {words}",
        "Counted, none of it invented; grounds: pigtails",
    ):
        assert formulas[said[caption]]
    archive = zipfile.ZipFile(sample_workbook)
    for place in ("xl/charts/chart1.xml", "xl/charts/chart2.xml"):
        title = "".join(re.findall(r"<a:t>(.*?)</a:t>", archive.read(place).decode().split("plotArea")[0]))
        assert title in {"What makes the difference", "Ground terminations in a box"}


def test_what_is_asked_where_a_fact_is_missing_stands_whole_on_the_summary(
    sample_build: Build, values: dict[tuple[str, str], object]
):
    asked = row(sample_build, "stop_count")["asked"]
    question = row(sample_build, "open_facts")["question"]
    assert "Has the cable a jacket" in question
    assert asked.startswith("Asked of LA-15: ")
    assert asked.endswith(f"{question} (300.6, 110.3(B))")
    assert asked in values.values()


def test_headings_of_the_plans_break_between_words_and_take_two_lines(sample_workbook: Path):
    """Widths of the letters of Helvetica-Bold and -Oblique, against the columns less 10 points of margin and indent."""
    sheet = load_workbook(sample_workbook)["Summary"]
    rests = next(c.row for c in sheet["A"] if c.value == "rests on, %")
    for row_of, font in ((summary.FIRST_TABLE_ROW, "Helvetica-Bold"), (rests, "Helvetica-Oblique")):
        for cell in sheet[row_of][1 : summary.LAST_COLUMN]:
            room = int(sheet.column_dimensions[cell.column_letter].width * 7 + 5) * 0.75 - 10
            lines = [""]
            for word in str(cell.value).split():
                assert stringWidth(word, font, cell.font.sz) <= room, cell.value
                longer = f"{lines[-1]} {word}".strip()
                lines = [*lines[:-1], longer] if stringWidth(longer, font, cell.font.sz) <= room else [*lines, word]
            assert len(lines) <= 2, cell.value
            assert cell.font.sz == BODY


def test_a_line_of_the_stop_list_leads_to_the_sheet_where_all_of_it_stands(
    sample_build: Build, sample_workbook: Path, values: dict[tuple[str, str], object]
):
    """A live link: its target is the cell that names the sheet, its text the sentence; all circuits stand there."""
    formulas, book = office.formulas(sample_workbook), load_workbook(sample_workbook)
    lines = [r for r in rows(sample_build, "stop_lines") if r["says"]]
    assert {str(r["says"]).partition(":")[0]: r["sheet"] for r in lines} == {
        "circuits with a fact still missing": "Inputs",
        "circuits that a person must look at": "Inspection",
    }
    headed = {str(c.value).partition(" (")[0] for line in book["Inspection"].iter_rows() for c in line}
    assert set(sample_build.frame.circuit_keys) <= headed
    for found in lines:
        (cell,) = (at for at, v in values.items() if at[0] == "Summary" and v == found["says"])
        link = re.fullmatch(r"HYPERLINK\(\"#'\"&'(.+)'!\$?([A-Z]+)\$?(\d+)&\"'!A1\",'(.+)'!(.+)\)", formulas[cell])
        assert link, formulas[cell]
        assert values[link[1], f"{link[2]}{link[3]}"] == found["sheet"]
        assert values[link[4], link[5].replace("$", "")] == found["says"]
        assert found["sheet"] in book.sheetnames


RESTS_ON = {
    "hours: invented": ("basis", "hours_invented_pct", "hours_pct", "invented"),
    "hours: timed": ("basis", "hours_measured_pct", "hours_pct", "measured"),
    "hours: stated": ("basis", "hours_stated_pct", "hours_pct", "stated"),
    "installed: invented": ("basis", "invented_pct", "installed_pct", "invented"),
    "installed: quotes": ("basis", "quoted_pct", "installed_pct", "quoted"),
    "installed: timed": ("basis", "measured_pct", "installed_pct", "measured"),
    "installed: stated": ("basis", "stated_pct", "installed_pct", "stated"),
    "bid: invented": ("bid", "invented_pct", "bid_pct", "invented"),
}
"""Headings of the shares on the Summary, the figures that test_basis.py reckons again apart from the code, and their
places among the results."""


def test_what_each_plan_rests_on_and_every_caution_stand_on_the_summary_and_in_the_results(
    tmp_path: Path, catalogs: Catalogs
):
    """Of a job with figures of every kind, so that no share of a plan is that of another heading."""
    dice = random.Random(3)
    operations = [{**r, "source": dice.choice([INVENTED, STATED, MEASURED])} for r in catalog("operations")]
    build = priced(
        tmp_path,
        "labor_rate_usd_per_h=71",
        catalogs=sourced(operations=overlay("operations", operations)),
        quotes={"q.csv": "item,unit,price\nac-12-2,M,800\nmc-wire-12-2,M,700\n"},
    )
    sheet = load_workbook(written(build))["Summary"]
    head = next(c.row for c in sheet["A"] if c.value == "rests on, %")
    places = {str(c.value): c.column for c in sheet[head] if c.value}
    formulas = office.formulas(tmp_path / "built.xlsx")
    shown = office.values(tmp_path / "built.xlsx")
    plans = results_of(build)["plans"].values()
    for line, plan in enumerate(plans):
        found = {title: rows(build, table)[line][name] for title, (table, name, *_) in RESTS_ON.items()}
        assert len({round(share, 3) for share in found.values()}) == len(RESTS_ON)
        for title, (*_, whole, kind) in RESTS_ON.items():
            place = "Summary", sheet.cell(head + 1 + line, places[title]).coordinate
            assert shown[place] == pytest.approx(found[title]), title
            assert formulas[place]
            assert plan["rests_on"][whole][kind] == pytest.approx(found[title]), title
        assert sum(map(len, plan["rests_on"].values())) == len(RESTS_ON)
    printed = " ".join(str(c.value) for c in sheet["A"] if c.value)
    for caution in catalogs["cautions"]:
        assert str(caution["text"]) in printed
