"""A general solver of resistor networks, by which the model's sums along a tree are held."""

from __future__ import annotations

from collections.abc import Hashable, Iterable

import numpy as np

Node = Hashable
GROUND = "ground"


class Network:
    """Resistors and current sources between named nodes; solved by nodal analysis, one node being at 0 V."""

    def __init__(self) -> None:
        self.resistors: list[tuple[Node, Node, float]] = []
        self.sources: list[tuple[Node, Node, complex]] = []

    def resistor(self, a: Node, b: Node, ohm: float) -> None:
        """Lay a resistor between two nodes."""
        self.resistors.append((a, b, ohm))

    def draw(self, a: Node, b: Node, amperes: complex) -> None:
        """Draw a current out of one node and return it into another."""
        self.sources.append((a, b, amperes))

    def solve(self) -> dict[Node, complex]:
        """Return the voltage of every node to ground."""
        ends: Iterable[Node] = (node for a, b, _ in [*self.resistors, *self.sources] for node in (a, b))
        nodes = [node for node in dict.fromkeys(ends) if node != GROUND]
        place = {node: n for n, node in enumerate(nodes)}
        siemens = np.zeros((len(nodes), len(nodes)))
        amperes = np.zeros(len(nodes), dtype=complex)
        for a, b, ohm in self.resistors:
            for node, other in ((a, b), (b, a)):
                if node != GROUND:
                    siemens[place[node], place[node]] += 1 / ohm
                    if other != GROUND:
                        siemens[place[node], place[other]] -= 1 / ohm
        for a, b, current in self.sources:
            for node, sign in ((a, -1), (b, 1)):
                if node != GROUND:
                    amperes[place[node]] += sign * current
        return {GROUND: 0j, **dict(zip(nodes, np.linalg.solve(siemens, amperes).tolist(), strict=True))}
