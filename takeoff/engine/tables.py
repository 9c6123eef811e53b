"""Tables of given and computed columns, and the book that holds them and computes every value once.

A table has fields, which are given (keys, facts read from the schedule, inputs, catalog entries), and
columns, which are computed by an expression. Nothing here knows the trade or the workbook's look.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from takeoff.engine.errors import DefinitionError
from takeoff.engine.expr import Array, Expr
from takeoff.engine.keys import Keys, keys_of

YES_NO = '"yes";;"no"'
"""Number format of a 0/1 that is read."""


@dataclass(frozen=True)
class Field:
    """A given column: `role` says by whom.

    key: names the row. fact: read from the schedule, changed by a new build. catalog: read from a
    catalog. input: a cell the user changes. What an input accepts: `choices` is a defined name, or
    texts joined by commas; `limits` are the columns with the lowest and the highest number of the row;
    `listed` is a table that lists for each key, in its first column, what the row accepts, in its second;
    other numbers are between `minimum` and `maximum`, and `whole` where the column is; of a text, `maximum` is its
    length; 0 stands for the usual limit. A cell may be left `blank` where that is as good as what a free row holds.
    Texts that `run_on` take the empty cells to their right and no second line.
    """

    name: str
    title: str
    unit: str = ""
    role: str = "fact"
    choices: str = ""
    format: str = ""
    width: float = 0
    limits: tuple[str, ...] = ()
    listed: str = ""
    minimum: float = 0
    maximum: float = 0
    whole: bool = False
    blank: bool = False
    run_on: bool = False


@dataclass(frozen=True)
class Column:
    """A computed column: one expression gives both its formula and its values.

    `head` is the key that stands above the column where one definition serves a block; `note` says
    what the figure is, and names the rule or convention it follows.
    """

    name: str
    title: str
    unit: str
    expr: Expr
    note: str = ""
    format: str = ""
    head: str = ""
    width: float = 0


@dataclass
class Table:
    """A table of the book: given data by field, computed columns, and named blocks of neighbours.

    `key` is the column that formulas look rows up by; `named` a column whose cells have defined names
    of their own, `table.key`; `totals` the numeric columns whose sum stands above the headings;
    `exposed` columns that cells outside of tables read by name; `front` the one computed column that stands first,
    `last` the one field that stands last.
    """

    name: str
    title: str
    fields: Sequence[Field]
    columns: Sequence[Column]
    data: Mapping[str, Sequence[object] | Array]
    blocks: Mapping[str, Sequence[str]] = field(default_factory=dict)
    key: str = "key"
    named: str = ""
    totals: Sequence[str] = ()
    exposed: Sequence[str] = ()
    front: str = ""
    last: str = ""

    def __len__(self) -> int:
        return len(self.data[self.fields[0].name])

    def column(self, name: str) -> str:
        """Return the name of a column; `key` stands for the key column, whatever its name."""
        return self.key if name == "key" else name

    def spread(self, name: str) -> Sequence[str]:
        """Return the columns that the name of a column or of a block stands for."""
        return self.blocks[name] if name in self.blocks else (self.column(name),)

    def __iter__(self) -> Iterator[Field | Column]:
        every: list[Field | Column] = [*self.fields, *self.columns]
        return iter(sorted(every, key=lambda column: (column.name == self.last, column.name != self.front)))


def array_of(values: Iterable[object]) -> Array:
    """Return an array: float where every value is a number, else of texts and numbers as objects."""
    if isinstance(values, np.ndarray):
        return values
    listed = list(values)
    kinds = set(map(type, listed))
    if all(issubclass(kind, int | float) and not issubclass(kind, bool) for kind in kinds):
        return np.array(listed, dtype=float)
    array = np.empty(len(listed), dtype=object)
    array[:] = listed
    return array


def _shared(values: Array) -> Array:
    """Return an array of objects in which equal texts are one: keys joined row by row would fill the memory."""
    known: dict[str, str] = {}
    shared = np.empty(len(values), dtype=object)
    shared[:] = [known.setdefault(v, v) if isinstance(v, str) else v for v in values.tolist()]
    return shared


class _ColumnError(LookupError):
    """A column that cannot be computed; its name stands in the message."""


class Book:
    """All tables and inputs of one build; computes each column once, when it is first read."""

    def __init__(self, tables: Iterable[Table], inputs: Mapping[str, object]) -> None:
        self.tables: dict[str, Table] = {}
        self.inputs = inputs
        self._arrays: dict[tuple[str, str], Array] = {}
        self._keys: dict[tuple[str, tuple[str, ...]], Keys] = {}
        self._columns: dict[tuple[str, str], Column] = {}
        self._busy: list[tuple[str, str]] = []
        self.add(tables)

    def add(self, tables: Iterable[Table]) -> None:
        """Add tables; the given columns of later ones may come from values of the book.

        Raises
        ------
        DefinitionError
            A table has the name of another.
        """
        for table in tables:
            if table.name in self.tables:
                raise DefinitionError(f"two tables have the name {table.name}")
            self.tables[table.name] = table
            self._columns |= {(table.name, c.name): c for c in table.columns}

    def with_more(self, tables: Iterable[Table]) -> Book:
        """Return a book with tables more, which stand on no sheet; what is computed already is not computed again."""
        more = Book([], self.inputs)
        more.tables, more._arrays, more._columns = dict(self.tables), dict(self._arrays), dict(self._columns)
        more._keys = dict(self._keys)
        more.add(tables)
        return more

    def values(self, table: str, column: str) -> Array:
        """Return the values of a given or computed column.

        Raises
        ------
        LookupError
            The column does not exist, reads itself, or cannot be computed, such as where it looks up a key that is
            not there.
        """
        place = table, self.tables[table].column(column)
        if place not in self._arrays:
            if place in self._busy:
                raise LookupError("columns that read each other: " + " -> ".join(".".join(p) for p in self._busy))
            self._busy.append(place)
            try:
                self._arrays[place] = self._compute(*place)
            except (_ColumnError, MemoryError):
                raise
            except Exception as reason:
                raise _ColumnError(f"in {table}.{column}: {reason}") from reason
            finally:
                self._busy.remove(place)
        return self._arrays[place]

    def keys(self, table: str, columns: tuple[str, ...]) -> Keys:
        """Return the keys of the rows of a table in some of its columns."""
        place = table, columns
        if place not in self._keys:
            self._keys[place] = keys_of([self.values(table, column) for column in columns])
        return self._keys[place]

    def take(self, other: Book) -> None:
        """Take over what another book has computed of tables that both share."""
        mine = {name for name, table in self.tables.items() if other.tables.get(name) is table}
        self._arrays |= {place: values for place, values in other._arrays.items() if place[0] in mine}

    def evaluate(self, table: str, expr: Expr, head: object = "") -> Array:
        """Return the values of an expression over the rows of a table."""
        count = len(self.tables[table])
        return np.broadcast_to(np.asarray(expr.value(_View(self, table, count, head))), (count,))

    def _compute(self, table: str, column: str) -> Array:
        if (table, column) not in self._columns:
            return array_of(self.tables[table].data[column])
        definition = self._columns[table, column]
        count = len(self.tables[table])
        result = np.broadcast_to(
            np.asarray(definition.expr.value(_View(self, table, count, definition.head))), (count,)
        )
        if result.dtype.kind in "OU":
            return _shared(result)
        return result.astype(float) if result.dtype.kind in "bi" else result


@dataclass(frozen=True)
class _View:
    """The rows of one table as an expression sees them."""

    book: Book
    table: str
    count: int
    head: object

    def own(self, column: str) -> Array:
        return self.book.values(self.table, column)

    def other(self, table: str, column: str) -> Array:
        return self.book.values(table, column)

    def keys(self, table: str, columns: tuple[str, ...]) -> Keys:
        return self.book.keys(table, columns)

    def block(self, table: str, block: str) -> list[str]:
        return list(self.book.tables[table or self.table].blocks[block])

    def given(self, name: str) -> object:
        return self.book.inputs[name]
