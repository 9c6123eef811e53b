"""From the files of the user to a wired job: rooms, schedule, wiring, drops, and what can hardly be meant."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from takeoff.catalog.rows import Catalogs
from takeoff.job.inputs import Inputs, reading_of
from takeoff.job.overrides import override
from takeoff.job.records import Schedule
from takeoff.job.rooms import Rooms, read_rooms
from takeoff.job.schedule import parse_schedule
from takeoff.job.words import load_words
from takeoff.text.problems import Gather, Problem
from takeoff.text.read import read_table
from takeoff.wiring.doubts import doubts
from takeoff.wiring.drops import add_drops
from takeoff.wiring.pulled import check_pulled, settle_pulled
from takeoff.wiring.sizing import conditions_of
from takeoff.wiring.stretches import HOME_RUNS, cut, home_runs
from takeoff.wiring.tree import Job, wire

NAMING = ("circuit", "panel", "area", "room", "count")
"""Columns of which an error leaves a name of the schedule unread."""


@dataclass(frozen=True)
class Wired:
    """The wired job, the schedule that has all names, and everything that is wrong; what could not be made is None."""

    job: Job | None
    names: Schedule | None
    errors: Sequence[Problem]


def read_wired(
    schedule: Path,
    rooms: Path | None,
    catalogs: Catalogs,
    inputs: Inputs,
    boxes: object,
    circuits: object,
    file: str,
) -> Wired:
    """Return the wired job; first of its notices is what can hardly be meant. Nothing is raised.

    What is wrong at one stage keeps none of the next from saying what it finds, where it can.

    Parameters
    ----------
    schedule, rooms
        The schedule, and the room types that its rows place, where they stand on no sheet of it.
    catalogs, inputs
        Those of the build.
    boxes, circuits, file
        What the inputs file of this name says in place of the schedule; see `override`.
    """
    reading, gather = reading_of(inputs, catalogs), Gather()
    words = gather.result_of(lambda: load_words(catalogs))
    homes = gather.result_of(lambda: home_runs(catalogs, inputs))
    table = gather.result_of(lambda: read_table(schedule))
    if table is None or words is None:
        return Wired(None, None, gather.found)
    types = gather.result_of(lambda: read_rooms(rooms, table, words, reading))
    gather.found += types.errors if types else ()
    of_rooms = types is None or bool(types.errors)
    types = types or Rooms()
    read = gather.result_of(lambda: parse_schedule(table, words, replace(reading, rooms=types.by_name)))
    if read is None:
        return Wired(None, None, gather.found)
    gather.result_of(lambda: override(read, boxes, circuits, catalogs, file))
    check_pulled(read, str(inputs[HOME_RUNS]) if homes is None else homes)
    if of_rooms:  # what a room lacks would be told of every place where it is
        gather.result_of(read.problems.stop_on_errors)
        return Wired(None, None, gather.found)
    job = gather.result_of(lambda: wire(read, catalogs, conditions_of(inputs)))
    names = None if any(p.column in read.problems.shown(NAMING) for p in read.problems.errors()) else read
    if job is None or gather.found:
        return Wired(None, names, gather.found)
    cut(job, catalogs, inputs, homes or "")
    settle_pulled(job)
    drops = add_drops(job) if inputs["drops"] == "yes" else []
    whole = replace(job, notices=[*doubts(job, catalogs), *types.notices, *job.notices, *drops])
    return Wired(whole, names, [])
