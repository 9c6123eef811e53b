"""Which catalog cable a kind of run is wired in, and which of them have a route factor that is invented."""

from __future__ import annotations

from takeoff.catalog.rows import Row
from takeoff.model.frame import INVENTED, Frame
from takeoff.model.givens.catalogs import family_of
from takeoff.model.givens.constructions import drivers_of
from takeoff.wiring.kinds import parts_of_kind

FACTORED = {"cable": "cable_factored_ft", "raceway": "raceway_factored_ft"}
"""Feet routed times the route factor, by kind of wiring."""


def routes_invented(frame: Frame) -> list[tuple[str, str, Row]]:
    """Return kind of run, construction and catalog cable where its route factor is invented, by construction.

    Only those whose routing is timed by feet x factor: no other hours go with it.
    """
    timed = [m for m in frame.constructions if factored_ft(frame, m) in drivers_of(frame, "run")]
    found = ((k, m, cable_of(frame, k, m)) for m in timed for k in frame.run_kinds)
    return [(k, m, c) for k, m, c in found if c and c["route_factor"] != 1 and is_invented(c)]


def factored_ft(frame: Frame, construction: str) -> str:
    """Return what is counted of a run in a construction where its routing goes by feet x factor."""
    return FACTORED[str(frame.catalogs["constructions"][construction]["wiring_kind"])]


def is_invented(cable: Row) -> bool:
    """Return whether the route factor of a catalog cable is invented."""
    return str(cable["route_source"]).startswith(INVENTED)


def cable_of(frame: Frame, kind: str, construction: str) -> Row | None:
    """Return the catalog cable of a run kind, as the table of runs finds it: the smallest with enough conductors."""
    conductors, family = parts_of_kind(kind)[0], frame.cable_family(construction, kind)
    cables = [c for c in frame.catalogs["cables"] if family_of(c, "cables") == family]
    enough = [c for c in cables if int(str(c["conductors"])) >= conductors]
    return min(enough, key=lambda c: int(str(c["conductors"])), default=None)
