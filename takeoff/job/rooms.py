"""Read the room types of a job: small schedules in one table, told apart by the column room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from takeoff.job.placing import APART
from takeoff.job.records import Circuit, Reading, Room
from takeoff.job.schedule import parse_schedule
from takeoff.job.words import Words, bare
from takeoff.text.problems import Problem, Problems, fail
from takeoff.text.read import RawTable, read_table

SCOPED = ("circuit", "box", "fed_from")
"""Columns whose names hold inside one room type."""


@dataclass(frozen=True)
class Rooms:
    """The room types by name in small letters, what the user should know of them, and what is wrong with them."""

    by_name: dict[str, Room] = field(default_factory=dict)
    notices: Sequence[Problem] = ()
    errors: Sequence[Problem] = ()


def read_rooms(path: Path | None, table: RawTable, words: Words, reading: Reading) -> Rooms:
    """Return the room types of a file, or of a sheet beside the schedule, with its columns and a column `room`.

    What is wrong in single rows is in the result, so that the rows of the schedule can be read all the same.

    Its circuits need no name where a room has one. What a panel feeds is fed where the room begins.

    Parameters
    ----------
    path
        The file of room types, if there is one; it counts in place of a sheet.
    table
        The schedule as read, with its sheet of room types.
    words, reading
        As for the schedule.

    Raises
    ------
    InputError
        The file cannot be read, its header cannot be used, or rows have no room type.
    """
    own, beside = read_table(path) if path else None, table.rooms
    found = (own.rooms or own) if own else beside
    if found is None:
        return Rooms()
    schedule = parse_schedule(_scoped(found, words), words, replace(reading, rooms={}))
    rooms: dict[str, list[Circuit]] = {}
    for circuit in schedule.circuits.values():
        rooms.setdefault(circuit.name.partition(APART)[0], []).append(circuit)
    notices = [p for p in schedule.problems.found if p.severity == "notice"]
    if own and beside:
        said = "is not read: room types are those of --rooms"
        notices.append(Problem(beside.file, None, "", "", said, "", "notice"))
    by_name = {n.casefold(): Room(n, circuits) for n, circuits in rooms.items()}
    return Rooms(by_name, notices, list(schedule.problems.errors()))


def _scoped(table: RawTable, words: Words) -> RawTable:
    """Return the table with the names of each room type apart from those of the others, and without its column room."""
    columns = [words.means("heading", title) or bare(title) for title in table.header]
    if "room" not in columns:
        raise fail(table.file, "has no column room", "the room type that each row belongs to")
    at = columns.index("room")
    found = {bare(name): name for name in SCOPED}
    places = [found.get(bare(column), "") for column in columns]
    missing = "circuit" not in places
    rows = []
    problems = Problems(table.file)
    for number, cells in table.rows:
        padded = [*cells, *[""] * (len(columns) - len(cells))]
        room = padded[at].strip()
        if not room:
            problems.error(number, table.header[at], "", "is blank", "the room type of the row")
        scoped = [_scope(place, text, room, words) for place, text in zip(places, padded, strict=False)]
        rest = padded[len(columns) :]
        scoped = [*scoped[:at], *scoped[at + 1 :], *rest]
        rows.append((number, [*scoped, f"{room}{APART}"] if missing else scoped))
    problems.stop_on_errors()
    header = [*table.header[:at], *table.header[at + 1 :], *(["circuit"] if missing else [])]
    return replace(table, header=header, rows=rows)


def _scope(column: str, text: str, room: str, words: Words) -> str:
    text = text.strip()
    if column == "circuit" or (column == "box" and text):
        return f"{room}{APART}{text}"
    if column == "fed_from" and text and text.casefold() != "panel" and not words.means("from", text):
        return f"{room}{APART}{text}"
    return text
