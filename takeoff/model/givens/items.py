"""Which items of the price list a job can call for, and so have a cost of one in the workbook."""

from __future__ import annotations

from takeoff.catalog.rows import Row
from takeoff.model.frame import NOTHING, Frame
from takeoff.wiring.kinds import parts_of_kind


def cables_of_sizes(frame: Frame) -> list[Row]:
    """Catalog cables of the families that some run of the job, in some construction in use, is looked up in.

    Of those with a control pair only the ones with conductors enough, and no more than another one of them.
    """
    names = ("construction", "awg", "isolated", "control_awg")
    of: dict[str, list[Row]] = {}
    for cable in frame.catalogs["cables"]:
        of.setdefault("|".join(str(cable[n]) for n in names), []).append(cable)
    wanted = {
        (frame.cable_family(m, kind), parts_of_kind(kind)[0]) for m in frame.constructions for kind in frame.run_kinds
    }
    found = set()
    for family, least in wanted:
        mine = sorted(of.get(family, []), key=lambda c: int(str(c["conductors"])))
        enough = [c for c in mine if int(str(c["conductors"])) >= least]
        found |= {str(c["key"]) for c in (mine if family.endswith(NOTHING) else enough[:1])}
    return [c for c in frame.catalogs["cables"] if str(c["key"]) in found]


def box_uses_of(frame: Frame) -> list[Row]:
    """Return the boxes that serve the styles and gangs of the job; where none does, those of all, so that one stands.

    A table without a row would have no formula, and the user may not have a box of that style.
    """
    families = {(m.box_style, m.gangs) for m in frame.types.by_key.values()}
    found = [u for u in frame.catalogs["box_uses"] if (u["box_style"], u["gangs"]) in families]
    return found or list(frame.catalogs["box_uses"])


def reachable_items(frame: Frame) -> list[Row]:
    """Return the priced items that some input of the workbook can call for in this job.

    Cables of sizes that no run of the job has with their fittings, boxes of styles and gangs that no box has, and
    wire connectors for sizes that meet in no box are left out.
    """
    cables = cables_of_sizes(frame)
    wanted = {str(c[n]) for c in cables for n in ("sheath_item", "wire_item", "egc_item")}
    pairs = {box.run.control_awg for box in frame.job.boxes}
    wanted |= {str(c["sheath_item"]) for c in frame.catalogs["control_cables"] if c["awg"] in pairs}
    wanted |= {str(u[n]) for u in box_uses_of(frame) for n in ("box", "cover")}
    family = {str(r["construction"]): r["fitting_family"] for r in frame.catalogs["constructions"]}
    at_ends = {(family[str(c["construction"])], c["fitting_size"]) for c in cables}
    fittings = [f for f in frame.catalogs["fittings"] if (f["fitting_family"], f["fitting_size"]) in at_ends]
    wanted |= {str(f[n]) for f in fittings for n in ("connector_item", "coupling_item")}
    joined = {line.awg for m in frame.types.by_key.values() for line in m.roles}
    joined |= {parts_of_kind(kind)[1] for kind in frame.run_kinds} | {str(c["egc_awg"]) for c in cables}
    wanted |= {str(r["item"]) for r in frame.catalogs["connectors"] if r["awg"] in joined}
    wanted |= {str(r["item"]) for r in frame.catalogs["uses"]}
    return [r for r in frame.catalogs["prices"] if r["item"] in wanted - {NOTHING}]


def costed_items(frame: Frame) -> list[Row]:
    """Return the items that have a cost of one in the workbook, and last the price of nothing."""
    return [*reachable_items(frame), *(r for r in frame.catalogs["prices"] if r["item"] == NOTHING)]


def listed_items(frame: Frame) -> list[Row]:
    """Return the items whose price of the list is read: those that have a cost of one, and those of the quotes."""
    wanted = {str(r["item"]) for r in costed_items(frame)} | {line.item for line in frame.quotes}
    return [r for r in frame.catalogs["prices"] if r["item"] in wanted]
