"""Jobs on which a swap can be worked by hand, and rebuilds of them with other prices, minutes and inputs."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from takeoff.build import Build, Options, compute
from takeoff.catalog.load import load_catalogs
from takeoff.catalog.rows import Row
from tests.held import held_pages
from tests.tables import NO_TAILS, row, schedule

FROM_TO = "mc-wire-first,mc-armor-first"
INVENTED = "illustrative, invented for the demonstration: replace"

CLINIC = """box,circuit,device,run_ft,fed_from,wires,area
E1,P-1,duplex,61,,,east
E2,P-1,duplex,14,,,east
E3,P-1,gfci,9,,,east
E4,P-2,switch,33,,A N,east
E5,P-2,luminaire,12,,S1 N,east
W1,"P-3,5",junction,72,,A B N,west
W2,"P-3,5",duplex,8,W1,A N,west
W3,"P-3,5",duplex,15,W1,B N,west
"""
"""Two areas, two cables (2 and 3 x 12 AWG), and no circuit that any plan wires in a fallback."""


@dataclass(frozen=True)
class Rebuild:
    """Builds a schedule with catalogs as texts by name, an inputs file as text, and inputs as NAME=VALUE."""

    folder: Path

    def __call__(
        self, text: str, *sets: str, toml: str = "", compared: str = FROM_TO, catalogs: Mapping[str, str] | None = None
    ) -> Build:
        folder = self.folder / f"build-{len(list(self.folder.iterdir()))}"
        (folder / "catalogs").mkdir(parents=True)
        (folder / "schedule.csv").write_text(text, encoding="utf-8")
        (folder / "inputs.toml").write_text(toml, encoding="utf-8")
        for name, rows in (catalogs or {}).items():
            (folder / "catalogs" / f"{name}.csv").write_text(rows, encoding="utf-8")
        with held_pages():
            return compute(
                Options(folder / "schedule.csv", folder / "catalogs", folder / "inputs.toml", sets, compared)
            )


def swap_of(build: Build) -> dict[str, float]:
    """Return every figure of the swap."""
    return row(build, "swap")


def limits_of(build: Build) -> dict[str, float]:
    """Return every figure of the break-evens."""
    return row(build, "break_evens")


@cache
def shipped(name: str) -> list[Row]:
    """Return the shipped rows of a catalog."""
    return list(load_catalogs()[name])


def overlay(names: Iterable[str], rows: Iterable[Mapping[str, object]]) -> str:
    """Return catalog rows as the text of a CSV file."""
    out = io.StringIO()
    writer = csv.DictWriter(out, list(names), extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def prices(change: Callable[[Row], float]) -> str:
    """Return the price list with every price as `change` gives it from its row."""
    return overlay(("item", "price_usd", "source"), ({**r, "price_usd": change(r)} for r in shipped("prices")))


def minutes(change: Callable[[Row], float]) -> str:
    """Return the minutes with those of every operation as `change` gives them from its row."""
    rows = ({**r, "minutes": change(r)} for r in shipped("operations"))
    return overlay(("operation", "construction", "minutes", "source"), rows)


def on_grounds(operation: Row) -> bool:
    """Return whether an operation is counted by a driver of grounds."""
    (driver,) = (d for d in shipped("drivers") if d["driver"] == operation["driver"])
    return bool(driver["ground"])


def by_hand(
    rebuild: Rebuild,
    *sets: str,
    minutes_each: float = 7.2,
    premium_usd_per_kft: float = 0,
    repeat: int = 100,
    waste_pct: float = 0,
    toml: str = "",
) -> Build:
    """Return the build of home runs of 85 ft to a junction box, swapped from an EGC wire to an armor as EGC.

    Only landing the EGC on the box screw takes time, `minutes_each`, and the plan swapped to has no such
    screw: with 100 home runs 8 500 ft and, at 7.2 min, 12 h. All else costs the same in both plans.
    """
    same = {"mc-connector-3/8", "mc-ground-connector-3/8"}

    def price(r: Row) -> float:
        if r["item"] == "mc-armor-12-2":
            return 850 + premium_usd_per_kft
        return 100.0 if r["item"] in same else float(str(r["price_usd"]))

    return rebuild(
        schedule({"run_ft": 85, "repeat": repeat}),
        *NO_TAILS,
        *sets,
        toml=toml,
        catalogs={
            "prices": prices(price),
            "operations": minutes(lambda r: minutes_each if r["operation"] == "ground-screw" else 0),
            "families": f"family,waste_pct\ncable,{waste_pct}\n",
            "uses": "use,quantity\nground-screw,0\n",
        },
    )
