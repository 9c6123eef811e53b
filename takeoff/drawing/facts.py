"""What a drawing of one box shows, read from the tables: cables, conductors by role, the ground path, fill."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from takeoff.engine.tables import Book


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
    """One cable or raceway that enters: its circuit conductors by role, its EGC, its spares."""

    kind: str
    room: int
    egcs: int
    spares: int
    roles: list[str] = field(default_factory=list)

    @property
    def awg(self) -> str:
        """Size of the conductors; `ig` behind it in the kind of run says that one is an isolated ground."""
        return self.kind.partition("c")[2].removesuffix("ig")


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


@dataclass(frozen=True)
class BoxFacts:
    """One box of a make-up type in one construction.

    `armor_path`: the armor or raceway itself is a ground path, which runs through the fitting to the box.
    """

    type: str
    make_up: str
    construction: str
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
        egc_ends=makeup["egc_ends"],
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
        title=str(_Row(book, "constructions", construction).value("title")),
        device=str(types.value("description")).partition(", ")[0],
        cables=_cables(book, key, roles, makeup["wire_egc"]),
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
    lines = zip(
        book.values("roles", "type"),
        book.values("roles", "role"),
        *(book.values("roles", n) for n in names),
        strict=True,
    )
    return [RoleFacts(str(role), *(int(n) for n in counts)) for key, role, *counts in lines if key == make_up_type]


def _cables(book: Book, key: str, roles: Sequence[RoleFacts], egcs: int) -> list[Cable]:
    """Return the cables with the roles dealt out: none has a role twice, each has as many as it carries.

    Which of them carries which is not kept in a make-up type; the role with most ends is dealt first, to the
    cables with most room, which succeeds wherever it can be done.
    """
    cables: list[Cable] = []
    columns = (book.values("spares", name) for name in ("makeup_key", "run_key", "number", "ends"))
    for makeup_key, run_key, number, spare_ends in zip(*columns, strict=True):
        if makeup_key == key:
            kind, count = str(run_key).partition("|")[0], int(number)
            spares = int(spare_ends) // count
            cables += [Cable(kind, int(kind.partition("c")[0]), egcs, spares) for _ in range(count)]
    left = {id(cable): cable.room for cable in cables}
    for role in sorted(roles, key=lambda r: -r.ends_in):
        for cable in sorted(cables, key=lambda c: -left[id(c)])[: role.ends_in]:
            cable.roles.append(role.name)
            left[id(cable)] -= 1
    order = [role.name for role in roles]
    for cable in cables:
        cable.roles.sort(key=order.index)
    return cables
