"""The sheet Trace: whatever is chosen in its two cells, its terms add up to the figures of the other sheets."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from takeoff.build import compute
from takeoff.model.givens.words import BAD_CHOICE
from takeoff.report.output import write_outputs
from takeoff.workbook.sheets.plan import SUMMARY, TRACE
from tests import office
from tests.changes import INVENTED, tables_of
from tests.priced import laid
from tests.tables import called

SCHEDULE = """box,circuit,device,run_ft,fed_from,wires,area,repeat,construction
R1,KP-1,duplex,46,,,kitchen*,3,
R2,KP-1,duplex,12,,,kitchen*,,
R3,KP-1,gfci,12,,,store?,,
L1,KP-2,switch-3way,38,,A N,store?,,
L2,KP-2,switch-3way,27,,T1 T2 N,store,,
L3,KP-2,luminaire,11,,S1 N,store,,
R4,K*-2,duplex-ig,20,,A N IG,store,,
E1,KP-6,equipment-3p,48,,A B C,,2,emt-wire
"""
"""Areas and circuits whose names a search would take for patterns, circuits built more than once, a raceway."""

INPUTS = """learning_rate_pct = 90
material_tax_pct = 7.5
install_date = 2027-04-15
[areas."kitchen*"]
height = "from-ladder"
[circuits."KP-2"]
occupancy = "occupied"
[[lines]]
kind = "direct"
text = "lift"
material_usd = 400
hours = 3
"""

OPERATIONS = f"""operation,construction,title,driver,minutes,step,source
open-armor,mc-wire,"cut the armor, slide it off, look at the cut, take off the wrap",armor_ends,1.75,5,"{INVENTED}"
secure-cable,ac,strap the cable,cable_supports,0.45,4,"{INVENTED}"
"""
"""Minutes of one construction beside those for all: a term of its own."""

TITLED = {"AC with armor EGC": "ac", "MC with wire EGC": "mc-wire"}
"""What those two are called; all others take the minutes for all."""

PLANS = ("ac-first", "mc-wire-first")
SCOPES = {
    "whole job": lambda _: True,
    "area kitchen*": lambda box: box["area"] == "kitchen*",
    "area store?": lambda box: box["area"] == "store?",
    "area store": lambda box: box["area"] == "store",
    "area (no area)": lambda box: not box["area"],
    "circuit KP-1": lambda box: box["circuit"] == "KP-1",
    "circuit K*-2": lambda box: box["circuit"] == "K*-2",
    "box R1, circuit KP-1": lambda box: box["box"] == "R1",
    "box E1, circuit KP-6": lambda box: box["box"] == "E1",
}
"""What is chosen, and which rows of the sheet Boxes are in it."""

GOOD = [(plan, "whole job") for plan in PLANS]
GOOD += [(PLANS[n % 2], scope) for n, scope in enumerate(SCOPES) if scope != "whole job"]
BAD = [(None, "whole job"), ("ac-first", 5), ("a*", "=NA()")]


@pytest.fixture(scope="module")
def source(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("trace")
    options = laid(folder, toml=INPUTS, schedule=SCHEDULE, catalogs={"operations": OPERATIONS})
    write_outputs(compute(options), folder / "built.xlsx", None)
    return folder / "built.xlsx"


def chosen(source: Path, target: Path, plan: object, scope: object) -> None:
    """Choose in a copy of a workbook."""
    book = openpyxl.load_workbook(source)
    (_, (first, second, *_)) = book[TRACE][book[TRACE].tables["table_trace_choice"].ref]
    first.value, second.value = called(plan) if isinstance(plan, str) else plan, scope
    book.save(target)


@pytest.fixture(scope="module")
def books(
    source: Path, recalculate: Callable[[list[Path]], list[Path]], tmp_path_factory: pytest.TempPathFactory
) -> dict[tuple[object, object], dict[tuple[str, str], object]]:
    """Return the values of the workbook for each choice."""
    folder = tmp_path_factory.mktemp("chosen")
    files = [folder / f"{n}.xlsx" for n, _ in enumerate([*GOOD, *BAD])]
    for file, choice in zip(files, [*GOOD, *BAD], strict=True):
        chosen(source, file, *choice)
    return dict(zip([*GOOD, *BAD], map(office.values, recalculate(files)), strict=True))


def lines(source: Path, table: str, values: dict[tuple[str, str], Any]) -> Iterator[dict[str, Any]]:
    """Yield the lines of a table with the values of a recalculated workbook, by the words of the headings."""
    headings, *rows = tables_of(source)[table]
    for row in rows:
        found = [values.get((cell.parent.title, cell.coordinate), "") for cell in row]
        yield {str(h.value).removesuffix(" (input)"): v for h, v in zip(headings, found, strict=True)}


def figures(source: Path, values: dict[tuple[str, str], Any], column: str) -> dict[str, float]:
    return {line["figure"]: line[column] for line in lines(source, "trace_sums", values)}


@pytest.mark.libreoffice
@pytest.mark.parametrize(("plan", "scope"), GOOD)
def test_the_terms_add_up_to_the_boxes_of_the_scope(source: Path, books: Any, plan: str, scope: str):
    """Boxes, one by one and as often as they are built, against quantity x minutes and quantity x cost of one."""
    values = books[plan, scope]
    mine = [box for box in lines(source, "box_outcomes", values) if SCOPES[scope](box)]
    assert mine
    hours = sum(box[f"labor, {called(plan)}, min"] * box["times built, ea"] for box in mine) / 60
    material = sum(box[f"material, {called(plan)}, USD"] * box["times built, ea"] for box in mine)
    installed = sum(box[f"installed, {called(plan)}, USD"] * box["times built, ea"] for box in mine)
    wanted = {"labor, h": hours, "material, USD": material, "installed, USD": installed}
    labor = list(lines(source, "trace_labor", values))
    items = list(lines(source, "trace_material", values))
    terms = {
        "labor, h": sum(t["quantity as labor counts it, in its unit"] * t["minutes for one, min"] for t in labor) / 60,
        "material, USD": sum(t["quantity, ft or ea"] * t["cost of one, USD/ft or ea"] for t in items),
    }
    terms["installed, USD"] = terms["material, USD"] + sum(t["labor, USD"] for t in labor)
    assert terms == pytest.approx(wanted)
    here, there = (figures(source, values, f"{name}, USD or as named") for name in HEADS)
    assert {name: here[name] for name in wanted} == pytest.approx(wanted)
    assert there == pytest.approx(here)
    assert set(figures(source, values, "difference, USD or as named").values()) == {0}


HEADS = ("the terms below add up to", "as it stands elsewhere")


@pytest.mark.libreoffice
@pytest.mark.parametrize("plan", PLANS)
def test_the_whole_job_is_the_figure_of_the_summary_and_the_rest_stands_on_the_bid(source: Path, books: Any, plan: str):
    values = books[plan, "whole job"]
    (total,) = (line for line in lines(source, "totals", values) if line["plan"] == called(plan))
    here = figures(source, values, f"{HEADS[0]}, USD or as named")
    shown = {name: total[name] for name in ("labor, h", "material, USD", "installed, USD")}
    assert {name: here[name] for name in shown} == pytest.approx(shown)
    assert here["labor, USD"] == pytest.approx(total["installed, USD"] - total["material, USD"])
    (bid,) = lines(source, "trace_bid", values)
    assert bid["installed, USD"] + bid["the rest, USD"] == pytest.approx(bid["bid, USD"])
    assert bid["bid, USD"] == pytest.approx(total["bid, USD"])


@pytest.mark.libreoffice
@pytest.mark.parametrize(("plan", "scope"), BAD, ids=["cleared", "a number", "a pattern and an error"])
def test_what_is_in_no_list_is_said_in_a_sentence(source: Path, books: Any, plan: object, scope: object):
    """No figure, and no error in any cell but the one it was pasted into."""
    values = books[plan, scope]
    assert BAD_CHOICE in [v for (sheet, _), v in values.items() if sheet == TRACE]
    for name in (*HEADS, "difference"):
        assert set(figures(source, values, f"{name}, USD or as named").values()) == {0}
    choice = {cell.coordinate for cell in tables_of(source)["trace_choice"][1]}
    wrong = [c for (s, c), v in values.items() if s == TRACE and str(v).startswith("#") and c not in choice]
    assert wrong == []


def test_every_term_leads_to_the_row_of_its_minutes_or_its_price(source: Path):
    book = openpyxl.load_workbook(source)
    targets = {cell.coordinate: cell.hyperlink.location for row in book[TRACE] for cell in row if cell.hyperlink}

    def led(cell: Any) -> list[Any]:
        sheet, _, place = targets[cell.coordinate].replace("'", "").partition("!")
        return [c.value for c in book[sheet][book[sheet][place].row]]

    headings, *labor = tables_of(source)["trace_labor"]
    minutes = [h.value for h in headings].index("minutes for one, min")
    for operation, title, wired, *_ in (line for line in labor):
        assert {operation.value, title.value} <= set(led(operation))
        assert TITLED.get(wired.value, "all") in led(operation)
    assert {targets[line[minutes].coordinate].partition("!")[0] for line in labor} == {"Minutes"}
    for item, title, *_ in tables_of(source)["trace_material"][1:]:
        assert {item.value, title.value} <= set(led(item))
        assert targets[item.coordinate].startswith("'Prices'!")


def test_a_total_is_three_clicks_from_its_prices(source: Path):
    """Summary to Trace, the choice, the link of the term."""
    book = openpyxl.load_workbook(source)
    assert f"'{TRACE}'!A1" in {c.hyperlink.location for row in book[SUMMARY] for c in row if c.hyperlink}


def test_minutes_of_one_construction_are_a_term_of_their_own(source: Path):
    """OPERATIONS says so for Type MC with insulated EGC and for Type AC."""
    found = [(line[0].value, line[2].value) for line in tables_of(source)["trace_labor"][1:]]
    assert [wired for operation, wired in found if operation == "open-armor"].count("MC with wire EGC") == 1
    assert [wired for operation, wired in found if operation == "secure-cable"].count("AC with armor EGC") == 1
    assert [wired for operation, wired in found if operation == "mount-box"] == ["all"]
