"""The 25 workbook rules, checked over the workbook of the sample.

Basis: ICAEW, Twenty principles for good spreadsheet practice; FAST standard 01b/02a; error rates in
Powell, Baker and Lawson, Errors in Operational Spreadsheets (2007). The numbers are those of our list.
"""

from __future__ import annotations

import re
import zipfile
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path

import openpyxl
import pytest
from openpyxl.cell import Cell
from openpyxl.utils import column_index_from_string
from openpyxl.workbook import Workbook
from openpyxl.worksheet.worksheet import Worksheet
from reportlab.pdfbase.pdfmetrics import stringWidth

from takeoff.build import Build, Options, compute
from takeoff.engine.tables import YES_NO, Book
from takeoff.report.output import write_outputs
from takeoff.report.results import results_of
from takeoff.workbook.layout import heading
from takeoff.workbook.measure import HEADER, words_of
from takeoff.workbook.printing import DIGIT, LEAST, NUMBERED
from takeoff.workbook.references import LONGEST
from takeoff.workbook.sheets.order import SHEETS
from takeoff.workbook.sheets.plan import ABOUT, BREAKDOWN, CREW, INSPECTION, PROPOSAL, SUMMARY, SWAP, TRACE
from tests import office
from tests.benchmarks import audit
from tests.conftest import SAMPLES

PAGES = (SUMMARY, ABOUT, CREW, INSPECTION, SWAP, PROPOSAL)
FUNCTIONS = set(
    "ABS AND COUNTBLANK COUNTIF COUNTIFS FIXED HYPERLINK IF IFERROR INDEX ISERROR LEFT LEN LOG10 MATCH MAX MIN OR ROUND"
    " ROUNDUP ROW SIGN SQRT SUBTOTAL SUM SUMIFS SUMPRODUCT".split()
)
"""Functions of Excel 2016 and LibreOffice 7.4, none of them volatile."""

INPUT_CHECKS = {"out of range", "range", "not accepted", "choice"}
"""Headings of the only formulas on a sheet of inputs: they say whether the input beside them is accepted."""

CONSTANTS = {"0", "1", "9", "12", "60", "100", "109", "365", "1000"}
"""Nothing, one, digits that guard against noise, inches in a foot, minutes in an hour, percent, days in a year, feet in a thousand; 109 sums what a filter shows."""

REFERENCE = re.compile(r"(?<![A-Za-z0-9_.])(\$?)([A-Z]{1,3})(\$?)(\d+)(?![A-Za-z0-9_(.])")


@pytest.fixture(scope="module")
def book(sample_workbook: Path) -> Workbook:
    return openpyxl.load_workbook(sample_workbook)


@pytest.fixture(scope="module")
def shipped(sample_workbook: Path) -> dict[tuple[str, str], office.Cell]:
    return office.cells(sample_workbook)


CHOICE = ("A8", "B8")
"""The two cells of the sheet Trace that are chosen in."""


def kind(title: str) -> str:
    return next(p.kind for p in SHEETS if p.title == title)


def tables(book: Workbook) -> Iterator[tuple[Worksheet, list[list[Cell]]]]:
    """Yield every table with its sheet, headings first."""
    for sheet in book.worksheets:
        for table in sheet.tables.values():
            yield sheet, [list(row) for row in sheet[table.ref]]


def formulas(book: Workbook) -> Iterator[tuple[Worksheet, Cell]]:
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            yield from ((sheet, cell) for cell in row if cell.data_type == "f")


def relative(cell: Cell) -> str:
    """Return a formula in R1C1 form, so that copies of one formula are equal."""

    def one(match: re.Match[str]) -> str:
        row_fixed, column = match[3], column_index_from_string(match[2])
        row = f"R{match[4]}" if row_fixed else f"R[{int(match[4]) - cell.row}]"
        return row + (f"C{column}" if match[1] else f"C[{column - cell.column}]")

    return REFERENCE.sub(one, str(cell.value))


def without_texts(formula: str) -> str:
    return re.sub(r'"[^"]*"', '""', formula)


def test_rule_1_an_about_sheet_says_purpose_audience_use_version_and_limits(book: Workbook):
    """The summary stands first, as the reader wants it; the about sheet, which everybody finds, last."""
    assert (book.sheetnames[0], book.sheetnames[-1]) == (SUMMARY, ABOUT)
    labels = {row[0].value: row[1].value for row in book[ABOUT].iter_rows(max_col=2) if row[0].value}
    for label in (
        "Purpose",
        "For",
        "How to use",
        "Tool",
        "Schedule",
        "SHA-256 of the schedule",
        "Code edition at build",
        "Time",
    ):
        assert labels[label], label
    assert "Known limits" in labels
    assert labels["1"]


def test_rule_2_inputs_workings_and_results_stand_on_sheets_of_their_own(book: Workbook):
    for sheet, rows in tables(book):
        for row in rows[1:]:
            for cell in row:
                if kind(sheet.title) == "input":
                    checks = str(rows[0][cell.column - row[0].column].value).split(",")[0] in INPUT_CHECKS
                    assert cell.data_type != "f" or checks, f"formula on {sheet.title} {cell.coordinate}"
                elif kind(sheet.title) == "catalog":
                    assert cell.data_type != "f", f"formula on {sheet.title} {cell.coordinate}"
                elif cell.data_type == "n" and cell.value is not None:
                    assert cell.style in ("takeoff key", "takeoff fact"), f"constant on {sheet.title} {cell.coordinate}"


def test_rule_3_inputs_and_only_inputs_look_like_inputs(book: Workbook):
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.style == "takeoff input":
                    assert cell.data_type != "f"
                    assert not cell.protection.locked
                    legend = sheet.title == ABOUT
                    choice = sheet.title == TRACE and cell.coordinate in CHOICE
                    assert kind(sheet.title) in ("input", "catalog") or legend or choice
                elif cell.value is not None:
                    assert cell.protection.locked, f"{sheet.title} {cell.coordinate}"


def test_rule_3_inputs_are_named_by_a_word_not_by_color_alone(book: Workbook):
    for sheet, rows in tables(book):
        for headed, *column in zip(*rows, strict=True):
            inputs = [cell.style == "takeoff input" for cell in column]
            assert str(headed.value).endswith("(input)") == all(inputs) == any(inputs), f"{sheet.title} {headed.value}"


def test_rule_4_every_input_has_label_name_unit_value_source_and_note(book: Workbook):
    wanted = ["input", "name for --set", "value", "unit", "accepted", "what it changes", "source"]
    found = 0
    for _, rows in tables(book):
        headings = [str(c.value).split(",")[0].removesuffix(" (input)") for c in rows[0]]
        if headings[: len(wanted)] == wanted:
            for row in rows[1:]:
                found += 1
                assert all(c.value not in (None, "") for c in row[: len(wanted)])
    assert found >= 9


STANDS_IN_A_ROW = re.compile(
    r'"[^"]*"|(?:\'[^\']*\'!|\b[A-Z][A-Za-z]*!)?\$[A-Z]{1,3}\$\d+(?::\$[A-Z]{1,3}\$\d+)?'
    r"|(?<![A-Za-z0-9_.$:])\d+(?:\.\d+)?(?![A-Za-z0-9_.:])"
)
"""A text, a cell or range of a known row, or a number: each may stand in the place of another in the next row."""


def test_rule_5_no_constants_in_formulas(book: Workbook):
    """A number that differs from row to row, or takes the place of a cell, is known; any other one is a constant."""
    columns = [
        (str(headed.value), [c for c in column if c.data_type == "f"])
        for _, rows in tables(book)
        for headed, *column in zip(*rows, strict=True)
    ]
    of_tables = {(c.parent.title, c.coordinate) for _, column in columns for c in column}
    alone = [("", [cell]) for sheet, cell in formulas(book) if (sheet.title, cell.coordinate) not in of_tables]
    for title, column in ((t, found) for t, found in [*columns, *alone] if found):
        parts = [STANDS_IN_A_ROW.findall(str(cell.value)) for cell in column]
        always = {found[0] for found in zip(*parts, strict=True) if len(set(found)) == 1}
        constants = {part for part in always if part[0].isdigit()} - set(
            re.findall(r", (?:grave )?(\d+)(?:, ea)?$", title)
        )
        assert constants <= CONSTANTS, f"{column[0].parent.title} {title} {column[0].value}"


def shape(cell: Cell) -> str:
    """Return a formula with references to its own row relative, and one sign for what stands in a known row."""
    found = STANDS_IN_A_ROW.sub("#", str(cell.value))
    return REFERENCE.sub(lambda m: f"[{m[2]}{m[4] if m[3] else int(m[4]) - cell.row}]", found)


def test_rule_6_one_formula_for_each_column_block(book: Workbook):
    columns = 0
    for sheet, rows in tables(book):
        for headed, *column in zip(*rows, strict=True):
            kinds = {shape(c) if c.data_type == "f" else "" for c in column}
            assert len(kinds) == 1, f"{sheet.title} {headed.value}: {sorted(kinds)[:3]}"
            columns += kinds != {""}
    assert columns > 300


def test_rule_7_nothing_is_calculated_twice(book: Workbook):
    """No sum or count over a table stands in two columns; blocks, told apart by the key above them, aside."""
    seen: dict[str, list[str]] = defaultdict(list)
    for sheet, rows in tables(book):
        headings = {c.column: str(c.value) for c in rows[0]}
        above = f"${rows[0][0].row - 1}"
        for headed, cell in zip(rows[0], rows[1], strict=True):
            if cell.data_type == "f" and re.search(r"SUM|COUNT", str(cell.value)) and above not in str(cell.value):
                by_heading = partial(re.sub, r"R\[0\]C(\d+)", partial(_heading, headings))
                seen[by_heading(relative(cell))].append(f"{sheet.title} {headed.value}")
    assert {f: where for f, where in seen.items() if len(where) > 1} == {}


def _heading(headings: dict[int, str], match: re.Match[str]) -> str:
    return f"[{headings[int(match[1])]}]"


def test_rule_8_formulas_are_short(book: Workbook):
    longest = max(((len(str(c.value)), s.title, c.coordinate, c.value) for s, c in formulas(book)), key=lambda f: f[0])
    assert longest[0] <= LONGEST, longest


def test_rule_9_tests_are_not_nested(book: Workbook):
    for sheet, cell in formulas(book):
        depth, stack = 0, []
        for token in re.findall(r"[A-Z]+\(|\(|\)", without_texts(str(cell.value))):
            if token == ")":
                stack.pop()
            else:
                stack.append(token)
                depth = max(depth, stack.count("IF("))
        assert depth <= 1, f"{sheet.title} {cell.coordinate} {cell.value}"


def test_rule_10_few_functions_none_volatile(book: Workbook):
    used = {f for _, c in formulas(book) for f in re.findall(r"([A-Z][A-Z0-9.]*)\(", without_texts(str(c.value)))}
    assert used <= FUNCTIONS


def test_rule_11_no_links_macros_or_circles(sample_workbook: Path, sample_build: Build):
    names = zipfile.ZipFile(sample_workbook).namelist()
    assert not [n for n in names if "vba" in n.lower() or "externalLink" in n or n.endswith(".bin")]
    text = b"".join(zipfile.ZipFile(sample_workbook).read(n) for n in names if n.endswith(".rels"))
    assert b"TargetMode" not in text
    # a circle would have stopped the build: every column was computed after those it reads
    assert all(
        len(sample_build.book.values(t.name, c.name)) == len(t) for t in sample_build.book.tables.values() for c in t
    )


def test_rule_12_columns_of_one_name_have_one_unit(sample_build: Build):
    shared = {
        "construction": "",
        "plan": "",
        "wired_as": "",
        "repeat": "ea",
        "run_row": "no.",
        "material_usd": "USD",
        "circuit": "",
    }
    for table in sample_build.book.tables.values():
        for column in table:
            if column.name in shared:
                assert column.unit == shared[column.name], f"{table.name}.{column.name}"


RESULTS_FIRST = {"material", "order_list"}
"""Tables that are read as they stand: what is asked for stands first, and the steps to it to the right."""


def test_rule_13_columns_read_from_left_to_right(sample_build: Build):
    kinds = {name: plan.kind for plan in SHEETS for name in plan.tables}
    assert {kinds[name] for name in RESULTS_FIRST} == {"result"}
    for table in (t for t in sample_build.book.tables.values() if t.name not in RESULTS_FIRST):
        before = {f.name for f in table.fields}
        for column in table.columns:
            for other, name in column.expr.reads():
                if not other:
                    members = set(table.blocks.get(name, [name]))
                    assert members <= before, f"{table.name}.{column.name} reads {name} to its right"
            before.add(column.name)


def test_rule_14_every_number_has_a_unit_in_its_heading(book: Workbook, shipped: dict[tuple[str, str], office.Cell]):
    for sheet, rows in tables(book):
        for headed, *column in zip(*rows, strict=True):
            values = [
                shipped[sheet.title, c.coordinate].value for c in column if (sheet.title, c.coordinate) in shipped
            ]
            if values and all(isinstance(v, float) for v in values) and column[0].number_format != YES_NO:
                assert re.search(r", [^,]+$", str(headed.value)), f"{sheet.title} {headed.value}"


def test_rule_15_the_signs_are_said_once_and_hold(book: Workbook, sample_build: Build):
    about = " ".join(str(c.value) for row in book[ABOUT].iter_rows() for c in row if c.value)
    assert "A difference is a plan less the base: negative costs less." in about
    totals = sample_build.book
    bid, difference = totals.values("bid", "bid_usd"), totals.values("totals", "difference")
    base = sample_build.frame.compared.index(str(sample_build.inputs["base_plan"]))
    assert difference.astype(float) == pytest.approx(bid - bid[base])


def test_rule_16_every_proof_is_closed(sample_build: Build):
    assert sample_build.book.values("proofs", "open").sum() == 0
    assert len(sample_build.book.tables["proofs"]) == 13 * len(sample_build.frame.compared)


def test_rule_17_the_master_check_stands_on_every_sheet(book: Workbook):
    for sheet in book.worksheets:
        assert sheet["A3"].value == "=master.status", sheet.title


def test_rule_18_feet_hours_and_money_balance_by_two_routes(sample_build: Build):
    """Added up here box by box, and as the lists of runs, operations and items have them."""
    book, results = sample_build.book, results_of(sample_build)
    box_tail, panel_tail = (float(str(sample_build.inputs[n])) for n in ("box_tail_ft", "panel_tail_ft"))
    feet = sum(
        (b.source.run_ft + box_tail + (panel_tail if b.from_panel else box_tail)) * b.circuit.repeat
        for b in sample_build.job.boxes
    )
    for n, (name, totals) in enumerate(results["plans"].items(), start=1):
        mine = [b for b in results["boxes"] if b["plan"] == name]
        assert len(mine) == len(sample_build.job.schedule.boxes)
        assert book.values("orders", f"wire_ft_{n}").sum() == pytest.approx(feet)
        hours = sum(b["minutes"] * b["repeat"] for b in mine) / 60
        assert hours == pytest.approx(book.values("labor", f"hours_{n}").sum()) == pytest.approx(totals["labor_hours"])
        money = sum(b["material_cost"] * b["repeat"] for b in mine)
        assert money == pytest.approx(book.values("material", f"usd_{n}").sum())
        assert money == pytest.approx(totals["material_cost"])


@pytest.mark.parametrize(
    ("table", "column", "proof"),
    [
        ("each", "wire_ft", "feet of the schedule with tails = feet of all run kinds"),
        ("labor_lines", "hours", "hours by box = hours by operation"),
        ("verdicts", "hours", "hours by box = hours by circuit"),
        ("material", "usd", "material by box = material by item"),
        ("verdicts", "material_usd", "material by box = material by circuit"),
        ("area_totals", "hours", "hours by box = hours by area"),
        ("area_totals", "material_usd", "material = material by area + coil remainder"),
        ("bid", "material_usd", "material = material in the bid"),
    ],
)
def test_rule_18_a_broken_route_opens_its_proof_and_the_master_check(
    sample_build: Build, table: str, column: str, proof: str
):
    """One route is made wrong by a tenth: its proof opens in every plan, and no other does."""
    whole = sample_build.book.tables
    wrong = [
        replace(c, expr=c.expr * 1.1) if re.fullmatch(rf"{column}(_\d)?", c.name) else c for c in whole[table].columns
    ]
    book = Book([replace(t, columns=wrong) if t.name == table else t for t in whole.values()], sample_build.inputs)
    proofs = zip(whole["proofs"].data["proof"], book.values("proofs", "open"), strict=True)
    assert [p for p, is_open in proofs if is_open] == [proof] * len(sample_build.frame.compared)
    assert book.values("master", "open")[0] == len(sample_build.frame.compared)


def test_rule_19_the_file_read_and_the_options_are_recorded(book: Workbook, sample_build: Build):
    import hashlib

    labels = {row[0].value: row[1].value for row in book[ABOUT].iter_rows(max_col=2) if row[0].value}
    digest = hashlib.sha256(sample_build.options.schedule.read_bytes()).hexdigest()
    assert labels["SHA-256 of the schedule"] == digest
    assert {"Option --set", "Option --inputs", "Option --catalogs", "Plans compared", "Tool"} <= set(labels)


def test_rule_20_limits_and_cautions_are_printed_with_the_results(book: Workbook):
    summary = " ".join(str(c.value) for row in book[SUMMARY].iter_rows() for c in row if c.value)
    assert "authority having jurisdiction" in summary
    for sheet in book.worksheets:
        assert "authority having jurisdiction" in sheet.oddFooter.left.text


def test_rule_21_nothing_is_hidden(book: Workbook, sample_workbook: Path):
    for sheet in book.worksheets:
        assert sheet.sheet_state == "visible"
        assert not [d for d in [*sheet.row_dimensions.values(), *sheet.column_dimensions.values()] if d.hidden]
        assert not sheet.merged_cells.ranges
    names = re.findall(rb"<definedName [^>]*>", zipfile.ZipFile(sample_workbook).read("xl/workbook.xml"))
    assert not [n for n in names if b"hidden" in n]


def test_rule_22_inputs_say_what_they_accept(book: Workbook):
    for sheet, rows in tables(book):
        for headed, *column in zip(*rows, strict=True):
            if str(headed.value).endswith("(input)"):
                ruled = [r for dv in sheet.data_validations.dataValidation for r in dv.sqref.ranges]
                for cell in column:
                    assert any(cell.coordinate in r for r in ruled), f"{sheet.title} {headed.value} {cell.coordinate}"
    plans = {
        cell.value for row in book["Inputs"].iter_rows() for cell in row if cell.value in ("base_plan", "swap_from")
    }
    assert plans == {"base_plan", "swap_from"}


def test_rule_23_sheets_are_guarded_without_a_password(book: Workbook):
    for sheet in book.worksheets:
        assert sheet.protection.sheet
        assert sheet.protection.password is None
    assert book.security is None or book.security.workbookPassword is None


def test_rule_24_pages_are_ready_to_print(book: Workbook):
    """Pages fit in their width; tables have a scale that is readable, and the headings of long ones on every page."""
    for plan in SHEETS:
        sheet, setup = book[plan.title], book[plan.title].page_setup
        if sheet.title in (SUMMARY, ABOUT):
            assert setup.orientation == ("landscape" if sheet.title == SUMMARY else "portrait")
            assert setup.fitToWidth == 1
            assert sheet.sheet_properties.pageSetUpPr.fitToPage
        else:  # page breaks hold for sure where a page is not fitted: a scale stands instead
            assert setup.scale >= 100 * LEAST[plan.kind] - 1, sheet.title
            assert not sheet.sheet_properties.pageSetUpPr.fitToPage
        if sheet.title == SUMMARY:  # a full page: the foot says what heads say elsewhere
            assert (sheet.oddHeader.left.text, sheet.oddFooter.right.text) == (None, "&F, &A, &D, page &P of &N")
        else:
            assert (sheet.oddHeader.left.text, sheet.oddHeader.right.text) == ("&F", "&D")
            assert sheet.oddFooter.right.text == "Page &P of &N"
        if sheet.title not in PAGES:
            assert sheet.freeze_panes
            assert sheet.print_area
            assert bool(sheet.print_title_rows) == bool(plan.long), sheet.title
            assert bool(sheet.print_options.headings) == (plan.kind in NUMBERED), sheet.title
    assert book[CREW].row_breaks.brk
    assert book[SUMMARY].page_setup.fitToHeight == 1
    assert all(book[t].page_setup.scale == 100 and book[t].row_breaks.brk for t in (SWAP, PROPOSAL))


def test_rule_25_no_error_is_ever_shown(shipped: dict[tuple[str, str], office.Cell]):
    assert not [c for c in shipped.values() if isinstance(c.value, str) and c.value.startswith("#")]


def test_every_computed_cell_carries_its_value(shipped: dict[tuple[str, str], office.Cell]):
    assert all(c.value is not None for c in shipped.values() if c.formula)


def test_every_table_has_a_filter_and_headings_of_its_own(book: Workbook):
    seen = 0
    for sheet in book.worksheets:
        for table in sheet.tables.values():
            seen += 1
            assert table.autoFilter is None or table.autoFilter.ref == table.ref
            headings = [c.value for c in sheet[table.ref][0]]
            assert len({str(h).casefold() for h in headings}) == len(headings)
            assert headings == [c.name for c in table.tableColumns]
    assert seen > 50


def test_names_are_names_in_every_program(book: Workbook):
    for name in book.defined_names:
        assert re.fullmatch(r"[a-z][a-z0-9_]*(\.[a-z0-9_]+)?", name), name
        assert not re.fullmatch(r"[a-z]{1,3}\d+", name), f"{name} is a cell"


def test_no_cell_says_compliant(shipped: dict[tuple[str, str], office.Cell]):
    assert not [p for p, c in shipped.items() if isinstance(c.value, str) and "compliant" in c.value.lower()]


def test_charts_have_titles_axes_cached_points_and_a_description(sample_workbook: Path):
    archive = zipfile.ZipFile(sample_workbook)
    charts = [archive.read(n).decode() for n in archive.namelist() if re.fullmatch(r"xl/charts/chart\d+\.xml", n)]
    assert len(charts) == 8  # two on the summary, one of the ground path, five of the swap
    for chart in charts:
        assert chart.count("<title>") + chart.count("<c:title>") >= 3
        assert chart.count("numCache") >= 2
        assert "pattFill" in chart or "prstDash" in chart or chart.count("<ser>") == 1
    drawing = archive.read("xl/drawings/drawing1.xml").decode()
    assert drawing.count('descr="What makes the difference: next plan less the lowest, USD. As built: ') == 1
    assert drawing.count('descr="Ground terminations in a box by plan, in terminations. As built: ') == 1


def test_every_number_fits_its_column(sample_build: Build, book: Workbook):
    """A number wider than its column shows as ###: digits, marks of thousands and the point, against the width."""
    tables = {t.displayName.removeprefix("table_"): (s, t.ref) for s in book.worksheets for t in s.tables.values()}
    for name, (sheet, ref) in tables.items():
        for cell in sheet[ref][1]:
            form = cell.number_format.partition(";")[0]
            places = re.search(r"\.([0#]+)", form)
            letter = cell.column_letter
            head = sheet[ref][0][cell.column - sheet[ref][0][0].column].value
            table = sample_build.book.tables.get(name)
            if table is None or form == "General" or "y" in form or "E" in form:
                continue
            column = next(c for c in table if heading(c) == head)
            values = sample_build.book.values(name, column.name)
            numbers = [float(v) for v in values if not isinstance(v, str)]
            widest = max((len(f"{v:,.{len(places[1]) if places else 0}f}") for v in numbers), default=0)
            assert widest <= sheet.column_dimensions[letter].width + 0.5, f"{sheet.title} {head}"


def links_of(sheet: Worksheet) -> dict[str, str]:
    return {c.coordinate: str(c.hyperlink.location) for row in sheet.iter_rows() for c in row if c.hyperlink}


def test_every_sheet_leads_to_the_summary_and_the_summary_to_every_sheet(book: Workbook):
    """The line of the link holds nothing else: a text beside it would cut it."""
    for sheet in book.worksheets[1:]:
        assert links_of(sheet).get("A4") == f"'{SUMMARY}'!A1", sheet.title
        assert [c.value for c in sheet[4] if c.value is not None] == ["to the Summary"], sheet.title
    assert {f"'{name}'!A1" for name in book.sheetnames[1:]} <= set(links_of(book[SUMMARY]).values())


def test_a_figure_of_the_summary_leads_to_a_cell_that_shows_it(
    book: Workbook, shipped: dict[tuple[str, str], office.Cell]
):
    figures = {c: to.replace("$", "") for c, to in links_of(book[SUMMARY]).items() if not to.endswith("!A1")}
    assert len(figures) > 60
    for here, to in figures.items():
        sheet, _, cell = to.partition("!")
        assert shipped[SUMMARY, here].value == shipped[sheet.strip("'"), cell].value, (here, to)


def test_an_operation_and_an_item_lead_to_their_minutes_and_price(book: Workbook):
    leads = {c: to for c, to in links_of(book[BREAKDOWN]).items() if c != "A4"}
    assert {to.partition("!")[0] for to in leads.values()} == {"'Minutes'", "'Prices'"}
    for here, to in leads.items():
        sheet, _, cell = to.partition("!")
        assert book[sheet.strip("'")][cell].value == book[BREAKDOWN][here].value


def test_the_file_suits_other_readers(sample_workbook: Path):
    """Texts of digits are meant so, drawing parts carry the usual prefix, and no date is made up."""
    with zipfile.ZipFile(sample_workbook) as archive:
        parts = {name: archive.read(name).decode() for name in archive.namelist() if name.endswith(".xml")}
    sheets = [text for name, text in parts.items() if name.startswith("xl/worksheets/")]
    assert all('numberStoredAsText="1"' in text for text in sheets)
    assert all("<xdr:wsDr" in text for name, text in parts.items() if name.startswith("xl/drawings/drawing"))
    assert "created" not in parts["docProps/core.xml"]  # the sample has no date of the estimate
    assert "lockStructure" not in parts["xl/workbook.xml"]


def test_about_says_what_was_drawn_by_chance(book: Workbook, sample_build: Build):
    labels = {row[0].value: row[1].value for row in book[ABOUT].iter_rows(max_col=2) if row[0].value}
    draws, seed = sample_build.inputs["risk_draws"], sample_build.inputs["risk_seed"]
    assert labels["Chance"].startswith(f"Only the risk of a swap is drawn: {draws} draws with the seed {seed},")


@pytest.mark.parametrize(("sample", "cells"), [("two-story.csv", 120_000), ("small.csv", 25_000)])
def test_the_workbook_stays_small(sample: str, cells: int, sample_workbook: Path, tmp_path: Path):
    path = sample_workbook
    if sample != sample_workbook.with_suffix(".csv").name:
        path = tmp_path / "book.xlsx"
        write_outputs(compute(Options(SAMPLES / sample)), path, None)
    assert cells / 2 < len(office.formulas(path)) <= cells
    assert len(audit.titles(path)) <= 26
    assert len(audit.names(path)) <= 150


def test_there_are_few_enough_columns_to_read(sample_workbook: Path):
    """Columns of sheets with formulas in them: the tables that stand below each other share theirs."""
    assert 400 < audit.columns(office.formulas(sample_workbook)) <= 800


def test_sheets_read_to_the_right_and_never_in_a_circle(
    sample_workbook: Path, shipped: dict[tuple[str, str], office.Cell]
):
    """Inputs and catalogs are read where they stand; the lines on top of a sheet repeat results of others."""
    pairs = audit.reads({place: c.formula for place, c in shipped.items() if c.formula}, audit.names(sample_workbook))
    given = [plan.title for plan in SHEETS if plan.kind in ("input", "catalog")]
    assert len(pairs) > 30
    assert audit.loops(pairs) == []
    assert audit.leftward(pairs, audit.titles(sample_workbook), given) == []


def test_circles_and_reads_to_the_left_would_be_found():
    """The measure itself: names, texts, sheets in quotes, status lines, circles by way of others."""
    cells = {
        ("A", "B9"): "SUM('B c'!$A$1:$A$3)+rate",
        ("B c", "A12"): 'IF(D!$A$1="A!$B$9",1,0)',
        ("D", "A5"): "A!$B$9",
        ("E", "C4"): "A!$B$9",
    }
    pairs = audit.reads(cells, {"rate": "Inputs"})
    assert set(pairs) == {("A", "B c"), ("A", "Inputs"), ("B c", "D"), ("D", "A")}
    assert audit.loops(pairs) == [["A", "B c", "D"]]
    assert audit.loops(set(pairs) - {("D", "A")}) == []
    order = ["Inputs", "A", "B c", "D"]
    assert audit.leftward(pairs, order, ["Inputs"]) == [("D", "A")]
    assert audit.leftward(pairs, order, []) == [("A", "Inputs"), ("D", "A")]


def test_headings_break_between_words_only(book: Workbook):
    """As LibreOffice draws them: an indent of three spaces, 0.35 mm at each side, a digit of 10 points for a unit."""
    for sheet, rows in tables(book):
        for head in rows[0]:
            room = sheet.column_dimensions[head.column_letter].width * DIGIT - 13.7
            for word in words_of(str(head.value)):
                assert stringWidth(word, "Helvetica-Bold", HEADER) * 96 / 72 <= room, f"{sheet.title}: {word}"


@pytest.mark.libreoffice
def test_results_and_inputs_print_on_few_pages(sample_workbook: Path, tmp_path: Path):
    """Printed by LibreOffice, with one page left of each working sheet and catalog; the sheet About is no result."""
    book = openpyxl.load_workbook(sample_workbook)
    others = [book[p.title] for p in SHEETS if p.kind in ("working", "catalog") or p.title == ABOUT]
    for sheet in others:
        sheet.print_area, sheet.row_breaks.brk, sheet.col_breaks.brk = "A1", [], []
        sheet.print_title_rows = sheet.print_title_cols = None
    book.save(tmp_path / "results.xlsx")
    office.convert(tmp_path / "profile", [tmp_path / "results.xlsx"], "pdf", tmp_path)
    pages = re.findall(rb"/Type\s*/Page[^s]", (tmp_path / "results.pdf").read_bytes())
    assert len(pages) - len(others) <= 60


def test_boxes_print_up_to_what_a_box_costs_in_every_plan(book: Workbook):
    """The last column in print is the installed cost in the last plan, with and without control pairs before it."""
    sheet = book["Boxes"]
    last = re.search(r"\$([A-Z]+)\$\d+$", str(sheet.print_area))
    assert last
    assert str(sheet[f"{last[1]}7"].value).startswith("installed, MC armor EGC first")
