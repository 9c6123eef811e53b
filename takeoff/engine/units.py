"""Units of measure: what a unit text is made of, and which unit an expression has by those of what it reads.

A unit is a product of powers of a few bases with a scale: a minute is a sixtieth of an hour. A number that
converts units may also be a plain number, so that an expression has a set of units it may have; where nothing
is known it has none, which agrees with everything.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from functools import cache, reduce, singledispatchmethod

from takeoff.engine.aggregates import ByKey, CountSmaller, SumBy, SumGaps, SumProducts, SumWhere
from takeoff.engine.chains import Chain, Highest, Lowest, Nth, PlaceOf, Running
from takeoff.engine.errors import DefinitionError
from takeoff.engine.expr import Call, Col, Expr, Given, Literal
from takeoff.engine.lookups import At, CellAt, CountAcross, Dot, Match, Named, PlaceAcross, Total

Unit = tuple[tuple[tuple[str, int], ...], Fraction]
Units = frozenset[Unit] | None

BASES: Mapping[str, tuple[Mapping[str, int], Fraction]] = {
    **{name: ({name: 1}, Fraction(1)) for name in ("USD", "ft", "h", "day", "A", "V", "C", "F", "cmil", "AWG", "lb")},
    "1": ({}, Fraction(1)),
    "%": ({}, Fraction(1, 100)),
    "in": ({"ft": 1}, Fraction(1, 12)),
    "kft": ({"ft": 1}, Fraction(1000)),
    "min": ({"h": 1}, Fraction(1, 60)),
    "s": ({"h": 1}, Fraction(1, 3600)),
    "year": ({"day": 1}, Fraction(365)),
    "ohm": ({"V": 1, "A": -1}, Fraction(1)),
    "VA": ({"V": 1, "A": 1}, Fraction(1)),
}
"""What unit texts are made of: powers of the bases, and the scale."""

PURE = dict.fromkeys(
    ("ea", "each", "no.", "0/1", "1/1", "x", "x pickup", "ft/ft", "log10", "decades", "allowance"), "1"
)
"""Numbers without a measure, all alike."""

BY_ROW = ("in its unit", "USD or as named")
"""Units of columns that hold one measure in one row and another in the next."""

MEASURES = (
    *("USD", "USD/ft", "USD/h", "USD/day", "ft", "1/ft", "in", "in3", "kft", "h", "h/day", "min", "s", "day"),
    *("%", "%/year", "A", "V", "VA", "ohm", "ohm/kft", "kft/ohm", "C", "1/C", "F", "AWG", "cmil", "cmil2"),
    *(
        "A2 s",
        "1/(A2 s)",
        "A2 s ohm2/kft2",
        "ohm cmil/kft",
        "A2 s/cmil2",
        "cmil2/(A2 s)",
        "lb/kft",
        "USD/lb",
        "lb/(kft cmil)",
    ),
)

MADE_OF: Mapping[str, str] = {
    **PURE,
    **{text: text for text in MEASURES},
    "% of estimate": "%",
    "% of cost": "%",
    "%USD/h": "% USD/h",
    "USD/M": "USD/kft",
    "signed USD": "USD",
    "date": "day",
}
"""Every other unit text of a column, with what it is made of."""

EITHER: Mapping[str, tuple[str, ...]] = {"ft or ea": ("ft", "ea"), "USD/ft or ea": ("USD/ft", "USD")}
"""Unit texts that leave open which of two it is."""

CONVERSIONS: Mapping[float, str] = {
    12: "inches in a foot",
    60: "minutes in an hour",
    100: "percent in a whole",
    365: "days in a year",
    1000: "feet in a thousand feet, the measure of resistance, of weight and of the price of cable",
}
"""Numbers that stand in formulas because they convert units: no job, code or price changes them."""

_NUMBER: Units = frozenset({((), Fraction(1))})
_LIKE = ("+", "-", "max", "min")
_COMPARED = ("less", "at_most", "equal", "same")
_KEPT = ("nine", "millionths", "millionth", "billionth", "no_error", "up", "whole", "absolute")


@cache
def units_of(text: str) -> Units:
    """Return what a unit text of a column stands for, nothing where that differs.

    Raises
    ------
    DefinitionError
        The text is not in the list of units.
    """
    if not text or text in BY_ROW:
        return None
    if text in EITHER:
        return frozenset(unit for one in EITHER[text] for unit in units_of(one) or ())
    if text not in MADE_OF:
        raise DefinitionError(f"unit '{text}' is not in the list of units")
    over, _, under = MADE_OF[text].partition("/")
    powers, scale = dict[str, int](), Fraction(1)
    for sign, words in ((1, over), (-1, under)):
        for word in words.strip("()").split():
            name, exponent = re.fullmatch(r"(1|\D+)(\d*)", word).groups()  # type: ignore[union-attr]
            bases, size = BASES[name]
            times = sign * int(exponent or 1)
            scale *= size**times
            for base, power in bases.items():
                powers[base] = powers.get(base, 0) + power * times
    return frozenset({_unit(powers, scale)})


def _unit(powers: Mapping[str, int], scale: Fraction) -> Unit:
    return tuple(sorted((base, n) for base, n in powers.items() if n)), scale


@cache
def _product(a: Units, b: Units, sign: int = 1) -> Units:
    """Return the units of a product, or of a ratio where the sign is minus."""
    if a is None or b is None:
        return None
    found = set()
    for powers, scale in a:
        for others, other in b:
            both = dict(powers)
            for base, n in others:
                both[base] = both.get(base, 0) + sign * n
            found.add(_unit(both, scale * other**sign))
    return frozenset(found)


def shown(units: Units) -> str:
    """Return units in words, as an error names them."""
    known = {units_of(text): text for text in reversed([*PURE, *MEASURES])}

    def one(unit: Unit) -> str:
        exactly = known.get(frozenset({unit}))
        powers, scale = unit
        return exactly or " ".join([*([str(scale)] if scale != 1 else []), *(f"{b}^{n}" for b, n in powers)])

    return " or ".join(sorted(one(u) for u in units or ()))


def like(a: Units, b: Units, what: str) -> Units:
    """Return the units two expressions have in common.

    Raises
    ------
    DefinitionError
        They have none.
    """
    if a is None or b is None:
        return b if a is None else a
    if not a & b:
        raise DefinitionError(f"{what}: {shown(a)} against {shown(b)}")
    return a & b


class UnitReader:
    """Finds the unit of the expressions of one table.

    `read` gives the units of a column or block, `given` the unit of an input by its name, and of a figure by
    table and key. What agrees with `either` adds up, as feet of one item do to pieces of another.
    """

    def __init__(self, read: Callable[[str, str], Units], given: Mapping[str, str]) -> None:
        self.read, self.given = read, given
        self.either: Units = None

    @singledispatchmethod
    def of(self, expr: Expr) -> Units:
        """Return the units an expression may have.

        Raises
        ------
        DefinitionError
            Unlike units are added, compared or chosen from.
        """
        for part in expr.parts():
            self.of(part)
        return None

    @of.register
    def _(self, expr: Literal) -> Units:
        if isinstance(expr.content, str) or expr.content == 0:
            return None
        if expr.content in CONVERSIONS:
            return frozenset({((), Fraction(1)), ((), 1 / Fraction(expr.content))})
        return _NUMBER

    @of.register
    def _(self, expr: Col) -> Units:
        return self.read("", expr.name)

    @of.register
    def _(self, expr: Given) -> Units:
        return _known(self.given.get(expr.name, ""))

    @of.register
    def _(self, expr: Named) -> Units:
        return self.read(expr.table, expr.column) or _known(self.given.get(f"{expr.table}.{expr.key}", ""))

    @of.register
    def _(self, expr: Call) -> Units:
        parts = [self.of(a) for a in expr.args]
        name = expr.name
        if name in _LIKE:
            return self._like(parts, name)
        if name == "if":
            return self._like(parts[1:], name)
        if name in _KEPT:
            return parts[0]
        if name == "*":
            return _product(parts[0], parts[1])
        if name in ("/", "ratio"):
            return self._like([_product(parts[0], parts[1], -1), *parts[2:]], name)
        if name in _COMPARED:
            self._like(parts, name)
        return None if name in ("&", "fixed", "power", "root") else _NUMBER

    def _like(self, parts: Sequence[Units], name: str) -> Units:
        if self.either and all(part and part <= self.either for part in parts):
            return self.either
        return reduce(lambda a, b: like(a, b, f"unlike units in '{name}'"), parts)

    @of.register(Match)
    @of.register(PlaceOf)
    @of.register(PlaceAcross)
    @of.register(CountAcross)
    def _(self, expr: Match | PlaceOf | PlaceAcross | CountAcross) -> Units:
        parts = [self.of(part) for part in expr.parts()]
        if parts:  # the first part is what is looked for
            table, name = next(expr.reads())
            like(self.read(table, name), parts[0], f"a key of another unit than {table or 'its own'}.{name}")
        return _NUMBER

    @of.register
    def _(self, expr: ByKey) -> Units:
        for column, key in expr.where.items():
            like(self.read(expr.table, column), self.of(key), f"a key of another unit than {expr.table}.{column}")
        if isinstance(expr, CountSmaller):
            for size, limit in ((expr.size, expr.limit), *((expr.least,) if expr.least else ())):
                like(self.read(expr.table, size), self.of(limit), f"a limit of another unit than {size}")
        for pick in expr.picks:
            like(self.read(expr.table, pick.block), self.of(pick.key), f"a key of another unit than {pick.block}")
        if isinstance(expr, SumBy):
            return self.read(expr.table, expr.column)
        if isinstance(expr, SumProducts):
            blocks = expr.blocks[:1] if isinstance(expr, SumGaps) else expr.blocks
            places = [*expr.columns, *(place for place, _ in blocks)]
            return reduce(_product, (self.read(*place) for place in places), _NUMBER)
        return _NUMBER

    @of.register(At)
    @of.register(CellAt)
    @of.register(Total)
    @of.register(SumWhere)
    @of.register(Highest)
    @of.register(Lowest)
    @of.register(Nth)
    def _(self, expr: At | CellAt | Total | SumWhere | Highest | Lowest | Nth) -> Units:
        for part in expr.parts():
            self.of(part)
        return self.read(*next(expr.reads()))

    @of.register
    def _(self, expr: Dot) -> Units:
        self.of(expr.row)
        return _product(self.read("", expr.own_block), self.read(expr.table, expr.block))

    @of.register(Running)
    @of.register(Chain)
    def _(self, expr: Running | Chain) -> Units:
        return [self.of(part) for part in expr.parts()][-1]


def _known(text: str) -> Units:
    """Return the units of a text that a catalog gives, which may name what no list holds."""
    return units_of(text) if text in MADE_OF or text in EITHER else None
