"""What the inputs file says of areas and circuits: conditions of the work, and what is already installed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from takeoff.catalog.rows import Catalogs
from takeoff.job.overrides import of_circuits
from takeoff.job.records import Schedule
from takeoff.text.problems import Problems, nearest
from takeoff.text.words import normal
from takeoff.wiring.tree import Job

INSTALLED = "installed_pct"
NO_AREA = "(no area)"
"""What stands for a blank area in the schedule."""


@dataclass(frozen=True)
class Places:
    """Conditions by kind, said of areas and of circuits by their names, and percent installed by area."""

    area_conditions: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    circuit_conditions: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    installed_pct: Mapping[str, float] = field(default_factory=dict)


def kinds_of(catalogs: Catalogs) -> dict[str, list[str]]:
    """Return the conditions of every kind; the first of a kind holds where nothing is said."""
    kinds: dict[str, list[str]] = {}
    for row in catalogs["work_conditions"]:
        kinds.setdefault(str(row["kind"]), []).append(str(row["condition"]))
    return kinds


def areas_of(job: Job) -> list[str]:
    """Return the areas of the job in order of appearance."""
    return list(dict.fromkeys(b.source.area or NO_AREA for b in job.boxes))


def areas_in(schedule: Schedule) -> list[str]:
    """Return the areas of the schedule in order of appearance."""
    return list(dict.fromkeys(b.area or NO_AREA for b in schedule.boxes))


def read_places(areas: object, circuits: object, schedule: Schedule | None, catalogs: Catalogs, file: str) -> Places:
    """Return what the tables `areas` and `circuits` of the inputs file say.

    Parameters
    ----------
    areas, circuits
        By name, a table with a condition for each kind, and for areas `installed_pct`, the percent of
        the work there that is already installed.
    schedule
        As read, wired or not: it has the names. None where it has not all of them, and every name is accepted.
    file
        Name of the inputs file, for messages.

    Raises
    ------
    InputError
        Every name that the schedule does not have, and every entry that is not accepted.
    """
    problems = Problems(file)
    kinds, others = kinds_of(catalogs), of_circuits(catalogs)
    names = {"areas": areas_in(schedule), "circuits": list(schedule.circuits)} if schedule else {}
    found: dict[str, dict[str, dict[str, str]]] = {"areas": {}, "circuits": {}}
    installed: dict[str, float] = {}
    for table, given in (("areas", areas), ("circuits", circuits)):
        spelled = {name.casefold(): name for name in names.get(table, ())}
        for name, entries in _tables(given, table, problems).items():
            known = name if not schedule or name in names[table] else spelled.get(normal(name).casefold())
            if known is None:
                problems.error(
                    None, f"{table}.{name}", "", "is not in the schedule:", nearest(name.casefold(), names[table])
                )
                continue
            said = found[table].setdefault(known, {})
            for key, value in entries.items():
                place = f"{table}.{name}.{key}"
                if key == INSTALLED and table == "areas":
                    installed[known] = _percent(value, place, problems)
                elif key in others and table == "circuits":
                    continue  # laid over the schedule before it was wired
                elif key not in kinds:
                    accepted = [*kinds, *([INSTALLED] if table == "areas" else others)]
                    problems.error(None, place, "", "is no kind of condition:", "accepted: " + ", ".join(accepted))
                elif str(value).casefold() not in kinds[key]:
                    problems.error(None, place, str(value), "is not accepted:", "one of " + ", ".join(kinds[key]))
                else:
                    said[key] = str(value).casefold()
    problems.stop_on_errors()
    return Places(found["areas"], found["circuits"], installed)


def _tables(given: object, table: str, problems: Problems) -> dict[str, dict[str, object]]:
    if not isinstance(given, dict):
        problems.error(None, table, str(given), "is no table:", f'lines such as [{table}."name"]')
        return {}
    for name, entries in given.items():
        if not isinstance(entries, dict):
            problems.error(
                None, f"{table}.{name}", str(entries), "is no table:", f'[{table}."{name}"] with lines below it'
            )
    return {str(name): entries for name, entries in given.items() if isinstance(entries, dict)}


def _percent(value: object, place: str, problems: Problems) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 100:
        problems.error(None, place, str(value), "is not accepted:", "a number from 0 to 100")
        return 0.0
    return float(value)
