"""From the files of the user to a wired job: rooms, schedule, wiring, drops, and what can hardly be meant."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from takeoff.catalog.rows import Catalogs
from takeoff.job.inputs import Inputs, reading_of
from takeoff.job.overrides import override
from takeoff.job.rooms import read_rooms
from takeoff.job.schedule import parse_schedule
from takeoff.job.words import load_words
from takeoff.text.read import read_table
from takeoff.wiring.doubts import doubts
from takeoff.wiring.drops import add_drops
from takeoff.wiring.pulled import settle_pulled
from takeoff.wiring.sizing import conditions_of
from takeoff.wiring.stretches import cut
from takeoff.wiring.tree import Job, wire


def read_wired(
    schedule: Path,
    rooms: Path | None,
    catalogs: Catalogs,
    inputs: Inputs,
    boxes: object,
    circuits: object,
    file: str,
) -> Job:
    """Return the wired job; first of its notices is what can hardly be meant.

    Parameters
    ----------
    schedule, rooms
        The schedule, and the room types that its rows place, where they stand on no sheet of it.
    catalogs, inputs
        Those of the build.
    boxes, circuits, file
        What the inputs file of this name says in place of the schedule; see `override`.

    Raises
    ------
    InputError
        Everything wrong with one of the files.
    """
    reading = reading_of(inputs, catalogs)
    table = read_table(schedule)
    types = read_rooms(rooms, table, load_words(catalogs), reading)
    read = parse_schedule(table, load_words(catalogs), replace(reading, rooms=types.by_name))
    override(read, boxes, circuits, catalogs, file)
    job = wire(read, catalogs, conditions_of(inputs))
    cut(job, catalogs, inputs)
    settle_pulled(job, read.problems)
    drops = add_drops(job) if inputs["drops"] == "yes" else []
    return replace(job, notices=[*doubts(job, catalogs), *types.notices, *job.notices, *drops])
