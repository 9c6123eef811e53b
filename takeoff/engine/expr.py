"""One definition, two evaluators: an expression renders to a spreadsheet formula and computes its value.

A computed column is a tree of the few node kinds below. `text` writes the formula of one row, with `{r}` where the row
number goes; `value` computes the whole column with numpy in the meaning a spreadsheet gives to the same formula. What a
spreadsheet and Python see differently is decided here, in the operation table and the nodes, and nowhere else.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Protocol

import numpy as np

from takeoff.engine.errors import DefinitionError, nearest
from takeoff.engine.keys import Keys
from takeoff.engine.operations import OPS

Array = np.ndarray[Any, np.dtype[Any]]
Read = tuple[str, str]
"""A column that an expression reads: table and column; the table is empty for the own one."""


class Among(Protocol):
    """The rows of another table that a formula reads: all of them, or for each own row a stretch of neighbours."""

    @property
    def left(self) -> Mapping[str, Expr]:
        """Return the conditions that the formula must still test."""


class Place(Protocol):
    """Where a formula stands: gives the references it may use.

    What no input of the workbook can change is known when the formula is written: a row that is known is
    referred to cell by cell, rows that are known as a range of neighbours.
    """

    def cell(self, column: str) -> str:
        """Return the reference to another column of the same row."""

    def head(self) -> str:
        """Return the reference to the key above the column."""

    def above(self) -> str:
        """Return the reference to the cell above, in the same column."""

    def span(self, block: str) -> str:
        """Return the reference to a block of neighbouring columns of the same row."""

    def column(self, table: str, name: str) -> str:
        """Return the range of a column, or of a block of neighbouring columns."""

    def known(self, expr: Expr) -> bool:
        """Return whether no input changes an expression."""

    def entry(self, table: str, name: str, row: Expr, otherwise: Any = None) -> str:
        """Return the cells of a column in known rows; `otherwise` stands where the row is 0."""

    def line(self, table: str, block: str, row: Expr) -> str:
        """Return one known row of a block."""

    def spot_of(self, table: str, block: str, row: Expr, place: Expr) -> str:
        """Return the cells of a block in known rows, in the columns at known places."""

    def one_of(self, table: str, block: str, place: Expr, among: Among | None = None) -> str:
        """Return the column of a block at a known place."""

    def own(self, row: Expr) -> str:
        """Return the cell of the same column in a known row above; 0 where the row is 0."""

    def number(self, expr: Expr) -> str:
        """Return a known number."""

    def among(self, table: str, where: Mapping[str, Expr]) -> Among:
        """Return the rows of another table where columns equal keys."""

    def between(self, table: str, first: Expr, last: Expr) -> Among:
        """Return the rows of another table from a known first to a known last."""

    def part(self, table: str, name: str, among: Among) -> str:
        """Return a column in some rows only."""

    def figure(self, table: str, key: str) -> str:
        """Return a cell that has a defined name of its own."""

    def binds(self, expr: Expr) -> int:
        """Return how tightly the text of an expression holds together here."""


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

    def keys(self, table: str, columns: tuple[str, ...]) -> Keys:
        """Return the keys of the rows of any table in some of its columns."""

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


class Call(Expr):
    """An operation of the table applied to expressions, numbers or texts."""

    def __init__(self, op: str, *args: Any) -> None:
        if op not in OPS:
            raise DefinitionError(f"there is no operation '{op}'{nearest(op, OPS)}")
        self.name, self.op, self.args = op, OPS[op], tuple(as_expr(a) for a in args)
        self.binds = self.op.binds

    def text(self, place: Place) -> str:
        texts = [a.text(place) for a in self.args]
        if "*)" in self.op.template:
            return self.op.template.replace("*", ",".join(texts))
        needs = self.op.needs or (0,) * len(self.args)
        return self.op.template.format(
            *(f"({t})" if place.binds(a) < need else t for t, a, need in zip(texts, self.args, needs, strict=True))
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


def call(op: str, *args: Any) -> Expr:
    """Return any other operation of the table."""
    return Call(op, *args)
