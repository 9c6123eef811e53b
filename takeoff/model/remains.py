"""What remains of a job in the plans of its swap: the book of a job without the circuits that are begun."""

from __future__ import annotations

from dataclasses import replace

from takeoff.engine.tables import Book
from takeoff.job.inputs import Inputs
from takeoff.model.book import build_book
from takeoff.model.boxes.ends import ends_of
from takeoff.model.frame import Frame
from takeoff.model.order.cables import CableOrder
from takeoff.model.order.rest import SIDES, Rest, circuits_left, rest_of
from takeoff.wiring.types import find_types


def find_rest(frame: Frame, inputs: Inputs, book: Book, orders: list[CableOrder]) -> Rest:
    """Return what remains in the plans of the swap: where circuits are begun, of the job without them."""
    left = circuits_left(book)
    boxes = [b for b in frame.job.boxes if b.circuit.name in left]
    if len(boxes) == len(frame.job.boxes) and not frame.pulled:
        return rest_of(book, frame, orders)
    if not boxes:
        return Rest([], {side: [0.0] * len(book.values("material", "item")) for side in SIDES}, begun=True)
    job = replace(frame.job, boxes=boxes, circuits=[c for c in frame.job.circuits if c.name in left])
    part = replace(frame, job=job, of_rest=True)
    ends = ends_of(part, inputs) if part.changes else None
    part = replace(part, types=find_types(job, frame.catalogs, ends, frame.constructions))
    smaller, fewer, _ = build_book(part, inputs)
    rest = rest_of(smaller, part, fewer)
    places = {str(item): n for n, item in enumerate(smaller.values("material", "item"))}
    items = [places.get(str(item)) for item in book.values("material", "item")]
    quantities = {s: [0.0 if n is None else q[n] for n in items] for s, q in rest.quantities.items()}
    return Rest(rest.orders, quantities, begun=True)
