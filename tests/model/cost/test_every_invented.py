"""No invented figure escapes: whatever moves a total when it is changed is among the figures weighed as still invented.

The search knows no list of inputs. It changes every figure that ships as illustrative and is not weighed, rebuilds, and
compares the totals; where they move, it halves the figures until it has those that moved them.

One figure is beyond it: `ends_max` of connectors.csv is part of a key: a row laid over the catalog with another number is
a connector more, and no longer one with other ends.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest

from takeoff.build import Build, Options, compute
from takeoff.model.frame import INVENTED
from takeoff.report.standing import still_invented
from takeoff.text.problems import InputError
from tests.conftest import ROOT
from tests.held import held_pages
from tests.tables import rows

COUNTED = ("duplex", "switch", "luminaire", "equipment-1p", "junction")
"""A row of two boxes of each kind of device, without the feet from one to the next."""

ACTING = {
    "cable_priced_by": "packages-less-stock",
    "ground_make_up": "ready-made",
    "copper_change_pct": "10",
    "aluminum_change_pct": "10",
    "estimate_date": "2026-01-02",
    "install_date": "2027-01-02",
}
"""Inputs that let an invented figure act which does not as shipped."""

NONE_SHIPPED = {
    "material_tax_pct": "6",
    "contingency_pct": "5",
    "overhead_usd_per_h": "3",
    "bond_pct": "1",
}
"""Invented inputs that ship as 0, where they have nothing to add."""

WORK = '[areas."desk row"]\nheight = "from-lift"\noccupancy = "occupied"\nrepetition = "one-off"\n'
FIGURES = ("number", "whole", "flag")
BUILT_UP = ("crew", "burden")
"""Catalogs that the labor rate is built up from: it is weighed as one figure."""

WAGE = "labor_rate_usd_per_h"


@dataclass(frozen=True)
class Figure:
    """A figure of a catalog that ships as illustrative; of the inputs the column `value`."""

    catalog: str
    row: str
    column: str
    value: str
    kind: str

    @property
    def weighed_as(self) -> str:
        """Return the key by which it stands among the figures weighed."""
        if self.column == "route_factor":
            return self.row.partition("|")[0]
        return WAGE if self.catalog in BUILT_UP else self.row

    def other(self) -> str:
        """Return another value: half as much again, of a flag the other one."""
        number = float(self.value)
        if self.kind == "flag":
            return str(int(1 - number))
        more = 1.5 * number or 1.0
        return str(round(more) if self.kind == "whole" else more)


def read(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader((ROOT / "catalogs" / f"{name}.csv").read_text(encoding="utf-8").splitlines()))


def kinds_of(catalog: str) -> dict[str, tuple[str, str]]:
    """Return kind and part of every column of a catalog."""
    return {r["column"]: (r["kind"].split()[0], r["part"]) for r in read("schema") if r["catalog"] == catalog}


def source_of(row: dict[str, str], column: str) -> str:
    """Return the source of a figure: `armor_source` is that of the columns with `armor` in their names."""
    own = (n for n in row if n.endswith("_source") and n.removesuffix("_source") in column.split("_"))
    return row[next(own, "source")]


def illustrative() -> Iterator[Figure]:
    """Yield every figure of every catalog whose row says somewhere that it is illustrative."""
    for path in sorted((ROOT / "catalogs").glob("*.csv")):
        kinds = kinds_of(path.stem)
        keys = [c for c, (_, part) in kinds.items() if "key" in part]
        for row in read(path.stem):
            if path.stem == "schema" or not any(INVENTED in text for n, text in row.items() if n.endswith("source")):
                continue
            key = "|".join(row[k] for k in keys)
            if path.stem == "inputs":
                if row["kind"] in FIGURES:
                    value = NONE_SHIPPED.get(row["name"], row["value"])
                    yield Figure("inputs", row["name"], "value", value, row["kind"])
                continue
            for column, (kind, part) in kinds.items():
                if kind in FIGURES and "key" not in part and column != "step" and INVENTED in source_of(row, column):
                    yield Figure(path.stem, key, column, row[column], kind)


def job(folder: Path) -> Path:
    """Write the small sample with a row of two boxes of each kind behind it."""
    with (ROOT / "samples" / "small.csv").open(encoding="utf-8", newline="") as small:
        head, *lines = csv.reader(small)
    made = [dict(zip(head, line, strict=True)) for line in lines]
    made += [
        {"circuit": f"KP-{n}", "device": device, "wires": "A N S1", "run_ft": "20", "count": "2"}
        for n, device in enumerate(COUNTED, start=11)
    ]
    names = [*head, "count"]
    text = "\n".join(",".join(f'"{r.get(n, "")}"' for n in names) for r in made)
    path = folder / "s.csv"
    path.write_text(",".join(names) + "\n" + text + "\n", encoding="utf-8")
    return path


def built(folder: Path, changed: Sequence[Figure], **only: str) -> Build:
    """Build the job with figures changed, all as rows laid over the catalogs, so that they stay illustrative."""
    overlay = folder / "catalogs"
    overlay.mkdir(parents=True, exist_ok=True)
    found: dict[str, dict[tuple[str, str], str]] = {"inputs": {(n, "value"): v for n, v in NONE_SHIPPED.items()}}
    for figure in changed:
        found.setdefault(figure.catalog, {})[figure.row, figure.column] = figure.other()
    for name, cells in found.items():
        keys = [c for c, (_, part) in kinds_of(name).items() if "key" in part]
        laid = []
        for row in read(name):
            key = "|".join(row[k] for k in keys)
            mine = {column: value for (of, column), value in cells.items() if of == key}
            laid += [row | mine] if mine else []
        with (overlay / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, list(laid[0]))
            writer.writeheader()
            writer.writerows(laid)
    (folder / "i.toml").write_text(WORK, encoding="utf-8")
    sets = [f"{n}={v}" for n, v in (ACTING | only).items()]
    with held_pages():
        return compute(Options(job(folder), overlay, folder / "i.toml", sets))


def totals(build: Build) -> list[float]:
    """Return hours, installed cost and bid of every plan."""
    sums = [r[n] for r in rows(build, "plan_sums") for n in ("labor_hours", "installed_cost")]
    return [*sums, *(r["unrounded_usd"] for r in rows(build, "bid"))]


@dataclass
class Search:
    """Finds which of some figures move the totals of a build."""

    folder: Path
    before: list[float]
    builds: int = 0

    def movers(self, figures: Sequence[Figure]) -> list[Figure]:
        """Return the figures that move a total, alone or with others."""
        self.builds += 1
        try:
            after = totals(built(self.folder / str(self.builds), figures))
            moved = after != pytest.approx(self.before, rel=1e-12, abs=1e-9)
        except InputError:  # not accepted together, or one is at its limit
            moved = len(figures) > 1
        if not moved or len(figures) < 2:
            return list(figures) if moved else []
        half = len(figures) // 2
        return [*self.movers(figures[:half]), *self.movers(figures[half:])]


def test_no_invented_figure_moves_a_total_and_is_not_weighed(tmp_path: Path) -> None:
    """Of the small sample with counted rows; every figure of every catalog, so that no later one escapes."""
    build = built(tmp_path / "base", [])
    weighed = {f["key"] for f in still_invented(build.book)}
    every = list(illustrative())
    assert {f.catalog for f in every} >= {
        "inputs",
        "prices",
        "operations",
        "families",
        "crew",
        "burden",
        "make_up_styles",
    }
    escaped = [f for f in every if f.weighed_as not in weighed]
    assert Search(tmp_path, totals(build)).movers(escaped) == []


def test_the_search_finds_a_figure_that_is_left_out(tmp_path: Path) -> None:
    """As if nothing were weighed: a price, a length and a part of minutes are found among figures that move nothing."""
    every = {(f.catalog, f.row, f.column): f for f in illustrative()}
    sought = [
        every[place]
        for place in (
            ("prices", "mc-wire-12-2", "price_usd"),
            ("inputs", "next_luminaire_ft", "value"),
            ("make_up_styles", "ready-made", "pigtail_minutes_pct"),
        )
    ]
    idle = [f for f in every.values() if f.catalog == "breaker_bands"][:5]
    found = Search(tmp_path, totals(built(tmp_path / "base", []))).movers([*idle, *sought])
    assert found == sought
