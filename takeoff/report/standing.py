"""What a build says of its own totals: the stop list, what to use, and which figures are still invented."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from takeoff.catalog.rows import Catalogs, Row
from takeoff.engine.tables import Book
from takeoff.report.plain import plain

LINE = {"what": "what", "state": "state", "look_at": "look_at"}
CIRCUIT = {"circuit": "first_circuit", "section": "section", "refusal": "told"}
"""Columns of the stop list with their names in the results; the latter where a circuit is named."""

STANDS = {
    "refused": (("has_stopped", 1),),
    "advised": (("has_failed", 1), ("has_stopped", 0)),
    "not_settled": (("unsettled", 1),),
    "circuits_to_look": (("has_to_look", 1),),
}
"""Stops that circuits bring about, with what the lines of such circuits say."""

INVENTED_KINDS = {
    "invented_prices": "price",
    "invented_minutes": "minutes",
    "invented_families": "waste and escalation",
    "invented_rates": "rate",
    "invented_tails": "length",
    "invented_conditions": "condition of the work",
    "invented_cable": "cable in packages",
    "invented_styles": "ground make-up",
    "invented_metals": "metal",
    "invented_spacing": "feet from box to box",
    "invented_stock": "box in stock",
    "invented_routes": "route factor",
}
"""Tables of figures that are still invented, with what those are."""

DECISION = {
    "lowest_installed": ("pair", "first_plan"),
    "next_installed": ("pair", "second_plan"),
    "lowest_bid": ("pair", "bid_plan"),
    "lead_usd": ("decision", "lead"),
    "hours_fewer": ("decision", "hours"),
    "crew_days_fewer": ("decision", "crew_days"),
    "break_even_wage_usd_per_h": ("decision", "wage"),
    "wage_usd_per_h": ("decision", "wage_today"),
    "break_even_cable_usd_per_kft": ("decision", "cable_even"),
    "cable_usd_per_kft": ("decision", "cable_today"),
    "differs_on_invented_usd": ("decision", "off_usd"),
    "invented_figures_can_turn_it": ("decision", "flips"),
    "ranges_that_turn_it": ("decision", "turned"),
}
"""Figures of the comparison of the two lowest plans."""


def decision_of(book: Book) -> dict[str, Any]:
    """Return which plan is the lowest and how sure that is; `named` is null where invented figures can turn it."""
    found = {name: plain(book.values(*place)[0]) for name, place in DECISION.items()}
    sure = not found["invented_figures_can_turn_it"] and book.values("pair", "first")[0]
    return {"named": found["lowest_installed"] if sure else None, **found}


def stops_of(book: Book, catalogs: Catalogs, plans: Sequence[str]) -> dict[str, list[dict[str, Any]]]:
    """Return by plan what stands against its total, the gravest first; what holds for the whole job stands apart."""
    names = (*LINE, *CIRCUIT)
    lines = list(zip(*(book.values("stop_list", n).tolist() for n in names), strict=True))
    found: dict[str, list[dict[str, Any]]] = {}
    for place, plan in enumerate(plans, start=1):
        counts = book.values("stop_list", f"count_{place}")
        found[plan] = [
            _line(dict(zip(names, line, strict=True)), c, _circuits(book, plan, str(stop["stop"])))
            for stop, line, c in zip(_of_plans(catalogs), lines, counts, strict=True)
            if c
        ]
    return {**found, "every plan": _job_stops(book, catalogs)}


def _of_plans(catalogs: Catalogs) -> list[Row]:
    """Return the rows of the stops that are counted by plan, in the order of the stop list."""
    return [r for r in catalogs["stops"] if r["counted"] == "plan"]


def _line(row: dict[str, Any], count: float, circuits: list[str]) -> dict[str, Any]:
    said = LINE | (CIRCUIT if row["circuit"] != "-" else {})
    named = {"circuits": circuits} if circuits else {}
    return {"count": plain(count), **{new: plain(row[name]) for name, new in said.items()}, **named}


def _circuits(book: Book, plan: str, stop: str) -> list[str]:
    """Return every circuit that brings a stop about in a plan, once."""
    flags = STANDS.get(stop, ())
    mine = book.values("verdicts", "plan") == plan
    for name, wanted in flags:
        mine &= book.values("verdicts", name) == wanted
    return [str(c) for c in book.values("verdicts", "circuit")[mine]] if flags else []


def _job_stops(book: Book, catalogs: Catalogs) -> list[dict[str, Any]]:
    """Return what stands against every total of the job."""
    rows = [r for r in catalogs["stops"] if r["counted"] == "job"]
    counts = [plain(book.values("job_stops", str(r["stop"]))[0]) for r in rows]
    return [
        {"count": count, "what": r["title"], "state": r["state"], "look_at": r["look_at"]}
        for r, count in zip(rows, counts, strict=True)
        if count
    ]


def still_invented(book: Book) -> list[dict[str, Any]]:
    """Return the invented figures that a total rests on, those that weigh most first.

    Returns
    -------
    The kind of each figure, its title, its key, and what hangs on it in the plan where it weighs most, USD.
    """
    found = [
        {"kind": kind, "title": str(title), "key": str(key), "weight_usd": plain(weight)}
        for table, kind in INVENTED_KINDS.items()
        if table in book.tables
        for title, key, weight in zip(*(book.values(table, n) for n in ("title", "key", "weight_usd")), strict=True)
        if weight > 0
    ]
    return sorted(found, key=lambda row: -row["weight_usd"])
