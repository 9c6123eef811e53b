"""Networks of resistors solved by general libraries, by which the model's sums along a tree are held.

The conductance matrix is the Laplacian of a graph by NetworkX, the solve is that of SciPy: neither is code of this project.
"""

from __future__ import annotations

from collections.abc import Hashable

import networkx as nx
import numpy as np
from scipy.linalg import solve

Node = Hashable
GROUND = "ground"


class Network:
    """Resistors and current sources between named nodes; solved by nodal analysis, one node being at 0 V."""

    def __init__(self) -> None:
        self.graph = nx.MultiGraph()
        self.graph.add_node(GROUND)
        self.drawn: dict[Node, complex] = {}

    def resistor(self, a: Node, b: Node, ohm: float, name: str = "") -> None:
        """Lay a resistor between two nodes."""
        self.graph.add_edge(a, b, siemens=1 / ohm, name=name)

    def draw(self, a: Node, b: Node, amperes: complex) -> None:
        """Draw a current out of one node and return it into another."""
        self.drawn[a] = self.drawn.get(a, 0) - amperes
        self.drawn[b] = self.drawn.get(b, 0) + amperes

    def solve(self) -> dict[Node, complex]:
        """Return the voltage of every node to ground."""
        nodes = [node for node in self.graph if node != GROUND]
        siemens = nx.laplacian_matrix(self.graph, [*nodes, GROUND], weight="siemens").toarray()[:-1, :-1]
        volts = solve(siemens, np.array([self.drawn.get(node, 0) for node in nodes], dtype=complex))
        return {GROUND: 0j, **dict(zip(nodes, volts.tolist(), strict=True))}

    def currents(self, volts: dict[Node, complex]) -> dict[str, complex]:
        """Return the current of every resistor that has a name."""
        edges = self.graph.edges(data=True)
        return {d["name"]: (volts[a] - volts[b]) * d["siemens"] for a, b, d in edges if d["name"]}
