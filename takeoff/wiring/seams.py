"""Boxes where constructions meet: the make-ups that such a box may have, by what its other runs bring into it.

What a run in another construction brings that the box makes up is whether it has a wire-type EGC, of what size, and
how many spare conductors: constructions that bring the same are one. The work on the end of such a run goes with the
run, as that of a home run at its panel does.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import product

from takeoff.wiring.makeup import MakeUp
from takeoff.wiring.tree import WiredBox


@dataclass(frozen=True)
class End:
    """What the end of a run brings into a box: wire-type EGCs, their size, spare conductors."""

    egcs: int
    egc_awg: str
    spares: int


Ends = Mapping[tuple[str, str], End]
"""What a run brings, by its kind and construction."""


@dataclass(frozen=True)
class Brought:
    """What the runs of one stretch bring into a box of another one: EGCs, the largest, spare conductors by size."""

    egcs: int
    egc_awg: str
    spares: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Seam:
    """A box where constructions meet: for each other stretch how far its make-up lies behind the first one.

    `steps` are by construction of that stretch; they add up.
    """

    steps: Mapping[int, Mapping[str, int]] = field(default_factory=dict)


def make_ups_of(
    box: WiredBox, first: MakeUp, ends: Ends, constructions: Sequence[str], rank: Mapping[str, float]
) -> tuple[list[MakeUp], Seam]:
    """Return the make-ups that a box where constructions meet may have, and how one is chosen.

    Parameters
    ----------
    box, first
        The box, and its make-up with all that is the same in every construction.
    ends
        What a run brings.
    constructions
        Those in use.
    rank
        Conductor sizes, the smallest first.
    """
    groups: dict[int, list[str]] = {}
    sizes = {run.kind: run.awg for run in box.fed}
    for run in box.fed:
        if run.stretch != box.run.stretch:
            groups.setdefault(run.stretch, []).append(run.kind)
    brought = {
        stretch: {
            m: _brought([ends[kind, m] for kind in kinds], [sizes[kind] for kind in kinds], rank) for m in constructions
        }
        for stretch, kinds in groups.items()
    }
    choices = {stretch: list(dict.fromkeys(by.values())) for stretch, by in brought.items()}
    steps: dict[int, dict[str, int]] = {}
    stride = 1
    for stretch in reversed(groups):
        steps[stretch] = {m: stride * choices[stretch].index(b) for m, b in brought[stretch].items()}
        stride *= len(choices[stretch])
    others = tuple(tuple(sorted(kinds)) for kinds in groups.values())
    made = [
        _with(replace(first, others=others, variant=n), found, rank)
        for n, found in enumerate(product(*choices.values()))
    ]
    return made, Seam(steps)


def _brought(ends: Sequence[End], awgs: Sequence[str], rank: Mapping[str, float]) -> Brought:
    spares: Counter[str] = Counter()
    for end, awg in zip(ends, awgs, strict=True):
        spares[awg] += end.spares
    sizes = [end.egc_awg for end in ends if end.egcs]
    largest = max(sizes, key=rank.__getitem__, default="")
    return Brought(sum(end.egcs for end in ends), largest, tuple(sorted((s, n) for s, n in spares.items() if n)))


def _with(first: MakeUp, brought: Sequence[Brought], rank: Mapping[str, float]) -> MakeUp:
    """Return a make-up with what the other runs bring: their EGCs take room as green leads from outside do."""
    egcs = sum(b.egcs for b in brought)
    sizes = [b.egc_awg for b in brought if b.egcs]
    green = sizes + ([first.green_lead_awg] if first.ground_leads else [])
    fill = Counter({(part, size): n for part, size, n in first.fill})
    for size, count in (spare for b in brought for spare in b.spares):
        fill["conductor", size] += count
    return replace(
        first,
        other_egcs=egcs,
        other_egc_awg=max(sizes, key=rank.__getitem__, default="none"),
        ground_leads=first.ground_leads + egcs,
        green_lead_awg=max(green, key=rank.__getitem__, default=first.green_lead_awg),
        fill=tuple(sorted((part, size, n) for (part, size), n in fill.items())),
    )
