"""The cable order: every run as one uncut length with its tails, assigned to the coils and reels it is cut from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from takeoff.catalog.packages import packages_of
from takeoff.cutting.plan import CuttingPlan, as_cut, cut
from takeoff.engine.tables import Book
from takeoff.model.frame import NOTHING, Frame

FILES = ("order.csv", "cuts.csv", "rest.csv", "rest-order.csv", "rest-cuts.csv")
"""Files in the folder of an order: what to buy, the cuts; of what remains what goes back, what to buy, the cuts."""

ORDER, CUTS, REST, REST_ORDER, REST_CUTS = FILES

HEADINGS = {
    **dict.fromkeys(
        (ORDER, REST_ORDER), ("plan", "item", "description", "package", "holds", "counted_in", "packages", "by")
    ),
    **dict.fromkeys((CUTS, REST_CUTS), ("plan", "cable", "coil", "coil_ft", "box", "circuit", "time_built", "cut_ft")),
    REST: ("item", "description", "counted_in", "needed_from", "needed_to", "goes_back_where_bought", "restocking_usd"),
}
"""The first line of each, by which it is known."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One run to be cut: the box it feeds, which of the times its circuit is built, and its length, ft.

    The length has tails and end waste in it, rounded up to a hundredth of a foot.
    """

    box: str
    circuit: str
    time: int
    cut_ft: float


@dataclass(frozen=True)
class CableOrder:
    """The runs of one cable in one plan, and the coils they are cut from.

    `packages` are what the cable is sold in, shortest first: key and feet. `run_ft` is the cable of all
    runs with tails, without what is lost at their ends.
    """

    plan: str
    item: str
    packages: Sequence[tuple[str, float]]
    pieces: Sequence[Piece]
    cutting: CuttingPlan
    run_ft: float

    @property
    def too_long_ft(self) -> float:
        """Feet of runs longer than every package, to be ordered cut to length."""
        return sum(self.pieces[n].cut_ft for n in self.cutting.too_long)

    def count(self, package: str) -> int:
        """Return how many coils of a package are bought."""
        feet = dict(self.packages)[package]
        return sum(coil.length_ft == feet for coil in self.cutting.coils)


def cable_orders(book: Book, frame: Frame, end_waste_ft: float) -> list[CableOrder]:
    """Return the order of every cable in every plan compared, plan by plan.

    Parameters
    ----------
    book
        The computed book.
    frame
        The job and its catalogs.
    end_waste_ft
        Cable lost at each of the two ends of a run, ft.
    """
    runs: dict[tuple[str, str], list[tuple[float, tuple[str, str, int]]]] = {}
    for plan, item, length, times in _runs(book, frame):
        runs.setdefault((plan, item), []).extend((length, time) for time in times)
    known: dict[tuple[tuple[float, ...], tuple[float, ...]], CuttingPlan] = {}
    orders = []
    for (plan, item), found in runs.items():
        lengths = as_cut([length + end_waste_ft + end_waste_ft for length, _ in found])
        pieces = [Piece(*time, cut_ft) for (_, time), cut_ft in zip(found, lengths, strict=True)]
        packages = packages_of(item, frame.catalogs)
        key = tuple(lengths), tuple(length for _, length in packages)
        if key not in known:  # plans share the runs that fall back to the same cable
            known[key] = cut(*key)
        orders.append(CableOrder(plan, item, packages, pieces, known[key], sum(length for length, _ in found)))
    items = frame.catalogs["prices"].texts("item")
    return sorted(orders, key=lambda o: (frame.compared.index(o.plan), items.index(o.item)))


def _runs(book: Book, frame: Frame) -> Iterator[tuple[str, str, float, list[tuple[str, str, int]]]]:
    """Yield every run of cable in every plan: plan, item, length with tails, and the boxes it feeds."""
    items, is_cable = book.values("runs", "sheath_item"), book.values("run_costs", "cable")
    columns = (book.values("each", n).tolist() for n in ("no", "plan", "run_first", "place", "sheath_ft", "repeat"))
    boxes = frame.job.boxes
    for no, plan, first, construction, length, repeat in zip(*columns, strict=True):
        place = int(first) + int(construction) - 2
        pulled = frame.of_rest and not length
        if is_cable[place] and items[place] != NOTHING and not pulled:
            box = boxes[int(no) - 1]
            times = [(box.source.box, box.circuit.name, time) for time in range(1, int(repeat) + 1)]
            yield plan, str(items[place]), float(length), times
    yield from _control_runs(book, frame)


def _control_runs(book: Book, frame: Frame) -> Iterator[tuple[str, str, float, list[tuple[str, str, int]]]]:
    """Yield every control cable of its own as the runs of cable are yielded."""
    if not frame.control_boxes:
        return
    columns = (book.values("control_lines", n).tolist() for n in ("no", "plan", "item", "bought_ft", "repeat"))
    for no, plan, item, length, repeat in zip(*columns, strict=True):
        box = frame.job.boxes[int(no) - 1]
        times = [(box.source.box, box.circuit.name, time) for time in range(1, int(repeat) + 1)]
        if length:
            yield plan, str(item), float(length), times
