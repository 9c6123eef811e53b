"""What a drawing of one box shows, read from the tables: cables, conductors by role, the ground path, fill."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from takeoff.drawing.parts import CONTROL
from takeoff.engine.tables import Book

NO_RUNS = "none"
"""Said where no run comes in another construction."""


@dataclass(frozen=True)
class RoleFacts:
    """One conductor role of a box: how many ends come in, and what becomes of them."""

    name: str
    ends_in: int
    terminals: int
    leads: int
    spliced: int
    capped: int
    pigtails: int

    @property
    def kind(self) -> str:
        """The role without its number."""
        return self.name.rstrip(" 0123456789")


@dataclass
class Cable:
    """One cable or raceway that enters: its conductors by role, its EGC, its spares.

    `sizes` are the conductors by size, as `2 x 12 AWG`; a control cable of its own is `control`; `other` is a run in
    another construction than the box is drawn in.
    """

    room: int
    egcs: int
    spares: int
    sizes: Sequence[str]
    control: bool = False
    other: bool = False
    roles: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class GroundFacts:
    """The ground path of a box: ends in the splice, on the box screw, on green terminals; leads of devices.

    `tails` are green terminals on which an EGC left long lands; `looped`: one is looped under the box screw.
    """

    splices: int
    splice_ends: int
    screw_ends: int
    device_ends: int
    egc_ends: int
    box_pigtails: int
    leads: int
    tails: int = 0
    looped: bool = False


@dataclass(frozen=True)
class Fill:
    """Box fill and the box chosen, in3; no fill where it does not apply, volume 0 where no box serves."""

    in3: float | None
    egc_in3: float
    box: str
    volume_in3: float

    @property
    def full_pct(self) -> int:
        """Whole percent of the volume that is filled, halves away from zero as the workbook shows them; else 0."""
        return int(100 * self.in3 / self.volume_in3 + 0.5) if self.in3 is not None and self.volume_in3 else 0


@dataclass(frozen=True)
class BoxFacts:
    """One box of a make-up type in one construction.

    `called` is the title of the construction in short, `title` in full. `armor_path`: the armor or raceway itself is a
    ground path, which runs through the fitting to the box.
    """

    type: str
    make_up: str
    construction: str
    called: str
    title: str
    device: str
    cables: Sequence[Cable]
    roles: Sequence[RoleFacts]
    ground: GroundFacts
    fill: Fill
    armored: int
    bushings: int
    strips: int
    bare: int
    armor_path: bool = False

    @property
    def has_device(self) -> bool:
        """Whether any conductor goes to a device."""
        return any(r.terminals + r.leads for r in self.roles) or bool(self.ground.device_ends + self.ground.leads)


def box_facts(book: Book, make_up_type: str, construction: str) -> BoxFacts:
    """Read what the drawing of a box shows.

    Parameters
    ----------
    book
        Computed tables of a build.
    make_up_type, construction
        Keys of the make-up type and of the construction it is wired in.
    """
    key = f"{make_up_type}|{construction}"
    makeup, work, fits = (_Row(book, table, key) for table in ("makeup", "work", "fits"))
    types = _Row(book, "types", make_up_type)
    roles = _roles(book, make_up_type)
    looped = bool(book.values("make_up_now", "egc_tails")[0]) and bool(makeup["wire_egc"])
    to_box = 0 if looped or not makeup["ground_splices"] else makeup["ground_pigtails"] - makeup["ground_device_ends"]
    ground = GroundFacts(
        splices=makeup["ground_splices"],
        splice_ends=makeup["ground_splice_ends"],
        screw_ends=makeup["ground_screw_ends"],
        device_ends=makeup["ground_device_ends"],
        egc_ends=makeup["egc_ends"] + types["other_egcs"],
        box_pigtails=to_box,
        leads=types["lead_bonds"],
        tails=makeup["ground_device_ends"] - makeup["ground_pigtails"] if looped else 0,
        looped=looped,
    )
    fill = fits.value("fill_in3")
    return BoxFacts(
        type=make_up_type,
        make_up=str(types.value("description")),
        construction=construction,
        called=str(_Row(book, "in_use", construction).value("called")),
        title=str(_Row(book, "constructions", construction).value("title")),
        device=str(types.value("description")).partition(", ")[0],
        cables=_cables(book, key, roles, makeup["wire_egc"], _others(types)),
        roles=roles,
        ground=ground,
        fill=Fill(
            in3=None if isinstance(fill, str) else float(str(fill)),
            egc_in3=float(str(fits.value("egc_in3"))),
            box=str(fits.value("chosen_box")),
            volume_in3=float(str(fits.value("chosen_volume_in3"))),
        ),
        armored=work["armor_ends"],
        bushings=work["bushing_ends"],
        strips=work["bond_strip_ends"],
        bare=work["bare_conductor_ends"],
        armor_path=bool(_Row(book, "in_use", construction)["armor_egc"]),
    )


@dataclass(frozen=True)
class _Row:
    """One row of a table, found by its key."""

    book: Book
    table: str
    key: str

    def value(self, column: str) -> object:
        keys = list(self.book.values(self.table, self.book.tables[self.table].fields[0].name))
        return self.book.values(self.table, column)[keys.index(self.key)]

    def __getitem__(self, column: str) -> int:
        return int(float(str(self.value(column))))


def _roles(book: Book, make_up_type: str) -> list[RoleFacts]:
    names = ("ends_in", "terminals", "leads", "spliced", "capped", "pigtails")
    found: list[RoleFacts] = []
    for table in ("roles", "control_roles"):
        if table in book.tables:
            lines = zip(*(book.values(table, n) for n in ("type", "role", *names)), strict=True)
            found += [RoleFacts(str(r), *(int(n) for n in counts)) for key, r, *counts in lines if key == make_up_type]
    return found


def _parts(kind: str) -> tuple[int, str, str]:
    """Return the power conductors of a run kind, their size, and the size of its control pair, as `2c12d16`."""
    found = re.fullmatch(r"(\d+)c([\d/]+)(?:ig)?(?:[da](\d+))?", kind)
    assert found is not None, kind
    return int(found[1]), found[2], found[3] or ""


def _others(types: _Row) -> list[Cable]:
    """Return the runs that come in another construction, the first of them with the EGCs that they bring."""
    kinds, wires = str(types.value("other_runs")).split(), types["other_egcs"]
    found = []
    for n, (room, awg, pair) in enumerate(_parts(kind) for kind in kinds if kind != NO_RUNS):
        sizes = [f"{room} x {awg} AWG", *([f"2 x {pair} AWG"] if pair else [])]
        found.append(Cable(room, int(n < wires), 0, sizes, other=True))
    return found


def _cables(book: Book, key: str, roles: Sequence[RoleFacts], egcs: int, others: Sequence[Cable]) -> list[Cable]:
    """Return the cables with the roles dealt out: none has a role twice, each has as many as it carries.

    Which of them carries which is not kept in a make-up type; the role with most ends is dealt first, to the
    cables with most room, which succeeds wherever it can be done.
    """
    cables: list[Cable] = []
    alone: list[Cable] = []
    control = [role.name for role in roles if role.kind == CONTROL]
    names = ("makeup_key", "run_key", "number", "ends")
    columns = [book.values("spares", name) for name in names]
    known = "control_cables" in {c.name for c in book.tables["spares"].columns}
    own = book.values("spares", "control_cables") if known else [0] * len(columns[0])
    pairs: list[Cable] = []
    for makeup_key, run_key, number, spare_ends, apart in zip(*columns, own, strict=True):
        if makeup_key == key:
            room, awg, pair = _parts(str(run_key).partition("|")[0])
            count, said, with_it = int(number), [f"{room} x {awg} AWG"], [f"{len(control)} x {pair} AWG"]
            spares = int(spare_ends) // count
            inside = with_it if pair and not apart else []
            found = [Cable(room, egcs, spares, [*said, *inside]) for _ in range(count)]
            beside = [Cable(len(control), 0, 0, with_it, control=True) for _ in range(int(apart))]
            pairs += beside or (found if pair else [])
            cables += found
            alone += beside
    cables += others
    pairs += [cable for cable in others if len(cable.sizes) > 1]
    left = {id(cable): cable.room for cable in cables}
    for role in sorted((r for r in roles if r.kind != CONTROL), key=lambda r: -r.ends_in):
        for cable in sorted(cables, key=lambda c: -left[id(c)])[: role.ends_in]:
            cable.roles.append(role.name)
            left[id(cable)] -= 1
    for cable in pairs:
        cable.roles += control
        cable.room = max(cable.room, len(cable.roles))
    cables += alone
    order = [role.name for role in roles]
    for cable in cables:
        cable.roles.sort(key=order.index)
    return cables
