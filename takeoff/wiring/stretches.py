"""Stretches: runs of a circuit that one choice of construction holds for; where two meet, the construction may change.

A circuit is one stretch unless its schedule or the inputs say otherwise. By run, a plan chooses for the runs in each
set of spaces apart; a run that is held to a construction, and a home run where home runs are, is a stretch of its own.
A circuit that is held is cut as it were if it is not: whether it is may be changed in the workbook.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from takeoff.catalog.rows import Catalogs
from takeoff.job.inputs import Inputs
from takeoff.job.overrides import AS_PLANNED, FREE
from takeoff.job.records import Circuit
from takeoff.text.problems import Problems, nearest
from takeoff.wiring.circuits import spaces_of
from takeoff.wiring.tree import Job, WiredBox

BY, HOME_RUNS = "construction_by", "home_run_construction"
"""Inputs that decide where a circuit is cut into stretches."""

BY_RUN = "run"
GENERAL = "general"
"""The space that has no rules beyond those of the others."""


@dataclass(frozen=True)
class Stretch:
    """Runs of a circuit in one construction: those that the boxes are fed by.

    `place` is 0 for the stretch that stands for the circuit, `held` the construction it is held to, if any; `home`
    the one it is in unless its circuit is held, as home runs are.
    """

    circuit: Circuit
    place: int
    boxes: Sequence[WiredBox]
    held: str
    home: str

    @property
    def name(self) -> str:
        """Name the stretch: its circuit, and what sets it apart where it is not the first."""
        return f"{self.circuit.name}: {self._apart}" if self.place else self.circuit.name

    @property
    def _apart(self) -> str:
        if self.home:
            return "home run"
        return f"in {self.held}" if self.held else " ".join(spaces_of(self.boxes))


def cut(job: Job, catalogs: Catalogs, inputs: Inputs, homes: str) -> None:
    """Say of every run which stretch of its circuit it belongs to, and which spaces hold for it.

    Parameters
    ----------
    job
        The wired job; its boxes are changed.
    catalogs
        `spaces` says which kinds of space hold for all of a circuit, `constructions` what a run may be held to.
    inputs
        `construction_by`.
    homes
        The construction that home runs are held to, or nothing.
    """
    by_run = inputs[BY] == BY_RUN
    whole = {str(row["space"]) for row in catalogs["spaces"] if row["whole_circuit"]}
    of: dict[str, list[WiredBox]] = {}
    for box in job.boxes:
        of.setdefault(box.circuit.name, []).append(box)
    for boxes in of.values():
        common = [s for s in dict.fromkeys(s for b in boxes for s in b.source.spaces) if s in whole]
        kinds: list[tuple[str, frozenset[str]]] = []
        for box in boxes:
            ends = [box, *([box.upstream] if box.upstream else [])]
            met = [s for end in ends for s in end.source.spaces if s != GENERAL] if by_run else box.source.spaces
            box.spaces = list(dict.fromkeys([*met, *(common if by_run else [])])) or [GENERAL]
            box.held = box.source.run_construction
            box.home = homes if box.from_panel and not box.held else ""
            own = box.held or box.home
            kinds.append((own, frozenset(box.spaces if by_run and not own else ())))
        first = next((kind for kind in kinds if not kind[0]), kinds[0])
        order = {kind: n for n, kind in enumerate(dict.fromkeys([first, *kinds]))}
        for box, kind in zip(boxes, kinds, strict=True):
            box.run.stretch = order[kind]


def stretches_of(boxes: Sequence[WiredBox]) -> list[Stretch]:
    """Return the stretches of a circuit, that which stands for it first."""
    found: dict[int, list[WiredBox]] = {}
    for box in boxes:
        found.setdefault(box.run.stretch, []).append(box)
    return [Stretch(boxes[0].circuit, n, found[n], found[n][0].held, found[n][0].home) for n in sorted(found)]


def home_runs(catalogs: Catalogs, inputs: Inputs) -> str:
    """Return the construction that home runs are held to; nothing where the plan decides.

    Raises
    ------
    InputError
        They are held to what is no construction.
    """
    said, known = str(inputs[HOME_RUNS]), catalogs["constructions"]
    if said.casefold() in (FREE, AS_PLANNED):
        return ""
    if said not in known:
        problems = Problems("inputs")
        problems.error(None, HOME_RUNS, said, "is not a construction:", nearest(said, [AS_PLANNED, *known.keys]))
        problems.stop_on_errors()
    return str(known[said]["key"])
