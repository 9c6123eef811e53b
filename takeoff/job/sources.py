"""What a build is made from, as texts: schedule, room types, inputs, quotes and catalogs. Every workbook carries it.

A later build repeats the earlier one from it, though its files may be changed or gone by then.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from takeoff.catalog.load import catalog_folder
from takeoff.text.problems import fail
from takeoff.text.read import WORKBOOK, RawTable, decode, read_bytes, read_table

OPTIONS = "options.json"
SCHEDULE, ROOMS, INPUTS, QUOTES = "schedule", "rooms", "inputs", "quotes"
ROOMS_FILE = "rooms.csv"
"""Name of the room types in a record where they stood on a sheet of the schedule."""

CATALOGS, SHIPPED = "catalogs", "shipped"
"""Folders of a record."""

NOT_KEPT = ("schema.csv",)
"""Shipped catalogs that belong to the tool: what a catalog accepts is always what this version says."""


@dataclass(frozen=True)
class Sources:
    """The texts behind a build by file name, and the options that are no files."""

    schedule: Mapping[str, str]
    rooms: Mapping[str, str] = field(default_factory=dict)
    inputs: Mapping[str, str] = field(default_factory=dict)
    quotes: Mapping[str, str] = field(default_factory=dict)
    catalogs: Mapping[str, str] = field(default_factory=dict)
    shipped: Mapping[str, str] = field(default_factory=dict)
    sets: Sequence[str] = ()
    plans: str = ""

    def files(self) -> dict[str, str]:
        """Return every text by folder and name."""
        folders = {SCHEDULE: self.schedule, ROOMS: self.rooms, INPUTS: self.inputs, QUOTES: self.quotes}
        folders |= {CATALOGS: self.catalogs, SHIPPED: self.shipped}
        found = {f"{folder}/{name}": text for folder, texts in folders.items() for name, text in texts.items()}
        return {OPTIONS: json.dumps({"sets": list(self.sets), "plans": self.plans}), **found}


def sources_of_files(files: Mapping[str, str]) -> Sources:
    """Return sources from texts by folder and name; see Sources.files."""
    said = json.loads(files.get(OPTIONS, "{}"))

    def of(folder: str) -> dict[str, str]:
        return {n.partition("/")[2]: text for n, text in files.items() if n.partition("/")[0] == folder}

    own = of(SCHEDULE), of(ROOMS), of(INPUTS), of(QUOTES), of(CATALOGS), of(SHIPPED)
    return Sources(*own, tuple(said.get("sets", ())), said.get("plans", ""))


def gather_sources(
    schedule: Path,
    rooms: Path | None = None,
    inputs: Path | None = None,
    quotes: Sequence[Path] = (),
    catalogs: Path | None = None,
    sets: Sequence[str] = (),
    plans: str = "",
    shipped: Path | None = None,
) -> Sources:
    """Return the texts of the files of a build.

    Parameters
    ----------
    schedule, rooms, inputs, quotes, catalogs
        Files as the options name them; of the folder `catalogs` the CSV files.
    sets, plans
        Options that are no files.
    shipped
        Folder of the catalogs below those of the user, where they are not those of the tool.

    Raises
    ------
    InputError
        A file cannot be read.
    """
    own = {p.name: _text(p) for p in sorted(catalogs.iterdir()) if p.suffix.casefold() == ".csv"} if catalogs else {}
    ours = {p.name: _text(p) for p in sorted((shipped or catalog_folder()).glob("*.csv")) if p.name not in NOT_KEPT}
    return Sources(
        {schedule.name: _text(schedule)},
        {rooms.name: _text(rooms, of_rooms=True)} if rooms else _rooms_beside(schedule),
        {inputs.name: _text(inputs)} if inputs else {},
        {q.name: _text(q) for q in quotes},
        own,
        ours,
        tuple(sets),
        plans,
    )


def unfold(sources: Sources, folder: Path) -> dict[str, list[Path]]:
    """Write sources into a folder and return the paths by what they are.

    Raises
    ------
    InputError
        The folder cannot be written.
    """
    made: dict[str, list[Path]] = {}
    try:
        for name, text in sources.files().items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8", newline="")
            made.setdefault(name.partition("/")[0], []).append(path)
    except OSError as reason:
        raise fail(str(folder), f"cannot be written ({reason.strerror})", "free some space") from None
    return made


def table_text(rows: Sequence[tuple[int, Sequence[object]]]) -> str:
    """Return rows as CSV, each on the line of its number, with blank lines between."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    line = 1
    for number, cells in rows:
        out.write("\n" * (number - line))
        writer.writerow(cells)
        line = max(line, number) + 1
    return out.getvalue()


def _rooms_beside(schedule: Path) -> dict[str, str]:
    """Return the room types on a sheet of the schedule as a file of their own."""
    found = read_table(schedule).rooms if read_bytes(schedule).startswith(WORKBOOK) else None
    return {ROOMS_FILE: raw_text(found)} if found else {}


def _text(path: Path, of_rooms: bool = False) -> str:
    """Return a text file as it is, and of a workbook its table, or its room types where asked for, as CSV."""
    data = read_bytes(path)
    if data.startswith(WORKBOOK):
        table = read_table(path)
        return raw_text((table.rooms or table) if of_rooms else table)
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return decode(path.name, data)


def raw_text(table: RawTable) -> str:
    """Return a table read as text, as CSV with its rows on their lines."""
    return table_text([(table.header_row, table.header), *table.rows])
