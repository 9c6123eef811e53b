"""A starter folder: a schedule, an inputs file and catalogs to edit, which build as they stand."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from takeoff.catalog.load import catalog_folder
from takeoff.catalog.rows import Catalogs
from takeoff.text.problems import fail

EDITED = ("prices", "operations", "families")
"""Catalogs that every user changes first: prices, minutes, waste."""


def write_starter(folder: Path, catalogs: Catalogs) -> list[str]:
    """Write the starter folder and return the names of its files.

    Raises
    ------
    InputError
        The folder holds something already, or cannot be written.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise fail(str(folder), "exists and is not an empty folder", "give a new name")
    try:
        (folder / "catalogs").mkdir(parents=True)
        files = {
            "schedule.csv": sample("small.csv").read_text(encoding="utf-8"),
            "inputs.toml": _inputs(catalogs),
            **{f"catalogs/{name}.csv": _catalog(name) for name in EDITED},
        }
        for name, text in files.items():
            (folder / name).write_text(text, encoding="utf-8")
    except OSError as reason:
        raise fail(
            str(folder), f"cannot be written ({reason.strerror})", "give a folder that you may write to"
        ) from None
    return list(files)


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
