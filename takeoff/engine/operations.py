"""The table of operations: what each writes in a formula, and what it means in numpy."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import reduce
from typing import Any

import numpy as np

from takeoff.engine import arithmetic as rounding
from takeoff.engine.arithmetic import as_text, nine, round_half, round_up


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
    "no_error": Op("IFERROR({},0)", lambda a: a),
    "nine": Op("ROUND({},9)", nine),
    "millionths": Op("ROUND({}/1000,9)*1000", lambda a: nine(np.divide(a, 1000)) * 1000, 4, (4,)),
    "millionth": Op("{}/1000/1000", lambda a: np.divide(a, 1000) / 1000, 4, (4,)),
    "billionth": Op("{}/1000/1000/1000", lambda a: np.divide(a, 1000) / 1000 / 1000, 4, (4,)),
    "fixed": Op("FIXED(ROUND(ROUND({},9),1),1,TRUE)", rounding.fixed),
    "absolute": Op("ABS({})", np.abs),
    "root": Op("SQRT({})", np.sqrt),
    "log10": Op("LOG10({})", rounding.log10),
}
