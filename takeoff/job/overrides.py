"""What the inputs file says in place of the schedule: runs of boxes; of circuits how often, in what, and facts."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from takeoff.catalog.rows import Catalogs
from takeoff.job.records import LOOP_COLUMNS, LOOP_MOST, WORK_STATES, Circuit, Schedule, fact_columns
from takeoff.text.dates import ACCEPTED, NOT_GIVEN, day_number, iso
from takeoff.text.problems import Problems, nearest

RUN, REPEAT, CONSTRUCTION, WORK_STATE = "run_ft", "repeat", "construction", "work_state"

FREE, AS_PLANNED = "free", "as planned"
"""Both say that the plan decides what a circuit is wired in."""

LONGEST_FT, MOST = 10_000, 10_000


def of_circuits(catalogs: Catalogs) -> list[str]:
    """Return what the table `circuits` may say beside conditions of the work."""
    return [REPEAT, CONSTRUCTION, WORK_STATE, *LOOP_COLUMNS, *fact_columns(catalogs)]


def override(schedule: Schedule, boxes: object, circuits: object, catalogs: Catalogs, file: str) -> None:
    """Lay what the inputs file says over the schedule.

    Parameters
    ----------
    schedule
        The schedule as read; its rows are changed.
    boxes
        The table `boxes`: by id, `run_ft`, with its drops as the sheet Schedule shows it.
    circuits
        The table `circuits`: by name, `repeat`, `construction`, `work_state`, a loop reading and answers to
        facts; other entries are passed over.
    catalogs
        Names the constructions, the facts and their answers.
    file
        Name of the inputs file, for messages.

    Raises
    ------
    InputError
        Every id that the schedule does not have, and every entry that is not accepted.
    """
    problems = Problems(file)
    known_boxes = {b.box.casefold(): b for b in schedule.boxes}
    for name, entries in _tables("boxes", boxes, problems):
        box = known_boxes.get(name.casefold())
        for key, value in entries.items():
            place = f"boxes.{name}.{key}"
            if box is None:
                said = nearest(name, [b.box for b in schedule.boxes])
                problems.error(None, f"boxes.{name}", "", "is not in the schedule:", said)
                break
            if key != RUN:
                problems.error(None, place, "", "is no part of a box", f"accepted: {RUN}")
            elif _is_number(value, 0, LONGEST_FT) and value:
                box.run_ft, box.drops_in_run, box.spaced_by = float(str(value)), True, ""
            else:
                problems.error(None, place, str(value), "is not accepted:", f"more than 0 and up to {LONGEST_FT:,} ft")
    known = {c.name.casefold(): c for c in schedule.circuits.values()}
    for name, entries in _tables("circuits", circuits, problems):
        if name.casefold() in known:  # one that is not there is reported with its conditions
            _of_circuit(known[name.casefold()], f"circuits.{name}", entries, catalogs, problems)
            _read_loop(known[name.casefold()], f"circuits.{name}", entries, problems)
    problems.stop_on_errors()


def _of_circuit(
    circuit: Circuit, place: str, entries: Mapping[str, object], catalogs: Catalogs, problems: Problems
) -> None:
    repeat, construction = entries.get(REPEAT, circuit.repeat), str(entries.get(CONSTRUCTION, circuit.construction))
    known, state = catalogs["constructions"], str(entries.get(WORK_STATE, circuit.work_state))
    if state and state.casefold() not in WORK_STATES:
        problems.error(None, f"{place}.{WORK_STATE}", state, "is not accepted:", "one of " + ", ".join(WORK_STATES))
    circuit.work_state = state.casefold()
    if not _is_number(repeat, 1, MOST) or float(str(repeat)) % 1:
        problems.error(None, f"{place}.{REPEAT}", str(repeat), "is not accepted:", f"a whole number from 1 to {MOST:,}")
    elif construction.casefold() in (FREE, AS_PLANNED):
        circuit.repeat, circuit.construction = int(float(str(repeat))), FREE
    elif construction in known:
        circuit.repeat, circuit.construction = int(float(str(repeat))), str(known[construction]["key"])
    else:
        accepted = ", ".join([AS_PLANNED, *known.keys])
        problems.error(None, f"{place}.{CONSTRUCTION}", construction, "is not a construction:", f"one of {accepted}")
    for fact in fact_columns(catalogs):
        if fact in entries:
            choices = str(catalogs["facts"][fact]["choices"]).split()
            said = {"true": "yes", "false": "no"}.get(str(entries[fact]).casefold(), str(entries[fact]).casefold())
            answer = next((c for c in choices if c.casefold() == said), "")
            if answer:
                circuit.facts[fact] = answer
            else:
                accepted = "accepted: " + ", ".join(choices)
                problems.error(None, f"{place}.{fact}", str(entries[fact]), "is no answer:", accepted)


def _read_loop(circuit: Circuit, place: str, entries: Mapping[str, object], problems: Problems) -> None:
    for name, most in LOOP_MOST.items():
        value = entries.get(name, getattr(circuit, name))
        if _is_number(value, 0, most):
            setattr(circuit, name, float(str(value)))
        else:
            problems.error(None, f"{place}.{name}", str(value), "is not accepted:", f"a number from 0 to {most:g}")
    said = str(entries.get("loop_date", circuit.loop_date))
    day = 0 if said == NOT_GIVEN else day_number(said)
    if day is None:
        problems.error(None, f"{place}.loop_date", said, "is not a date:", ACCEPTED)
    else:
        circuit.loop_date = iso(day)


def _tables(table: str, given: object, problems: Problems) -> Iterable[tuple[str, Mapping[str, object]]]:
    """Yield the entries of every name; what is no table is reported, for circuits where their conditions are."""
    said: Callable[..., None] = problems.error if table == "boxes" else lambda *_: None
    if not isinstance(given, dict):
        said(None, table, str(given), "is no table:", f'lines such as [{table}."name"]')
        return
    for name, entries in given.items():
        if isinstance(entries, dict):
            yield str(name), entries
        else:
            said(None, f"{table}.{name}", str(entries), "is no table:", f'[{table}."{name}"] with lines below it')


def _is_number(value: object, low: float, high: float) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and low <= value <= high
