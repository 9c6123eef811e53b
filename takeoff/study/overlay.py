"""Lay calibrated minutes over the catalog of operations in a folder, leaving every other row as it stands."""

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
from takeoff.study.analysis import Timing, Wanted, row_for
from takeoff.study.readings import WHOLE_BOX
from takeoff.study.statistics import CONVENTIONS
from takeoff.text.read import read_table
from takeoff.text.transaction import told

FILE = "operations.csv"
COLUMNS = ("operation", "construction", "title", "driver", "minutes", "step", "source")

DECIMALS = 5
"""Of minutes: a hundred-thousandth is less than a thousandth of a second."""


@dataclass(frozen=True)
class Change:
    """One calibrated row, and the minutes and source that held before it."""

    row: Mapping[str, str]
    minutes_before: float | None
    source_before: str

    @property
    def minutes(self) -> float:
        """The minutes as they are written."""
        return float(self.row["minutes"])


def changes_of(timings: Sequence[Timing], catalogs: Catalogs, wanted: Wanted) -> list[Change]:
    """Return a row of the operations catalog for every operation and construction that was timed."""
    return [_change(t, catalogs, wanted) for t in timings if t.operation != WHOLE_BOX]


def _change(timing: Timing, catalogs: Catalogs, wanted: Wanted) -> Change:
    row = next(r for r in catalogs["operations"] if r["operation"] == timing.operation)
    before = row_for(catalogs, timing.operation, timing.construction)
    cells = {
        "operation": timing.operation,
        "construction": timing.construction,
        "title": str(row["title"]),
        "driver": str(row["driver"]),
        "minutes": f"{timing.standard_s / 60:.{DECIMALS}f}".rstrip("0").rstrip("."),
        "step": str(row["step"]),
        "source": source_of(timing, wanted),
    }
    if before is None:
        return Change(cells, None, "")
    return Change(cells, float(str(before["minutes"])), str(before["source"]))


def source_of(timing: Timing, wanted: Wanted) -> str:
    """Return where the minutes of a row come from; readings that were made up say so first."""
    days = sorted({r.date for r in timing.readings})
    when = days[0].isoformat() if len(days) == 1 else f"{days[0]} to {days[-1]}"
    workers = len(timing.by_worker)
    made_up = sum(r.invented for r in timing.readings)
    warning = f"illustrative, {made_up} synthetic readings, replace; " if made_up else ""
    rated = "" if all(r.rating == 100 for r in timing.readings) else ", rated"
    share = f"{wanted.allowance_pct:g} % {CONVENTIONS[wanted.convention][0]}" if wanted.allowance_pct else "none"
    people = f"{workers} worker" + ("s" if workers > 1 else "")
    return f"{warning}time study, n={len(timing.readings)}, {people}, {when}{rated}, allowance {share}"


def target_of(folder: Path) -> Path:
    """Return the file in a folder that build reads as its catalog of operations, whatever the case of its name."""
    found = sorted(p for p in folder.iterdir() if p.name.casefold() == FILE) if folder.is_dir() else []
    return found[0] if found else folder / FILE


def overlay_text(changes: Sequence[Change], folder: Path) -> tuple[str, int]:
    """Return the text of the folder's catalog of operations with the changes in it, and how many rows it kept.

    Rows of other keys stay as they are, cell by cell; a row with the key of a change gets its cells.
    """
    path = target_of(folder)
    header, rows = list(COLUMNS), []
    if path.exists():
        table = read_table(path)
        names = [h.strip().casefold() for h in table.header]
        header = [*names, *(c for c in COLUMNS if c not in names)]
        rows = [dict(zip(names, (c.strip() for c in cells), strict=False)) for _, cells in table.rows]
    places = {_key(row): n for n, row in enumerate(rows)}
    kept = len(rows)
    for change in changes:
        place = places.get(_key(change.row))
        if place is None:
            rows.append(dict(change.row))
        else:
            kept -= 1
            rows[place] |= change.row
    out = io.StringIO()
    writer = csv.DictWriter(out, header, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue(), kept


def prove_overlay(folder: Path, text: str) -> None:
    """Load the folder's catalogs with a new catalog of operations, as build will, beside the folder itself.

    Raises
    ------
    InputError
        What build would not accept.
    """
    with told(Path(gettempdir())), TemporaryDirectory(prefix="takeoff-") as name:
        trial = Path(name)
        for path in folder.glob("*") if folder.is_dir() else ():
            if path.suffix.casefold() == ".csv" and path != target_of(folder):
                shutil.copy(path, trial / path.name)
        (trial / FILE).write_text(text, encoding="utf-8")
        crosscheck(load_catalogs(trial))


def _key(row: Mapping[str, str]) -> str:
    return f"{row.get('operation', '')}|{row.get('construction', '')}".casefold()
