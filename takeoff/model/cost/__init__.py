"""From boxes to totals: labor, material, areas, bid, proofs."""
