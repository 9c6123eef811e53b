"""Crew pages: steps with counts, minutes and words; live choice of what is compared; pages and PDF."""

from __future__ import annotations

import re
import shutil
import subprocess
import zipfile
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest
from openpyxl.utils import get_column_letter
from typer.testing import CliRunner

from takeoff.build import Build
from takeoff.catalog.plans import chosen_pair
from takeoff.cli import app
from takeoff.model.order.crew import SIDES
from takeoff.report import crew_pdf
from takeoff.report.output import write_outputs
from takeoff.text.problems import InputError
from takeoff.workbook.pages.crew import AS_DRAWN, DRAWN_COLUMN, FIRST_ROW, NOT_AS_DRAWN
from tests import office
from tests.conftest import ROOT, Counted, Counter
from tests.tables import row, rows, schedule

TWO = schedule({"box": "A", "device": "duplex", "fed_from": "panel"}, {"box": "B", "device": "duplex", "fed_from": "A"})
INVENTED = "illustrative, invented for the demonstration: replace"
PAGES = 6
"""Pages of a job with more than so many types of box, by the shipped input."""


def steps(counted: Counted, kind: str) -> dict[str, tuple[float, float, str]]:
    """Return count before, count after and the word of every step that is done, by key."""
    found = rows(counted, "crew_steps", type=kind, done=1)
    return {s["job_step"]: (s["count_from"], s["count_to"], s["change"]) for s in found}


def type_of(counted: Counted, box: str) -> str:
    return str(row(counted, "boxes", box=box)["type"])


def test_words_of_a_box_counted_by_hand(count: Counter):
    """Middle box, two 2-wire entries, one receptacle, from a wire-type EGC to an armor whose bare conductor is cut.

    Counted on paper by the rules of DEVELOPERS.md: two EGC ends and a splice of four go, two snips come, of the two
    ground pigtails one stays as jumper; screw and green terminal keep one end each.
    """
    counted = count(TWO)
    found = steps(counted, type_of(counted, "A"))
    assert found["prepare-egc"] == (2, 0, "DISAPPEARS")
    assert found["splice-ground"] == (4, 0, "DISAPPEARS")
    assert found["cut-bare"] == (0, 2, "NEW")
    assert found["ground-pigtail"] == (2, 1, "FEWER")
    assert found["ground-screw"] == found["land-ground"] == (1, 1, "same")
    assert found["splice-circuit"] == (6, 6, "same")
    assert not {"insert-bushing", "bond-strip", "raceway-connector", "cap-end", "ground-bar"} & set(found)


def test_the_way_back_says_the_opposite(count: Counter):
    counted = count(TWO, "crew_from=mc-armor-first", "crew_to=mc-wire-first")
    found = steps(counted, type_of(counted, "A"))
    assert found["splice-ground"] == (0, 4, "NEW")
    assert found["cut-bare"] == (2, 0, "DISAPPEARS")
    assert found["ground-pigtail"] == (1, 2, "MORE")


def test_the_bond_strip_and_the_bushing_come_with_type_ac(count: Counter):
    """NEC 320.40 asks for the bushing, 320.100 for the strip: one each for each cable end."""
    counted = count(TWO, "crew_to=ac-first")
    found = steps(counted, type_of(counted, "A"))
    assert found["bond-strip"] == found["insert-bushing"] == (0, 2, "NEW")


def test_counts_and_minutes_of_the_steps_are_those_of_the_box(sample_build: Build):
    """Every step stands on a page once, and all of them together are the minutes of the box in the work table."""
    every = rows(sample_build, "crew_steps")
    drivers = {s["job_step"]: s["driver"] for s in sample_build.catalogs["job_steps"]}
    for box in rows(sample_build, "crew_boxes"):
        mine = rows(sample_build, "crew_steps", type=box["type"])
        work = row(sample_build, "work", key=f"{box['type']}|{box['wired_as']}")
        side = box["side"]
        assert sum(s[f"minutes_{side}"] for s in mine) == pytest.approx(work["minutes"])
        assert all(s[f"count_{side}"] == work[drivers[s["job_step"]]] for s in mine)
        lines = [line for line in rows(sample_build, "crew_lines", type=box["type"]) if line["step"]]
        assert len(lines) == sum(s["done"] for s in mine)
        done = [s for s in mine if s["done"]]
        found = [every[int(line["line_row"]) - 1] for line in lines]
        assert [(s["type"], s["job_step"]) for s in found] == [(box["type"], s["job_step"]) for s in done]
        assert [s["order"] for s in done] == sorted(s["order"] for s in done)
        assert [line["number"] for line in lines] == [s["number"] for s in done] == list(range(1, len(lines) + 1))
        for name in ("count_from", "count_to", "shown_from", "shown_to", "change"):
            assert [line[name] for line in lines] == [s[name] for s in done]


def test_the_pages_are_those_of_the_most_frequent_boxes(sample_build: Build):
    counts = {t["type"]: t["count"] for t in rows(sample_build, "types") if t["place"] == "box"}
    shown = [b["type"] for b in rows(sample_build, "crew_boxes", side="from")]
    assert len(shown) == PAGES
    assert min(counts[t] for t in shown) >= max(n for t, n in counts.items() if t not in shown)


def test_crew_types_sets_the_number_of_pages(count: Counter):
    assert len(rows(count(TWO, "crew_types=1"), "crew_boxes")) == len(SIDES)
    assert len(rows(count(TWO, "crew_types=60"), "crew_boxes")) == 2 * len(SIDES)  # no more than there are


def test_nobody_is_taught_a_construction_that_is_refused_where_the_box_stands(count: Counter):
    """In patient care NEC 517.13 wants two paths: both plans wire the box with an insulated EGC in a second one."""
    care = schedule({"box": "A", "device": "duplex-hg", "fed_from": "panel", "space": "patient-care"})
    found = rows(count(care), "crew_boxes")
    assert {b["wired_as"] for b in found} == {"mc-redundant"}
    assert {b["says_change"] for b in found} == {"NOTHING CHANGES HERE"}


def test_the_preferred_construction_goes_before_a_more_frequent_one(count: Counter):
    """Three of four boxes of the type stand in patient care; the page shows what changes for the fourth."""
    text = schedule(
        *(
            {"box": f"{n}", "circuit": f"P-{n}", "device": "duplex-hg", "fed_from": "panel", "space": space}
            for n, space in enumerate(("patient-care", "patient-care", "patient-care", "general"))
        )
    )
    found = rows(count(text), "crew_boxes")
    assert [(b["wired_as"], b["so"], b["built"]) for b in found] == [("mc-wire", 1, 4), ("mc-armor", 1, 4)]


@pytest.mark.parametrize(
    ("compared", "wanted", "pair"),
    [
        (
            ["ac-first", "mc-wire-first", "mc-armor-first"],
            ("mc-wire-first", "mc-armor-first"),
            ("mc-wire-first", "mc-armor-first"),
        ),
        (["ac-first", "emt"], ("mc-wire-first", "mc-armor-first"), ("ac-first", "emt")),
        (["ac-first", "mc-armor-first"], ("mc-wire-first", "mc-armor-first"), ("ac-first", "mc-armor-first")),
        (["mc-wire-first", "ac-first"], ("mc-wire-first", "mc-armor-first"), ("mc-wire-first", "ac-first")),
        (["mc-armor-first", "ac-first"], ("mc-wire-first", "mc-armor-first"), ("ac-first", "mc-armor-first")),
        (["ac-first"], ("mc-wire-first", "mc-armor-first"), ("ac-first", "ac-first")),
        (["ac-first", "mc-wire-first"], ("ac-first", "ac-first"), ("ac-first", "ac-first")),
    ],
)
def test_a_plan_that_is_not_compared_gives_way(compared: list[str], wanted: tuple[str, str], pair: tuple[str, str]):
    names = ("crew_from", "crew_to")
    inputs = dict(zip(names, wanted, strict=True))
    assert tuple(chosen_pair(inputs, names, compared).values()) == pair


def test_an_operation_without_a_step_gets_a_plain_one(count: Counter):
    """Minutes that a user adds stand on the page too."""
    more = f"operation,construction,title,driver,minutes,step,source\nlabel-box,all,label the box,boxes,2.5,19,{INVENTED}\n"
    counted = count(TWO, operations=more.replace(INVENTED, f'"{INVENTED}"'))
    kind = type_of(counted, "A")
    assert [line["step"] for line in rows(counted, "crew_lines", type=kind) if line["step"]][-1] == "label the box"
    box = row(counted, "crew_boxes", key=f"{kind}|from")
    assert sum(s["minutes_from"] for s in rows(counted, "crew_steps", type=kind)) == pytest.approx(box["minutes"])


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        (
            "mine,none,cable_ft,1,x",
            'job_steps.csv:2:driver: is counted along the run: "cable_ft"; a driver counted at the box',
        ),
        (
            "mine,cut-bare,armor_ends,1,x",
            'job_steps.csv:2:driver: is not what cut-bare is counted by: "armor_ends"; "bare_conductor_ends"',
        ),
        (
            "mine,cut-bare,bare_conductor_ends,1,x",
            'job_steps.csv:2:operation: is the operation of the step cut-bare too: "cut-bare"; one step for each operation, or none',
        ),
    ],
)
def test_steps_that_do_not_fit_are_named(count: Counter, line: str, problem: str):
    with pytest.raises(InputError) as wrong:
        count(TWO, job_steps=f"job_step,operation,driver,place,step\n{line}\n")
    assert problem in [str(p) for p in wrong.value.problems]


def test_safety_points_stand_in_the_steps(catalogs):
    said = {str(s["job_step"]): f"{s['step']} {s['key_point']} {s['safety']}".casefold() for s in catalogs["job_steps"]}
    for step, words in {
        "isolate": ("lock out", "verify", "no work live"),
        "open-armor": ("eye protection", "gloves", "edges"),
        "cut-bare": ("flush", "instructions", "never hot, neutral or switch leg", "eye protection"),
        "bond-strip": ("lands on no terminal", "never a circuit conductor"),
        "prepare-egc": ("never a circuit conductor",),
        "splice-circuit": ("shared neutral", "poles off"),
    }.items():
        for word in words:
            assert word in said[step], f"{step}: {word}"
    assert all(str(s["source"]) for s in catalogs["job_steps"])


def test_every_step_of_a_box_has_words_of_its_own(catalogs):
    """Operations at a box are all named by a step: none falls back to a plain one."""
    at_box = {
        str(o["operation"])
        for o in catalogs["operations"]
        if catalogs["drivers"][str(o["driver"])]["counted_at"] == "box"
    }
    assert at_box == {str(s["operation"]) for s in catalogs["job_steps"]} - {"none"}
    assert all({s["key_point"], s["reason"]}.isdisjoint({"none", "-", ""}) for s in catalogs["job_steps"])


def test_each_page_has_two_drawings_and_a_legend_with_words(sample_workbook: Path):
    archive = zipfile.ZipFile(sample_workbook)
    drawings = [archive.read(n).decode() for n in archive.namelist() if re.fullmatch(r"xl/drawings/drawing\d+\.xml", n)]
    (crew,) = [d for d in drawings if "Legend of the drawings" in d]
    said = re.findall(r'descr="([^"]*)"', crew)
    assert len(said) == 3 * PAGES
    assert sum(s.startswith("Drawing of one box of type T") for s in said) == 2 * PAGES
    assert len([n for n in archive.namelist() if n.startswith("xl/media/")]) == 3 * PAGES
    assert sum(archive.getinfo(n).compress_size for n in archive.namelist() if n.startswith("xl/media/")) < 500_000


def test_each_page_ends_with_a_break_and_its_cautions(sample_workbook: Path):
    sheet = openpyxl.load_workbook(sample_workbook)["Crew"]
    ends = [b.id for b in sheet.row_breaks.brk]
    assert len(ends) == PAGES
    for end in ends:
        assert "authority having jurisdiction" in sheet.cell(end - 1, 2).value
        assert "lock out" in sheet.cell(end - 1, 2).value
    titles = [str(sheet.cell(row, 1).value) for row in [FIRST_ROW, *(end + 1 for end in ends[:-1])]]
    assert all(f", {n} of {PAGES}: " in title for n, title in enumerate(titles, start=1))
    assert sheet.print_area.endswith(f"${ends[-1]}")


def test_the_choice_is_a_dropdown_of_the_plans_compared(count: Counter, tmp_path: Path):
    build = count(TWO, compared="ac-first,emt").build
    path = tmp_path / "out.xlsx"
    write_outputs(build, path, None)
    found = row(build, "choices", key="crew_from")
    assert (found["value"], found["accepted"]) == ("ac-first", "ac-first, emt")
    assert row(build, "guarded_choices", title="crew_from")["open"] == 0
    assert [r["choice"] for r in rows(build, "accepted", name="crew_to")] == ["ac-first", "emt"]


@pytest.mark.libreoffice
def test_another_choice_in_the_workbook_gives_the_page_of_a_rebuild(
    count: Counter, recalculate: Callable[[list[Path]], list[Path]], tmp_path: Path
):
    """Every cell of the pages but the drawings follows; where a drawing is no longer right a cell says so."""
    text = (ROOT / "samples" / "small.csv").read_text(encoding="utf-8")
    source, target = tmp_path / "source.xlsx", tmp_path / "target.xlsx"
    write_outputs(count(text).build, source, None)
    write_outputs(count(text, "crew_from=mc-armor-first", "crew_to=ac-first").build, target, None)
    book = openpyxl.load_workbook(source)
    for line in book["Inputs"].iter_rows():
        if line[1].value in ("crew_from", "crew_to"):
            line[2].value = {"crew_from": "mc-armor-first", "crew_to": "ac-first"}[line[1].value]
    book.save(tmp_path / "changed.xlsx")
    (again,) = recalculate([tmp_path / "changed.xlsx"])
    formulas = {p: f for p, f in office.formulas(target).items() if p[0].startswith("Crew")}
    checks = [p for p, f in formulas.items() if NOT_AS_DRAWN in f]
    rest = [p for p in formulas if p not in checks]
    ours, theirs, before = office.values(target), office.values(again), office.values(source)
    assert len(rest) > 400
    assert list(office.differences(ours, theirs, rest)) == []
    assert len(list(office.differences(before, theirs, rest))) > 50
    assert {ours[p] for p in checks} == {AS_DRAWN}
    for sheet, place in checks:
        left = place.startswith("A")
        drawn = sheet, f"{get_column_letter(DRAWN_COLUMN + (not left))}{place[1:]}"
        still = before[drawn] == ours[drawn]
        assert theirs[sheet, place] == (AS_DRAWN if still else NOT_AS_DRAWN)
    assert NOT_AS_DRAWN in {theirs[p] for p in checks}


def pages_of(pdf: Path) -> int:
    return len(re.findall(rb"/Type\s*/Page[^s]", pdf.read_bytes()))


@pytest.mark.libreoffice
def test_the_crew_pages_are_printed_one_to_a_sheet(tmp_path: Path):
    """Six pages of 17 by 11 in, 1224 by 792 points; nothing else is left in the folder."""
    sample, out, pdf = ROOT / "samples" / "two-story.csv", tmp_path / "out.xlsx", tmp_path / "pages.pdf"
    done = CliRunner().invoke(app, ["build", str(sample), "-o", str(out), "--crew-pdf", str(pdf), "--quiet"])
    assert done.exit_code == 0, done.output
    assert sorted(p.name for p in tmp_path.iterdir()) == ["out.xlsx", "pages.pdf"]
    assert pages_of(pdf) == PAGES
    sizes = re.findall(rb"/MediaBox\s*\[([^\]]*)\]", pdf.read_bytes())
    assert {size.strip() for size in sizes} == {b"0 0 1224 792"}
    assert f"wrote {out} and {pdf}" in done.output


@pytest.mark.libreoffice
@pytest.mark.skipif(not shutil.which("pdftotext"), reason="poppler is not installed: the printed text is not read")
def test_nothing_of_a_page_is_cut_off_in_print(sample_build: Build, tmp_path: Path):
    pdf = tmp_path / "pages.pdf"
    crew_pdf.print_crew_pages(sample_build.book, pdf, pdf)
    text = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    pages = [" ".join(page.split()) for page in text.split("\f") if page.strip()]
    assert len(pages) == PAGES
    words = re.compile(r"\W+")
    for page, box in zip(pages, rows(sample_build, "crew_boxes", side="from"), strict=True):
        for line in rows(sample_build, "crew_lines", type=box["type"]):
            for text in (line["step"], line["key_point"], line["reason"], line["safety"]):
                assert set(words.split(text)) - {""} <= set(words.split(page)), (box["type"], text)


def test_without_libreoffice_a_sentence_says_so_before_anything_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(crew_pdf.shutil, "which", lambda _: None)
    out, pdf = tmp_path / "out.xlsx", tmp_path / "pages.pdf"
    sample = ROOT / "samples" / "small.csv"
    done = CliRunner().invoke(app, ["build", str(sample), "-o", str(out), "--crew-pdf", str(pdf)])
    assert done.exit_code == 2
    assert done.output == (
        "--crew-pdf: needs LibreOffice Calc, which is not found (soffice); install it, or leave the option out: "
        "the crew pages stand on the sheet Crew of the workbook too\n"
    )
    assert list(tmp_path.iterdir()) == []


def test_a_program_that_prints_nothing_leaves_nothing_behind(
    count: Counter, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    build = count(TWO).build
    monkeypatch.setattr(crew_pdf.shutil, "which", lambda _: "/bin/false")
    folder = tmp_path / "out"
    folder.mkdir()
    with pytest.raises(InputError, match=r"pages\.pdf: LibreOffice gave no page \(exit code 1\)"):
        write_outputs(build, folder / "out.xlsx", folder / "results.json", None, folder / "pages.pdf")
    assert list(folder.iterdir()) == []


@pytest.mark.parametrize(
    ("name", "message"), [("pages.txt", "does not end in .pdf"), ("missing/p.pdf", "does not exist")]
)
def test_the_target_is_looked_at_before_anything_is_computed(tmp_path: Path, name: str, message: str):
    sample = ROOT / "samples" / "small.csv"
    command = ["build", str(sample), "-o", str(tmp_path / "out.xlsx"), "--crew-pdf", str(tmp_path / name)]
    done = CliRunner().invoke(app, command)
    assert done.exit_code == 2
    assert message in done.output
    assert list(tmp_path.iterdir()) == []
