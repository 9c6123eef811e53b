"""The ground fault of every circuit in every plan as JSON, and a reading of its loop beside the prediction."""

from __future__ import annotations

from typing import Any

from takeoff.engine.tables import Book
from takeoff.report.plain import plain
from takeoff.text.dates import iso

FAULT = {
    "loop_ohm": "loop_ohm",
    "fault_a": "fault_a",
    "pickup_a": "pickup_a",
    "opens_within_s": "trip_s",
    "touch_v": "touch_v",
}
"""Name in the results, and the column of the fault at the farthest box."""

READ = ("loop_ohm", "loop_date", "loop_class_pct")


def fault_loops_of(book: Book) -> list[dict[str, Any]]:
    """Return one entry for each circuit and plan.

    Parameters
    ----------
    book
        A book that has the lines of every check too, with the loop as it should read.

    Returns
    -------
    list
        `loop_ohm` is that of the fault, warm, `predicted_ohm` that of the reading, at its temperature. What rests on
        a ground path without a figure is null, and so is what was not read.
    """
    faults = {n: book.values("faults", n).tolist() for n in ("circuit", "plan", "wired_as", "box", "known")}
    figures = {n: book.values("faults", of).tolist() for n, of in FAULT.items()}
    lines = [int(line) - 1 for line in book.values("faults", "wiring_line").tolist()]
    said = {n: book.values("check_lines", n)[lines].tolist() for n in ("predicted_ohm", "is_read", "loop_word")}
    readings = {n: book.values("circuits", n).tolist() for n in READ}
    places = {str(name): n for n, name in enumerate(book.values("circuits", "circuit").tolist())}
    found = []
    for n, circuit in enumerate(faults["circuit"]):
        known = bool(faults["known"][n])
        ohm, day, class_pct = (readings[name][places[str(circuit)]] for name in READ)
        found.append(
            {
                **{name: str(faults[name][n]) for name in ("plan", "circuit", "wired_as", "box")},
                **{name: plain(values[n]) if known else None for name, values in figures.items()},
                "predicted_ohm": plain(said["predicted_ohm"][n]) if known else None,
                "read_ohm": plain(ohm) if ohm else None,
                "read_date": iso(float(day)) if day else None,
                "instrument_class_pct": plain(class_pct) if ohm else None,
                "reading": str(said["loop_word"][n]).lower() if said["is_read"][n] else None,
            }
        )
    return found
