"""Crew pages: steps with counts, minutes and words; live choice of what is compared; pages and PDF."""

from __future__ import annotations

import csv
import re
import zipfile
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import openpyxl
import pytest
from openpyxl.utils import get_column_letter
from typer.testing import CliRunner

from takeoff.build import Build
from takeoff.catalog.plans import chosen_pair
from takeoff.cli import app
from takeoff.model.order.crew_boxes import SIDES
from takeoff.report.output import write_outputs
from takeoff.text.problems import InputError
from takeoff.workbook.pages.crew import AS_DRAWN, DRAWN_COLUMN, FIRST_ROW, NOT_AS_DRAWN
from tests import office
from tests.conftest import ROOT, Counted, Counter
from tests.tables import row, rows, schedule

TWO = schedule({"box": "A", "device": "duplex", "fed_from": "panel"}, {"box": "B", "device": "duplex", "fed_from": "A"})
INVENTED = "illustrative, invented for the demonstration: replace"
PAGES = 5
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
    assert found["ground-screw"] == (1, 0, "DISAPPEARS")
    assert found["ground-screw-armor"] == (0, 1, "NEW")
    assert found["land-ground"] == (1, 1, "same")
    assert found["splice-circuit"] == (6, 6, "same")
    assert not {"insert-bushing", "bond-strip", "raceway-connector", "cap-end", "ground-bar"} & set(found)


def test_what_is_done_as_often_with_another_thing_is_not_the_same(count: Counter):
    """Judged by item, listing and text as well: the fitting, the cable it is cut from, what the test is of.

    The fitting of Type MC with a wire is not the one listed for the armor that is a ground path, NEC 330.40.
    """
    counted = count(TWO)
    found = steps(counted, type_of(counted, "A"))
    assert found["connector"] == (2, 2, "OTHER FITTING")
    assert found["open-armor"] == (2, 2, "OTHER CABLE")
    assert found["test-box"] == (1, 1, "OTHER GROUND PATH")
    assert found["mount-box"] == (1, 1, "same")
    assert found["bring-ends"] == (2, 2, "same")  # 12 in and 6 ft in both, 330.30
    assert steps(count(TWO, "crew_to=ac-first"), "T01")["bring-ends"] == (1, 1, "OTHER SUPPORTS")  # 4.5 ft, 320.30


def test_another_box_is_named_where_the_fill_asks_for_one(count: Counter):
    """Seven 12 AWG conductors and a yoke, 9 x 2.25 = 20.25 in3, fit 21.0 in3; with an EGC, 22.5 in3, they do not.

    NEC Table 314.16(A), (B).
    """
    text = schedule(
        {"box": "A", "circuit": "P-1,3,5", "device": "duplex", "fed_from": "panel", "wires": "A B C N"},
        {"box": "B", "circuit": "P-1,3,5", "device": "duplex", "fed_from": "A", "wires": "A B N"},
    )
    counted = count(text, "crew_types=9")
    kind = type_of(counted, "A")
    assert [b["chosen_box"] for b in rows(counted, "crew_boxes", type=kind)] == ["square-4x2.125", "square-4x1.5"]
    assert steps(counted, kind)["mount-box"] == (1, 1, "OTHER BOX")


def test_the_fitting_stands_first_with_the_rule_on_the_old_one_and_a_hold_point(count: Counter):
    """NEC 330.40: fittings identified for the cable; markings as in the note of the inspectors' association."""
    found = {b["side"]: b for b in rows(count(TWO), "crew_boxes", type="T01")}
    said = found["to"]["says_fitting"]
    assert said.startswith("STOP: ANOTHER FITTING. Read the carton: marked MCI-A")
    assert found["to"]["says_other"] == "The other one, marked MC, category PJOX: fails here, 330.40"
    assert found["to"]["says_hold"].startswith(
        "HOLD POINT before the second box: another person looks at fitting, seat and carton"
    )
    assert found["from"]["says_other"].endswith(
        ": only if its carton names this cable too, 330.40"
    )  # some are for several
    assert found["to"]["says_parts"] == (
        f"4 x 1.5 in square box; 3/8 in fitting marked {found['to']['marking']}; no bushing asked for"
    )
    strips = {b["side"]: b for b in rows(count(TWO, "crew_to=ac-first"), "crew_boxes", type="T01")}
    assert strips["to"]["says_parts"].endswith("anti-short bushing at every end")  # 320.40
    same = {b["side"]: b for b in rows(count(TWO, "crew_to=mc-wire-first"), "crew_boxes", type="T01")}
    assert same["to"]["says_fitting"] == "Fitting as before, marked MC, category PJOX"
    assert (same["to"]["says_other"], same["to"]["says_hold"]) == ("", "")


def test_an_isolated_ground_has_a_step_of_its_own_with_its_ends(count: Counter):
    """Middle box: two isolated grounds come in; at the end of the run one. NEC 250.146(D)."""
    text = schedule(
        {"box": "A", "device": "duplex-ig", "fed_from": "panel", "wires": "A N IG"},
        {"box": "B", "device": "duplex-ig", "fed_from": "A", "wires": "A N IG"},
        {"box": "C", "device": "duplex", "fed_from": "B", "wires": "A N"},
    )
    counted = count(text, "crew_types=9")
    ends = [steps(counted, type_of(counted, box)).get("isolated-ground") for box in "ABC"]
    assert ends == [(2, 2, "same"), (1, 1, "same"), None]


def test_a_luminaire_is_mounted_and_a_receptacle_folded_in(count: Counter):
    text = schedule(
        {"box": "A", "device": "switch", "fed_from": "panel"}, {"box": "B", "device": "luminaire", "fed_from": "A"}
    )
    counted = count(text, "crew_types=9")
    switch, luminaire = (steps(counted, type_of(counted, box)) for box in "AB")
    assert luminaire["mount-luminaire"] == switch["fold-mount"] == (1, 1, "same")
    assert "fold-mount" not in luminaire
    assert "mount-luminaire" not in switch


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
    steps = {s["job_step"]: s for s in sample_build.catalogs["job_steps"]}
    for box in rows(sample_build, "crew_boxes"):
        mine = rows(sample_build, "crew_steps", type=box["type"])
        work = row(sample_build, "work", key=f"{box['type']}|{box['wired_as']}")
        side = box["side"]
        assert sum(s[f"minutes_{side}"] for s in mine if s["timed"]) == pytest.approx(work["minutes"])
        assert {s[f"minutes_{side}"] for s in mine if not s["timed"]} == {"-"}
        for s in mine:
            step, wire = steps[s["job_step"]], work["egc_ends"] > 0
            here = {"wire": wire, "armor": not wire}.get(step["where"], True)
            assert s[f"count_{side}"] == work[step["driver"]] * s["factor"] * here
        lines = [line for line in rows(sample_build, "crew_lines", type=box["type"]) if line["says"]]
        assert len(lines) == sum(s["done"] for s in mine)
        done = [s for s in mine if s["done"]]
        found = [every[int(line["line_row"]) - 1] for line in lines]
        assert [(s["type"], s["job_step"]) for s in found] == [(box["type"], s["job_step"]) for s in done]
        assert [s["order"] for s in done] == sorted(s["order"] for s in done)
        assert [line["number"] for line in lines] == [s["number"] for s in done] == list(range(1, len(lines) + 1))
        for name in ("count_from", "count_to", "minutes_from", "minutes_to", "change"):
            assert [line[name] for line in lines] == [s[name] for s in done]


def test_the_pages_are_those_that_hold_most_labor(sample_build: Build):
    """Minutes of all boxes of a type in all plans, recomputed from the work and the boxes of the job."""
    labor: dict[str, float] = {}
    minutes = {w["key"]: w["minutes"] for w in rows(sample_build, "work")}
    for plan in sample_build.frame.compared:
        for e in rows(sample_build, "each"):
            kind = row(sample_build, "boxes", no=e["no"])["type"] if e["plan"] == plan else ""
            if kind:
                labor[kind] = labor.get(kind, 0.0) + minutes[f"{kind}|{e['wired_as']}"]
    pages = rows(sample_build, "crew_boxes", side="from")
    every = [[p["type"], *p["alike"].replace("-", "").split(", ")] for p in pages]
    held = [sum(labor.get(t, 0.0) for t in types) for types in every]
    assert len(pages) == PAGES
    rest = max(n for t, n in labor.items() if t not in {t for types in every for t in types})
    assert min(held[:-1]) >= rest
    made = sample_build.types.by_key
    assert [made[p["type"]].shared_neutral for p in pages] == [False] * (PAGES - 1) + [True]


def test_types_that_read_alike_are_one_page(count: Counter):
    """A receptacle with ground-fault protection is made up as one without: one page, which names both."""
    text = schedule(
        *(
            {"box": f"{n}", "circuit": f"P-{n}", "device": d, "fed_from": "panel"}
            for n, d in enumerate(("duplex", "gfci"))
        ),
        {"box": "S", "circuit": "P-9", "device": "junction", "fed_from": "panel"},
    )
    pages = {b["type"]: b["alike"] for b in rows(count(text), "crew_boxes")}
    assert len(pages) == 2
    assert sorted(pages.values())[0] == "-"
    assert len([a for a in pages.values() if a != "-"]) == 1


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
    assert [line["says"] for line in rows(counted, "crew_lines", type=kind) if line["says"]][-1] == "label the box"
    box = row(counted, "crew_boxes", key=f"{kind}|from")
    timed = [s["minutes_from"] for s in rows(counted, "crew_steps", type=kind) if s["timed"]]
    assert sum(timed) == pytest.approx(box["minutes"])


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
            'job_steps.csv:2:operation: is the operation of the step cut-bare too: "cut-bare"; '
            "one step for each operation, one for wire and one for armor, or none",
        ),
    ],
)
def test_steps_that_do_not_fit_are_named(count: Counter, line: str, problem: str):
    with pytest.raises(InputError) as wrong:
        count(TWO, job_steps=f"job_step,operation,driver,place,step\n{line}\n")
    assert problem in [str(p) for p in wrong.value.problems]


CHECKLIST = list(
    csv.DictReader((ROOT / "tests" / "worked" / "crew_steps.csv").read_text(encoding="utf-8").splitlines())
)
"""What each step must say, made by hand from the rules, a row for each rule with its source."""


@pytest.mark.parametrize("wanted", CHECKLIST, ids=lambda r: f"{r['job_step']}-{r['column']}")
def test_a_step_says_what_its_rule_asks(catalogs, wanted: dict[str, str]):
    said = str(catalogs["job_steps"][wanted["job_step"]][wanted["column"]]).casefold()
    assert [w for w in wanted["says"].split(";") if w not in said] == []


def test_the_checklist_knows_every_text_of_every_step_and_none_says_all_grounds(catalogs):
    """Whatever text vanishes from a step, a caution above all, a row of the checklist misses it."""
    steps = list(catalogs["job_steps"])
    texts = {(str(s["job_step"]), c) for s in steps for c in ("step", "key_point", "reason", "safety") if s[c] != "-"}
    assert texts == {(r["job_step"], r["column"]) for r in CHECKLIST}
    assert all(r["source"] and r["says"] for r in CHECKLIST)
    assert not [s for s in steps if "all grounds" in " ".join(str(v) for v in s.values()).casefold()]
    assert all(str(s["source"]) for s in steps)


def test_the_bare_conductor_is_cut_before_the_fitting_goes_on(catalogs):
    place = {str(s["job_step"]): float(str(s["place"])) for s in catalogs["job_steps"]}
    assert place["open-armor"] < place["cut-bare"] < place["connector"]
    assert place["open-armor"] < place["insert-bushing"] < place["connector"]


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


def test_the_pages_are_letter_paper_at_9_points(sample_workbook: Path):
    """Every cell printed has 9 pt or more at the scale of the sheet, and every kind of box stands on one page."""
    sheet = openpyxl.load_workbook(sample_workbook)["Crew"]
    scale = sheet.page_setup.scale / 100
    assert (str(sheet.page_setup.paperSize), sheet.page_setup.orientation) == (sheet.PAPERSIZE_LETTER, "portrait")
    smallest = min(
        c.font.sz for line in sheet[sheet.print_area.replace("$", "").split("!")[-1]] for c in line if c.value
    )
    assert smallest * scale >= 9 - 0.03
    margins = sheet.page_margins
    ends = [FIRST_ROW - 1, *(b.id for b in sheet.row_breaks.brk)]
    for before, end in pairwise(ends):
        height = sum(sheet.row_dimensions[r].height for r in range(before + 1, end + 1))
        assert height * scale <= (11 - margins.top - margins.bottom) * 72
    letters = [get_column_letter(n) for n in range(1, DRAWN_COLUMN - 1)]
    pixels = sum(sheet.column_dimensions[x].width * 7 + 5 for x in letters) * 1.03  # programs differ by so much
    assert pixels * scale / 96 <= 8.5 - margins.left - margins.right


def test_a_step_says_more_where_it_changes_and_no_danger_where_it_is_gone(count: Counter):
    """Stays: how and safety. Changes: the reason too. Gone: that it is not done any more, and nothing else."""
    counted = count(TWO)
    lines = rows(counted, "crew_lines", type=type_of(counted, "A"))
    said = {str(line["says"]).partition(":")[0]: (line["change"], str(line["says"])) for line in lines if line["says"]}
    assert said["Splice the equipment grounds"] == ("DISAPPEARS", "Splice the equipment grounds: not done any more")
    assert said["Land the ground on the box screw"][1].endswith(": not done any more")
    for change, words in said.values():
        assert ("WHY" in words) == (change not in ("same", "DISAPPEARS")), words
    change, jumper = said["Jumper or green lead on the box screw"]
    assert (change, jumper.count("WHY: "), jumper.count("SAFETY: ")) == ("NEW", 1, 1)
    assert said["Switch off, lock out, verify it is dead"][1].endswith(
        "SAFETY: No work live. Locks stay on until the last test."
    )


def test_each_page_ends_with_a_break_and_its_cautions(sample_workbook: Path):
    sheet = openpyxl.load_workbook(sample_workbook, data_only=True)["Crew"]
    ends = [b.id for b in sheet.row_breaks.brk]
    assert len(ends) == PAGES
    for end in ends:
        assert "authority having jurisdiction" in sheet.cell(end - 2, 2).value
        assert "lock out" in sheet.cell(end - 3, 2).value
        assert "% of the hours rest on invented ones" in sheet.cell(end - 1, 2).value
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
    said = {p: str(v).partition(": ")[2] for p, v in theirs.items() if p in checks}
    assert {str(ours[p]) for p in checks} == {f"{side.upper()}: {AS_DRAWN}" for side in SIDES}
    for sheet, place in checks:
        line = re.sub(r"[A-Z]+", "", place)
        drawn = sheet, f"{get_column_letter(DRAWN_COLUMN + 1)}{line}"
        still = before[drawn] == ours[drawn]
        assert said[sheet, place] == (AS_DRAWN if still else NOT_AS_DRAWN)
    assert NOT_AS_DRAWN in said.values()


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


def test_what_a_drawing_shows_is_kept_to_a_thousandth_of_a_cubic_inch(count: Counter):
    """A box with one cable and a receptacle: 2 + 1 + 2 times 2.25 in3, without the EGC 2 + 2 of them.

    Both wires on the device; an EGC meets the pigtails of box and device, and these land: 3 + 2 ends, 2 pigtails.
    """
    counted = count(schedule({"device": "duplex"}), compared="ac-first,mc-wire-first")
    found = {r["plan"]: r["drawn"] for r in rows(counted, "crew_boxes")}
    assert found["mc-wire-first"] == "MC with wire EGC|2|5|2|11250|square-4x1.5"
    assert found["ac-first"] == "AC with armor EGC|2|2|1|9000|square-4x1.5"
