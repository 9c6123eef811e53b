"""One definition, two evaluators: every node gives in LibreOffice what it computes in Python.

LibreOffice is the third, independent evaluator: the values shipped in the file are poisoned first.
"""

from __future__ import annotations

import random
from pathlib import Path

import numpy as np
import pytest

from takeoff.engine.aggregates import CountBy, CountSmaller, SumBy, SumByEither, SumProducts
from takeoff.engine.arithmetic import as_text, round_up
from takeoff.engine.expr import OPS, Call, Expr, Head, at_most, call, col, equal, flag, given, less, ratio, same, when
from takeoff.engine.lookups import At, CellAt, CountAcross, Dot, Match, Named, Total, look
from takeoff.engine.tables import Book
from takeoff.workbook.layout import Here, Spot
from tests.trees import EDGES, FAMILY, OTHERS, A, B, M, N, c, differing, tables

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
    c("head", SumBy("theirs", "x", {"family": Head()}), head="f|1"),
    c("match", Match("theirs", "key", col("key"))),
    c("match_missing", Match("theirs", "key", col("word"), missing_ok=True)),
    c("at", At("theirs", "z", N)),
    c("at_or", At("theirs", "x", N - 1, 0)),
    c("at_or_text", At("theirs", "z", N - 1, "none")),
    c("look", look("theirs", "x", col("key"))),
    c("cell_at", CellAt("theirs", "numbers", N, M)),
    c("dot", Dot("pair", "theirs", "numbers", N)),
    c("total", Total("theirs", "x") + N),
    c("named", A * Named("figures", "value", "second")),
    c("across", CountAcross("pair", "n/a") + N),
    c("sum_by", SumBy("theirs", "y", {"family": FAMILY})),
    c("count_by", CountBy("theirs", {"family": FAMILY})),
    c("smaller", CountSmaller("theirs", "family", FAMILY, "size", A)),
    c("exactly", CountSmaller("theirs", "family", "f|1", "size", A * 0 + 18)),
    c("noisy", CountSmaller("theirs", "family", "f|1", "size", A * 0 + 0.1 + 0.2)),
    c("products", SumProducts("theirs", ["x", "y"], {"family": FAMILY})),
    c("block_products", SumProducts("theirs", ["y", ("numbers", M)], {"family": FAMILY})),
    c("all_products", SumProducts("theirs", ["x"], {}) + N),
    c("either", SumByEither("theirs", "y", "keys", M, FAMILY, {"slot": "f|1|1"})),
]


@pytest.mark.libreoffice
def test_every_node_agrees_with_libreoffice_on_edge_values(recalculate, tmp_path: Path):
    assert differing(NODES, recalculate, tmp_path) == []


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
def test_random_trees_agree_with_libreoffice(recalculate, tmp_path: Path):
    chance = random.Random(7)
    columns = [c(f"c{n}", random_expression(chance, 1 + n % 4)) for n in range(240)]
    assert differing(columns, recalculate, tmp_path) == []


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
    table = tables([])[0]
    here = Here(Spot(table, "s", 3), c("x", A))
    texts = {e.text(here) for e in (A - (B - N), A - B - N, (A + B) * N, A + B * N, flag(less(A + B, N * 1)))}
    assert texts == {
        "$B{r}-($C{r}-$D{r})",
        "$B{r}-$C{r}-$D{r}",
        "($B{r}+$C{r})*$D{r}",
        "$B{r}+$C{r}*$D{r}",
        "IF(ROUND($B{r}+$C{r}-$D{r}*1,9)<0,1,0)",
    }


def test_a_missing_key_and_columns_that_read_each_other_are_errors_with_their_place():
    book = Book(tables([c("lost", Match("theirs", "key", col("word")))]), {})
    with pytest.raises(LookupError, match=r"theirs\.key has no entry 'wire'") as missing:
        book.values("mine", "lost")
    assert "in mine.lost" in missing.value.__notes__
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
