"""The results of a build as JSON: inputs, totals by plan, every box in every plan, problems."""

from __future__ import annotations

from itertools import product
from typing import Any

from takeoff.build import Build
from takeoff.engine.tables import Book
from takeoff.model.boxes.types import CONTROL_COUNTS
from takeoff.model.cost.best_mix import mix_of
from takeoff.model.cost.bid_basis import SOUND
from takeoff.model.frame import Frame, places_of
from takeoff.model.givens.constructions import NOT_FOR_IT
from takeoff.model.rules.circuits import TITLES
from takeoff.model.rules.for_circuits import rules_for
from takeoff.model.rules.inspection import check_lines_table
from takeoff.model.rules.options import checks_in
from takeoff.report.fault_loops import fault_loops_of
from takeoff.report.mixed import mixed_results
from takeoff.report.plain import plain
from takeoff.report.standing import decision_of, still_invented, stops_of
from takeoff.text.dates import iso

TOTALS = (
    "circuit_terminations",
    "ground_terminations",
    "circuit_splices",
    "ground_splices",
    "entries",
    "labor_hours",
    "material_cost",
    "labor_cost",
    "installed_cost",
)
PRICES = ("prices_missing", "prices_expired", "price_slips")
SWAP = (
    "saved_hours",
    "labor_usd",
    "cable_usd",
    "box_usd",
    "fitting_usd",
    "material_usd",
    "gross_usd",
    "waited_usd",
    "one_time_usd",
    "net_usd",
    "crew_days",
    "whole_hours",
)
CABLE_PRICED = ("feet_usd", "packages_usd", "less_stock_usd", "moves")
"""What a plan comes to installed with its cable priced in each way, and whether its place depends on it."""

BREAK_EVENS = ("premium_today", "premium", "wage", "minutes_today", "minutes", "feet", "decide_by")
RISK = ("p10_usd", "p50_usd", "p90_usd", "mean_usd", "chance_pct", "verdict")
COUNTED = ("circuit_terminations", "ground_terminations", "circuit_splices", "ground_splices")
APART = (*SOUND, "invented_pct")
"""Lines of the bid that say what it rests on: results have that under `rests_on`."""

DEMONSTRATION = ("on", "hours_pct", "installed_pct", "bid_pct")
BOX = {
    **dict.fromkeys(COUNTED, "makeup"),
    **dict.fromkeys(("fill_in3", "chosen_box", "chosen_volume_in3"), "fits"),
    **dict.fromkeys(("wired_as", "minutes", "repeat", "material_usd"), "each"),
}
"""Figures of a box, with the table that has them."""


WORST = ("fails", "look", "untested", "does_not_apply", "meets")
"""Outcomes of a check, the worst first: a box in several kinds of space shows the worst of them."""


def results_of(build: Build) -> dict[str, Any]:
    """Return the results of a build, ready for JSON; the README documents them.

    Money is USD and not rounded; minutes and material of a box are those of one box with its feeding
    run and, for a home run, its panel end. A fill that does not apply, and the volume of a box that
    was not found, are null.
    """
    book = build.book
    checked = book.with_more([check_lines_table(build.frame)])
    return {
        "inputs": _inputs(build),
        "plans": {p: _control(build, n) | _plan(book, n) for n, p in enumerate(build.frame.compared)},
        "decision": decision_of(book),
        "demonstration": {n: plain(book.values("demonstration", n)[0]) for n in DEMONSTRATION},
        "stops": stops_of(book, build.catalogs, build.frame.compared),
        "still_invented": still_invented(book),
        "swap": {**_swap(book), "old_meets_new": mixed_results(build)},
        "best_mix": _best_mix(book),
        "checks": _checks(checked, build.frame),
        "fault_loops": fault_loops_of(checked),
        "boxes": _boxes(build),
        "problems": [p.as_dict() for p in build.problems],
    }


def _control(build: Build, row: int) -> dict[str, Any]:
    """Return the counts of control pairs in a plan, where the job has any."""
    names = CONTROL_COUNTS if build.frame.control_boxes else ()
    return {name: plain(build.book.values("plan_sums", name)[row]) for name in names}


def _plan(book: Book, row: int) -> dict[str, Any]:
    sizes = dict(zip(book.values("box_counts", "box"), book.values("box_counts", f"as_{row + 1}"), strict=True))
    labor = zip(book.values("labor", "operation"), book.values("labor", f"hours_{row + 1}"), strict=True)
    material = zip(book.values("material", "item"), book.values("material", f"quantity_{row + 1}"), strict=True)
    return {
        "title": str(book.values("plan_sums", "title")[row]),
        **{name: plain(book.values("plan_sums", name)[row]) for name in TOTALS},
        "coil_remainder": plain(book.values("plan_sums", "coil_remainder")[row]),
        "cable_priced": {name: plain(book.values("cable_priced", name)[row]) for name in CABLE_PRICED},
        "boxes": {str(box): plain(count) for box, count in sizes.items() if count},
        "boxes_without_size": plain(book.values("plan_flags", "unsized")[row]),
        "runs_without_cable": plain(book.values("plan_flags", "no_cable")[row]),
        "state": str(book.values("standing", "state")[row]),
        "complete": not book.values("against_base", "unpriced")[row],
        "rests_on": _rests_on(book, row),
        "circuits_with_a_check_not_met": plain(book.values("plan_flags", "circuits_failing")[row]),
        "circuits_fallen_back": plain(book.values("plan_flags", "circuits_fallen_back")[row]),
        "circuits_wired_as": _wired(book, str(book.values("plan_sums", "plan")[row])),
        "circuits_not_settled": plain(book.values("plan_flags", "not_settled")[row]),
        "circuits_to_look_at": plain(book.values("plan_flags", "circuits_to_look")[row]),
        "panel_ends": {
            "home_runs": plain(book.values("plan_flags", "home_runs")[row]),
            "circuit_terminations": plain(book.values("plan_flags", "panel_circuit_terminations")[row]),
            "ground_terminations": plain(book.values("plan_flags", "panel_ground_terminations")[row]),
        },
        **{name: plain(book.values("plan_flags", name)[row]) for name in PRICES},
        "bid": {n: plain(book.values("bid", n)[row]) for n in book.tables["bid"].blocks["lines"] if n not in APART},
        "areas": _areas(book, row),
        "packages": _packages(book, row),
        "labor_hours_by_operation": {str(o): plain(h) for o, h in labor if h},
        "material_by_item": {str(i): plain(q) for i, q in material if q},
    }


def _rests_on(book: Book, row: int) -> dict[str, Any]:
    """Return what share of hours, installed cost and bid rests on which kind of figure, percent."""
    of_hours = {
        kind: plain(book.values("basis", f"hours_{kind}_pct")[row]) for kind in ("invented", "measured", "stated")
    }
    kinds = ("invented", "quoted", "measured", "stated")
    return {
        "hours_pct": of_hours,
        "installed_pct": {kind: plain(book.values("basis", f"{kind}_pct")[row]) for kind in kinds},
        "bid_pct": {"invented": plain(book.values("bid", "invented_pct")[row])},
    }


def _inputs(build: Build) -> dict[str, Any]:
    """Return every input as a user writes it: a date as a text."""
    dates = {str(row["name"]) for row in build.catalogs["inputs"] if row["kind"] == "date"}
    return {n: iso(float(v)) if n in dates else plain(v) for n, v in build.inputs.items()}


def _areas(book: Book, row: int) -> dict[str, Any]:
    names = book.values("by_area", "area").tolist()
    figures = {n: book.values("by_area", f"{n}_{row + 1}").tolist() for n in ("hours", "usd")}
    return {
        str(area): {"labor_hours": plain(hours), "installed_cost": plain(usd)}
        for area, hours, usd in zip(names, figures["hours"], figures["usd"], strict=True)
    }


def _packages(book: Book, row: int) -> dict[str, dict[str, Any]]:
    """Return how many packages of every item are bought."""
    found: dict[str, dict[str, Any]] = {}
    columns = (book.values("order_list", n).tolist() for n in ("item", "package", f"buy_{row + 1}"))
    for item, package, count in zip(*columns, strict=True):
        if count:
            found.setdefault(str(item), {})[str(package)] = plain(count)
    return found


def _swap(book: Book) -> dict[str, Any]:
    """Return what a swap saves, where the saving ends, and its risk; a break-even that is not there is null."""
    limits = {name: book.values("break_evens", name)[0] for name in BREAK_EVENS}
    day = limits.pop("decide_by")
    return {
        "from": str(book.inputs["swap_from"]),
        "to": str(book.inputs["swap_to"]),
        **{name: plain(book.values("swap", name)[0]) for name in SWAP},
        "break_even": {
            **{name: None if isinstance(v, str) else plain(v) for name, v in limits.items()},
            "decide_by": None if isinstance(day, str) or not day else iso(day),
        },
        "risk": {name: plain(book.values("risk", name)[0]) for name in RISK},
    }


def _best_mix(book: Book) -> dict[str, Any]:
    circuits = zip(book.values("mix_choices", "circuit"), mix_of(book), strict=True)
    plans = zip(book.values("simplicity", "plan"), book.values("simplicity", "simplicity_usd"), strict=True)
    return {
        "labor_hours": plain(book.values("best_mix", "hours")[0]),
        "material_cost": plain(book.values("best_mix", "material_usd")[0]),
        "installed_cost": plain(book.values("best_mix", "installed_usd")[0]),
        "circuits": {str(c): str(w) for c, w in circuits},
        "simplicity_costs": {str(p): plain(v) for p, v in plans},
    }


def _wired(book: Book, plan: str) -> dict[str, Any]:
    """Return how many circuits of a plan are wired in each construction, as often as they are built."""
    mine = book.values("verdicts", "plan") == plan
    wired, repeat = book.values("verdicts", "wired_as")[mine], book.values("verdicts", "repeat")[mine]
    return {str(w): plain(repeat[wired == w].sum()) for w in dict.fromkeys(wired)}


def _boxes(build: Build) -> list[dict[str, Any]]:
    """Return every box in every plan, in the order of the schedule."""
    book, frame, boxes = build.book, build.frame, build.job.boxes
    columns = {name: book.values(table, name).tolist() for name, table in BOX.items()}
    rows = book.values("each", "makeup_row").astype(int).tolist()
    types = [frame.types.of_box[n] for n in range(len(boxes))]
    control = {n: book.values("types", n).tolist() for n in CONTROL_COUNTS if frame.control_boxes}
    entries, described = book.values("types", "runs").tolist(), places_of(frame.types.by_key)
    spaces = (book.values("space_outcomes", name) for name in ("space", "construction", "outcome"))
    outcomes = {(space, construction): str(outcome) for space, construction, outcome in zip(*spaces, strict=True)}
    lines = []
    for number, plan in product(range(1, len(boxes) + 1), frame.compared):
        line = frame.lines_of[plan][number - 1]
        box, makeup = boxes[number - 1], rows[line - 1] - 1
        found = {n: values[makeup if BOX[n] in ("makeup", "fits") else line - 1] for n, values in columns.items()}
        fill = found["fill_in3"]
        lines.append(
            {
                "box": box.source.box,
                "circuit": box.circuit.name,
                "plan": plan,
                "wired_as": found["wired_as"],
                "make_up": types[number - 1],
                **{n: plain(found[n]) for n in COUNTED},
                **{n: plain(counts[described[types[number - 1]]]) for n, counts in control.items()},
                "entries": plain(entries[described[types[number - 1]]]),
                "fill_in3": None if isinstance(fill, str) else plain(fill),
                "chosen_box": found["chosen_box"],
                "chosen_volume_in3": plain(found["chosen_volume_in3"]) or None,
                "minutes": plain(found["minutes"]),
                "repeat": plain(found["repeat"]),
                "material_cost": plain(found["material_usd"]),
                "space_check": min((outcomes[space, found["wired_as"]] for space in box.spaces), key=WORST.index),
            }
        )
    return lines


def _checks(book: Book, frame: Frame) -> list[dict[str, Any]]:
    """Return every check of every circuit in every plan; `question` is null where nothing is open.

    A rule that is not for a circuit is not said to be met, as on the inspection sheet.
    """
    verdicts = {n: book.values("verdicts", n).tolist() for n in ("plan", "circuit", "wired_as")}
    found: list[dict[str, Any]] = []
    checks, plans = checks_in(frame), len(frame.compared)
    mine = rules_for(book, checks)
    for check in checks:
        outcomes = book.values("verdicts", f"{check}_check").tolist()
        said = {
            n: book.values("check_lines", f"{check}_{n}").tolist() for n in ("section", "asked", "found", "question")
        }
        for line, outcome in enumerate(outcomes):
            shown = {n: _or_null(values[line]) for n, values in said.items()}
            if not mine[check][line // plans] and outcome in ("meets", NOT_FOR_IT):
                outcome, shown = NOT_FOR_IT, {**shown, "asked": None, "found": None}
            place = {n: values[line] for n, values in verdicts.items()}
            found.append({**place, "check": check, "title": TITLES[check], "outcome": outcome, **shown})
    order = {place: n for n, place in enumerate(zip(verdicts["plan"], verdicts["circuit"], strict=True))}
    return sorted(found, key=lambda entry: order[entry["plan"], entry["circuit"]])


def _or_null(value: object) -> Any:
    """Return a value, or null where a dash says that there is none."""
    return None if value == "-" else plain(value)
