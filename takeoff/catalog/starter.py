"""A starter folder: a schedule, an inputs file and catalogs to edit, which build as they stand."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping
from pathlib import Path

from takeoff.catalog.load import catalog_folder
from takeoff.catalog.rows import Catalogs
from takeoff.text.problems import fail, visible
from takeoff.text.transaction import Transaction, sweep, told

CATALOGS = "catalogs"
EDITED = ("prices", "operations", "families")
"""Catalogs that every user changes first: prices, minutes, waste."""


def write_starter(folder: Path, catalogs: Catalogs, others: Mapping[str, Callable[[Path], None]]) -> list[str]:
    """Write the starter folder, all of it or nothing, and return the names of its files.

    Parameters
    ----------
    folder
        A new one, or one without files.
    catalogs
        Loaded catalogs.
    others
        Files beside the texts, by name: what writes each to the path that it gets.

    Raises
    ------
    InputError
        The folder holds something already, or cannot be written.
    """
    said = "exists and is not an empty folder"
    with told(folder):
        for path in (folder, folder / CATALOGS):
            sweep(path)
        if folder.exists() and (not folder.is_dir() or any(not p.is_dir() for p in folder.rglob("*"))):
            raise fail(visible(str(folder)), said, "give a new name")
    files = {
        "schedule.csv": sample("small.csv").read_text(encoding="utf-8"),
        "inputs.toml": _inputs(catalogs),
        **{f"{CATALOGS}/{name}.csv": _catalog(name) for name in EDITED},
    }
    with Transaction() as written:
        written.folder(folder / CATALOGS)
        for name, text in files.items():
            written.write_text(folder / name, text)
        for name, write in others.items():
            with written.writing(folder / name) as staged:
                write(staged)
    return [*files, *others]


def sample(name: str) -> Path:
    """Return the path of a sample that the tool brings along: inside an installed package, else beside it."""
    here = Path(__file__).parent.parent
    inside = here / "samples" / name
    return inside if inside.is_file() else here.parent / "samples" / name


def _inputs(catalogs: Catalogs) -> str:
    lines = ["# Inputs of the build: take the # away before a line and change its value.", ""]
    for row in catalogs["inputs"]:
        value = str(row["value"]) if row["kind"] == "number" else f'"{row["value"]}"'
        lines += [f"# {row['title']}, {row['unit']}: {row['note']}", f"# {row['name']} = {value}", ""]
    order = ", ".join(f'"{key}"' for key in catalogs["constructions"].keys)
    lines += ["# A plan of your own: constructions in order, a circuit takes the first that may serve it."]
    lines += ["# [plans]", f"# mine = [{order}]", ""]
    lines += ["# Conditions of the work in an area of the schedule, and what is already installed there."]
    kinds = {str(row["kind"]): str(row["condition"]) for row in catalogs["work_conditions"]}
    lines += ['# [areas."reading room"]', *(f'# {kind} = "{condition}"' for kind, condition in kinds.items())]
    lines += ["# installed_pct = 25", "", "# A line of the bid: direct, allowance, alternate or exclusion."]
    lines += ["# [[lines]]", '# kind = "direct"', '# text = "lift rental"', "# material_usd = 900", ""]
    lines += ["# A late change, dated and signed.", "# [[late_changes]]", "# date = 2026-11-25"]
    lines += ['# text = "addendum 1"', "# usd = -150", ""]
    return "\n".join(lines)


def _catalog(name: str) -> str:
    """Return a shipped catalog without the row that stands for nothing, ready to be edited."""
    text = (catalog_folder() / f"{name}.csv").read_text(encoding="utf-8")
    rows = [row for row in csv.reader(io.StringIO(text)) if row[0] != "none"]
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue()
