"""The schedule as records: boxes, circuits, and the whole as read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from takeoff.catalog.rows import Catalogs
from takeoff.text.dates import NOT_GIVEN
from takeoff.text.problems import Problems

PANEL = "panel"
"""Stands for the panelboard in fed_from; no box has it for an id."""

BOX_COLUMNS = (
    *("box", "circuit", "device", "count", "run_ft", "run_m", "next_ft", "home_run_ft", "fed_from"),
    *("wires", "taps", "awg", "control_awg", "control_ft", "load_va", "space", "room", "area"),
    *("ceiling_ft", "height_in", "box_style", "gangs", "run_construction", "run_state", "note"),
)
LOOP_COLUMNS = ("loop_ohm", "loop_date", "loop_class_pct")
"""What was read of a fault loop: ohms, day, and the percent of its reading that the instrument may be off."""

CIRCUIT_COLUMNS = (
    *("panel", "breaker_a", "poles", "volts", "neutral", "continuous", "repeat", "construction", "work_state"),
    *LOOP_COLUMNS,
)

LOOP_MOST = {"loop_ohm": 1000.0, "loop_class_pct": 100.0}
"""Largest numbers accepted."""

LOOP_CLASS_PCT = 30.0
"""Operating uncertainty of a loop tester at most, IEC 61557-3, from memory: taken where no class is said."""

RUNS_APART = "apart"
"""Stands for the length of a control cable that goes along the run."""

NOT_STARTED = "not started"
PULLED = "pulled"
WORK_STATES = (NOT_STARTED, PULLED, "made up", "trimmed", "done")
"""How far a circuit is built, in order; of a blank one the percent of its area says what remains."""

RUN_STATES = (NOT_STARTED, PULLED)
PARTLY = "partly pulled"
"""The state of a circuit of which some runs are pulled: it follows from them and is not said."""

UNKNOWN = "unknown"
"""Answer to a fact that nobody has given yet."""


def fact_columns(catalogs: Catalogs) -> tuple[str, ...]:
    """Return the columns that tell facts of a circuit, which some rules ask for."""
    return tuple(str(row["fact"]) for row in catalogs["facts"] if row["told_by"] == "circuit")


@dataclass(slots=True)
class BoxRow:
    """One box of the schedule, converted; blanks that another module fills are None or empty.

    `run_ft` is without drops, with them where the inputs file says it (`drops_in_run`); a row with a count is as
    many boxes of one row number. `pulled` says that the feeding run is in place. A control pair is `control_apart`
    where it has a cable of its own, `control_ft` is the length of that, None along the run. `space` may be several,
    separated by spaces: the rules of all of them hold. `spaced_by` is the input that `run_ft` is taken from.
    """

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
    height_in: float | None = None
    ceiling_ft: float | None = None
    drops_in_run: bool = False
    run_construction: str = ""
    pulled: bool = False
    control_awg: str = ""
    control_apart: bool = False
    control_ft: float | None = None
    spaced_by: str = ""

    @property
    def spaces(self) -> list[str]:
        """The kinds of space that the box is in."""
        return self.space.split()


@dataclass(slots=True)
class Circuit:
    """What holds for a whole branch circuit or multiwire group; `facts` are the answers that the schedule gives."""

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
    loop_ohm: float = 0
    loop_date: str = NOT_GIVEN
    loop_class_pct: float = LOOP_CLASS_PCT
    work_state: str = ""
    facts: dict[str, str] = field(default_factory=dict)
    boxes: list[BoxRow] = field(default_factory=list)
    said: dict[str, object] = field(default_factory=dict)
    """What the schedule says of the circuit, by column; the rest are defaults."""


@dataclass(frozen=True)
class Room:
    """A room type: a small schedule that rows of a schedule place; its circuits have names of its own."""

    name: str
    circuits: Sequence[Circuit]


@dataclass(frozen=True)
class Reading:
    """What decides how a schedule is read, beside its words.

    `ignored` are headings that the user says hold no fact, `next_ft` the feet between the boxes of a count by kind
    of device, `rooms` the room types by name in small letters.
    """

    ignored: Sequence[str] = ()
    next_ft: Mapping[str, float] = field(default_factory=dict)
    rooms: Mapping[str, Room] = field(default_factory=dict)


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
    rows: int = 0
    """Rows with entries under the headings."""
    counts: Mapping[int, int] = field(default_factory=dict)
    """Boxes that each row says, by its number: its count, times those of the room that it places."""
    receipt: tuple[str, ...] = ()
    """What was read of the file, sheet by sheet."""
