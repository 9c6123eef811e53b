"""Catalogs for tests that ask for the smallest box that holds a fill: all are stocked and cost the same."""

from __future__ import annotations

import csv

from tests.conftest import ROOT


def smallest() -> dict[str, str]:
    """Return rows by catalog: every box is stocked, and boxes, rings and covers have one price, so that size decides."""
    with (ROOT / "catalogs" / "box_uses.csv").open(encoding="utf-8") as lines:
        uses = list(csv.DictReader(lines))
    boxes = dict.fromkeys(u["box"] for u in uses)
    items = [*boxes, *dict.fromkeys(u["cover"] for u in uses if u["cover"] != "none")]
    return {
        "box_sizes": "box,stocked\n" + "".join(f"{box},1\n" for box in boxes),
        "prices": "item,unit,price_usd\n" + "".join(f"{item},each,2\n" for item in items),
    }
