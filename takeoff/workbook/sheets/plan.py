"""What a sheet of tables is: its title, its kind, a sentence, its tables."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class SheetPlan:
    """A sheet of tables, one below the other; `kind` is input, working or result."""

    title: str
    kind: str
    intro: str
    tables: tuple[str, ...]


SUMMARY, ABOUT, SOURCES, COLUMNS, GROUND_PATH = "Summary", "About", "Sources", "Columns", "Ground path"
SWAP, PROPOSAL, CREW = "Swap", "Proposal", "Crew"
"""Sheets with a page or a chart of their own, in the modules of their names."""

KIND_WORDS = {
    "input": "Input sheet",
    "working": "Working sheet: formulas only",
    "result": "Result sheet: formulas only",
}
