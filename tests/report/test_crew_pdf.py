"""What a crew holds as a PDF: training pack, quiz, job pages; facts against the tables, texts against a checklist."""

from __future__ import annotations

import csv
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from takeoff.build import Build
from takeoff.catalog.rows import Catalogs
from takeoff.cli import Paper, app
from takeoff.drawing.box import draw_box
from takeoff.drawing.facts import box_facts
from takeoff.drawing.legend import draw_legend
from takeoff.drawing.shapes import Text
from takeoff.drawing.strip import PATH, Sheath, draw_strip
from takeoff.report import training
from takeoff.report.crew_pdf import STRIP, TIGHT_PCT, print_crew_pages
from takeoff.report.job_pages import LEAST_DRAWN, WORDS
from takeoff.report.mixed import mixed_boxes
from takeoff.report.mixed_pages import MIXED_HOLD
from takeoff.report.pdf import MARGIN, PAPERS, SMALLEST, printable
from takeoff.report.quiz import QUESTIONS, quiz
from tests.conftest import ROOT, Counter
from tests.tables import rows, schedule

TWO = schedule({"box": "A", "device": "duplex", "fed_from": "panel"}, {"box": "B", "device": "duplex", "fed_from": "A"})
CHECKLIST = list(csv.DictReader((ROOT / "tests" / "worked" / "training.csv").read_text(encoding="utf-8").splitlines()))
"""What the pack must say of each construction, made by hand from the rules, with its source."""

needs_poppler = pytest.mark.skipif(not shutil.which("pdftotext"), reason="poppler is missing: print is not read")


def said(catalogs: Catalogs, construction: str, topic: str, without: str = "") -> str:
    """Return what is said of a construction, or of a box where two meet; `without` a point of the catalog."""
    pair = construction.split()
    has = (
        training.of_both(catalogs, pair) if topic == "mixed" else training.features(catalogs["constructions"][pair[0]])
    )
    facts = training.facts_of(catalogs, pair[0])
    found = [r for r in training.rows_of(catalogs, has, topic) if r["point"] != without]
    return " ".join(str(r["text"]).format_map(facts) for r in found).casefold()


def missing(catalogs: Catalogs, wanted: dict[str, str], without: str = "") -> list[tuple[str, str]]:
    """Return the words of a row of the checklist that are not said, each with the construction."""
    every = [str(c["construction"]) for c in catalogs["constructions"]]
    words = wanted["says"].casefold().split("; ")
    of = every if wanted["construction"] == "all" else [wanted["construction"]]
    return [(c, w) for c in of for w in words if w not in said(catalogs, c, wanted["topic"], without)]


@pytest.mark.parametrize("wanted", CHECKLIST, ids=lambda r: f"{r['construction']}-{r['topic']}-{r['says'][:20]}")
def test_the_pack_says_what_the_rules_ask(catalogs: Catalogs, wanted: dict[str, str]):
    assert wanted["source"]
    assert missing(catalogs, wanted) == []


def test_the_checklist_has_every_construction_and_every_point(catalogs: Catalogs):
    """Whatever point is taken out of the pack, a row of the checklist misses it."""
    topics = ("never", "path", "tools", "lengths", "inspector")
    of = {(r["construction"], r["topic"]) for r in CHECKLIST}
    assert not [(c, t) for c in catalogs["constructions"].keys for t in topics if not {(str(c), t), ("all", t)} & of]
    points = {str(r["point"]) for r in catalogs["training"] if r["topic"] != "quiz"}
    by_inputs = {"path-self", "path-switch", "path-tails"}  # of how the job bonds devices: tested beside it
    unseen = [p for p in points if not any(missing(catalogs, wanted, p) for wanted in CHECKLIST)]
    assert set(unseen) == by_inputs


def test_no_construction_is_told_what_another_one_is(catalogs: Catalogs):
    """Of a wire-type cable no jumper and no strip is said, of an armor-type one no splice of EGCs."""
    wire, armor, ac = (said(catalogs, c, "never") + said(catalogs, c, "path") for c in ("mc-wire", "mc-armor", "ac"))
    assert not [w for w in ("jumper", "strip", "bare conductor", "bushing") if w in wire]
    assert not [w for w in ("strip", "bushing", "splice", "copper") if w in armor]
    assert not [w for w in ("bare conductor", "splice", "copper") if w in ac]
    assert said(catalogs, "emt-bare", "tools").count("armor") == 0


def test_every_construction_has_all_topics_and_one_ground_path(catalogs: Catalogs):
    for row in catalogs["constructions"]:
        has, facts = training.features(row), training.facts_of(catalogs, str(row["construction"]))
        counts = {t: len(training.points(catalogs, has, t, facts)) for t in ("never", "path", "tools", "inspector")}
        assert counts["path"] == 1, row["construction"]
        assert min(counts.values()) > 0


def test_ten_questions_with_answers_from_the_tables(count: Counter):
    """Two receptacles in a row; the counts are those of the hand-counted box of the crew pages."""
    asked = quiz(count(TWO).build)
    assert len(asked) == QUESTIONS
    by_text = {q.text: q.answer for q in asked}
    find = lambda word: next(a for t, a in by_text.items() if word in t)  # noqa: E731
    assert find("carton").startswith("MCI-A")
    assert find("May the fitting marked MC, category PJOX hold").startswith("No, it fails: 330.40")
    assert find("how many ground wires") == "0 ground wires come in."
    assert find("how many ground ends") == (
        "6 in Type MC, insulated copper EGC, 2 in Type MC, armor with bare aluminum as EGC"
    )
    assert find("jumper is forgotten") == "The box is, the device is not: its frame can be live."
    assert all(q.source for q in asked)


def test_what_the_job_has_is_asked_about_first(count: Counter):
    """Two rows of the catalog are about an isolated ground and a shared neutral: asked where a box has one."""
    plain = {q.text for q in quiz(count(TWO).build)}
    text = schedule(
        {"box": "A", "device": "duplex-ig", "fed_from": "panel", "wires": "A N IG"},
        {
            "box": "B",
            "device": "duplex",
            "fed_from": "panel",
            "circuit": "P-3,5",
            "wires": "A B N",
            "poles": "2",
            "neutral": "yes",
        },
        {"box": "C", "device": "duplex", "fed_from": "B", "circuit": "P-3,5", "wires": "A N"},
    )
    asked = quiz(count(text).build)
    assert len(asked) == QUESTIONS
    both = {"Where does an isolated ground go?", "When may a shared neutral be opened?"}
    assert both <= {q.text for q in asked}
    assert not both & plain
    assert next(q.source for q in asked if q.text.startswith("Where does an isolated")) == (
        "NFPA 70, National Electrical Code 250.146(D)"
    )


def test_the_page_of_a_construction_has_no_step_of_a_box_where_two_meet(count: Counter):
    """A home run in tubing brings an EGC into the first box; the cable's own page knows no splice of grounds."""
    text = schedule(
        {"box": "A", "device": "duplex", "fed_from": "panel", "run_construction": "emt-wire"},
        {"box": "B", "device": "duplex", "fed_from": "A"},
    )
    assert "Splice the equipment grounds" not in training.steps_done(count(text).build, "mc-armor")
    assert "Splice the equipment grounds" in training.steps_done(count(text).build, "mc-wire")


def test_a_fitting_that_stays_is_not_asked_about(count: Counter):
    asked = quiz(count(TWO, "crew_to=mc-wire-first").build)
    assert len(asked) == QUESTIONS
    assert not [q for q in asked if "May the fitting" in q.text or "jumper" in q.text]


def test_the_steps_of_a_page_are_those_of_the_construction(count: Counter):
    build = count(TWO).build
    wire, armor = (training.steps_done(build, c) for c in ("mc-wire", "mc-armor"))
    assert "Splice the equipment grounds" in wire
    assert not {"Splice the equipment grounds", "Trim and strip the EGCs", "Land the ground on the box screw"} & set(
        armor
    )
    assert armor.index("Cut the bare conductor at the armor") < armor.index("Seat the cable in its fitting, tighten")
    assert "Keep the isolated ground apart, land it" not in wire
    assert "Mount the luminaire or equipment" not in wire


def test_terminations_per_box_by_room_counted_by_hand(count: Counter):
    """A middle and an end box. Circuit ends 8 and 2; grounds 6 and 5 with a wire, 2 and 2 with a jumper."""
    text = schedule(
        {"box": "A", "device": "duplex", "fed_from": "panel", "area": "hall"},
        {"box": "B", "device": "duplex", "fed_from": "A", "area": "hall"},
    )
    build = count(text).build
    assert training.per_room(build) == [("hall", "2", "10.5", "5.5", "7.0", "2.0")]


def test_tight_boxes_are_those_of_the_fill(sample_build: Build):
    found = {(t, c): int(f) for t, _, _, c, _, f in training.tight_boxes(sample_build, TIGHT_PCT)}
    plans = ("mc-wire-first", "mc-armor-first")
    places = [sample_build.frame.compared.index(p) + 1 for p in plans]
    wanted: dict[tuple[str, str], float] = {}
    for fit, built in zip(rows(sample_build, "fits"), rows(sample_build, "built"), strict=True):
        if fit["chosen_volume_in3"] and any(built[f"count_{n}"] for n in places):
            title = str(sample_build.catalogs["constructions"][fit["construction"]]["title"])
            wanted[fit["type"], title] = 100 * fit["sum_in3"] / fit["chosen_volume_in3"]
    assert set(found) == {k for k, full in wanted.items() if full >= TIGHT_PCT - 1e-9}
    assert found


def test_a_box_without_a_size_is_the_first_to_watch(count: Counter):
    """Conductors of 3 AWG in a pull box are sized by 314.28: no fill says how full it is. Ends at the panel are no box."""
    text = schedule(
        {"box": "A", "device": "junction", "fed_from": "panel", "awg": "3", "breaker_a": "100"},
        {"box": "B", "device": "duplex", "circuit": "P-2", "fed_from": "panel"},
        {"box": "C", "device": "junction", "fed_from": "A", "awg": "3"},
    )
    found = training.tight_boxes(count(text).build, 0)
    assert {f[-2:] for f in found[:2]} == {("size by 314.28", "-")}
    assert {f[1].partition(",")[0] for f in found} == {"junction", "duplex"}


def test_a_step_goes_only_where_no_box_keeps_it(sample_build: Build):
    """A luminaire loses its pigtail, a receptacle keeps one as its bonding jumper: the step is no step that goes."""
    said = training.steps_by_change(sample_build)
    assert said["Steps that go"] == [
        "Trim and strip the EGCs",
        "Splice the equipment grounds",
        "Land the ground on the box screw",
    ]
    assert said["Steps that are new"] == [
        "Cut the bare conductor at the armor",
        "Jumper or green lead on the box screw",
    ]
    assert "Cut ground pigtails, bonding jumpers (fewer; none in some boxes)" in said["Done otherwise"]
    assert "Seat the cable in its fitting, tighten (other fitting)" in said["Done otherwise"]


def test_types_where_nothing_changes_are_listed(sample_build: Build):
    """Patient care keeps both paths in both plans, and raceway stays raceway."""
    listed = {t for t, *_ in training.unchanged(sample_build)}
    wired: dict[str, set[str]] = {}
    for e in rows(sample_build, "each"):
        if e["plan"] in ("mc-wire-first", "mc-armor-first"):
            kind = str(sample_build.book.values("boxes", "type")[int(e["no"]) - 1])
            wired.setdefault(kind, set()).add(f"{e['no']}|{e['wired_as']}")
    one_way = {t for t, ways in wired.items() if len({w.partition("|")[0] for w in ways}) == len(ways)}
    assert listed == one_way
    built = {str(t) for t in sample_build.book.values("boxes", "type")}
    assert listed <= built  # not a make-up that some other plan could bring about


@pytest.mark.parametrize(
    ("sheaths", "paths", "ends"),
    [
        ([Sheath("a", False, True)], 0, 5),  # EGC and two pigtails in the splice, green terminal, screw
        ([Sheath("a", True, False)], 1, 2),  # a jumper
        ([Sheath("a", False, True), Sheath("b", True, False)], 1, 5),
        ([Sheath("a", True, True), Sheath("b", True, True)], 2, 6),
    ],
)
def test_the_ground_path_is_drawn_with_its_ends(sheaths: list[Sheath], paths: int, ends: int):
    drawing = draw_strip(sheaths)
    assert (drawing.count(PATH), drawing.count("ground end")) == (paths, ends)
    assert drawing.count("fitting") == len(sheaths)


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_letters_of_a_drawn_path_are_large_enough_in_print(paper: str):
    drawings = [
        draw_strip([Sheath("raceway 1", True, False, False), Sheath("cable 2", False, True)]),
        draw_strip([Sheath("cable", True, True)]),
    ]
    points = (PAPERS[paper][0] - 2 * MARGIN) * STRIP / 840
    for drawing in drawings:
        assert min(s.size for s in drawing.shapes if isinstance(s, Text)) * points >= SMALLEST


def test_letters_of_the_drawings_are_large_enough_in_print(sample_build: Build):
    """A drawing is 840 units wide, on letter and on A4 paper LEAST_DRAWN points or more."""
    pages = rows(sample_build, "crew_boxes")
    drawings = [draw_box(box_facts(sample_build.book, b["type"], b["wired_as"]), 0.0) for b in pages]
    assert min(PAPERS[p][0] for p in PAPERS) - 2 * MARGIN >= LEAST_DRAWN
    points = LEAST_DRAWN / 840
    for drawing in [*drawings, draw_legend(840.0)]:
        assert min(s.size for s in drawing.shapes if isinstance(s, Text)) * points >= SMALLEST


def text_of(pdf: Path) -> list[str]:
    done = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True)
    return [" ".join(page.split()) for page in done.stdout.split("\f") if page.strip()]


@pytest.fixture(scope="module")
def printed(sample_build: Build, tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    pdf = tmp_path_factory.mktemp("pdf") / "pages.pdf"
    print_crew_pages(sample_build, pdf)
    return text_of(pdf)


@needs_poppler
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_nothing_is_cut_and_nothing_is_smaller_than_9_points(
    sample_build: Build, printed: list[str], tmp_path: Path, paper: str
):
    """Every word lies between the margins of its page, in letters of 9 pt or more, and every paper says the same."""
    pdf = tmp_path / "pages.pdf"
    print_crew_pages(sample_build, pdf, paper)
    words = re.compile(r"\W+")
    assert sorted(words.split(" ".join(text_of(pdf)))) == sorted(words.split(" ".join(printed)))
    done = subprocess.run(["pdftotext", "-bbox", str(pdf), "-"], capture_output=True, text=True, check=True)
    places = [
        tuple(map(float, m))
        for m in re.findall(r'<word xMin="(.+?)" yMin="(.+?)" xMax="(.+?)" yMax="(.+?)"', done.stdout)
    ]
    width, height = PAPERS[paper]
    assert len(places) > 2000
    for left, top, right, bottom in places:
        assert MARGIN - 1 <= left <= right <= width - MARGIN + 1
        assert 0 < top < bottom < height
    command = ["pdftohtml", "-xml", "-stdout", "-i", "-zoom", "3", str(pdf)]
    fonts = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    assert min(int(size) for size in re.findall(r'fontspec [^>]*size="(\d+)"', fonts)) >= 27  # thrice 9


@needs_poppler
def test_parts_and_supports_stand_on_both_pages_of_a_box(sample_build: Build, printed: list[str]):
    """Nobody looks for the page before: box, fitting, bushing and supports (330.30) of what is learned are on the steps."""
    for box in rows(sample_build, "crew_boxes", side="to"):
        pages = [p for p in printed if p.startswith(f"{box['type']}: ")]
        assert len(pages) == 2
        said = f"{box['says_parts']}; secured within 12 in of the box, then every 6 ft"
        assert all(said in page for page in pages)
        assert f"Now: {said}" in pages[1]


@needs_poppler
def test_cautions_and_the_word_on_minutes_stand_on_every_page(printed: list[str]):
    for page in printed:
        assert "De-energize, lock out and verify before opening any box." in page
        assert "having jurisdiction and the instructions" in page
        assert re.search(r"Minutes: up to \d+ % of the hours rest on invented ones\.", page)


@needs_poppler
def test_each_construction_has_one_large_page(sample_build: Build, printed: list[str]):
    used = training.constructions_used(sample_build)
    titles = [str(sample_build.catalogs["constructions"][c]["title"]) for c in used]
    for number, title in enumerate(titles):
        assert title in printed[number]
        assert "The inspector looks at" in printed[number]
        assert "Trainer ____" in printed[number]
    assert "What changes" in printed[len(titles)]


@needs_poppler
def test_the_change_of_fitting_is_the_first_line_wherever_it_applies(sample_build: Build, printed: list[str]):
    stops = [page for page in printed if "STOP: ANOTHER FITTING" in page]
    assert len(stops) == 2 + 2 * len(rows(sample_build, "crew_boxes", side="to"))
    assert all("HOLD POINT" in page for page in stops)
    (mixed,) = [page for page in printed if MIXED_HOLD.rstrip("_ ") in page]
    assert mixed.startswith("STOP: TWO KINDS OF FITTING IN ONE BOX. Read both cartons. HOLD POINT:")
    starts = re.compile(r"(T\d+: .{0,120}?|What changes )?STOP: ANOTHER FITTING")
    assert all(starts.match(page) for page in stops)


@needs_poppler
@pytest.mark.parametrize("pair", [("mc-armor-first", "ac-first"), ("mc-wire-first", "mc-armor-first")])
def test_a_kind_of_box_is_two_pages_also_where_one_armor_takes_the_place_of_another(
    count: Counter, tmp_path: Path, pair: tuple[str, str]
):
    """Drawings with their figures, and steps: no figure and no drawing begins a page by itself."""
    build = count(TWO, f"crew_from={pair[0]}", f"crew_to={pair[1]}").build
    path = tmp_path / "pages.pdf"
    pages = print_crew_pages(build, path)
    types = len(rows(build, "crew_boxes", side="to"))
    assert types == 2
    constructions = len(training.constructions_used(build))
    assert pages == constructions + len(("changes", "mixed", "quiz", "answers", "watch")) + 2 * types
    assert [p.count("one box") for p in text_of(path)[-2 * types :]] == [1, 0] * types


@needs_poppler
def test_questions_and_answers_stand_on_pages_of_their_own(sample_build: Build, printed: list[str]):
    (questions,) = [p for p in printed if p.startswith("Quiz ")]
    (answers,) = [p for p in printed if p.startswith("Answers to the quiz")]
    for question in quiz(sample_build):
        assert question.text in questions
        assert question.answer in answers


@needs_poppler
def test_every_step_of_a_job_page_is_printed_whole(sample_build: Build, printed: list[str]):
    words = re.compile(r"\W+")
    for box in rows(sample_build, "crew_boxes", side="to"):
        (page,) = [p for p in printed if p.startswith(f"{box['type']}: ") and "counts and minutes" in p]
        steps = list(sample_build.catalogs["job_steps"])
        for line in rows(sample_build, "crew_lines", type=box["type"]):
            step = steps[int(line["step_row"]) - 1] if line["step_row"] else {}
            gone = line["change"] == "DISAPPEARS"
            for said in (line["change"], *(str(step[n]) for n in (WORDS[:1] if gone else WORDS) if step)):
                assert set(words.split(said)) - {""} <= set(words.split(page)), (box["type"], said)


@needs_poppler
def test_what_is_not_done_any_more_warns_of_nothing(count: Counter, tmp_path: Path):
    """Left out, the ground on the box screw makes box and cover live with a wire-type EGC; with none it is no step."""
    path = tmp_path / "pages.pdf"
    print_crew_pages(count(TWO).build, path)
    (page,) = [p for p in text_of(path) if p.startswith("T01: ") and "counts and minutes" in p]
    assert "Land the ground on the box screw. not done any more" in page
    assert "box and cover can become live" not in page
    assert "Left out: the device is not grounded." in page


def media_boxes(pdf: Path) -> set[bytes]:
    return {b" ".join(m.split()) for m in re.findall(rb"/MediaBox\s*\[([^\]]*)\]", pdf.read_bytes())}


@pytest.mark.parametrize(
    ("paper", "size"),
    [
        ("letter", b"0 0 612 792"),
        ("tabloid", b"0 0 792 1224"),
        ("legal", b"0 0 612 1008"),
        ("a4", b"0 0 595.2756 841.8898"),
    ],
)
def test_the_option_takes_the_paper(tmp_path: Path, paper: str, size: bytes):
    """8.5 x 11, 11 x 17 and 8.5 x 14 in, 210 x 297 mm, at 72 points to the inch; nothing else is left in the folder."""
    sample, out, pdf = ROOT / "samples" / "small.csv", tmp_path / "out.xlsx", tmp_path / "pages.pdf"
    command = ["build", str(sample), "-o", str(out), "--crew-pdf", str(pdf), "--crew-paper", paper, "--quiet"]
    done = CliRunner().invoke(app, command)
    assert done.exit_code == 0, done.output
    assert sorted(p.name for p in tmp_path.iterdir()) == ["out.xlsx", "pages.pdf"]
    assert media_boxes(pdf) == {size}
    assert f"wrote {out} and {pdf}" in done.output


def test_the_papers_of_the_command_are_those_that_are_printed():
    assert {p.value for p in Paper} == set(PAPERS)


def test_the_same_build_gives_the_same_bytes_and_no_name_of_a_program(count: Counter, tmp_path: Path):
    build = count(TWO).build
    pages = [print_crew_pages(build, tmp_path / name) for name in ("a.pdf", "b.pdf")]
    assert pages[0] == pages[1] > 5
    first = (tmp_path / "a.pdf").read_bytes()
    assert first == (tmp_path / "b.pdf").read_bytes()
    info: Any = re.search(rb"/Producer \(([^)]*)\)", first)
    assert info[1] == b"takeoff"


def test_a_letter_that_the_font_lacks_is_shown_by_its_number():
    assert printable("room \u4e2d <b>") == "room [U+4E2D] &lt;b&gt;"


def test_boxes_where_old_meets_new_are_listed_with_their_make_up(count: Counter):
    """A is fed by a pulled run with an EGC and feeds a new one: 5 ground ends, one splice, 7 x 2.25 in3."""
    pulled = {"run_construction": "mc-wire", "run_state": "pulled"}
    text = schedule(
        {"box": "A", "device": "duplex", "fed_from": "panel", **pulled},
        {"box": "B", "device": "duplex", "fed_from": "A"},
    )
    found = count(text, compared="mc-wire-first,mc-armor-first").build
    ((where, pair, grounds, splices, fill, *_),) = mixed_boxes(found)
    assert where.startswith("A, P-1")
    assert (pair, grounds, splices, fill) == ("mc-wire, mc-armor", "5", "1", "15.75")
    assert mixed_boxes(count(TWO).build) == []


OLD = {"run_construction": "mc-wire", "run_state": "pulled"}
SEAMS = schedule(
    *(
        {"box": f"{c}1", "circuit": f"P-{c}", "device": "duplex", "fed_from": "panel", "area": "east", **OLD}
        for c in "AB"
    ),
    *({"box": f"{c}2", "circuit": f"P-{c}", "device": "duplex", "fed_from": f"{c}1", "area": "east"} for c in "AB"),
    {"box": "B3", "circuit": "P-B", "device": "duplex", "fed_from": "B1", "area": "east", **OLD},
)
"""A1: one EGC comes in and a run without one goes on; B1: two EGCs and a run without one."""


def test_boxes_where_old_meets_new_stand_in_the_results(count: Counter):
    """Worked by hand in tests/worked/mixed.csv, M1 and M3: grounds, splices, fill; circuit ends by the rules.

    A1: hot and neutral, 2 runs and the device: a splice of 3 ends and a pigtail landed each, 8 ends.
    """
    found = count(SEAMS, compared="mc-wire-first,mc-armor-first").results["swap"]["old_meets_new"]
    a, b = found
    assert (a["box"], a["circuit"], a["room"], a["pulled_in"], a["meets"]) == (
        "A1",
        "P-A",
        "east",
        "mc-wire",
        "mc-armor",
    )
    assert [(r["ground_terminations"], r["ground_splices"], r["fill_in3"]) for r in found] == [
        (5, 1, 15.75),
        (6, 1, 20.25),
    ]
    assert (a["circuit_terminations"], a["circuit_splices"], a["chosen_box"]) == (8, 2, "square-4x1.5")
    assert b["circuit_terminations"] == 10
    build = count(SEAMS, compared="mc-wire-first,mc-armor-first").build
    rate = rows(build, "labor_rate")[0]["usd_per_h"]
    for r, work in zip(found, rows(build, "mixed_work"), strict=True):
        assert r["minutes"] == pytest.approx(work["built_min"])
        assert r["cost_usd"] == pytest.approx(r["minutes"] / 60 * rate + work["built_material"])
    assert count(TWO).results["swap"]["old_meets_new"] == []


@needs_poppler
def test_a_box_where_old_meets_new_has_a_drawn_page(count: Counter, tmp_path: Path):
    """Hold point, where it is, both fittings, the drawing with its EGCs, both ground paths, figures; one page each."""
    build = count(SEAMS, compared="mc-wire-first,mc-armor-first").build
    print_crew_pages(build, tmp_path / "pages.pdf")
    pages = [p for p in text_of(tmp_path / "pages.pdf") if ", old meets new: " in p]
    assert len(pages) == 2
    wanted = {
        "A1 on P-A, east": "8 5 1 1 15.75 4 x 1.5 in square box 75",
        "B1 on P-B, east": "10 6 1 2 20.25 4 x 1.5 in square box 96",
    }
    for page, (where, figures) in zip(pages, wanted.items(), strict=True):
        assert page.startswith("STOP: TWO KINDS OF FITTING IN ONE BOX.")
        assert MIXED_HOLD.rstrip("_ ") in page
        assert f"Boxes: {where}" in page
        assert "Pulled in: MC with wire EGC. Type MC, insulated copper EGC; fitting marked MC," in page
        assert "New: MC with armor EGC. Type MC, armor with bare aluminum as EGC; fitting marked MCI-A" in page
        assert figures in page
        assert "Both ground paths" in page
        assert "Trainer" in page


def test_the_drawing_of_a_box_where_old_meets_new_has_the_ends_of_both(count: Counter):
    """B1: three runs come in, the new one brings no EGC; 4 ends in the ground splice (2 EGCs, 2 pigtails)."""
    build = count(SEAMS, compared="mc-wire-first,mc-armor-first").build
    made = count(SEAMS, compared="mc-wire-first,mc-armor-first").results["swap"]["old_meets_new"][1]
    facts = box_facts(build.book, made["make_up"], made["made_up_as"])
    assert [(c.other, c.egcs) for c in facts.cables] == [(False, 1), (False, 1), (True, 0)]
    assert (facts.ground.splice_ends, facts.ground.egc_ends) == (4, 2)
