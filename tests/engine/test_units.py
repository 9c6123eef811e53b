"""Unit texts, and the unit of an expression by those of what it reads."""

from __future__ import annotations

import pytest

from takeoff.engine.aggregates import CountBy, CountSmaller, Pick, SumBy, SumProducts, SumWhere
from takeoff.engine.chains import Chain, Highest, Lowest, Nth, PlaceOf, Running
from takeoff.engine.errors import DefinitionError
from takeoff.engine.expr import Expr, Head, as_expr, at_most, call, col, equal, flag, given, less, ratio, same, when
from takeoff.engine.lookups import At, CellAt, CountAcross, Dot, Match, Named, PlaceAcross, Total
from takeoff.engine.units import BY_ROW, CONVERSIONS, EITHER, MADE_OF, UnitReader, Units, shown, units_of

COLUMNS = {
    "length": "ft",
    "feet": "ft",
    "size": "in",
    "cost": "USD",
    "price": "USD/ft",
    "minutes": "min",
    "hours": "h",
    "wage": "USD/h",
    "waste": "%",
    "growth": "%/year",
    "days": "day",
    "day": "date",
    "volts": "V",
    "load": "A",
    "path": "ohm",
    "per_kft": "ohm/kft",
    "power": "VA",
    "runs": "ea",
    "flag": "0/1",
    "row": "no.",
    "share": "1/1",
    "room": "in3",
    "per_m": "USD/M",
    "heat": "A2 s",
    "withstand": "A2 s/cmil2",
    "area": "cmil",
    "word": "",
    "value": "in its unit",
    "holds": "ft or ea",
    "one": "USD/ft or ea",
}

READER = UnitReader(lambda _, name: units_of(COLUMNS[name]), {"tail_ft": "ft", "edition": "edition", "t.k": "A"})


def unit(expr: Expr) -> Units:
    return READER.of(expr)


LENGTH, RUNS, COST, ROW = col("length"), col("runs"), col("cost"), col("row")


@pytest.mark.parametrize(
    ("expr", "text"),
    [
        (LENGTH + col("feet"), "ft"),
        (LENGTH - given("tail_ft"), "ft"),
        (LENGTH + 0, "ft"),
        (call("max", 0, LENGTH, col("feet")), "ft"),
        (LENGTH * col("price"), "USD"),
        (COST + LENGTH * RUNS * col("price"), "USD"),
        (ratio(COST, LENGTH, 0), "USD/ft"),
        (ratio(COST, RUNS, 0), "USD"),
        (ratio(col("minutes"), 60, 0), "h"),
        (ratio(col("minutes"), 60, 0) * col("wage"), "USD"),
        (col("hours") * 60, "min"),
        (ratio(col("size"), 12, 0), "ft"),
        (ratio(COST * col("waste"), 100, 0), "USD"),
        (ratio(col("waste"), 100, 0) + 1, "1/1"),
        (ratio(COST * 100, col("cost"), 0), "%"),
        (as_expr(100) - col("waste"), "%"),
        (ratio(ratio(col("growth"), 100, 0) * col("days"), 365, 0) + 1, "1/1"),
        (ratio(LENGTH, 1000, 0) * col("per_kft"), "ohm"),
        (ratio(LENGTH, 1000, 0) * col("per_m"), "USD"),
        (col("load") * col("path"), "V"),
        (ratio(col("volts"), col("path"), 0), "A"),
        (ratio(col("power"), col("volts"), 0), "A"),
        (col("withstand") * col("area") * col("area"), "A2 s"),
        (col("day") - col("day"), "day"),
        (col("day") + col("days"), "date"),
        (RUNS + ROW - col("flag") * col("share"), "ea"),
        (flag(less(LENGTH, col("feet"))), "0/1"),
        (flag(call("all", at_most(1, RUNS), equal(LENGTH, 0))), "0/1"),
        (when(equal(RUNS, 0), LENGTH, "-"), "ft"),
        (call("up", call("nine", call("absolute", call("whole", LENGTH)))), "ft"),
        (call("sign", COST), "1/1"),
        (call("log10", COST), "log10"),
        (Match("t", "word", col("word")), "no."),
        (PlaceOf(LENGTH, "t", "feet", ROW, ROW), "no."),
        (PlaceAcross("length", LENGTH), "no."),
        (CountAcross("word", "x"), "ea"),
        (CountBy("t", {"word": col("word")}), "ea"),
        (CountSmaller("t", {}, "feet", LENGTH), "ea"),
        (At("t", "cost", ROW, 0), "USD"),
        (CellAt("t", "cost", ROW, ROW), "USD"),
        (Total("t", "cost"), "USD"),
        (Highest("t", "cost", ROW, ROW), "USD"),
        (Lowest("t", "cost", ROW, ROW), "USD"),
        (Nth("t", "cost", ROW, ROW, ROW), "USD"),
        (Named("t", "cost", "k"), "USD"),
        (Named("t", "value", "k"), "A"),
        (SumBy("t", "cost", {"row": ROW}), "USD"),
        (SumBy("t", "cost", {}, [Pick("word", ROW, col("word"))]), "USD"),
        (SumWhere("t", "cost", "length", ROW, ">"), "USD"),
        (SumProducts("t", ["length", ("price", ROW)], {}), "USD"),
        (Dot("runs", "t", "minutes", ROW), "min"),
        (Running(COST), "USD"),
        (Chain(ROW, LENGTH), "ft"),
    ],
)
def test_an_expression_has_the_unit_of_its_parts(expr: Expr, text: str):
    assert (unit(expr) or frozenset()) >= (units_of(text) or frozenset())
    assert unit(expr) is not None


def test_a_number_that_converts_may_be_a_plain_number_too():
    assert unit(ratio(col("minutes"), 60, 0)) == (units_of("h") or frozenset()) | (units_of("min") or frozenset())


@pytest.mark.parametrize(
    "expr",
    [
        as_expr(0),
        as_expr("text"),
        col("word"),
        col("value") * LENGTH,
        given("edition"),
        given("other"),
        Head(),
        col("word") & LENGTH,
        call("power", LENGTH, RUNS),
        call("root", LENGTH),
        Dot("word", "t", "minutes", ROW),
    ],
)
def test_where_no_rule_can_tell_the_unit_is_unknown(expr: Expr):
    assert unit(expr) is None


@pytest.mark.parametrize(
    ("expr", "said"),
    [
        (LENGTH + COST, "unlike units in '+': ft against USD"),
        (LENGTH - RUNS, "unlike units in '-': ft against ea"),
        (LENGTH + 1, "unlike units in '+': ft against ea"),
        (col("hours") + col("minutes"), "unlike units in '+': h against min"),
        (col("waste") + col("share"), "unlike units in '+': % against ea"),
        (call("max", COST, col("price")), "unlike units in 'max': USD against USD/ft"),
        (call("min", 0, LENGTH, COST), "unlike units in 'min': ft against USD"),
        (when(equal(RUNS, 0), LENGTH, COST), "unlike units in 'if': ft against USD"),
        (flag(less(LENGTH, COST)), "unlike units in 'less': ft against USD"),
        (flag(at_most(RUNS, COST)), "unlike units in 'at_most': ea against USD"),
        (flag(equal(LENGTH, col("size"))), "unlike units in 'equal': ft against in"),
        (flag(same(LENGTH, COST)), "unlike units in 'same': ft against USD"),
        (ratio(COST, LENGTH, col("cost")), "unlike units in 'ratio': USD/ft against USD"),
        (Match("t", "length", COST), "a key of another unit than t.length: ft against USD"),
        (PlaceAcross("length", COST), "a key of another unit than its own.length: ft against USD"),
        (SumBy("t", "cost", {"length": COST}), "a key of another unit than t.length: ft against USD"),
        (
            CountSmaller("t", {}, "length", LENGTH, ("length", COST)),
            "a limit of another unit than length: ft against USD",
        ),
        (CountSmaller("t", {}, "length", COST), "a limit of another unit than length: ft against USD"),
        (SumBy("t", "cost", {}, [Pick("length", ROW, COST)]), "a key of another unit than length: ft against USD"),
        (At("t", "cost", LENGTH + COST), "unlike units in '+': ft against USD"),
        (Running(LENGTH + COST), "unlike units in '+': ft against USD"),
        (LENGTH * LENGTH + col("room"), "unlike units in '+': ft^2 against in3"),
        (col("word") & (LENGTH + COST), "unlike units in '+': ft against USD"),
    ],
)
def test_unlike_units_are_refused_with_both(expr: Expr, said: str):
    with pytest.raises(DefinitionError) as wrong:
        unit(expr)
    assert str(wrong.value) == said


def test_what_is_bought_by_the_foot_or_by_the_piece_is_either():
    assert unit(col("holds") + LENGTH) == units_of("ft")
    assert unit(col("holds") + RUNS) == units_of("ea")
    assert (unit(col("holds") * col("one")) or frozenset()) >= (units_of("USD") or frozenset())
    with pytest.raises(DefinitionError, match="unlike units in '\\+': ea or ft against USD"):
        unit(col("holds") + COST)


def test_pure_numbers_are_alike_and_every_unit_text_stands_for_something():
    assert {units_of(t) for t in ("ea", "no.", "0/1", "1/1", "x", "each", "ft/ft")} == {frozenset({((), 1)})}
    assert all(units_of(text) for text in (*MADE_OF, *EITHER))
    assert all(units_of(text) is None for text in ("", *BY_ROW))
    assert units_of("VA") == frozenset({((("A", 1), ("V", 1)), 1)})
    assert units_of("ohm/kft") == units_of("ohm/kft")
    assert units_of("date") == units_of("day") != units_of("h")
    with pytest.raises(DefinitionError, match="unit 'feet' is not in the list of units"):
        units_of("feet")


def test_units_are_shown_as_they_are_written():
    assert [shown(units_of(t)) for t in ("USD/ft", "%", "0/1", "A2 s", "ft or ea")] == [
        "USD/ft",
        "%",
        "ea",
        "A2 s",
        "ea or ft",
    ]
    assert shown(units_of("USD/M")) == "1/1000 USD^1 ft^-1"


def test_every_number_that_converts_has_its_reason():
    assert set(CONVERSIONS) == {12, 60, 100, 365, 1000}
    assert all(CONVERSIONS.values())
