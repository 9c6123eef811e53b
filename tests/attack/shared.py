"""What many builds have in common, kept once: rows of catalogs, columns, their values and the keys of their rows."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Any, TypeVar

from takeoff.catalog.rows import Catalogs
from takeoff.engine.expr import Array, Expr
from takeoff.engine.keys import Keys, keys_of
from takeoff.engine.tables import Table

_T = TypeVar("_T")


@dataclass
class Shared:
    """Parts of builds by what they say; nothing changes a part once a build has it."""

    _parts: dict[bytes, Any] = field(default_factory=dict)
    _keys: dict[tuple[int, ...], Keys] = field(default_factory=dict)
    _seen: set[int] = field(default_factory=set)
    """Tables that are done; one that takes the place in memory of another that is gone just keeps its own parts."""

    def one(self, part: _T, said: Callable[[_T], object] = repr) -> _T:
        """Return the part that says the same, the part itself where it is the first."""
        text = said(part)
        data = text if isinstance(text, bytes) else str(text).encode()
        found: _T = self._parts.setdefault(sha256(type(part).__name__.encode() + data).digest(), part)
        return found

    def array(self, values: Array) -> Array:
        """Return values that are equal, of the same kinds."""
        if values.dtype.kind == "O":
            return self.one(values, lambda v: v.tolist())
        return self.one(values, lambda v: f"{v.dtype} {v.shape} ".encode() + v.tobytes())

    def table(self, table: Table) -> Table:
        """Return a table that has its columns and data in common with others."""
        if id(table) in self._seen:
            return table
        self._seen.add(id(table))
        table.data = {
            name: self.one(values) if isinstance(values, list) else values for name, values in table.data.items()
        }
        table.fields = [self.one(each) for each in table.fields]
        table.columns = [self.one(column, lambda c: [*map(said, vars(c).values())]) for column in table.columns]
        return table

    def catalogs(self, catalogs: Catalogs) -> None:
        """Have the rows of catalogs in common with others."""
        for catalog in catalogs.values():
            catalog._by_key.update({key: self.one(row) for key, row in catalog._by_key.items()})

    def keys_of(self, columns: Sequence[Array]) -> Keys:
        """Return the keys of rows; those of columns that are shared themselves are found once."""
        kept = [self.array(column) for column in columns]
        return self._keys.setdefault(tuple(map(id, kept)), keys_of(kept))


def said(part: object) -> str:
    """Return what a node of a formula says, down to its last part."""
    if isinstance(part, Expr):
        return f"{type(part).__name__}({', '.join(f'{name}={said(value)}' for name, value in vars(part).items())})"
    if isinstance(part, tuple | list):
        return f"({', '.join(map(said, part))})"
    return repr(part)
