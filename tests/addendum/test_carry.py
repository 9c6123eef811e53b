"""Changes made by hand are laid over a new build as files would lay them, and none is lost without a word."""

from __future__ import annotations

import datetime as dt
import random
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest

from takeoff.addendum.carry import Carried
from takeoff.addendum.outputs import build_carried, write_edits
from takeoff.build import Build, Options, compute
from takeoff.report.output import write_outputs
from takeoff.report.results import results_of
from takeoff.text.dates import day_number
from takeoff.workbook.sheets.plan import ABOUT, CHANGED, SUMMARY
from tests import office
from tests.addendum.typed import Typed, add_rows, cell_of, type_into
from tests.changes import INVENTED
from tests.conftest import SAMPLES
from tests.priced import laid
from tests.tables import rows

SMALL = SAMPLES / "small.csv"
BID = Options(
    SAMPLES / "two-story.csv",
    inputs=SAMPLES / "bid.toml",
    quotes=[SAMPLES / "quote-current.csv", SAMPLES / "quote-expired.csv"],
)


def results(build: Build) -> dict[str, object]:
    """Return the results of a build without its notices, in which files are named."""
    return {name: value for name, value in results_of(build).items() if name != "problems"}


def carry(options: Options, old: Path) -> tuple[Build, Carried]:
    with build_carried(options, old) as (build, done):
        return build, done


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("small") / "small.xlsx"
    write_outputs(compute(Options(SMALL)), path, None)
    return path


@pytest.fixture(scope="module")
def bid(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("bid") / "bid.xlsx"
    write_outputs(compute(BID), path, None)
    return path


def test_carry_of_nothing_changes_nothing(small: Path, tmp_path: Path):
    """Every cell is as without it, but for the sheet Changes and the two lists of sheets."""
    write_outputs(carry(Options(SMALL), small)[0], tmp_path / "carried.xlsx", None)
    before, after = office.cells(small), office.cells(tmp_path / "carried.xlsx")
    elsewhere = {place: cell for place, cell in after.items() if place[0] not in (CHANGED, ABOUT, SUMMARY)}
    assert elsewhere == {place: cell for place, cell in before.items() if place[0] not in (ABOUT, SUMMARY)}
    figures = [{p: c for p, c in cells.items() if p[0] == SUMMARY and c.formula} for cells in (before, after)]
    assert figures[0] == figures[1]
    texts = [{c.value for p, c in cells.items() if p[0] == ABOUT} for cells in (before, after)]
    assert texts[0] <= texts[1]


def test_files_and_options_that_are_not_given_anew_are_taken_over(bid: Path):
    build, done = carry(Options(BID.schedule), bid)
    assert results(build) == results(compute(BID))
    assert done.taken_over == ["inputs bid.toml", "quote quote-current.csv", "quote quote-expired.csv"]


def test_set_options_are_taken_over_and_new_ones_count_last(tmp_path: Path):
    options = laid(tmp_path, "overhead_pct=12", "profit_pct=5", toml="bond_pct = 1\noverhead_pct = 3\n")
    write_outputs(compute(options), tmp_path / "o.xlsx", None)
    type_into(tmp_path / "o.xlsx", tmp_path / "e.xlsx", [("numbers", "overhead_pct", "value", 14)])
    build, done = carry(Options(options.schedule, sets=("profit_pct=7",)), tmp_path / "e.xlsx")
    assert [build.inputs[n] for n in ("overhead_pct", "profit_pct", "bond_pct")] == [14, 7, 1]
    assert build.frame.compared == ["ac-first", "mc-wire-first"]
    assert done.taken_over == ["inputs i.toml", "--set overhead_pct=12", "--plans ac-first,mc-wire-first"]
    build, done = carry(Options(options.schedule, sets=("overhead_pct=9",)), tmp_path / "e.xlsx")
    assert build.inputs["overhead_pct"] == 9
    assert [r.why for r in done.refused] == ["the new build says --set overhead_pct=9, which counts last"]


HEADINGS = {
    "numbers": "value",
    "prices": "price, USD",
    "operations": "minutes each",
    "families": "waste",
    "schedule": "run, ft",
    "circuits": "times built",
    "areas": "already",
}
"""Heading of the cells that are changed at random, by table."""

KEYS = {
    "numbers": ("labor_rate_usd_per_h", "overhead_pct", "box_tail_ft", "mixing_usd", "restock_pct"),
    "prices": ("ac-12-2", "mc-wire-12-2", "square-4x1.5", "mc-connector-3/8", "joint-small"),
    "operations": ("mount-box", "route-cable", "splice-ground", "open-armor", "ground-screw"),
    "families": ("cable", "box", "fitting"),
    "schedule": ("R1", "R2", "R4", "L2", "D1", "X1"),
    "circuits": ("KP-1", "KP-2", "KP-4"),
    "areas": ("reading room", "desk row", "first aid"),
}
"""Their keys; operations have one row each, for all constructions."""


def as_files(folder: Path, typed: list[Typed]) -> Options:
    """Return a build with changes given by files, written here by hand and not by the tool."""
    lines = {"circuits": "repeat", "schedule": "run_ft", "areas": "installed_pct"}
    tables = {"circuits": "circuits", "schedule": "boxes", "areas": "areas"}
    toml = "".join(f"{key} = {value}\n" for table, key, _, value in typed if table == "numbers")
    for table, key, _, value in typed:
        if table in lines:
            toml += f'[{tables[table]}."{key}"]\n{lines[table]} = {value}\n'
    heads = {
        "prices": "item,price_usd,source",
        "families": "family,waste_pct,source",
        "operations": "operation,construction,minutes,source",
    }
    rows = {name: [head] for name, head in heads.items()}
    for table, key, _, value in typed:
        if table in rows:
            named = f"{key},all" if table == "operations" else str(key)
            rows[table].append(f'{named},{value},"{INVENTED}"')
    catalogs = {name: "\n".join(found) + "\n" for name, found in rows.items() if len(found) > 1}
    schedule = SMALL.read_text(encoding="utf-8")
    return laid(folder, toml=toml, compared="", schedule=schedule, catalogs=catalogs)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_carry_of_twenty_random_changes_equals_a_build_with_them_by_files(small: Path, tmp_path: Path, seed: int):
    dice = random.Random(seed)
    typed: list[Typed] = []
    for table, key in dice.sample([(table, key) for table, keys in KEYS.items() for key in keys], 20):
        whole = dice.randint(2, 20)
        value = whole if table == "circuits" else whole + dice.choice([0.25, 0.5, 0.75])
        typed.append((table, key, HEADINGS[table], value))
    type_into(small, tmp_path / "e.xlsx", typed)
    build, done = carry(Options(SMALL), tmp_path / "e.xlsx")
    assert len(done.placed) == 20
    assert not done.refused
    by_files = compute(as_files(tmp_path / "files", typed))
    assert results(build) == results(by_files)
    assert results(build) != results(compute(Options(SMALL)))


THIRTY: list[Typed] = [
    ("numbers", "labor_rate_usd_per_h", "value", 71.25),
    ("numbers", "contingency_pct", "value", 4),
    ("numbers", "drop_limit_pct", "value", 2.5),
    ("dates", "finish_date", "value", dt.datetime(2027, 7, 15)),
    ("choices", "make_up", "value", "through"),
    ("choices", "quote_choice", "value", "lowest"),
    ("choices", "code_edition", "value", 2020),
    ("texts", "project", "value", "clinic, addendum 3"),
    ("work_conditions", "from-ladder", "factor", 1.2),
    ("crew", "foreman", "base wage", 44),
    ("burden", "medicare", "rate", 1.6),
    ("ranges", "ground_minutes", "high", 131),
    ("proposal", "purpose", "text", "two constructions of one cable"),
    ("areas", "102 pharmacy", "already", 55),
    ("areas", "103 hair salon", "occupancy", "vacant"),
    ("families", "cable", "waste", 6.5),
    ("packages", "cable-coil", "holds", 300),
    ("prices", "square-4x1.5", "price, USD", 244),
    ("prices", "square-4x1.5", "source", "list of 2026-11"),
    ("quotes", "mc-wire-12-2", "price, USD", 861),
    ("quotes", "mc-armor-12-2", "one price buys", 200),
    ("operations", "mount-box", "minutes each", 6),
    ("uses", "ground-screw", "quantity", 3),
    ("job_steps", "mount-box", "key point", "level, and flush with the finished wall"),
    ("schedule", "A102", "run, ft", 31),
    ("circuits", "LA-5", "times built", 2),
    ("circuits", "LA-3", "wired in", "mc-wire"),
    ("bid_lines", 1, "material", 1275),
    ("late_changes", 2, "adds", -180),
    ("box_sizes", "square-4x2.125", "stocked", 0),
]
"""Thirty changes of every kind on the sample priced as a bid."""


def test_an_addendum_on_the_sample_keeps_thirty_changes_of_every_kind(bid: Path, tmp_path: Path):
    """A box is added, a run changed, a circuit gone: the changes stand in the cells of the new workbook."""
    type_into(bid, tmp_path / "e.xlsx", THIRTY)
    lines = BID.schedule.read_text(encoding="utf-8").splitlines()
    kept = [line for line in lines if ",LA-7," not in line]
    kept[3:3] = ["A199,LA-1,duplex,7,,,,,,,,,,,101 bakery,,,,"]
    new = tmp_path / "addendum-3.csv"
    new.write_text("\n".join(kept).replace("A104,LA-1,duplex,12", "A104,LA-1,duplex,19") + "\n", encoding="utf-8")
    build, done = carry(Options(new), tmp_path / "e.xlsx")
    assert [(r.edit.row, r.why) for r in done.refused] == []
    assert len(done.placed) == len(THIRTY) == 30
    write_outputs(build, tmp_path / "new.xlsx", None)
    book = openpyxl.load_workbook(tmp_path / "new.xlsx")
    for table, key, heading, value in THIRTY:
        shown = cell_of(book, table, key, heading).value
        typed = isinstance(value, dt.datetime | str)
        assert shown == value if typed else float(str(shown)) == pytest.approx(value), key
    assert {(d["row"], d["fate"]) for d in rows(build, "change_schedule")} >= {("A199", "added"), ("LA-7", "gone")}


def test_what_has_no_place_is_said_with_why(small: Path, tmp_path: Path):
    typed: list[Typed] = [
        ("schedule", "X1", "run, ft", 70),
        ("schedule", "R1", "run, ft", 0),
        ("circuits", "KP-4", "times built", 2),
        ("areas", "first aid", "already", 10),
        ("numbers", "contingency_pct", "value", 77),
        ("choices", "base_plan", "value", "emt"),
        ("prices", "ac-12-2", "price, USD", "=A1*2"),
        ("families", "cable", "waste", "much"),
        ("work_conditions", "from-lift", "factor", "#N/A"),
        ("texts", "project", "value", "#REF!"),
        ("numbers", "overhead_pct", "value", 11),
        ("bid_lines", 2, "material", 500),
    ]
    type_into(small, tmp_path / "e.xlsx", typed)
    new = tmp_path / "new.csv"
    new.write_text("".join(x for x in SMALL.read_text().splitlines(True) if not x.startswith("X1")), encoding="utf-8")
    build, done = carry(Options(new), tmp_path / "e.xlsx")
    assert [e.key for e in done.placed] == [("overhead_pct",)]
    said = {r.edit.key[0]: r.why for r in done.refused}
    assert said == {
        "X1": "the new schedule has no box of this name",
        "R1": 'is not accepted: "0"; more than 0 and up to 10,000 ft',
        "KP-4": "the new schedule has no circuit of this name",
        "first aid": "the new schedule has no area of this name",
        "contingency_pct": 'is not accepted: "77"; a number from 0 to 50 %',
        "base_plan": "the plan is not compared in the new build: name it with --plans",
        "ac-12-2": "it holds the formula =A1*2, not a value: type its result",
        "cable": 'is not accepted: "much"; a number not under 0, with a decimal point',
        "from-lift": "it holds the error #N/A, not a value: type one",
        "project": "it holds the error #REF!, not a value: type one",
        "2": 'is no kind of line: "-"; one of direct, allowance, alternate, exclusion',
    }
    assert {str(n.accepted) for n in build.notices if n.file == "e.xlsx"} == set(said.values())
    shown = {d["row"]: d["fate"] for d in rows(build, "change_hand")}
    assert shown == {**{key: f"NOT CARRIED: {why}" for key, why in said.items()}, "overhead_pct": "carried"}


def test_a_change_over_what_the_new_files_change_too_says_both(tmp_path: Path):
    options = laid(tmp_path, toml="overhead_pct = 10\nprofit_pct = 8\n")
    write_outputs(compute(options), tmp_path / "o.xlsx", None)
    typed: list[Typed] = [("numbers", "overhead_pct", "value", 12), ("numbers", "profit_pct", "value", 9)]
    type_into(tmp_path / "o.xlsx", tmp_path / "e.xlsx", typed)
    (tmp_path / "new.toml").write_text("overhead_pct = 11\nprofit_pct = 9\n")
    build, _ = carry(replace(options, inputs=tmp_path / "new.toml"), tmp_path / "e.xlsx")
    assert (build.inputs["overhead_pct"], build.inputs["profit_pct"]) == (12, 9)
    assert {d["row"]: d["fate"] for d in rows(build, "change_hand")} == {
        "overhead_pct": "carried over 11, which the new build says here",
        "profit_pct": "carried; the new build says the same",
    }


def test_rows_added_by_hand_are_carried(tmp_path: Path):
    """A price of a new item, a price of a quote and one of a quote by hand: each by the words of its own file."""
    quote = "item,unit,price\nac-12-2,M,790\n"
    options = laid(tmp_path, toml='[areas."kitchen"]\ninstalled_pct = 5\n', quotes={"q.csv": quote})
    write_outputs(compute(options), tmp_path / "o.xlsx", None)
    added = [
        ("prices", {"item": "own-box", "title": "a box", "family": "box", "price unit": "C", "price, USD": 450}),
        ("quotes", {"quote": "q.csv", "item": "wire-12", "price unit as read": "M", "price, USD": 151}),
    ]
    add_rows(tmp_path / "o.xlsx", tmp_path / "e.xlsx", added)
    build, done = carry(options, tmp_path / "e.xlsx")
    assert {r.edit.key: r.why for r in done.refused} == {
        ("own-box",): "is blank; a date such as 2026-11-25, or a month such as 2026-11"
    }
    assert [(x.file, x.item, x.per, x.price_usd) for x in build.frame.quotes] == [
        ("q.csv", "ac-12-2", 1000, 790),
        ("q.csv", "wire-12", 1000, 151),
    ]


def test_edits_as_files_build_the_same(bid: Path, tmp_path: Path):
    type_into(bid, tmp_path / "e.xlsx", THIRTY)
    options, earlier, refused = write_edits(tmp_path / "e.xlsx", tmp_path / "files")
    assert (len(earlier.edits), refused) == (30, [])
    made = tmp_path / "files"
    assert options == [
        f"--inputs {made}/inputs.toml",
        f"--catalogs {made}/catalogs",
        f"--quote {made}/quotes/quote-current.csv",
        f"--quote {made}/quotes/quote-expired.csv",
    ]
    quotes = [made / "quotes" / "quote-current.csv", made / "quotes" / "quote-expired.csv"]
    by_files = compute(Options(BID.schedule, made / "catalogs", made / "inputs.toml", quotes=quotes))
    assert results(by_files) == results(carry(Options(BID.schedule), tmp_path / "e.xlsx")[0])


def test_an_addendum_of_an_addendum_keeps_both(small: Path, tmp_path: Path):
    type_into(small, tmp_path / "1.xlsx", [("numbers", "overhead_pct", "value", 12)])
    write_outputs(carry(Options(SMALL), tmp_path / "1.xlsx")[0], tmp_path / "2.xlsx", None)
    type_into(tmp_path / "2.xlsx", tmp_path / "3.xlsx", [("prices", "ac-12-2", "price, USD", 801)])
    build, done = carry(Options(SMALL), tmp_path / "3.xlsx")
    assert [(e.key, e.edited) for e in done.placed] == [(("ac-12-2",), 801.0)]
    assert build.inputs["overhead_pct"] == 12
    assert build.catalogs["prices"]["ac-12-2"]["price_usd"] == 801


def test_prices_typed_into_free_rows_become_a_quote(tmp_path: Path):
    """Two suppliers for one item are two quotes; a quote moved to another item is the same quote of that item."""
    options = laid(tmp_path, quotes={"q.csv": "item,unit,price\nac-12-2,M,790\n"})
    write_outputs(compute(options), tmp_path / "o.xlsx", None)
    typed: list[Typed] = [
        *(("quotes", "Q002", name, value) for name, value in (("item", "wire-12"), ("price, USD", 1.51))),
        *(("quotes", "Q003", name, value) for name, value in (("item", "wire-12"), ("price, USD", 149))),
        ("quotes", "Q003", "one price buys", 100),
        ("quotes", "Q003", "quote date", dt.datetime(2026, 11, 20)),
        ("quotes", "Q005", "price, USD", 12),
        ("quotes", "Q001", "price, USD", 801),
        ("quotes", "Q001", "item", "mc-wire-12-2"),
    ]
    type_into(tmp_path / "o.xlsx", tmp_path / "e.xlsx", typed)
    build, done = carry(options, tmp_path / "e.xlsx")
    assert [r.why for r in done.refused] == ["a price was typed, and no item for it was chosen"]
    assert [(x.file, x.item, x.per, x.price_usd, x.date) for x in build.frame.quotes] == [
        ("q.csv", "mc-wire-12-2", 1000, 801, 0),
        ("added-by-hand.csv", "wire-12", 1, 1.51, 0),
        ("added-by-hand-2.csv", "wire-12", 100, 149, day_number("2026-11-20")),
    ]


@pytest.mark.parametrize("toml", ["", '[stocked]\nsquare = ["square-4x1.5", "square-4x2.125"]\n'])
def test_the_stock_ticked_by_hand_is_carried_whether_the_inputs_file_names_it_or_not(tmp_path: Path, toml: str):
    options = laid(tmp_path, toml=toml)
    write_outputs(compute(options), tmp_path / "o.xlsx", None)
    typed: list[Typed] = [("box_sizes", "square-4x1.25", "stocked", 1), ("box_sizes", "square-4x1.5", "stocked", 0)]
    type_into(tmp_path / "o.xlsx", tmp_path / "e.xlsx", typed)
    build, done = carry(options, tmp_path / "e.xlsx")
    assert not done.refused
    stocked = {str(row["box"]): row["stocked"] for row in build.catalogs["box_sizes"]}
    assert [stocked[box] for box in ("square-4x1.25", "square-4x1.5", "square-4x2.125")] == [1, 0, 1]


def test_a_box_whose_stock_is_known_has_no_line_of_what_hangs_on_it(tmp_path: Path):
    """One more that is illustrative has no row in the workbook where it was typed, so a file must say it."""
    options = laid(tmp_path)
    write_outputs(before := compute(options), tmp_path / "o.xlsx", None)
    assert before.book.values("stock", "box").tolist() == ["square-4x1.25"]
    typed: list[Typed] = [
        ("box_sizes", "square-4x1.25", "source", "asked at the shop"),
        ("box_sizes", "square-4x1.5", "source", "Illustrative"),
    ]
    type_into(tmp_path / "o.xlsx", tmp_path / "e.xlsx", typed)
    build, done = carry(options, tmp_path / "e.xlsx")
    why = "a file says that the stock of a box is illustrative by its source in a catalog box_sizes.csv"
    assert [(r.edit.key, r.why) for r in done.refused] == [(("square-4x1.5",), why)]
    assert [e.key for e in done.placed] == [("square-4x1.25",)]
    assert "stock" not in build.book.tables


ROOMS = "Room,Circuit,Box,Device,Run\nexam,a,R1,Duplex receptacle,8\nexam,a,R2,Duplex receptacle,6\n"
HEIGHTS = "circuit,device,run_ft,height_in,ceiling_ft,room,home_run_ft\nEP-3,duplex,40,18,10,,\nEP-1,,,,,exam,60\n"


def test_room_types_are_recorded_and_a_run_typed_has_its_drop_in_it(tmp_path: Path):
    """40 ft and a drop of 10 ft less 18 in are 48.5 ft; 52 ft typed over it are 52, and the room is built again."""
    (tmp_path / "rooms.csv").write_text(ROOMS, encoding="utf-8")
    options = laid(tmp_path, schedule=HEIGHTS)
    write_outputs(compute(replace(options, rooms=tmp_path / "rooms.csv")), tmp_path / "o.xlsx", None)
    first = rows(compute(replace(options, rooms=tmp_path / "rooms.csv")), "schedule")
    assert [row["run_ft"] for row in first] == [48.5, 68, 6]
    type_into(tmp_path / "o.xlsx", tmp_path / "e.xlsx", [("schedule", first[0]["box"], "run, ft", 52)])
    build, done = carry(options, tmp_path / "e.xlsx")
    assert done.taken_over == ["rooms rooms.csv"]
    assert [row["run_ft"] for row in rows(build, "schedule")] == [52, 68, 6]
    assert [d["cell"] for d in rows(build, "change_schedule") if d["fate"] == "altered"] == []


def test_a_choice_of_what_trace_shows_is_said_to_be_none(small: Path, tmp_path: Path):
    type_into(small, tmp_path / "e.xlsx", [("trace_choice", "whole job", "scope", "circuit KP-1")])
    _, done = carry(Options(SMALL), tmp_path / "e.xlsx")
    assert [(r.edit.edited, r.why) for r in done.refused] == [
        ("circuit KP-1", "it chooses what the sheet shows: choose again there")
    ]


DAMP = """circuit,device,run_ft,space,listed_for_place
P-1,duplex,30,damp,
P-1,duplex,12,,
P-2,duplex,30,damp,
P-2,duplex,12,,
P-3,duplex,30,damp wet,
P-3,duplex,12,,
P-4,duplex,20,damp,yes
"""


def test_an_answer_to_a_fact_is_carried_to_every_circuit_that_was_asked(tmp_path: Path):
    """P-1 and P-2 are asked in one row. P-2 is gone from the addendum; P-4 said yes in the schedule."""
    options = laid(tmp_path, schedule=DAMP, compared="mc-wire-first")
    write_outputs(compute(options), tmp_path / "o.xlsx", None)
    asked = rows(compute(options), "facts_asked")
    assert [(r["circuits"], r["answer"]) for r in asked] == [
        ("P-1, P-2", "unknown"),
        ("P-3", "unknown"),
        ("P-4", "yes"),
    ]
    type_into(tmp_path / "o.xlsx", tmp_path / "e.xlsx", [("facts_asked", "listed_for_place", "answer", "yes")])
    new = tmp_path / "new.csv"
    new.write_text("".join(x for x in DAMP.splitlines(True) if not x.startswith("P-2")), encoding="utf-8")
    build, done = carry(replace(options, schedule=new), tmp_path / "e.xlsx")
    assert (len(done.placed), done.refused) == (1, [])
    answers = {r["circuits"]: r["answer"] for r in rows(build, "facts_asked")}
    assert answers == {"P-1, P-4": "yes", "P-3": "unknown"}  # alike now: of both every run sees damp alone
    found = {str(v["circuit"]): v["space_check"] for v in rows(build, "verdicts")}
    assert (found["P-1"], found["P-3"]) == ("meets", "look")
    (tmp_path / "f.toml").write_text('[circuits."P-1"]\nlisted_for_place = true\n', encoding="utf-8")
    assert results(build) == results(compute(replace(options, schedule=new, inputs=tmp_path / "f.toml")))


def test_an_answer_that_no_circuit_is_asked_for_is_told(tmp_path: Path):
    """Where nothing is asked the list has one row all the same, whose answer a user may change."""
    options = laid(tmp_path, schedule="circuit,device,run_ft\nP-1,duplex,30\n", compared="mc-wire-first")
    write_outputs(compute(options), tmp_path / "o.xlsx", None)
    book = openpyxl.load_workbook(tmp_path / "o.xlsx")
    (sheet,) = (sheet for sheet in book.worksheets if "table_facts_asked" in sheet.tables)
    headings, line = sheet[sheet.tables["table_facts_asked"].ref]
    (place,) = (n for n, cell in enumerate(headings) if str(cell.value).startswith("answer"))
    line[place].value = "yes"
    book.save(tmp_path / "e.xlsx")
    _, done = carry(options, tmp_path / "e.xlsx")
    (refused,) = done.refused
    assert refused.why == "no circuit is asked for it: there is nothing that it answers"


@pytest.mark.parametrize("answered", [1, 2])
def test_an_answer_on_some_runs_of_a_circuit_is_told_where_all_say_the_same(tmp_path: Path, answered: int):
    """A fact is of a circuit: of P-1 the damp run and the wet one are asked in a row each."""
    text = "circuit,device,run_ft,space\nP-1,duplex,30,damp\nP-1,duplex,12,\nP-1,duplex,12,\nP-1,duplex,12,wet\n"
    options = laid(tmp_path, schedule=text, compared="mc-wire-first")
    write_outputs(compute(options), tmp_path / "o.xlsx", None)
    book = openpyxl.load_workbook(tmp_path / "o.xlsx")
    (sheet,) = (sheet for sheet in book.worksheets if "table_facts_asked" in sheet.tables)
    headings, *lines = sheet[sheet.tables["table_facts_asked"].ref]
    (place,) = (n for n, cell in enumerate(headings) if str(cell.value).startswith("answer"))
    assert len(lines) == 2
    for line in lines[:answered]:
        line[place].value = "yes"
    book.save(tmp_path / "e.xlsx")
    build, done = carry(options, tmp_path / "e.xlsx")
    said = "P-1 is asked for it in the row P-1: wet too: answer both alike, or tell it in the schedule"
    assert [r.why for r in done.refused] == ([said] if answered == 1 else [])
    wanted = "look" if answered == 1 else "meets"
    assert {v["space_check"] for v in rows(build, "verdicts") if v["circuit"] in ("P-1", "P-1: wet")} == {wanted}


def test_an_answer_that_is_none_is_refused_with_those_accepted(tmp_path: Path):
    options = laid(tmp_path, schedule=DAMP, compared="mc-wire-first")
    write_outputs(compute(options), tmp_path / "o.xlsx", None)
    type_into(tmp_path / "o.xlsx", tmp_path / "e.xlsx", [("facts_asked", "listed_for_place", "answer", "perhaps")])
    _, done = carry(options, tmp_path / "e.xlsx")
    assert [r.why for r in done.refused] == ['is no answer: "perhaps"; accepted: unknown, yes, no']
