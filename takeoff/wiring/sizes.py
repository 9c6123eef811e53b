"""The size of the conductors of a circuit where the schedule leaves it open."""

from __future__ import annotations

from takeoff.catalog.load import areas_cmil
from takeoff.catalog.rows import Catalogs


def smallest_awg(breaker_a: float, min_awg: str, catalogs: Catalogs) -> str:
    """Return the smallest copper size for a breaker by the 60 C column and 240.4(D), not under `min_awg`.

    The next standard rating above the ampacity, 240.4(B), is not used here: it depends on the load.

    Source: NEC Table 310.16, 110.14(C)(1), 240.4(D).
    """
    areas = areas_cmil(catalogs)
    for awg, area in areas.items():
        row = catalogs["conductors"][awg]
        carried = min(float(str(row["copper_60c_a"])), float(str(row["copper_limit_a"])))
        if area >= areas[min_awg] and carried >= breaker_a:
            return awg
    return ""
