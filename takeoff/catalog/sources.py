"""What a source cell cites: ids of the catalog sources, each with a section, or a free text of the user.

A source is `id section; id section`, for example `nec Table 314.16(B); memory the 18 AWG row`. What an overlay of
the user says in another form is free text and shown as it stands.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from takeoff.catalog.rows import Catalog, Catalogs

UNREGISTERED = ("schema", "sources")
"""Catalogs whose rows are no facts of the trade."""


@dataclass(frozen=True)
class Citation:
    """One part of a source: the id, blank for a free text, and the section or the words after it."""

    source: str
    section: str


def cited(text: str, sources: Catalog) -> list[Citation]:
    """Return what a source cell cites, in order; a text that begins with no known id is one free text.

    Parameters
    ----------
    text
        The cell.
    sources
        The catalog sources.
    """
    parts = [part.partition(" ") for part in text.split("; ")]
    if parts[0][0].rstrip(",:") not in sources:
        return [Citation("", text)]
    found: list[Citation] = []
    for first, _, rest in parts:
        known = first.rstrip(",:")
        if known in sources:
            found.append(Citation(str(sources[known]["key"]), rest))
        else:
            found.append(Citation("", f"{first} {rest}".strip()))
    return found


@dataclass(frozen=True)
class Register:
    """The sources that rows cite: each with its catalogs and how many rows cite it, and the free texts of the user."""

    known: dict[str, Counter[str]]
    free: dict[str, Counter[str]]


def register_of(catalogs: Catalogs) -> Register:
    """Return every source that a row of a catalog cites, in the order of the catalog sources."""
    sources = catalogs["sources"]
    found = Register({key: Counter() for key in sources.keys}, {})
    for catalog in catalogs.values():
        if catalog.name in UNREGISTERED:
            continue
        columns = [r.column for r in catalog.columns if r.column == "source" or r.column.endswith("_source")]
        for row in catalog:
            cites = {c for column in columns for c in cited(str(row[column]), sources)}
            for key in {c.source for c in cites} - {""}:
                found.known[key][catalog.name] += 1
            for text in sorted(c.section for c in cites if not c.source):
                found.free.setdefault(text, Counter())[catalog.name] += 1
    return found


def lines_of(register: Register, catalogs: Catalogs) -> list[tuple[str, str]]:
    """Return a line for each source that a row cites: its id, and what it is; then the free texts of the user."""
    lines: list[tuple[str, str]] = []
    for key, rows in register.known.items():
        row = catalogs["sources"][key]
        if rows:
            what = f"{row['title']}; {row['dated']}. {str(row['kind']).capitalize()}. Check: {row['checked_by']}."
            lines.append((key, f"{what} Rows: {_counted(rows)}."))
    return lines + [("in your words", f"{text}. Rows: {_counted(rows)}.") for text, rows in register.free.items()]


def _counted(rows: Counter[str]) -> str:
    return ", ".join(f"{catalog} {count}" for catalog, count in rows.items())
