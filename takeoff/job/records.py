"""The schedule as records: boxes, circuits, and the whole as read."""

from __future__ import annotations

from dataclasses import dataclass, field

from takeoff.text.problems import Problems

BOX_COLUMNS = (
    *("box", "circuit", "device", "run_ft", "run_m", "fed_from", "wires", "taps", "awg", "load_va"),
    *("space", "area", "box_style", "gangs", "note"),
)
CIRCUIT_COLUMNS = ("panel", "breaker_a", "poles", "volts", "neutral", "continuous", "repeat", "construction")


@dataclass(slots=True)
class BoxRow:
    """One row of the schedule, converted; blanks that another module fills are None or empty."""

    row: int
    box: str
    circuit: str
    devices: list[str]
    run_ft: float
    fed_from: str
    wires: list[str]
    taps: list[str]
    awg: str
    load_va: float | None
    space: str
    area: str
    box_style: str
    gangs: int | None
    note: str
    extra: list[str]


@dataclass(slots=True)
class Circuit:
    """What holds for a whole branch circuit or multiwire group."""

    name: str
    row: int
    panel: str
    breaker_a: float = 20
    poles: int = 1
    volts: float = 120
    neutral: bool = True
    continuous: bool = False
    repeat: int = 1
    construction: str = "free"
    boxes: list[BoxRow] = field(default_factory=list)


@dataclass(frozen=True)
class Schedule:
    """The schedule as read: boxes in file order, circuits in order of appearance, notices."""

    file: str
    sha256: str
    boxes: list[BoxRow]
    circuits: dict[str, Circuit]
    extra_columns: list[str]
    problems: Problems
    broken: set[str]
    """Names of the circuits with a row that could not be converted: they are not wired."""
