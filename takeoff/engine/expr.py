"""One definition, two evaluators: an expression renders to a spreadsheet formula and computes its value.

A computed column is a tree of the few node kinds below. `text` writes the formula of one row, with `{r}`
where the row number goes; `value` computes the whole column with numpy in the meaning a spreadsheet
gives to the same formula: limits meet at 1e-9 and not at the last bit, rounding up keeps guard digits,
a division names what it gives at zero. Everything a spreadsheet and Python see differently is decided
here, in the operation table and the nodes, and nowhere else.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import reduce
from typing import Any, Protocol

import numpy as np

from takeoff.engine import arithmetic as rounding
from takeoff.engine.arithmetic import as_text, nine, round_half, round_up

Array = np.ndarray[Any, np.dtype[Any]]
Read = tuple[str, str]
"""A column that an expression reads: table and column; the table is empty for the own one."""


class Place(Protocol):
    """Where a formula stands: gives the references it may use."""

    def cell(self, column: str) -> str:
        """Return the reference to another column of the same row."""

    def head(self) -> str:
        """Return the reference to the key above the column."""

    def above(self) -> str:
        """Return the reference to the cell above, in the same column."""

    def all_above(self) -> str:
        """Return the reference to the column from its heading to the cell above."""

    def span(self, block: str) -> str:
        """Return the reference to a block of neighbouring columns of the same row."""


class Rows(Protocol):
    """The rows an expression is computed for."""

    @property
    def count(self) -> int:
        """Return how many rows there are."""

    @property
    def head(self) -> object:
        """Return the key above the column."""

    def own(self, column: str) -> Array:
        """Return a column of the same table."""

    def other(self, table: str, column: str) -> Array:
        """Return a column of any table."""

    def block(self, table: str, block: str) -> list[str]:
        """Return the columns of a named block of neighbouring columns."""

    def given(self, name: str) -> object:
        """Return an input."""


class Expr:
    """Base of all nodes; `binds` says how tightly its text holds together, 9 being a call or a cell."""

    binds = 9

    def text(self, place: Place) -> str:
        """Return the formula text, without the leading equals sign."""
        raise NotImplementedError

    def value(self, rows: Rows) -> Any:
        """Return the value, an array over the rows or one value for all of them."""
        raise NotImplementedError

    def parts(self) -> tuple[Expr, ...]:
        """Return the expressions this one is made of."""
        return ()

    def reads(self) -> Iterator[Read]:
        """Yield the columns it reads."""
        for part in self.parts():
            yield from part.reads()

    def __add__(self, other: Any) -> Expr:
        return Call("+", self, other)

    def __sub__(self, other: Any) -> Expr:
        return Call("-", self, other)

    def __mul__(self, other: Any) -> Expr:
        return Call("*", self, other)

    def __and__(self, other: Any) -> Expr:
        return Call("&", self, other)


@dataclass(frozen=True)
class Op:
    """One operation: its spreadsheet template, its meaning in numpy, how tightly text and arguments bind.

    A star in the template stands for any number of arguments.
    """

    template: str
    value: Callable[..., Any]
    binds: int = 9
    needs: tuple[int, ...] = ()


OPS: Mapping[str, Op] = {
    "&": Op("{}&{}", lambda a, b: as_text(a) + as_text(b), 2, (2, 3)),
    "+": Op("{}+{}", np.add, 3, (3, 4)),
    "-": Op("{}-{}", np.subtract, 3, (3, 4)),
    "*": Op("{}*{}", np.multiply, 4, (4, 5)),
    "/": Op("{}/{}", np.divide, 4, (4, 5)),
    "ratio": Op("IF(ROUND({1},9)=0,{2},{0}/{1})", rounding.divide, 9, (4, 5, 0)),
    "less": Op("ROUND({}-{},9)<0", rounding.below, 1, (3, 4)),
    "at_most": Op("ROUND({}-{},9)<=0", lambda a, b: ~rounding.below(b, a), 1, (3, 4)),
    "equal": Op("ROUND({}-{},9)=0", lambda a, b: nine(np.subtract(a, b)) == 0, 1, (3, 4)),
    "nothing": Op("ROUND({},9)=0", lambda a: nine(a) == 0, 1),
    "same": Op("{}={}", lambda a, b: np.asarray(a, dtype=object) == np.asarray(b, dtype=object), 1, (2, 2)),
    "begins": Op("LEFT({0},LEN({1}))={1}", rounding.begins, 1, (0, 2)),
    "any": Op("OR(*)", lambda *tests: reduce(np.logical_or, tests)),
    "all": Op("AND(*)", lambda *tests: reduce(np.logical_and, tests)),
    "if": Op("IF({},{},{})", rounding.choose),
    "max": Op("MAX(*)", lambda *numbers: reduce(np.maximum, numbers)),
    "min": Op("MIN(*)", lambda *numbers: reduce(np.minimum, numbers)),
    "sign": Op("SIGN(ROUND({},9))", lambda a: np.sign(nine(a))),
    "up": Op("ROUNDUP(ROUND({},9),0)", round_up),
    "whole": Op("ROUND(ROUND({},9),0)", round_half),
    "power": Op("({})^({})", np.power),
    "nine": Op("ROUND({},9)", nine),
    "absolute": Op("ABS({})", np.abs),
    "root": Op("SQRT({})", np.sqrt),
    "log10": Op("LOG10({})", rounding.log10),
}


class Call(Expr):
    """An operation of the table applied to expressions, numbers or texts."""

    def __init__(self, op: str, *args: Any) -> None:
        self.op, self.args = OPS[op], tuple(as_expr(a) for a in args)
        self.binds = self.op.binds

    def text(self, place: Place) -> str:
        texts = [a.text(place) for a in self.args]
        if "*)" in self.op.template:
            return self.op.template.replace("*", ",".join(texts))
        needs = self.op.needs or (0,) * len(self.args)
        return self.op.template.format(
            *(f"({t})" if a.binds < need else t for t, a, need in zip(texts, self.args, needs, strict=True))
        )

    def value(self, rows: Rows) -> Any:
        return self.op.value(*(a.value(rows) for a in self.args))

    def parts(self) -> tuple[Expr, ...]:
        return self.args


class Literal(Expr):
    """A number or a text written into the formula; numbers other than 0 and 1 stand in cells instead."""

    def __init__(self, content: float | str) -> None:
        self.content = content
        self.binds = 9 if isinstance(content, str) or content >= 0 else 3

    def text(self, place: Place) -> str:
        if isinstance(self.content, str):
            doubled = self.content.replace('"', '""')
            return f'"{doubled}"'
        return f"{self.content:.15g}"

    def value(self, rows: Rows) -> Any:
        return self.content


class Col(Expr):
    """Another column of the same row."""

    def __init__(self, name: str) -> None:
        self.name = name

    def text(self, place: Place) -> str:
        return place.cell(self.name)

    def value(self, rows: Rows) -> Any:
        return rows.own(self.name)

    def reads(self) -> Iterator[Read]:
        yield "", self.name


class Given(Expr):
    """An input, by its defined name."""

    def __init__(self, name: str) -> None:
        self.name = name

    def text(self, place: Place) -> str:
        return self.name

    def value(self, rows: Rows) -> Any:
        return rows.given(self.name)


class Head(Expr):
    """The key that stands above the column, where one definition serves a block of columns."""

    def text(self, place: Place) -> str:
        return place.head()

    def value(self, rows: Rows) -> Any:
        return rows.head


def as_expr(value: Any) -> Expr:
    """Return an expression as it is, and a number or text as a literal."""
    return value if isinstance(value, Expr) else Literal(value)


def spread(value: Any, count: int) -> Array:
    """Return an array over `count` rows of a value that may be one for all."""
    return np.broadcast_to(np.asarray(value), (count,))


def col(name: str) -> Expr:
    """Return another column of the same row."""
    return Col(name)


def given(name: str) -> Expr:
    """Return an input."""
    return Given(name)


def when(test: Expr, then: Any, otherwise: Any) -> Expr:
    """Return one of two values; tests are never nested, a second test is a column of its own."""
    return Call("if", test, then, otherwise)


def flag(test: Expr) -> Expr:
    """Return 1 where a test holds and 0 where not."""
    return when(test, 1, 0)


def less(a: Any, b: Any) -> Expr:
    """Test a < b; values nearer than 1e-9 are equal."""
    return Call("less", a, b)


def at_most(a: Any, b: Any) -> Expr:
    """Test a <= b; values nearer than 1e-9 are equal."""
    return Call("at_most", a, b)


def equal(a: Any, b: Any) -> Expr:
    """Test two numbers for equality, nearer than 1e-9."""
    return Call("nothing", a) if isinstance(b, int) and b == 0 else Call("equal", a, b)


def same(a: Any, b: Any) -> Expr:
    """Test two texts for equality; keys are folded when they are loaded."""
    return Call("same", a, b)


def begins(a: Any, word: Any) -> Expr:
    """Test whether a text begins with a word, in small or capital letters."""
    return Call("begins", a, word)


def ratio(a: Any, b: Any, otherwise: Any) -> Expr:
    """Return a / b, and `otherwise` where b is 0 to nine decimals; a number is never 0 and needs no test."""
    return Call("/", a, b) if isinstance(b, int) else Call("ratio", a, b, otherwise)


def sum_of(columns: Iterable[str]) -> Expr:
    """Return the sum of columns of the same row."""
    return reduce(lambda a, b: a + b, (col(name) for name in columns))


def call(op: str, *args: Any) -> Expr:
    """Return any other operation of the table."""
    return Call(op, *args)
