"""One definition, two evaluators: every node gives in LibreOffice what it computes in Python.

LibreOffice is the third, independent evaluator: the values shipped in the file are poisoned first.
"""

from __future__ import annotations

import random
from pathlib import Path

import numpy as np
import pytest

from takeoff.engine.aggregates import CountBy, CountSmaller, Pick, SumBy, SumGaps, SumProducts, SumWhere
from takeoff.engine.arithmetic import as_text, round_up
from takeoff.engine.chains import Chain, Highest, Lowest, Nth, PlaceOf, Running
from takeoff.engine.expr import (
    OPS,
    Call,
    Expr,
    Head,
    as_expr,
    at_most,
    call,
    col,
    equal,
    flag,
    given,
    less,
    ratio,
    same,
    when,
)
from takeoff.engine.lookups import (
    At,
    CellAt,
    CountAbove,
    CountAcross,
    Dot,
    FirstAcross,
    Match,
    Named,
    PlaceAcross,
    Total,
    look,
)
from takeoff.engine.tables import Book
from tests.trees import EDGES, FAMILY, OTHERS, OWN_KEYS, THEIR_KEYS, A, B, M, N, c, differing, laid, tables

LOW, HIGH = col("from_row"), col("to_row")
SIDE = call("if", same(col("word"), "none"), "right", "left")
LIVE_SIDE = call("if", same(given("choice"), "wire"), "left", "right")

NODES = [
    c("sum", A + B - (A - B)),
    c("product", A * (B + 1) - A * B),
    c("join", col("word") & "|" & N & "|" & (N - 4)),
    c("ratio_at_zero", ratio(A, B, 0)),
    c("ratio_of_ratio", ratio(A, ratio(B, A, 1), 9)),
    c("less", flag(less(A, B))),
    c("at_most", flag(at_most(A, B))),
    c("equal", flag(equal(A, B))),
    c("same", flag(same(col("word"), given("choice")))),
    c("all", flag(call("all", less(A, 3), equal(B, B), at_most(N, 2)))),
    c("mixed", when(less(A, 1), A, "n/a")),
    c("words", when(less(A, 1), "yes", col("word"))),
    c("max", call("max", A, B, given("rate"))),
    c("min", call("min", A, B * -1)),
    c("sign", call("sign", A)),
    c("up", call("up", A * 10)),
    c("absolute", call("absolute", A - B)),
    c("fixed", col("word") & call("fixed", A - B)),
    c("head", SumBy("theirs", "x", {"family": Head()}), head="f|1"),
    c("match", Match("theirs", "key", col("key"))),
    c("match_missing", Match("theirs", "key", col("word"), missing_ok=True)),
    c("at", At("theirs", "z", N)),
    c("at_or", At("theirs", "x", N - 1, 0)),
    c("at_or_text", At("theirs", "z", N - 1, "none")),
    c("at_live", At("theirs", "x", N, 0) + A),
    c("look", look("theirs", "x", col("key"))),
    c("look_or", At("theirs", "x", Match("theirs", "key", col("word"), missing_ok=True), 7) * 2),
    c("cell_at", CellAt("theirs", "numbers", N, M)),
    c("dot", Dot("pair", "theirs", "numbers", N)),
    c("total", Total("theirs", "x") + N),
    c("named", A * Named("figures", "value", "second")),
    c("across", CountAcross("pair", "n/a") + N),
    c("words_across", CountAcross("words", "armor") + A),
    c("above", CountAbove("pair")),
    c("first_across", FirstAcross("words", "armor") + A),
    c("place_across", PlaceAcross("counts", M) + A),
    c("sum_by", SumBy("theirs", "y", {"family": FAMILY})),
    c("sum_by_two", SumBy("theirs", "y", {"family": FAMILY, "side": SIDE})),
    c("sum_by_live", SumBy("theirs", "y", {"family": FAMILY, "side": LIVE_SIDE})),
    c("sum_by_gap", SumBy("theirs", "y", {"side": SIDE})),
    c("sum_by_none", SumBy("theirs", "y", {"family": col("word")})),
    c("sum_by_nothing", SumBy("theirs", "x", {}) + A),
    c("count_by", CountBy("theirs", {"family": FAMILY}) + A),
    c("count_by_two", CountBy("theirs", {"family": FAMILY, "side": LIVE_SIDE})),
    c("smaller", CountSmaller("theirs", {"family": FAMILY}, "size", A)),
    c("exactly", CountSmaller("theirs", {"family": "f|1"}, "size", A * 0 + 18)),
    c("noisy", CountSmaller("theirs", {"family": "f|1"}, "size", A * 0 + 0.1 + 0.2)),
    c("smaller_of_two", CountSmaller("theirs", {"family": FAMILY, "side": SIDE}, "size", A * 10)),
    c("smaller_live", CountSmaller("theirs", {"family": FAMILY, "side": LIVE_SIDE}, "size", A * 10)),
    c("smaller_and_least", CountSmaller("theirs", {"family": FAMILY}, "size", A * 10, ("x", B))),
    c("smaller_none", CountSmaller("theirs", {"family": col("word"), "side": SIDE}, "size", A)),
    c("products", SumProducts("theirs", ["x", "y"], {"family": FAMILY})),
    c("products_of_two", SumProducts("theirs", ["x", "y"], {"family": FAMILY, "side": LIVE_SIDE})),
    c("block_products", SumProducts("theirs", ["y", ("numbers", M)], {"family": FAMILY})),
    c("gap_products", SumProducts("theirs", ["y", ("numbers", M)], {"side": SIDE})),
    c("all_products", SumProducts("theirs", ["x"], {}) + N),
    c("other_products", SumProducts("theirs", ["theirs.x", ("theirs.numbers", M)], {})),
    c("gaps", SumGaps("theirs", "numbers", M, as_expr(1), ["y"], {"family": FAMILY})),
    c("all_gaps", SumGaps("theirs", "numbers", as_expr(1), M, [], {})),
    c("either", SumBy("theirs", "y", {"z": "two"}, [Pick("keys", M, SIDE)])),
    c("either_family", SumBy("theirs", "y", {"family": FAMILY}, [Pick("keys", M, SIDE)])),
    c("picked", SumProducts("theirs", ["x", "y"], {}, [Pick("keys", M, SIDE)])),
    c(
        "picked_twice",
        SumProducts("theirs", ["x", ("numbers", M), ("numbers", as_expr(3) - M)], {}, [Pick("keys", M, SIDE)]),
    ),
    c("where_above", SumWhere("theirs", "y", "numbers", M, ">")),
    c("where_below", SumWhere("theirs", "theirs.y", "numbers", M, "<")),
    c("running", Running(A)),
    c("running_product", Running(A * B)),
    c("chain", Chain(col("feeder"), A)),
    c("chain_of_ratio", Chain(col("feeder"), ratio(A, B, 1) * N)),
    c("highest", Highest("theirs", "x", LOW, HIGH)),
    c("lowest", Lowest("theirs", "x", LOW, HIGH) * 2),
    c("highest_of_block", Highest("theirs", "numbers", LOW, HIGH, M)),
    c("lowest_of_block", Lowest("theirs", "numbers", LOW, HIGH, M)),
    c("nth", Nth("theirs", "x", LOW, HIGH, M) + A),
    c("lowest_of_all", Lowest("theirs", "numbers", as_expr(1), as_expr(5), M) + A),
    c("place_of", PlaceOf(Lowest("theirs", "x", LOW, HIGH), "theirs", "x", LOW, HIGH)),
    c("place_in_block", PlaceOf(Highest("theirs", "numbers", LOW, HIGH, M), "theirs", "numbers", LOW, HIGH, M)),
    c("place_or_none", PlaceOf(A, "theirs", "y", LOW, HIGH, missing_ok=True)),
    c("less_place", A - PlaceOf(Lowest("theirs", "x", LOW, HIGH), "theirs", "x", LOW, HIGH) * 2),
]


KNOWN = {
    "nothing": (),
    "all keys": (*OWN_KEYS, *THEIR_KEYS),
    "own keys": OWN_KEYS,
    "their keys": THEIR_KEYS,
    "the row": ("mine.n",),
    "the place": ("mine.m",),
}
"""What is a fact: the more is known, the fewer lookups and conditions stand in the formulas."""


@pytest.mark.libreoffice
@pytest.mark.parametrize("facts", KNOWN.values(), ids=KNOWN)
def test_every_node_agrees_with_libreoffice_on_edge_values(facts: tuple[str, ...], recalculate, tmp_path: Path):
    assert differing(NODES, recalculate, tmp_path, facts) == []


@pytest.mark.libreoffice
def test_so_it_does_where_columns_that_only_fetch_are_not_written(recalculate, tmp_path: Path):
    """Every node is written twice, and read by a column: on a working sheet short ones are taken into it."""
    readers = [c(f"reads_{node.name}", when(less(B, 1), col(node.name), "n/a"), node.head) for node in NODES]
    again = [c(f"again_{node.name}", node.expr, node.head) for node in NODES]
    columns = [*NODES, *readers, *again]
    written = laid(columns, KNOWN["all keys"], "working").written
    assert "at_or" not in written  # a fetch: its reader refers to the cells of the other table
    assert "ratio_at_zero" in written
    assert "sum" not in written  # taken into its reader
    assert differing(columns, recalculate, tmp_path, KNOWN["all keys"], "working") == []


@pytest.mark.parametrize(
    ("name", "facts", "formula"),
    [
        ("at", "nothing", "INDEX($H$20:$H$24,$D5)"),
        ("at", "all keys", "$H$21"),
        ("at_or", "nothing", "IF($D5-1=0,0,INDEX($F$20:$F$24,$D5-1))"),
        ("at_or", "the row", "$F$20"),
        ("look", "nothing", "INDEX($F$20:$F$24,MATCH($A5,$A$20:$A$24,0))"),
        ("look", "own keys", "INDEX($F$20:$F$24,MATCH($A5,$A$20:$A$24,0))"),
        ("look", "all keys", "$F$21"),
        ("cell_at", "nothing", "INDEX($F$20:$G$24,$D5,$E5)"),
        ("cell_at", "the row", "INDEX($F$21:$G$21,$E5)"),
        ("cell_at", "the place", "INDEX($G$20:$G$24,$D5)"),
        ("cell_at", "all keys", "$G$21"),
        ("dot", "nothing", "SUMPRODUCT($B5:$C5,INDEX($F$20:$G$24,$D5,0))"),
        ("dot", "the row", "SUMPRODUCT($B5:$C5,$F$21:$G$21)"),
        ("sum_by", "nothing", 'SUMIFS($G$20:$G$24,$B$20:$B$24,IF($F5="wire","f|1","f|2"))'),
        ("sum_by", "all keys", "SUM($G$23:$G$24)"),
        ("sum_by_gap", "all keys", 'SUMIFS($G$20:$G$24,$D$20:$D$24,IF($F5="none","right","left"))'),
        ("sum_by_none", "all keys", "SUMIFS($G$20:$G$20,$B$20:$B$20,$F5)"),
        ("count_by", "nothing", 'COUNTIFS($B$20:$B$24,IF($F5="wire","f|1","f|2"))+$B5'),
        ("count_by", "all keys", "2+$B5"),
        ("block_products", "all keys", "SUMPRODUCT($G$23:$G$24*$G$23:$G$24)"),
        ("either", "the place", 'SUMIFS($G$20:$G$24,$D$20:$D$24,IF($F5="none","right","left"),$H$20:$H$24,"two")'),
        ("where_above", "nothing", 'SUMIFS($G$20:$G$24,INDEX($F$20:$G$24,0,$E5),">0")'),
        ("where_above", "the place", 'SUMIFS($G$20:$G$24,$G$20:$G$24,">0")'),
        ("nth", "nothing", "INDEX($F$21:$F$22,$E5)+$B5"),
        ("nth", "the place", "$F$22+$B5"),
        ("lowest_of_block", "nothing", "MIN(INDEX($F$21:$G$22,0,$E5))"),
        ("lowest_of_block", "the place", "MIN($G$21:$G$22)"),
    ],
)
def test_a_known_row_is_referred_to_itself(name: str, facts: str, formula: str):
    assert laid(NODES, KNOWN[facts]).formula(name, 1) == formula


def test_a_sum_over_the_rows_where_a_column_of_a_block_has_a_sign():
    """x is 1.5, -2, 0.1, 7, 0.001 and y 2, 3, 5, 0, 1: 2 + 5 + 0 + 1 where x is above nothing, 3 where below."""
    columns = [c(f"where{sign}", SumWhere("theirs", "y", "numbers", M, sign)) for sign in "<>"]
    columns += [c("other", SumWhere("theirs", "theirs.size", "numbers", M, ">"))]
    book = Book(tables(columns), {})
    assert list(book.values("mine", "where>")[:2]) == [8, 11]
    assert list(book.values("mine", "where<")[:2]) == [3, 0]
    assert list(book.values("mine", "other")[:2]) == pytest.approx([0.3 + 21 + 0.5625 + 2, 0.3 + 18 + 21 + 2])


def test_the_lowest_of_neighbouring_rows():
    """x from row 1 to 1, 2 to 3, 3 to 5, 1 to 4; y the same."""
    columns = [
        c("x", Lowest("theirs", "x", LOW, HIGH)),
        c("both", Lowest("theirs", "numbers", LOW, HIGH, M)),
        c("high", Highest("theirs", "x", LOW, HIGH)),
        c("nth", Nth("theirs", "x", LOW, HIGH, as_expr(1))),
        c("place", PlaceOf(A, "theirs", "y", LOW, HIGH, missing_ok=True)),
    ]
    book = Book(tables(columns), {})
    assert list(book.values("mine", "x")[:4]) == [1.5, -2, 1e-3, -2]
    assert list(book.values("mine", "both")[:4]) == [1.5, 3, 1e-3, 0]
    assert list(book.values("mine", "high")[:4]) == [1.5, 0.1, 7, 7]
    assert list(book.values("mine", "nth")[:4]) == [1.5, -2, 0.1, 1.5]
    assert list(book.values("mine", "place")[:4]) == [0, 0, 0, 0]


def random_expression(chance: random.Random, depth: int) -> Expr:
    """Return a random number-valued tree, with long and negative literals among its leaves."""
    if depth == 0:
        return chance.choice(
            (A, B, N, given("rate"), col("a") * 0 + round(chance.uniform(-9, 9), chance.choice((0, 3, 12))))
        )
    one, two = random_expression(chance, depth - 1), random_expression(chance, chance.randint(0, depth - 1))
    make = chance.choice(
        (
            lambda: one + two,
            lambda: one - two,
            lambda: one * two,
            lambda: one - (two - one),
            lambda: ratio(one, two, chance.randint(0, 3)),
            lambda: flag(less(one, two)),
            lambda: flag(at_most(one, two)),
            lambda: when(less(one, 2), two, one),
            lambda: call("max", one, two),
            lambda: call("min", one, two, 1),
            lambda: call("up", one),
            lambda: call("sign", two) * one,
            lambda: At("theirs", "x", N, 0) * two,
            lambda: SumBy("theirs", "y", {"family": FAMILY}) + one,
        )
    )
    return make()


@pytest.mark.libreoffice
@pytest.mark.parametrize("facts", [KNOWN["nothing"], KNOWN["all keys"]], ids=["nothing", "all keys"])
def test_random_trees_agree_with_libreoffice(facts: tuple[str, ...], recalculate, tmp_path: Path):
    chance = random.Random(7)
    columns = [c(f"c{n}", random_expression(chance, 1 + n % 4)) for n in range(240)]
    assert differing(columns, recalculate, tmp_path, facts) == []


def test_limits_are_met_at_the_ninth_decimal_not_at_the_last_bit():
    book = Book(tables([c("meets", flag(at_most(A, B)))]), {})
    meets = dict(zip(zip(EDGES, OTHERS, strict=True), book.values("mine", "meets"), strict=True))
    assert meets[0.1 + 0.2, 0.3] == 1
    assert meets[1.1 * 1.1 * 100, 121.0] == 1


@pytest.mark.parametrize(
    ("number", "up"), [(-1.4, -2), (1.1 * 1.1 * 100, 121), (50 * 1.1 / 5, 11), (0, 0), (2.0000001, 3)]
)
def test_rounding_up_is_away_from_zero_and_drops_noise(number: float, up: float):
    assert round_up(number) == up


def test_only_whole_numbers_join_texts():
    """Programs write 1e-10 and 0.1 + 0.2 differently; keys are made of texts and whole numbers."""
    assert list(as_text(np.array([2.0, -15.0, 1e6]))) == ["2", "-15", "1000000"]
    with pytest.raises(ValueError, match=r"not 0\.3"):
        as_text(np.array([2.0, 0.3]))


def test_parentheses_stand_only_where_they_are_needed():
    trees = (A - (B - N), A - B - N, (A + B) * N, A + B * N, flag(less(A + B, N * 1)))
    found = laid([c(f"c{n}", tree) for n, tree in enumerate(trees)])
    assert [found.formula(f"c{n}") for n, _ in enumerate(trees)] == [
        "$B4-($C4-$D4)",
        "$B4-$C4-$D4",
        "($B4+$C4)*$D4",
        "$B4+$C4*$D4",
        "IF(ROUND($B4+$C4-$D4*1,9)<0,1,0)",
    ]


def test_a_missing_key_and_columns_that_read_each_other_are_errors_with_their_place():
    book = Book(tables([c("lost", Match("theirs", "key", col("word")))]), {})
    with pytest.raises(LookupError, match=r"in mine\.lost: theirs\.key has no entry 'wire'"):
        book.values("mine", "lost")
    book = Book(tables([c("p", col("q")), c("q", col("p"))]), {})
    with pytest.raises(LookupError, match=r"read each other: mine\.p -> mine\.q"):
        book.values("mine", "p")


def test_every_operation_is_used_by_the_model(sample_build):
    """What no column uses is dead: the operation table is the place where two worlds meet, keep it small."""
    used: set[str] = set()

    def walk(expr: Expr) -> None:
        if isinstance(expr, Call):
            used.add(expr.op.template)
        for part in expr.parts():
            walk(part)

    for table in sample_build.book.tables.values():
        for column in table.columns:
            walk(column.expr)
    assert used == {op.template for op in OPS.values()}
