"""The size of conductors where the schedule gives none: the smallest that the breaker and the inputs leave enough of.

What the workbook tests of a size, given or found here, is one definition in `model/rules/ampacity.py`; a test holds
that a size found here never fails it. It is found before there is a model, and holds in every construction.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from takeoff.catalog.load import areas_cmil
from takeoff.catalog.rows import Catalogs, Row
from takeoff.job.inputs import Inputs
from takeoff.job.records import UNKNOWN, Circuit
from takeoff.wiring.taps import HOTS


@dataclass(frozen=True)
class Conditions:
    """What conductors are corrected, adjusted and limited by: the inputs of the build.

    `terminal_c` is the column of the terminals, C; `ambient_f` in Fahrenheit; `bundled` cables run together;
    `nonlinear` counts the neutral of four wires; `insulated` puts cables in thermal insulation, `jacketed` a jacket
    over their armor.
    """

    edition: str
    min_awg: str
    terminal_c: int
    ambient_f: float
    bundled: float
    nonlinear: bool
    insulated: bool
    jacketed: bool = False

    def __str__(self) -> str:
        cables = f"{self.bundled:g} cable" + ("s" if self.bundled > 1 else "")
        return (
            f"smallest for {self.terminal_c} C, {self.ambient_f:g} F, {cables}"
            + ", insulated" * self.insulated
            + ", jacketed" * self.jacketed
        )


Sizing = Callable[[float, tuple[str, ...], Conditions], str]
"""Says the smallest conductor for a breaker, the roles of a run, and conditions."""


def conditions_of(inputs: Inputs) -> Conditions:
    """Return the conditions that inputs by name say."""
    return Conditions(
        edition=str(inputs["code_edition"]),
        min_awg=str(inputs["min_awg"]),
        terminal_c=int(_a(inputs["terminal_c"])),
        ambient_f=_a(inputs["ambient_f"]),
        bundled=_a(inputs["bundled_cables"]),
        nonlinear=inputs["nonlinear_loads"] == "yes",
        insulated=inputs["thermal_insulation"] == "yes",
    )


def conditions_in(circuit: Circuit, conditions: Conditions, catalogs: Catalogs) -> Conditions:
    """Return the conditions of a circuit: insulation as it says, a jacket where one of its places asks for it."""
    said = circuit.facts.get("in_insulation", UNKNOWN)
    insulated = conditions.insulated if said == UNKNOWN else said == "yes"
    jacketed = any(catalogs["spaces"][space]["jacketed"] for box in circuit.boxes for space in box.spaces)
    return replace(conditions, insulated=insulated, jacketed=jacketed)


def smallest_awg(breaker_a: float, roles: Sequence[str], conditions: Conditions, catalogs: Catalogs) -> str:
    """Return the smallest copper size for a breaker, not under the least of the conditions; nothing where none serves.

    Where no size carries the breaker corrected and adjusted, that for the terminals alone is returned: the check of
    breaker and conductors says so. The next standard rating, 240.4(B), is not used: it depends on the load.

    Source: NEC Table 310.16, 110.14(C)(1), 240.4(D), 310.15, 320.80(A), 330.80.
    """
    areas = areas_cmil(catalogs)
    sizes = [catalogs["conductors"][awg] for awg, area in areas.items() if area >= areas[conditions.min_awg]]
    plain = [row for row in sizes if _plain_a(row, conditions) >= breaker_a]
    enough = [row for row in plain if _corrected_a(row, roles, conditions, catalogs) >= breaker_a]
    return next((str(row["awg"]) for row in (*enough, *plain)), "")


def _plain_a(row: Row, conditions: Conditions) -> float:
    """Return what a size carries at its terminals, not above 240.4(D)."""
    column = 60 if conditions.insulated else conditions.terminal_c
    return min(_a(row[f"copper_{column}c_a"]), _a(row["small_conductor_a"]) or float("inf"))


def _corrected_a(row: Row, roles: Sequence[str], conditions: Conditions, catalogs: Catalogs) -> float:
    """Return what a size carries of its 90 C column in the ambient and beside the other conductors."""
    bands = [r for r in catalogs["ambient"] if r["edition"] == conditions.edition]
    factor = next((_a(r["factor_90c"]) for r in bands if _a(r["to_f"]) >= conditions.ambient_f), 0.0)
    # a hair is no less: 30 x 0.87 in binary is not what it is on paper
    return round(_a(row["copper_90c_a"]) * factor * _adjustment(row, roles, conditions, catalogs), 9)


def _adjustment(row: Row, roles: Sequence[str], conditions: Conditions, catalogs: Catalogs) -> float:
    """Return the share left beside the other conductors, of cables or of one raceway, whichever is less."""
    figures = {str(r["rule"]): _a(r["value"]) for r in catalogs["rules"] if r["edition"] == conditions.edition}
    neutrals = sum(r.startswith("N") for r in roles)
    shared = neutrals == 1 and sum(r in HOTS for r in roles) == 3
    each = sum(r[0] in "ABCST" for r in roles) + (int(conditions.nonlinear) if shared else neutrals)
    together = each * conditions.bundled
    bands = [r for r in catalogs["adjustments"] if r["edition"] == conditions.edition]

    def by_table(count: float) -> float:
        return next((_a(r["percent"]) for r in bands if _a(r["ccc_to"]) >= count), 0.0)

    packed = conditions.insulated and conditions.bundled > figures["insulated_cables"]
    few = _a(row["area_cmil"]) == figures["bundle_area"] and each <= figures["bundle_each"]
    of_bundles = few and not packed and not conditions.jacketed
    spared = 100.0 if together <= figures["bundle_total"] else figures["bundle_pct"]
    return min(spared if of_bundles else by_table(together), by_table(each)) / 100


def _a(value: object) -> float:
    return float(str(value))
