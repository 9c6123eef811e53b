"""Lay calibrated minutes, their ranges and what is learned over the catalogs in a folder; other rows stay."""

from __future__ import annotations

import csv
import io
import shutil
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory, gettempdir

from takeoff.catalog.crosscheck import crosscheck
from takeoff.catalog.load import load_catalogs
from takeoff.catalog.rows import Catalogs
from takeoff.study.analysis import Wanted, row_for
from takeoff.study.columns import WHOLE_BOX
from takeoff.study.estimates import standing_of
from takeoff.study.figures import Figure
from takeoff.study.statistics import CONVENTIONS
from takeoff.text.read import read_table
from takeoff.text.transaction import told

MINUTES, RANGES, LEARNED = "operations.csv", "minute_ranges.csv", "learning.csv"
COLUMNS = {
    MINUTES: ("operation", "construction", "title", "driver", "minutes", "step", "source"),
    RANGES: ("operation", "construction", "low_minutes", "high_minutes", "confidence_pct", "source"),
    LEARNED: (
        *("operation", "construction", "estimate_minutes", "now_minutes", "curve_pct"),
        *("reached", "more_units", "more_days", "source"),
    ),
}

DECIMALS = 5
"""Of minutes: a hundred-thousandth is less than a thousandth of a second."""


@dataclass(frozen=True)
class Change:
    """One calibrated row, the range of its minutes and when the estimate is reached, and what held before it.

    `range` is empty where one reading shows no spread, `learned` where the days are too few or there was no estimate.
    """

    figure: Figure
    row: Mapping[str, str]
    range: Mapping[str, str]
    learned: Mapping[str, str]
    minutes_before: float | None
    source_before: str

    @property
    def minutes(self) -> float:
        """The minutes as they are written."""
        return float(self.row["minutes"])


def changes_of(figures: Sequence[Figure], catalogs: Catalogs, wanted: Wanted) -> list[Change]:
    """Return a row of the operations catalog for every operation and construction that was timed."""
    timed = (f for f in figures if f.operation != WHOLE_BOX)
    return [_change(f, construction, catalogs, wanted) for f in timed for construction in f.constructions]


def _change(figure: Figure, construction: str, catalogs: Catalogs, wanted: Wanted) -> Change:
    row = next(r for r in catalogs["operations"] if r["operation"] == figure.operation)
    before = row_for(catalogs, figure.operation, construction)
    key = {"operation": figure.operation, "construction": construction}
    source = {"source": source_of(figure, wanted)}
    cells = {
        **key,
        "title": str(row["title"]),
        "driver": str(row["driver"]),
        "minutes": _minutes(figure.standard_s),
        "step": str(row["step"]),
        **source,
    }
    limits = {}
    if figure.standard_limits_s:
        low, high = map(_minutes, figure.standard_limits_s)
        sure = f"{wanted.confidence * 100:g}"
        limits = {**key, "low_minutes": low, "high_minutes": high, "confidence_pct": sure, **source}
    if before is None:
        return Change(figure, cells, limits, {}, None, "")
    minutes = float(str(before["minutes"]))
    earlier = f"{figure.operation}|{construction}"
    known = catalogs["learning"][earlier]["estimate_minutes"] if earlier in catalogs["learning"] else minutes
    learned = _learned(figure, float(str(known)), wanted)
    return Change(figure, cells, limits, learned and {**key, **learned, **source}, minutes, str(before["source"]))


def _learned(figure: Figure, estimate: float, wanted: Wanted) -> dict[str, str]:
    """Return the cells that say when an estimate is reached: that of the first study, where one was made before."""
    stands = standing_of(figure, estimate * 60, wanted.confidence) if estimate > 0 else None
    if stands is None:
        return {}
    units, days = stands.when.units, stands.when.days
    return {
        "estimate_minutes": _minutes(estimate * 60),
        "now_minutes": _minutes(stands.now_s),
        "curve_pct": f"{stands.rate * 100:.1f}",
        "reached": "not-in-sight" if days is None else "later" if days else "now",
        "more_units": str(units or 0),
        "more_days": str(days or 0),
    }


def _minutes(seconds: float) -> str:
    text = f"{seconds / 60:.{DECIMALS}f}"
    return text.rstrip("0").rstrip(".") or "0"


def source_of(figure: Figure, wanted: Wanted) -> str:
    """Return where the minutes of a row come from; readings that were made up say so first."""
    days = sorted({r.date for r in figure.readings})
    when = days[0].isoformat() if len(days) == 1 else f"{days[0]} to {days[-1]}"
    workers = figure.model.workers
    made_up = sum(r.invented for r in figure.readings)
    warning = f"illustrative, {made_up} synthetic readings, replace; " if made_up else ""
    rated = "" if all(r.rating == 100 for r in figure.readings) else ", rated"
    share = f"{wanted.allowance_pct:g} % {CONVENTIONS[wanted.convention][0]}" if wanted.allowance_pct else "none"
    people = f"{workers} worker" + ("s" if workers > 1 else "")
    pooled = f", {' and '.join(figure.constructions)} together" if len(figure.constructions) > 1 else ""
    return f"{warning}time study, n={len(figure.readings)}, {people}, {when}{rated}{pooled}, allowance {share}"


def target_of(folder: Path, name: str) -> Path:
    """Return the file in a folder that build reads as this catalog, whatever the case of its name."""
    found = sorted(p for p in folder.iterdir() if p.name.casefold() == name) if folder.is_dir() else []
    return found[0] if found else folder / name


def overlay_text(name: str, changed: Sequence[Mapping[str, str]], folder: Path) -> tuple[str, int]:
    """Return the text of a catalog of the folder with the changed rows in it, and how many rows it kept.

    Rows of other keys stay as they are, cell by cell; a row with the key of a changed one gets its cells.
    """
    path, columns = target_of(folder, name), COLUMNS[name]
    header, rows = list(columns), []
    if path.exists():
        table = read_table(path)
        names = [h.strip().casefold() for h in table.header]
        header = [*names, *(c for c in columns if c not in names)]
        rows = [dict(zip(names, (c.strip() for c in cells), strict=False)) for _, cells in table.rows]
    places = {_key(row): n for n, row in enumerate(rows)}
    kept = len(rows)
    for row in changed:
        place = places.get(_key(row))
        if place is None:
            rows.append(dict(row))
        else:
            kept -= 1
            rows[place] |= row
    out = io.StringIO()
    writer = csv.DictWriter(out, header, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue(), kept


def prove_overlay(folder: Path, texts: Mapping[str, str]) -> None:
    """Load the folder's catalogs with new ones among them, as build will, beside the folder itself.

    Parameters
    ----------
    folder
        Its other catalogs are copied.
    texts
        The new catalogs, by file name.

    Raises
    ------
    InputError
        What build would not accept.
    """
    with told(Path(gettempdir())), TemporaryDirectory(prefix="takeoff-") as name:
        trial = Path(name)
        for path in folder.glob("*") if folder.is_dir() else ():
            if path.suffix.casefold() == ".csv" and path.name.casefold() not in texts:
                shutil.copy(path, trial / path.name)
        for file, text in texts.items():
            (trial / file).write_text(text, encoding="utf-8")
        crosscheck(load_catalogs(trial))


def _key(row: Mapping[str, str]) -> str:
    return f"{row.get('operation', '')}|{row.get('construction', '')}".casefold()
