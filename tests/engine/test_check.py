"""Slips in a definition are found before anything is computed, and said with table and column."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import replace

import pytest

from takeoff.build import Build
from takeoff.engine.aggregates import CountBy, CountSmaller, SumBy, SumProducts, SumWhere
from takeoff.engine.chains import Chain, Highest, Running
from takeoff.engine.check import check
from takeoff.engine.errors import DefinitionError
from takeoff.engine.expr import Expr, Head, as_expr, call, col, equal, flag, given, less, ratio, same, when
from takeoff.engine.lookups import At, CellAt, CountAcross, Dot, Match, Named, Total, look
from takeoff.engine.tables import Book, Column, Field, Table

UNITS = {"waste_pct": "%", "choice": ""}


def mine(columns: Sequence[Column], blocks: dict[str, list[str]] | None = None) -> Table:
    fields = [
        Field("key", "key", role="key"),
        Field("place", "place", "no."),
        Field("runs", "runs", "ea"),
        Field("length_ft", "length", "ft"),
        Field("word", "word"),
    ]
    data = {"key": ["a", "b"], "place": [1, 2], "runs": [3, 4], "length_ft": [10.0, 20.0], "word": ["x", "y"]}
    return Table("mine", "Mine", fields, columns, data, {"numbers": ["runs", "length_ft"], **(blocks or {})})


def theirs(columns: Sequence[Column] = ()) -> Table:
    fields = [
        Field("key", "key", role="key"),
        Field("price_usd", "price", "USD"),
        Field("name", "name"),
        Field("unit", "unit"),
    ]
    data = {"key": ["a", "b"], "price_usd": [1.5, 2.5], "name": ["one", "two"], "unit": ["USD", "ft"]}
    return Table("theirs", "Theirs", fields, columns, data, {"entries": ["price_usd", "name"], "prices": ["price_usd"]})


def book_of(columns: Sequence[Column], *others: Table) -> Book:
    return Book([mine(columns), *(others or [theirs()])], {"waste_pct": 5.0, "choice": "wire"})


def passes(expr: Expr, unit: str = "") -> None:
    check(book_of([Column("found", "found", unit, expr)]), UNITS)


def refused(expr: Expr, unit: str = "") -> str:
    """Return what is said of a column, after its place."""
    with pytest.raises(DefinitionError) as wrong:
        passes(expr, unit)
    place, _, said = str(wrong.value).partition(": ")
    assert place == "mine.found"
    return said


def test_a_table_that_does_not_exist_is_named_with_the_nearest():
    assert refused(look("their", "price_usd", col("key"))) == "reads table their, which does not exist; nearest: theirs"
    assert refused(Total("elsewhere", "x")) == "reads table elsewhere, which does not exist"


@pytest.mark.parametrize(
    ("expr", "said"),
    [
        (col("lenght_ft"), "reads mine.lenght_ft, which does not exist; nearest: length_ft"),
        (At("theirs", "price", col("place")), "reads theirs.price, which does not exist; nearest: prices, price_usd"),
        (Dot("number", "theirs", "prices", col("place")), "reads mine.number, which does not exist; nearest: numbers"),
        (
            CellAt("theirs", "entrys", col("place"), as_expr(1)),
            "reads theirs.entrys, which does not exist; nearest: en",
        ),
        (CountBy("theirs", {"nam": col("word")}), "reads theirs.nam, which does not exist; nearest: name"),
        (given("waste_pc"), "reads input waste_pc, which does not exist; nearest: waste_pct"),
    ],
)
def test_a_column_block_or_input_that_does_not_exist_is_named_with_the_nearest(expr: Expr, said: str):
    assert refused(expr).startswith(said)


def test_a_block_that_names_a_column_that_does_not_exist_is_refused():
    column = Column("found", "found", "ea", CountAcross("pair", "x"))
    book = Book([mine([column], {"pair": ["word", "wort"]})], {})
    with pytest.raises(DefinitionError, match=r"^mine\.found: reads mine\.wort, which does not exist; nearest: word$"):
        check(book, {})


def test_two_columns_of_one_name_are_refused():
    with pytest.raises(DefinitionError, match=r"^mine\.runs: two columns have this name$"):
        check(book_of([Column("runs", "again", "ea", col("place"))]), UNITS)
    twice = [Column("found", "one", "ea", col("runs")), Column("found", "other", "ea", col("runs"))]
    with pytest.raises(DefinitionError, match=r"^mine\.found: two columns have this name$"):
        check(book_of(twice), UNITS)


def test_two_tables_of_one_name_are_refused_at_once_and_when_they_are_added():
    with pytest.raises(DefinitionError, match="two tables have the name theirs"):
        Book([theirs(), theirs()], {})
    with pytest.raises(DefinitionError, match="two tables have the name theirs"):
        book_of([]).add([theirs()])


def test_two_headings_alike_are_refused_but_not_where_the_unit_differs():
    column = Column("found", "LENGTH", "ft", col("length_ft"))
    with pytest.raises(DefinitionError, match=r"^mine\.found: has the heading of length_ft, 'LENGTH'$"):
        check(book_of([column]), UNITS)
    check(book_of([replace(column, unit="in", expr=col("length_ft") * 12)]), UNITS)


def test_an_operation_that_does_not_exist_is_named_with_the_nearest():
    with pytest.raises(DefinitionError, match=r"^there is no operation 'abs'; nearest: absolute$"):
        call("abs", 1)
    with pytest.raises(DefinitionError, match=r"^there is no operation 'xyz'$"):
        call("xyz", 1)


@pytest.mark.parametrize(
    ("expr", "number"),
    [
        (col("runs") * 7, "7"),
        (when(less(col("runs"), 2.5), 1, 0), "2.5"),
        (when(less(0, col("runs")), col("runs"), 4), "4"),
        (At("theirs", "price_usd", col("place"), 9), "9"),
        (as_expr(-1), "-1"),
        (Running(col("runs") + 2), "2"),
    ],
)
def test_a_number_in_a_formula_is_refused(expr: Expr, number: str):
    assert refused(expr) == f"the number {number} is written into the formula; let it stand in a cell"


def test_numbers_that_convert_units_and_places_of_a_list_may_stand_in_a_formula():
    passes(ratio(col("runs") * 12, 1000, 0) + 1 - 1)
    passes(flag(less(3, col("place"))), "0/1")
    assert "number 3" in refused(flag(less(3, col("runs"))), "0/1")


def test_a_choice_inside_a_choice_is_refused_wherever_it_stands():
    inner = when(equal(col("runs"), 0), 1, 0)
    said = "a choice stands inside a choice; make the inner one a column of its own"
    assert refused(when(equal(col("place"), 1), 1, inner)) == said
    assert refused(when(equal(inner, 1), 1, 0)) == said
    assert refused(when(equal(col("place"), 1), look("theirs", "price_usd", inner + 1), 0)) == said
    passes(inner + inner, "ea")


def test_columns_of_a_row_that_read_each_other_are_refused_but_reading_to_the_right_is_not():
    def columns(last: Expr) -> list[Column]:
        return [
            Column("first", "first", "ea", col("second")),
            Column("second", "second", "ea", CountAcross("pair", "x") + col("third")),
            Column("third", "third", "ea", last),
        ]

    check(
        book_of(columns(col("runs"))[:1] + columns(col("runs"))[2:] + [Column("second", "2", "ea", col("third"))]), {}
    )
    book = Book([mine(columns(col("runs")), {"pair": ["word", "first"]})], {})
    with pytest.raises(DefinitionError, match=r"columns read each other: .*mine\.(first|second)") as wrong:
        check(book, {})
    assert {f"mine.{name}" for name in ("first", "second")} <= set(str(wrong.value).split(": ")[1].split(" -> "))
    with pytest.raises(DefinitionError, match=r"columns read each other: mine\.third -> mine\.third"):
        check(book_of([columns(SumBy("mine", "third", {"key": col("key")}))[2]]), UNITS)


def test_tables_that_read_each_other_are_refused_with_the_columns_that_close_the_circle():
    reading = Column("back", "back", "ea", SumBy("mine", "runs", {"key": col("key")}))
    found = Column("found", "found", "USD", look("theirs", "price_usd", col("key")))
    check(book_of([found]), UNITS)
    check(book_of([], theirs([reading])), UNITS)
    with pytest.raises(DefinitionError, match=r"^tables read each other: ") as wrong:
        check(book_of([found], theirs([reading])), UNITS)
    steps = str(wrong.value).partition(": ")[2].split("; ")
    assert {s.partition(" reads ")[0] for s in steps} == {"mine.found", "theirs.back"}


NAME = look("theirs", "name", col("key"))
MAYBE = when(equal(col("place"), 1), "-", col("runs"))


@pytest.mark.parametrize(
    "expr",
    [
        col("word") + 1,
        NAME * col("runs"),
        MAYBE + 1,
        less(0, MAYBE),
        call("max", 0, At("theirs", "price_usd", col("place"), "none")),
        call("nine", ratio(col("runs"), col("runs"), "-")),
        call("up", col("word") & "x"),
        given("choice") + 1,
        CellAt("theirs", "entries", col("place"), col("place")) * 1,
        Highest("theirs", "name", col("place"), col("place")) - 1,
        Running(col("word")),
        Chain(col("place"), MAYBE),
        CountSmaller("theirs", {}, "price_usd", col("word")),
        Head() + 1,
    ],
)
def test_reckoning_with_what_may_be_a_text_is_refused(expr: Expr):
    column = Column("found", "found", "", expr, head="one")
    with pytest.raises(DefinitionError, match=r"^mine\.found: reckons with an expression that may be a text$"):
        check(book_of([column]), UNITS)


@pytest.mark.parametrize(
    ("expr", "column"),
    [
        (SumBy("theirs", "name", {"key": col("key")}), "theirs.name"),
        (Total("theirs", "name"), "theirs.name"),
        (SumProducts("theirs", ["price_usd", ("entries", col("place"))], {}), "theirs.name"),
        (SumWhere("theirs", "name", "prices", col("place"), ">"), "theirs.name"),
        (Dot("numbers", "theirs", "entries", col("place")), "theirs.name"),
    ],
)
def test_adding_up_a_column_that_may_hold_a_text_is_refused(expr: Expr, column: str):
    assert refused(expr) == f"reckons with {column}, which may hold a text"


def test_a_text_is_followed_from_column_to_column_and_may_be_joined_compared_and_shown():
    columns = [Column("shown", "shown", "", MAYBE), Column("found", "found", "", col("shown") + 1)]
    with pytest.raises(DefinitionError, match=r"^mine\.found: reckons with an expression that may be a text$"):
        check(book_of(columns), UNITS)
    passes(MAYBE & "|" & col("word"))
    passes(call("any", same(NAME, "one"), same(MAYBE, "-")))
    passes(flag(same(given("choice"), "wire")) + 1, "ea")


@pytest.mark.parametrize("wrong", ["see note", "labor", '0.0" ft"h', "Standard"])
def test_a_note_in_place_of_a_format_is_refused(wrong: str):
    column = Column("found", "found", "ea", col("runs"), format=wrong)
    with pytest.raises(DefinitionError, match=r"^mine\.found: .* is no number format$"):
        check(book_of([column]), UNITS)
    field = Table("facts", "Facts", [Field("key", "key", format=wrong)], [], {"key": ["a"]})
    with pytest.raises(DefinitionError, match=r"^facts\.key: .* is no number format$"):
        check(Book([field], {}), {})


@pytest.mark.parametrize("right", ["", "General", "0.00E+00", "yyyy-mm-dd", "+#,##0;-#,##0;0", '0" of all"', "0%"])
def test_number_formats_pass(right: str):
    check(book_of([Column("found", "found", "ea", col("runs"), format=right)]), UNITS)


@pytest.mark.parametrize("note", ["0.00", "#,##0;-#,##0;0", "0%"])
def test_a_format_in_place_of_a_note_is_refused(note: str):
    with pytest.raises(DefinitionError, match=r"^mine\.found: the note .* is a number format$"):
        check(book_of([Column("found", "found", "ea", col("runs"), note)]), UNITS)


def test_an_unknown_unit_is_refused_in_given_and_computed_columns():
    assert refused(col("length_ft"), "feet") == "unit 'feet' is not in the list of units"
    facts = Table("facts", "Facts", [Field("key", "key", "pcs")], [], {"key": ["a"]})
    with pytest.raises(DefinitionError, match=r"^facts\.key: unit 'pcs' is not in the list of units$"):
        check(Book([facts], {}), {})


def test_unlike_units_are_refused_with_their_column():
    assert refused(col("length_ft") + look("theirs", "price_usd", col("key"))) == "unlike units in '+': ft against USD"
    assert refused(col("length_ft"), "USD") == "the unit of the column and of its formula differ: USD against ft"
    assert refused(col("length_ft") + Named("theirs", "price_usd", "a")) == "unlike units in '+': ft against USD"
    passes(Match("theirs", "key", col("key")) + col("runs"), "ea")


def test_columns_whose_unit_differs_by_row_may_hold_either():
    passes(
        when(same(given("choice"), "wire"), col("length_ft"), look("theirs", "price_usd", col("key"))), "in its unit"
    )
    passes(col("length_ft") + col("runs"), "ft or ea")
    assert refused(col("length_ft") + col("runs"), "ft").startswith("unlike units in '+'")


def test_the_book_of_the_sample_passes_fast_and_its_tables_read_one_another_in_no_circle(sample_build: Build):
    units = {str(r["name"]): str(r["unit"]) for r in sample_build.catalogs["inputs"]}
    units |= {f"code.{r['rule']}": str(r["unit"]) for r in sample_build.catalogs["rules"]}
    spent = []
    for _ in range(3):
        start = time.process_time()
        check(sample_build.book, units)
        spent.append(time.process_time() - start)
    assert len(sample_build.book.tables) > 100
    assert min(spent) < 0.2


def test_every_slip_in_a_column_of_the_sample_is_found_before_it_is_computed(sample_build: Build):
    """A column renamed in one place only, as happens most often."""
    tables = dict(sample_build.book.tables)
    swap = tables["swap"]
    columns = [replace(c, name="net_saving") if c.name == "net_usd" else c for c in swap.columns]
    tables["swap"] = replace(swap, columns=columns)
    with pytest.raises(DefinitionError, match=r"reads swap\.net_usd, which does not exist; nearest: .*"):
        check(Book(tables.values(), sample_build.inputs), {})


def test_a_column_that_cannot_be_computed_is_named_once_in_the_message_itself():
    columns = [
        Column("lost", "lost", "no.", Match("theirs", "key", col("word"))),
        Column("shown", "s", "", col("lost")),
    ]
    book = book_of(columns)
    for _ in range(2):
        with pytest.raises(LookupError) as wrong:
            book.values("mine", "shown")
        assert str(wrong.value) == "in mine.lost: theirs.key has no entry 'x'"
    texts = book_of([Column("found", "found", "", col("word") - 1)])
    with pytest.raises(LookupError, match=r"^in mine\.found: unsupported operand"):
        texts.values("mine", "found")
