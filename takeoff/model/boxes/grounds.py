"""The ground path of boxes alike: what is spliced, what lands where, by style of make-up and by construction type.

Boxes are alike here where as many runs enter and as many devices need a bond, whatever else is in them: some ten kinds
serve a whole job. Each is counted with a wire-type EGC from pigtails, with a wire-type EGC left long, and with none.
The counting rules stand in DEVELOPERS.md.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import astuple, dataclass

from takeoff.catalog.rows import Row
from takeoff.engine.expr import begins, call, col, equal, flag, given, ratio, same, when
from takeoff.engine.lookups import At, Match
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import INVENTED, Frame
from takeoff.model.givens.constructions import drivers_of, operations_of
from takeoff.model.givens.wages import only
from takeoff.wiring.makeup import SEAM, MakeUp

PIGTAILS, TAILS, ARMOR = RULES = ("pigtails", "tails", "armor")
"""How grounds are made up: a wire-type EGC by pigtails, one left long, and no EGC that comes in."""

WIRE = "wire"
MADE = ("ground_splices", "ground_splice_ends", "ground_screw_ends", "ground_pigtails", "ground_terminations")
"""What is counted of the grounds of a box and changes with the style."""


@dataclass(frozen=True, order=True)
class GroundKind:
    """What decides the grounds of a box: a panel's are kept apart. Switches are those in metal boxes, by terminals."""

    place: str
    runs: int
    devices: int
    switches: int
    leads: int
    metal: int


def kind_of(make_up: MakeUp, egc: str, frame: Frame) -> tuple[GroundKind, str]:
    """Return the kind of ground make-up of a type, and whether it is made up with a wire-type EGC.

    `egc` is what its own runs bring. A wire-type EGC that comes with a run in another construction makes the box one
    with a wire-type EGC; at the end of a run elsewhere nothing is made up, its box has all grounds.
    """
    if make_up.place == SEAM:
        return GroundKind(SEAM, 0, 0, 0, 0, 1), ARMOR
    runs = make_up.other_egcs + (len(make_up.runs) if egc == WIRE or not make_up.other_egcs else 0)
    metal = int(make_up.place != "box" or bool(frame.catalogs["box_styles"][make_up.box_style]["metal"]))
    switches = make_up.bonded_switches * metal
    devices = make_up.bonded_terminals - switches
    kind = GroundKind(make_up.place, runs, devices, switches, make_up.bonded_leads, metal)
    return kind, WIRE if make_up.other_egcs else egc


def egc_of(construction: Row) -> str:
    """Return whether a construction brings a wire-type EGC into the box, as a row of the catalog has it."""
    return ARMOR if construction["egc_kind"] == ARMOR else WIRE


def kinds_of(frame: Frame) -> dict[GroundKind, str]:
    """Return the kinds of ground make-up of a job with their keys, boxes first."""
    types = frame.types.by_key.values()
    kinds = sorted({kind_of(make_up, egc, frame)[0] for make_up in types for egc in (WIRE, ARMOR)})
    return {kind: f"G{n:02}" for n, kind in enumerate(kinds, start=1)}


def ground_key(make_up: MakeUp, egc: str, frame: Frame, kinds: Mapping[GroundKind, str]) -> str:
    """Return the key of the grounds of a type whose own runs bring a wire-type EGC or none."""
    kind, made_with = kind_of(make_up, egc, frame)
    return f"{kinds[kind]}|{made_with}"


def effort_key(
    make_up: MakeUp, construction: str, frame: Frame, kinds: Mapping[GroundKind, str], classes: Mapping[str, str]
) -> tuple[str, GroundKind, str, str]:
    """Return what the minutes on the grounds of a type go by: key, kind, construction that stands for it, EGC."""
    own = egc_of(frame.catalogs["constructions"][construction])
    kind, made_with = kind_of(make_up, own, frame)
    mark = "" if made_with == own else f"|{made_with}"
    return f"{kinds[kind]}|{classes[construction]}{mark}", kind, classes[construction], made_with


def ground_classes(frame: Frame) -> dict[str, str]:
    """Return for each construction the first one whose grounds are made up alike and take the same minutes.

    They do where both bring a wire-type EGC or both none, and where no operation on grounds has minutes of their own.
    """
    drivers = drivers_of(frame, "box", ground=True)
    operations = [str(o["operation"]) for o in operations_of(frame) if o["driver"] in drivers]
    catalog, found, first = frame.catalogs["operations"], dict[str, str](), dict[tuple[object, ...], str]()
    for m in frame.constructions:
        own = tuple(m if f"{o}|{m}" in catalog else "all" for o in operations)
        found[m] = first.setdefault((egc_of(frame.catalogs["constructions"][m]), *own), m)
    return found


def make_up_now_table(_: Frame) -> Table:
    """What the style of ground make-up in force says."""

    def style(name: str) -> At:
        return At("make_up_styles", name, col("row"))

    return Table(
        "make_up_now",
        "Style of ground make-up in force",
        [Field("key", "style", role="key")],
        [
            Column("row", "row of the style", "no.", Match("make_up_styles", "style", given("ground_make_up"))),
            Column("egc_tails", "EGCs are left long", "0/1", style("egc_tails")),
            Column("tails_bought", "tails and jumpers are bought", "0/1", style("tails_bought")),
            Column("share", "minutes of one that are left", "1/1", ratio(style("pigtail_minutes_pct"), 100, 0)),
            Column("invented", "illustrative part of the minutes", "0/1", flag(begins(style("source"), INVENTED))),
        ],
        {"key": ["in force"]},
    )


def grounds_table(frame: Frame) -> Table:
    """Every kind by every rule: the ends of one box."""
    kinds = kinds_of(frame)
    rows = [(rule, key, *astuple(kind)[1:]) for rule in RULES for kind, key in kinds.items()]
    rule, key, runs, devices, switches, leads, metal = (list(column) for column in zip(*rows, strict=True))
    wire, tails = ([int(r in found) for r in rule] for found in ((PIGTAILS, TAILS), (TAILS,)))
    alone = [n == 1 and not d + s + x for n, d, s, x in zip(runs, devices, switches, leads, strict=True)]
    jumper = same(given("switch_bond"), "jumper")
    bonded = (col("devices") + when(jumper, col("switches"), 0)) * when(same(given("self_grounding"), "yes"), 0, 1)
    joined = col("egcs") + (col("leads") + col("device_pigtails")) * col("wire")
    lands = (col("wire") - col("ground_splices")) * col("box_end")
    jumpers = (col("bonded") + col("leads")) * col("armor")
    return Table(
        "grounds",
        "Grounds of one box, by kind and rule",
        [
            Field("key", "kind", role="key"),
            Field("rule", "made up by", role="key"),
            Field("egcs", "EGCs that come in", "ea"),
            Field("landing", "of them left long", "ea"),
            Field("devices", "green terminals of other devices", "ea"),
            Field("switches", "green terminals of switches in metal boxes", "ea"),
            Field("leads", "green leads", "ea"),
            Field("box_end", "box bonded by an end of its own", "0/1"),
            Field("metal", "metal box or bar", "0/1"),
            Field("looped", "box bonded by a loop", "0/1"),
            Field("wire", "wire-type EGC", "0/1"),
            Field("armor", "armor-type EGC", "0/1"),
        ],
        [
            Column(
                "bonded",
                "green terminals bonded",
                "ea",
                bonded,
                "250.146; self-grounding devices take no jumper, 250.146(B), nor a switch on metal screws, 404.9(B)",
            ),
            Column(
                "device_pigtails",
                "device pigtails and jumpers",
                "ea",
                call("max", 0, col("bonded") - col("landing")),
                "an EGC left long lands on a device itself; a terminal takes one conductor, 110.14(A)",
            ),
            Column("joined", "ends joined, without the box", "ea", joined),
            Column(
                "ground_splices",
                "ground splices",
                "ea",
                when(equal(col("joined"), 1), 0, col("wire")),
                "wire-type: one splice of all grounds, 250.148, unless one EGC is alone; armor-type: none",
            ),
            Column(
                "ground_splice_ends",
                "ground ends in splices",
                "ea",
                col("ground_splices") * (col("joined") + col("box_end") * col("metal")),
            ),
            Column(
                "ground_pigtails",
                "ground pigtails and jumpers",
                "ea",
                col("device_pigtails") + col("ground_splices") * col("box_end") * col("metal"),
            ),
            Column(
                "ground_screw_ends",
                "ground ends on box screw or bar",
                "ea",
                col("ground_splices") * col("box_end") * col("metal") + lands + col("looped") + jumpers,
                "a loop of an unbroken EGC is one end; armor-type: jumper or lead on a screw of its own, 250.146",
            ),
            Column(
                "ground_terminations",
                "ground terminations",
                "ea",
                col("ground_splice_ends") + col("ground_screw_ends") + col("bonded"),
                "grounding conductor ends made up: in the splice, on the box screw, on green terminals",
            ),
        ],
        {
            "key": key,
            "rule": rule,
            "egcs": [n * w for n, w in zip(runs, wire, strict=True)],
            "landing": [n * t for n, t in zip(runs, tails, strict=True)],
            "devices": devices,
            "switches": switches,
            "leads": leads,
            "box_end": [w - t for w, t in zip(wire, tails, strict=True)],
            "metal": metal,
            "looped": [t * int(m or a) for t, m, a in zip(tails, metal, alone, strict=True)],
            "wire": wire,
            "armor": [1 - w for w in wire],
        },
    )


def grounds_now_table(frame: Frame) -> Table:
    """Every kind by the style in force: with a wire-type EGC, and with none."""
    keys = list(kinds_of(frame).values())
    count = len(keys)
    rows = [(WIRE, k) for k in keys] + [(ARMOR, k) for k in keys]
    places = [*range(1, count + 1), *range(1, count + 1)]
    row = col("first") + col("further") * only("make_up_now", "egc_tails")
    return Table(
        "grounds_now",
        "Grounds of one box, by the style in force",
        [
            Field("key", "kind and EGC", role="key", width=12),
            Field("first", "row by pigtails", "no."),
            Field("further", "rows to that of EGCs left long", "ea"),
        ],
        [
            Column("row", "row in force", "no.", row),
            Column("ground_device_ends", "green terminals bonded", "ea", At("grounds", "bonded", col("first"))),
            *(Column(n, n.replace("_", " "), "ea", At("grounds", n, col("row"))) for n in MADE),
        ],
        {
            "key": [f"{k}|{egc}" for egc, k in rows],
            "first": [n if egc == WIRE else 2 * count + n for (egc, _), n in zip(rows, places, strict=True)],
            "further": [count if egc == WIRE else 0 for egc, _ in rows],
        },
    )
