"""Place the room types of a job: each room a copy of a small schedule, with a home run or on from the room before."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from takeoff.job.records import PANEL, BoxRow, Circuit, Room

APART = "|"
"""Stands between a room type and its circuit or box until they are placed."""


@dataclass(frozen=True)
class Placing:
    """What a row says that places rooms; lengths in ft, None where the row is silent."""

    row: int
    circuit: str
    fed_from: str
    numbers: Sequence[int]
    run_ft: float | None
    next_ft: float | None
    home_run_ft: float | None
    area: str
    note: str
    extra: list[str]


Placed = tuple[str, Mapping[str, object], list[BoxRow]]
"""A circuit of a placed room: its name, what its room type says of it, its boxes."""


def place_room(room: Room, place: Placing, error: Callable[[str, str, str, str], None]) -> Iterator[Placed]:
    """Yield the circuits of the rooms that a row places.

    With a home run each room has circuits of its own, fed from the panel; without one the rooms follow each
    other on the circuit of the row. The run into a room is added to what its first box has in the room type.

    Parameters
    ----------
    room
        The room type.
    place
        What the row says.
    error
        Takes a column, its text, what is wrong and what is accepted.
    """
    if place.home_run_ft is None and len(room.circuits) > 1:
        message = f"is blank, but the room {room.name} has {len(room.circuits)} circuits"
        error("home_run_ft", "", message, "the feet from the panel to the room")
    elif place.home_run_ft is None and place.run_ft is None:
        error("run_ft", "", "is blank", "the feet from the box before to the room, or home_run_ft from the panel")
    elif place.home_run_ft is None and place.next_ft is None and len(place.numbers) > 1:
        error("next_ft", "", "is blank", "the feet from room to room, or home_run_ft from the panel to each")
    else:
        for number in place.numbers:
            yield from _one(room, place, number)


def _one(room: Room, place: Placing, number: int) -> Iterator[Placed]:
    first = number == place.numbers[0]
    for circuit in room.circuits:
        local = circuit.name.partition(APART)[2]
        if place.home_run_ft is not None:
            alone = len(place.numbers) == 1 and len(room.circuits) == 1
            name = place.circuit if alone else f"{place.circuit}/{number}{local}"
            into, fed_from = place.home_run_ft, PANEL
        else:
            name, fed_from = place.circuit, place.fed_from if first else ""
            into = (place.run_ft if first else place.next_ft) or 0.0
        yield name, circuit.said, [_copy(b, circuit, room, place, number, into, fed_from) for b in circuit.boxes]


def _copy(box: BoxRow, circuit: Circuit, room: Room, place: Placing, number: int, into: float, fed_from: str) -> BoxRow:
    """Return a box of a room type in the room of that number."""
    entry = box.fed_from == PANEL or (box is circuit.boxes[0] and not box.fed_from)
    upstream = _named(box.fed_from, room, number) if box.fed_from else ""
    return replace(
        box,
        row=place.row,
        box=_named(box.box, room, number),
        run_ft=box.run_ft + (into if entry else 0),
        fed_from=fed_from if entry else upstream,
        area=place.area,
        note=box.note or place.note,
        extra=place.extra,
    )


def _named(box: str, room: Room, number: int) -> str:
    return f"{room.name}-{number}.{box.partition(APART)[2].lstrip('.')}"
