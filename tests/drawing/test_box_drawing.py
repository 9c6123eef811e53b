"""Drawings of boxes: every end once, as many as the tables count; nothing outside the page; black and white."""

from __future__ import annotations

import io
from collections.abc import Iterator
from itertools import combinations, pairwise

import pytest
from PIL import Image, ImageChops

from takeoff.build import Build, Options, compute
from takeoff.drawing.box import draw_box, height_of
from takeoff.drawing.facts import BoxFacts, box_facts
from takeoff.drawing.ground import PATH
from takeoff.drawing.legend import draw_legend
from takeoff.drawing.parts import BOX_LEFT, BOX_RIGHT, BOX_TOP, STYLES
from takeoff.drawing.raster import DOTS_PER_UNIT, font, lines_needed, png
from takeoff.drawing.shapes import DASHES, Circle, Drawing, Line, Rect, Text
from tests.conftest import SAMPLES, Counter
from tests.tables import row, rows, schedule

FILLS = ("none", "white", "black", "hatch")
"""Kinds of area that are told apart without color."""


def text_box(text: Text) -> tuple[float, float, float, float]:
    """Return left, top, right and bottom of a text in drawing units."""
    left, top, right, bottom = font(text.size * DOTS_PER_UNIT).getbbox(text.text, anchor=f"{text.anchor}m")
    return (
        text.x + left / DOTS_PER_UNIT,
        text.y + top / DOTS_PER_UNIT,
        text.x + right / DOTS_PER_UNIT,
        text.y + bottom / DOTS_PER_UNIT,
    )


def boxes(build: Build) -> Iterator[tuple[BoxFacts, Drawing]]:
    """Draw every type of a build in every construction in use."""
    for key, make_up in build.types.by_key.items():
        if make_up.place == "box":
            for construction in build.frame.constructions:
                facts = box_facts(build.book, key, construction)
                yield facts, draw_box(facts)


@pytest.fixture(scope="module")
def drawn(sample_build: Build) -> list[tuple[BoxFacts, Drawing]]:
    return list(boxes(sample_build))


def by_key(build: Build, table: str) -> dict[str, dict[str, float]]:
    return {line["key"]: line for line in rows(build, table)}


def check_counts(build: Build, drawn: list[tuple[BoxFacts, Drawing]]) -> None:
    """Compare what is drawn with the tables: the drawing is counted, the tables are summed, neither knows the other."""
    makeup, work = by_key(build, "makeup"), by_key(build, "work")
    runs = {line["type"]: line["runs"] for line in rows(build, "types")}
    roles: dict[str, list[dict[str, float]]] = {}
    for table in ("roles", "control_roles"):
        for line in rows(build, table) if table in build.book.tables else []:
            roles.setdefault(line["type"], []).append(line)
    for facts, drawing in drawn:
        key = f"{facts.type}|{facts.construction}"
        mine, control = makeup[key], [r for r in roles[facts.type] if str(r["role"]).startswith("control")]
        entries = runs[facts.type] + work[key].get("control_entries", 0)
        wanted = {
            "control end": sum(r["terminations"] for r in control),
            "splice of control ends": sum(r["spliced"] for r in control),
            "circuit end": mine["circuit_terminations"],
            "ground end": mine["ground_terminations"],
            "spare end": work[key]["spare_ends"],
            "splice of circuit ends": mine["circuit_splices"],
            "splice of ground ends": mine["ground_splices"],
            "screw": mine["ground_screw_ends"],
            "terminal": sum(r["device_ends"] for r in roles[facts.type]) + mine["ground_device_ends"],
            "cap": work[key]["capped_ends"] + work[key]["spare_ends"] + sum(r["capped"] for r in control),
            "cable": entries,
            "fitting": entries,
            "bare": work[key]["bare_conductor_ends"],
            "strip": work[key]["bond_strip_ends"],
            "bushing": work[key]["bushing_ends"],
        }
        assert {what: drawing.count(what) for what in wanted} == wanted, key


def test_every_end_splice_screw_and_terminal_is_drawn_once(sample_build: Build, drawn: list[tuple[BoxFacts, Drawing]]):
    check_counts(sample_build, drawn)


@pytest.mark.parametrize(
    "sets",
    [("make_up=through",), ("self_grounding=yes",), ("code_edition=2017",), ("make_up=through", "self_grounding=yes")],
)
def test_counts_hold_with_other_inputs(count: Counter, sets: tuple[str, ...]):
    text = schedule(
        {"box": "A", "device": "duplex", "fed_from": "panel"},
        {"box": "B", "device": "duplex+switch", "fed_from": "A"},
        {"box": "C", "device": "luminaire", "fed_from": "B", "wires": "S1 N"},
        {"box": "D", "circuit": "P-2", "device": "junction", "fed_from": "panel", "wires": "A B C N"},
        {"box": "E", "circuit": "P-2", "device": "equipment-1p", "fed_from": "D", "wires": "A N"},
        {"box": "F", "circuit": "P-2", "device": "junction", "fed_from": "D", "wires": "B N"},
        {"box": "G", "circuit": "P-3", "device": "duplex-ig", "fed_from": "panel", "wires": "A N IG"},
    )
    build = count(text, *sets).build
    check_counts(build, list(boxes(build)))


def test_a_hand_counted_box(count: Counter):
    """Two 2-wire cables and a receptacle, counted on paper by NEC 250.148 and 250.146 and DEVELOPERS.md.

    Type MC with a wire: hot and neutral spliced of 3 ends each and landed once each; grounds one splice of 4,
    one end on the screw, one on the device. Type AC: no ground enters, one jumper with two ends.
    """
    text = schedule(
        {"box": "A", "device": "duplex", "fed_from": "panel"}, {"box": "B", "device": "duplex", "fed_from": "A"}
    )
    build = count(text).build
    middle = row(build, "boxes", box="A")["type"]
    wire, armor = (draw_box(box_facts(build.book, middle, m)) for m in ("mc-wire", "ac"))
    assert [wire.count(f"{what} end") for what in ("circuit", "ground")] == [8, 6]
    assert [armor.count(f"{what} end") for what in ("circuit", "ground")] == [8, 2]
    assert [wire.count(f"splice of {what} ends") for what in ("circuit", "ground")] == [2, 1]
    assert [armor.count(f"splice of {what} ends") for what in ("circuit", "ground")] == [2, 0]
    assert (armor.count("strip"), armor.count("bushing"), wire.count("strip"), wire.count("bushing")) == (2, 2, 0, 0)


def test_a_conductor_leads_to_every_end_and_no_dot_hangs_in_the_air(drawn: list[tuple[BoxFacts, Drawing]]):
    for facts, drawing in drawn:
        tips = [p for s in drawing.shapes if isinstance(s, Line) and s.means for p in (s.points[0], s.points[-1])]
        for dot in (s for s in drawing.shapes if isinstance(s, Circle) and s.means.endswith("end")):
            assert any(abs(x - dot.x) + abs(y - dot.y) < 1e-6 for x, y in tips), (facts.type, facts.construction, dot)


def test_no_two_ends_stand_in_one_place(drawn: list[tuple[BoxFacts, Drawing]]):
    for facts, drawing in drawn:
        dots = [(s.x, s.y) for s in drawing.shapes if isinstance(s, Circle) and s.means.endswith("end")]
        for (x, y), (other_x, other_y) in combinations(dots, 2):
            assert abs(x - other_x) + abs(y - other_y) >= 10, (facts.type, facts.construction)


def test_each_cable_brings_the_conductors_of_its_kind(sample_build: Build, drawn: list[tuple[BoxFacts, Drawing]]):
    """The roles are dealt out to the cables so that each is full and none has a role twice."""
    for facts, _ in drawn:
        assert all(len(cable.roles) == len(set(cable.roles)) == cable.room for cable in facts.cables)
        for role in facts.roles:
            assert sum(role.name in cable.roles for cable in facts.cables) == role.ends_in


def test_the_path_goes_from_the_armor_through_the_fitting_to_the_box(
    sample_build: Build, drawn: list[tuple[BoxFacts, Drawing]]
):
    """Where armor or tubing is a ground path, and nowhere else: NEC 250.118(4), (8), (10); plain armor is none."""
    for facts, drawing in drawn:
        kind = sample_build.catalogs["constructions"][facts.construction]["egc_kind"]
        paths = [s for s in drawing.shapes if isinstance(s, Line) and s.means == PATH]
        own = [c for c in facts.cables if not c.control and not c.other]
        assert (kind == "wire") or len(paths) >= len(own), facts
        if kind == "wire" and not any(c.other for c in facts.cables):
            assert paths == []
        fittings = [s for s in drawing.shapes if isinstance(s, Rect) and s.means == "fitting"]
        sheaths = [s for s in drawing.shapes if isinstance(s, Rect) and s.means == "cable"]
        (box,) = [s for s in drawing.shapes if isinstance(s, Rect) and s.means == "box"]
        for path in paths:
            (first, *_, last), places = path.points, path.points
            assert any(s.left <= first[0] <= s.right and 0 <= first[1] - s.bottom <= 4 for s in sheaths)
            assert any(f.left < x < f.right and f.top < last[1] < f.bottom for x, _ in places for f in fittings)
            assert abs(last[0] - box.left) <= 2


def texts_of(drawing: Drawing) -> list[tuple[Text, tuple[float, float, float, float]]]:
    return [(s, text_box(s)) for s in drawing.shapes if isinstance(s, Text) and s.text]


def extent(shape: object) -> list[tuple[float, float]]:
    if isinstance(shape, Line):
        return list(shape.points)
    if isinstance(shape, Circle):
        return [(shape.x - shape.radius, shape.y - shape.radius), (shape.x + shape.radius, shape.y + shape.radius)]
    if isinstance(shape, Rect):
        return [(shape.left, shape.top), (shape.right, shape.bottom)]
    return []


def test_nothing_stands_outside_the_page(drawn: list[tuple[BoxFacts, Drawing]]):
    for drawing in [d for _, d in drawn] + [draw_legend()]:
        for text, (left, top, right, bottom) in texts_of(drawing):
            assert left >= 0, text
            assert top >= 0, text
            assert right <= drawing.width, text
            assert bottom <= drawing.height, text
        for shape in drawing.shapes:
            for x, y in extent(shape):
                assert 0 <= x <= drawing.width, shape
                assert 0 <= y <= drawing.height, shape


def test_no_text_lies_on_another(drawn: list[tuple[BoxFacts, Drawing]]):
    for drawing in [d for _, d in drawn] + [draw_legend()]:
        for (one, a), (other, b) in combinations(texts_of(drawing), 2):
            apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
            assert apart, f"{one.text} and {other.text}"


def test_conductors_keep_inside_the_box(drawn: list[tuple[BoxFacts, Drawing]]):
    for facts, drawing in drawn:
        bottom = next(s.bottom for s in drawing.shapes if isinstance(s, Rect) and s.means == "box")
        for line in (s for s in drawing.shapes if isinstance(s, Line) and s.means.startswith("conductor")):
            for x, y in line.points:
                assert BOX_LEFT <= x <= BOX_RIGHT, facts.type
                assert BOX_TOP < y < bottom, facts.type


def test_lines_of_two_roles_never_look_the_same():
    looks = list(STYLES.values())
    assert len(set(looks)) == len(looks)
    thick = {dashes for name, (dashes, _) in STYLES.items() if name != "spare"}
    assert len(thick) == len(STYLES) - 1  # but for the thin spare each has dashes of its own
    assert all(dashes in DASHES for dashes, _ in looks)


def test_areas_are_told_by_hatching_only(drawn: list[tuple[BoxFacts, Drawing]]):
    for _, drawing in drawn:
        assert all(s.fill in FILLS for s in drawing.shapes if isinstance(s, Rect | Circle))


def test_the_fill_bar_is_as_long_as_the_box_is_full(drawn: list[tuple[BoxFacts, Drawing]], sample_build: Build):
    fits = by_key(sample_build, "fits")
    seen = 0
    for facts, drawing in drawn:
        line = fits[f"{facts.type}|{facts.construction}"]
        bars = {s.means: s.right - s.left for s in drawing.shapes if isinstance(s, Rect) and s.means}
        if not line["chosen_volume_in3"]:
            assert "volume" not in bars
            continue
        seen += 1
        filled = bars["fill"] + bars.get("fill of EGCs", 0)
        assert filled / bars["volume"] == pytest.approx(line["fill_in3"] / line["chosen_volume_in3"])
        assert bars.get("fill of EGCs", 0) / bars["volume"] == pytest.approx(
            line["egc_in3"] / line["chosen_volume_in3"]
        )
    assert seen > 200


def test_a_box_too_large_for_the_table_of_allowances_says_so(count: Counter):
    build = count(schedule({"device": "equipment-3p", "breaker_a": 60, "wires": "A B C", "awg": "4"})).build
    drawing = draw_box(box_facts(build.book, "T01", "emt-wire"))
    assert any("314.28" in s.text for s in drawing.shapes if isinstance(s, Text))
    assert "314.28" in drawing.words


def test_a_picture_has_only_black_and_white_and_the_size_of_the_drawing(drawn: list[tuple[BoxFacts, Drawing]]):
    _, drawing = drawn[0]
    picture = Image.open(io.BytesIO(png(drawing)))
    assert picture.mode == "1"
    assert picture.size == (round(drawing.width * DOTS_PER_UNIT), round(drawing.height * DOTS_PER_UNIT))


def test_the_same_drawing_gives_the_same_bytes_and_another_one_others(drawn: list[tuple[BoxFacts, Drawing]]):
    (_, first), (_, second) = drawn[0], drawn[1]
    assert png(first) == png(first)
    assert png(first) != png(second)


def test_a_picture_is_small(drawn: list[tuple[BoxFacts, Drawing]]):
    assert max(len(png(drawing)) for _, drawing in drawn[::9]) < 40_000


def test_dashed_and_hollow_lines_differ_on_paper():
    """Each line is drawn alone; the pictures of no two roles are equal."""
    pictures = []
    for dashes, width in STYLES.values():
        drawing = Drawing(200, 20)
        drawing.add(Line([(5, 10), (195, 10)], dashes, width))
        pictures.append(Image.open(io.BytesIO(png(drawing))))
    for one, other in combinations(pictures, 2):
        assert ImageChops.logical_xor(one, other).getbbox()


def test_a_line_around_a_corner_keeps_its_dashes():
    drawing = Drawing(100, 100)
    drawing.add(Line([(10, 10), (90, 10), (90, 90)], "dash", 3))
    picture = Image.open(io.BytesIO(png(drawing))).convert("L")
    column = [picture.getpixel((round(90 * DOTS_PER_UNIT), y)) for y in range(picture.height)]
    changes = sum(a != b for a, b in pairwise(column))
    assert changes >= 8  # a solid line has two


def test_a_drawing_says_in_words_what_it_shows_with_its_counts(drawn: list[tuple[BoxFacts, Drawing]]):
    for facts, drawing in drawn:
        assert facts.type in drawing.words
        assert facts.title in drawing.words
        for role in facts.roles:
            assert role.name in drawing.words
        assert (
            f"on box screws {facts.ground.screw_ends}, on green terminals {facts.ground.device_ends}" in drawing.words
        )


def test_a_box_with_many_conductors_gets_a_higher_drawing(drawn: list[tuple[BoxFacts, Drawing]]):
    facts, drawing = max(drawn, key=lambda pair: sum(cable.room for cable in pair[0].cables))
    assert drawing.height == height_of(facts) > drawn[0][1].height


def test_lines_needed_breaks_between_words():
    assert lines_needed("", 10, 100) == 1
    assert lines_needed("one", 10, 1) == 1
    assert lines_needed("one two", 10, 20) == 2
    assert lines_needed("one two", 10, 1000) == 1


def test_an_egc_left_long_is_drawn_unbroken_and_counted_by_its_ends():
    """It leaves the splice without an end there, is looped under the box screw, and lands on the device."""
    build = compute(Options(SAMPLES / "small.csv", sets=("ground_make_up=long-tails",)))
    drawn = list(boxes(build))
    check_counts(build, drawn)
    alone = [d.words for f, d in drawn if f.construction == "mc-wire" and not f.ground.splices and f.ground.device_ends]
    assert alone
    assert all("the EGC is looped unbroken under the box screw and lands on the device" in words for words in alone)


@pytest.mark.parametrize("far", ["mc-armor", "mc-wire"])
def test_a_run_in_another_construction_is_drawn_with_what_it_brings(count: Counter, far: str):
    """A box fed in Type AC, the next run in Type MC: two cables; the EGC of one is a ground end, a bare conductor none.

    Type AC feeds, so without a wire nothing is spliced: a jumper, two ends. With one: EGC, pigtail of the screw and
    pigtail of the device are one splice of 3, one end on the screw, one on the device, 250.148 and 250.146.
    """
    text = schedule(
        {"box": "A", "device": "duplex", "fed_from": "panel", "run_construction": "ac"},
        {"box": "B", "device": "duplex", "fed_from": "A", "run_construction": far},
    )
    build = count(text).build
    check_counts(build, list(boxes(build)))
    egcs = int(far == "mc-wire")
    (drawing,) = [
        d for f, d in boxes(build) if f.construction == "ac" and len(f.cables) == 2 and f.ground.egc_ends == egcs
    ]
    assert drawing.count("ground end") == (5 if egcs else 2)
    assert drawing.count("splice of ground ends") == egcs


@pytest.mark.parametrize("feeds", ["mc-armor", "ac"])
def test_a_control_pair_is_drawn_across_a_change_of_construction(count: Counter, feeds: str):
    pair = {"device": "luminaire-control", "wires": "S1 N D1 D2"}
    text = schedule(
        {"box": "X", "device": "dimmer-control", "fed_from": "panel", "wires": "A N", "run_construction": feeds},
        {"box": "Y", "fed_from": "X", "run_construction": feeds, **pair},
        {"box": "Z", "fed_from": "Y", "run_construction": "mc-wire", **pair},
    )
    build = count(text).build
    check_counts(build, list(boxes(build)))
