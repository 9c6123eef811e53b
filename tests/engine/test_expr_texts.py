"""The operations `begins` and `nothing`: values, formula texts, and the same in LibreOffice."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from takeoff.engine.expr import OPS, Expr, begins, col, equal, flag, given
from takeoff.engine.tables import Book
from tests.trees import A, B, c, differing, laid, tables

WORD = col("word")
"""The column reads wire, armor, both, none, three times over."""


def values(expr: Expr) -> list[float]:
    return list(Book(tables([c("tested", expr)]), {"choice": "wire"}).values("mine", "tested"))


def text(expr: Expr) -> str:
    return laid([c("tested", expr)]).formula("tested")


@pytest.mark.parametrize(
    ("word", "of_four"),
    [
        ("wi", [1, 0, 0, 0]),
        ("WI", [1, 0, 0, 0]),
        ("Armor", [0, 1, 0, 0]),
        ("armored", [0, 0, 0, 0]),  # longer than the text
        ("ire", [0, 0, 0, 0]),  # in it, but not at its beginning
        ("o", [0, 0, 0, 0]),
        ("n", [0, 0, 0, 1]),
        ("*", [0, 0, 0, 0]),  # no wildcard
        ("", [1, 1, 1, 1]),
    ],
)
def test_begins_compares_the_first_letters_in_any_case(word: str, of_four: list[int]):
    assert values(flag(begins(WORD, word))) == of_four * 3


def test_begins_folds_the_case_of_both_texts():
    found = OPS["begins"].value(
        np.array(["Illustrative, invented", "ILLUSTRATIVE", "real"], dtype=object), "illustrative"
    )
    assert list(found) == [True, True, False]


def test_begins_as_a_formula():
    # the word is measured by the formula, so that no length stands in it as a number
    assert text(flag(begins(WORD, "wi"))) == 'IF(LEFT($F4,LEN("wi"))="wi",1,0)'
    assert text(begins(WORD & "|" & col("n"), "wi")) == 'LEFT($F4&"|"&$D4,LEN("wi"))="wi"'
    assert text(begins(given("choice"), 'a "b"')) == 'LEFT(choice,LEN("a ""b"""))="a ""b"""'


def test_nothing_is_zero_at_the_ninth_decimal():
    # of the edge values 0 and 1e-10 are nothing
    assert values(flag(equal(A, 0))) == [1, 0, 0, 0, 0, 0, 0, 0, 0, 1, 0, 0]
    # of the differences of the pairs 2.5 and 2.5, four that are noise of the last bit, 1e-10, and 1e6 + 0.5 twice;
    # the last pair differs by a little more than half of the ninth decimal
    assert values(flag(equal(A - B, 0))) == [0, 0, 0, 1, 0, 1, 1, 1, 1, 1, 1, 0]


@pytest.mark.parametrize(
    ("number", "is_nothing"),
    [
        (0.0, True),
        (-0.0, True),
        (4.9e-10, True),
        (-4.9e-10, True),
        (5e-10, False),
        (-5e-10, False),
        (1e-9, False),
        (1, False),
    ],
)
def test_half_of_the_ninth_decimal_is_something(number: float, is_nothing: bool):
    assert bool(OPS["nothing"].value(np.float64(number))) is is_nothing


def test_nothing_as_a_formula():
    """A comparison with nothing takes nothing away first."""
    assert text(equal(A, 0)) == "ROUND($B4,9)=0"
    assert text(equal(A + B, 0)) == "ROUND($B4+$C4,9)=0"
    assert text(equal(A - (B - A), 0)) == "ROUND($B4-($C4-$B4),9)=0"
    assert text(flag(equal(A, 0))) == "IF(ROUND($B4,9)=0,1,0)"
    assert text(equal(A, 1)) == "ROUND($B4-1,9)=0"
    assert text(equal(A, B)) == "ROUND($B4-$C4,9)=0"


@pytest.mark.libreoffice
def test_both_agree_with_libreoffice(recalculate, tmp_path: Path):
    words = ("wi", "WIRE", "ire", "wired", "*", "", "none")
    columns = [c(f"begins_{n}", flag(begins(WORD, word))) for n, word in enumerate(words)]
    columns += [c("joined", flag(begins(WORD & "|" & col("n"), "Wire|1")))]
    columns += [c("nothing", flag(equal(A, 0))), c("difference", flag(equal(A - B, 0)))]
    assert differing(columns, recalculate, tmp_path) == []
