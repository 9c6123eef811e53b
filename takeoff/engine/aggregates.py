"""Expressions that add up or count the rows of another table by key.

They render to SUMIFS, COUNTIFS and SUMPRODUCT, or to SUM where the rows are known and stand together, over the
rows in question only, and compute the same with numpy.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from typing import Any

import numpy as np

from takeoff.engine.arithmetic import nine
from takeoff.engine.expr import Among, Array, Expr, Place, Read, Rows, as_expr, spread


@dataclass(frozen=True)
class Pick:
    """A condition on one column of a block, at the place that a row says: one formula serves rows of several kinds."""

    block: str
    position: Expr
    key: Expr


class ByKey(Expr):
    """Base of the sums and counts over the rows of another table where columns, given or picked, equal keys."""

    def __init__(self, table: str, where: Mapping[str, Any], picks: Sequence[Pick] = ()) -> None:
        self.table, self.where, self.picks = table, {c: as_expr(k) for c, k in where.items()}, picks

    def parts(self) -> tuple[Expr, ...]:
        return (*self.where.values(), *(e for pick in self.picks for e in (pick.position, pick.key)))

    def reads(self) -> Iterator[Read]:
        yield from ((self.table, c) for c in (*self.where, *(pick.block for pick in self.picks)))
        yield from super().reads()

    def _tests(self, place: Place, among: Among) -> list[tuple[str, str]]:
        """Return the conditions left to test, as range and criterion."""
        tests = []
        for pick in self.picks:
            if place.known(pick.position):
                picked = place.one_of(self.table, pick.block, pick.position, among)
            else:
                picked = f"INDEX({place.part(self.table, pick.block, among)},0,{pick.position.text(place)})"
            tests.append((picked, pick.key.text(place)))
        return tests + [(place.part(self.table, c, among), k.text(place)) for c, k in among.left.items()]

    def _pairs(self, place: Place, among: Among) -> list[str]:
        """Return the conditions left to test, range and criterion in turn."""
        return [f"{cells},{key}" for cells, key in self._tests(place, among)]

    def _by_case(self, rows: Rows) -> Iterator[tuple[Any, Mapping[str, Expr]]]:
        """Yield the own rows that pick the same columns, with all their conditions."""
        positions = [spread(pick.position.value(rows), rows.count).astype(int) for pick in self.picks]
        blocks = [rows.block(self.table, pick.block) for pick in self.picks]
        for case in {*zip(*(p.tolist() for p in positions), strict=True)} if self.picks else {()}:
            picked = {block[n - 1]: pick.key for n, block, pick in zip(case, blocks, self.picks, strict=True)}
            mine = [p == n for n, p in zip(case, positions, strict=True)]
            yield reduce(np.logical_and, mine, np.ones(rows.count, dtype=bool)), {**self.where, **picked}

    def _numbers(self, rows: Rows, where: Mapping[str, Expr]) -> tuple[Array, Array]:
        """Return one whole number for each entry's keys and for each own row's keys; equal means equal."""
        if not where:
            return np.zeros(1, dtype=np.int64), np.zeros(rows.count, dtype=np.int64)
        keys = rows.keys(self.table, tuple(where))
        return keys.of_rows, keys.find(spread(key.value(rows), rows.count) for key in where.values())

    def _sum(self, rows: Rows, amounts: Array) -> Array:
        sums = np.zeros(rows.count)
        for case, where in self._by_case(rows):
            theirs, mine = self._numbers(rows, where)
            theirs = np.broadcast_to(theirs, amounts.shape)
            found = np.bincount(theirs, weights=amounts.astype(float), minlength=1)
            sums = np.where(case, np.append(found, 0.0)[mine], sums)
        return sums


class SumBy(ByKey):
    """Sum of a column over the rows where other columns equal keys."""

    def __init__(self, table: str, column: str, where: Mapping[str, Any], picks: Sequence[Pick] = ()) -> None:
        super().__init__(table, where, picks)
        self.column = column

    def text(self, place: Place) -> str:
        among = place.among(self.table, self.where)
        amounts, pairs = place.part(self.table, self.column, among), self._pairs(place, among)
        return f"SUMIFS({','.join([amounts, *pairs])})" if pairs else f"SUM({amounts})"

    def value(self, rows: Rows) -> Any:
        return self._sum(rows, rows.other(self.table, self.column))

    def reads(self) -> Iterator[Read]:
        yield self.table, self.column
        yield from super().reads()


class CountBy(ByKey):
    """Count of the rows where columns equal keys."""

    def text(self, place: Place) -> str:
        if place.known(self):
            return place.number(self)
        return f"COUNTIFS({','.join(self._pairs(place, place.among(self.table, self.where)))})"

    def value(self, rows: Rows) -> Any:
        theirs, _ = self._numbers(rows, self.where)
        return self._sum(rows, np.ones(len(theirs)))


class CountSmaller(ByKey):
    """Count of the rows of one family whose size is under a limit; a size that just meets it is not.

    The sizes are compared as they stand: computed ones are rounded to nine decimals in their own column. With
    `least`, a second column and its limit, only rows count in which that column is not under its limit.
    """

    def __init__(
        self,
        table: str,
        where: Mapping[str, Any],
        size: str,
        limit: Expr,
        least: tuple[str, Expr] | None = None,
    ) -> None:
        super().__init__(table, where)
        self.size, self.limit, self.least = size, limit, least

    def text(self, place: Place) -> str:
        if place.known(self):
            return place.number(self)
        among = place.among(self.table, self.where)
        tests = [self._test(place, among, self.size, "<", self.limit)]
        if self.least:
            tests.append(self._test(place, among, self.least[0], ">=", self.least[1]))
        return f"COUNTIFS({','.join([*self._pairs(place, among), *tests])})"

    def _test(self, place: Place, among: Among, size: str, sign: str, limit: Expr) -> str:
        return f'{place.part(self.table, size, among)},"{sign}"&ROUND({limit.text(place)},9)'

    def value(self, rows: Rows) -> Any:
        theirs, mine = self._numbers(rows, self.where)
        sizes = nine(rows.other(self.table, self.size))
        theirs = np.broadcast_to(theirs, sizes.shape)
        limits = nine(spread(self.limit.value(rows), rows.count))
        counts = np.zeros(rows.count, dtype=int)
        if self.least:
            others = nine(rows.other(self.table, self.least[0]))
            least = nine(spread(self.least[1].value(rows), rows.count))
            for n in range(rows.count):
                counts[n] = np.count_nonzero((theirs == mine[n]) & (sizes < limits[n]) & (others >= least[n]))
            return counts
        for family in np.unique(mine):
            at = mine == family
            counts[at] = np.searchsorted(np.sort(sizes[theirs == family]), limits[at], side="left")
        return counts

    def parts(self) -> tuple[Expr, ...]:
        return (*super().parts(), self.limit, *((self.least[1],) if self.least else ()))

    def reads(self) -> Iterator[Read]:
        yield self.table, self.size
        if self.least:
            yield self.table, self.least[0]
        yield from super().reads()


class SumProducts(ByKey):
    """Sum of products of columns over the rows where other columns equal keys.

    A factor is a column, or a block with the position of the column in it; `table.column` reaches
    into another table that has the same rows.
    """

    def __init__(
        self,
        table: str,
        factors: Sequence[str | tuple[str, Expr]],
        where: Mapping[str, Any],
        picks: Sequence[Pick] = (),
    ) -> None:
        super().__init__(table, where, picks)
        self.columns = [self._place(f) for f in factors if isinstance(f, str)]
        self.blocks = [(self._place(f[0]), f[1]) for f in factors if not isinstance(f, str)]

    def _place(self, name: str) -> Read:
        table, _, column = name.rpartition(".")
        return table or self.table, column

    def text(self, place: Place) -> str:
        among = place.among(self.table, self.where)
        terms = [f"({cells}={key})" for cells, key in self._tests(place, among)]
        terms += [place.part(table, column, among) for table, column in self.columns]
        for (table, block), at in self.blocks:
            if place.known(at):
                terms.append(place.one_of(table, block, at, among))
            else:
                terms.append(f"INDEX({place.part(table, block, among)},0,{at.text(place)})")
        return f"SUM({terms[0]})" if len(terms) == 1 else f"SUMPRODUCT({'*'.join(terms)})"

    def value(self, rows: Rows) -> Any:
        product = reduce(np.multiply, (rows.other(*c).astype(float) for c in self.columns), np.ones(1))
        if not self.blocks:
            return self._sum(rows, product)
        places = [spread(at.value(rows), rows.count).astype(int) for _, at in self.blocks]
        sums = np.zeros(rows.count)
        for case in {*zip(*(p.tolist() for p in places), strict=True)}:
            columns = (rows.other(t, rows.block(t, b)[n - 1]) for n, ((t, b), _) in zip(case, self.blocks, strict=True))
            amounts = reduce(np.multiply, (c.astype(float) for c in columns), product)
            mine = reduce(np.logical_and, (p == n for n, p in zip(case, places, strict=True)))
            sums = np.where(mine, self._sum(rows, amounts), sums)
        return sums

    def parts(self) -> tuple[Expr, ...]:
        return (*super().parts(), *(at for _, at in self.blocks))

    def reads(self) -> Iterator[Read]:
        yield from self.columns
        yield from (place for place, _ in self.blocks)
        yield from super().reads()


class SumGaps(SumProducts):
    """Sum of products as `SumProducts`, of the size of the gap between two columns of a block, whichever is larger."""

    def __init__(
        self, table: str, block: str, one: Expr, other: Expr, factors: Sequence[str], where: Mapping[str, Any]
    ) -> None:
        super().__init__(table, [*factors, (block, one), (block, other)], where)

    def text(self, place: Place) -> str:
        among = place.among(self.table, self.where)
        terms = [f"({place.part(self.table, c, among)}={k.text(place)})" for c, k in among.left.items()]
        terms += [place.part(table, column, among) for table, column in self.columns]
        one, other = (f"INDEX({place.part(t, block, among)},0,{at.text(place)})" for (t, block), at in self.blocks)
        return f"SUMPRODUCT({'*'.join([*terms, f'ABS({one}-{other})'])})"

    def value(self, rows: Rows) -> Any:
        factors = reduce(np.multiply, (rows.other(*c).astype(float) for c in self.columns), np.ones(1))
        (table, block), _ = self.blocks[0]
        columns = [rows.other(table, c).astype(float) for c in rows.block(table, block)]
        one, other = (spread(at.value(rows), rows.count).astype(int) for _, at in self.blocks)
        sums = np.zeros(rows.count)
        for a, b in set(zip(one.tolist(), other.tolist(), strict=True)):
            gaps = factors * np.abs(columns[a - 1] - columns[b - 1])
            sums = np.where((one == a) & (other == b), self._sum(rows, gaps), sums)
        return sums


class SumWhere(Expr):
    """Sum of a column over the rows where the column of a block at a place is above or below nothing.

    `table.column` reaches into another table that has the same rows.
    """

    def __init__(self, table: str, column: str, block: str, position: Expr, sign: str) -> None:
        other, _, name = column.rpartition(".")
        self.amounts = other or table, name
        self.table, self.block, self.position, self.sign = table, block, position, sign

    def text(self, place: Place) -> str:
        sided = place.one_of(self.table, self.block, self.position)
        return f'SUMIFS({place.column(*self.amounts)},{sided},"{self.sign}0")'

    def value(self, rows: Rows) -> Any:
        position = spread(self.position.value(rows), rows.count).astype(int)
        amounts = rows.other(*self.amounts).astype(float)
        columns = [rows.other(self.table, c).astype(float) for c in rows.block(self.table, self.block)]
        sides = [(c > 0) if self.sign == ">" else (c < 0) for c in columns]
        return np.array([amounts[sides[n - 1]].sum() for n in position.tolist()])

    def parts(self) -> tuple[Expr, ...]:
        return (self.position,)

    def reads(self) -> Iterator[Read]:
        yield self.amounts
        yield self.table, self.block
        yield from super().reads()
