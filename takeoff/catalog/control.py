"""Control pairs in the catalogs: which rows serve them alone, left out where the job has none."""

from __future__ import annotations

from collections.abc import Callable

from takeoff.catalog.rows import Catalogs, Row

CHECK = "control"
"""The check of separation, and what the names of counted quantities and cases for control begin with."""

FACT = "control_wiring"
"""The fact that decides on separation: how the pair is wired."""

IN_CABLE, IN_ITS_OWN, IN_BOTH = "control-cable", "control-apart", "control-both"
"""Cases of the catalog answers: a pair under one armor with power, in a cable of its own, or run by run in either."""

_OF_CONTROL: dict[str, Callable[[Row], bool]] = {
    "cables": lambda row: row["control_awg"] != "none",
    "control_cables": lambda _: True,
    "devices": lambda row: CHECK in str(row["roles"]).split(),
    "checks": lambda row: row["check"] == CHECK,
    "facts": lambda row: row["fact"] == FACT,
    "answers": lambda row: row["fact"] == FACT,
    **dict.fromkeys(("drivers", "operations", "uses", "job_steps"), lambda row: str(row["driver"]).startswith(CHECK)),
}


def without_control(catalogs: Catalogs) -> Catalogs:
    """Return the catalogs of a job that has no control pair: nothing that serves one alone is shown or priced."""
    gone = {name: [row for row in catalogs[name] if serves(row)] for name, serves in _OF_CONTROL.items()}
    bought = {str(row[n]) for rows in gone.values() for row in rows for n in ("sheath_item", "item") if n in row}
    kept = {name: catalogs[name].without(rows) for name, rows in gone.items()}
    named = {str(r[n]) for name in ("cables", "uses") for r in kept[name] for n in ("sheath_item", "item") if n in r}
    prices = [row for row in catalogs["prices"] if row["item"] in bought - named]
    return {**catalogs, **kept, "prices": catalogs["prices"].without(prices)}
