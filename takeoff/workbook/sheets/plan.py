"""What a sheet of tables is: its title, its kind, a sentence, its tables."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass, field, replace

SOMETIMES = (
    "control_cables",
    "control_roles",
    "control_joints",
    "joint_sums",
    "control_lines",
    "trace_control",
    "trace_cables",
    "mixed_boxes",
    "mixed_work",
    "measured_ranges",
    "measured_lines",
    "rest_coils",
    *("blocked", "blocked_kinds"),
    *("spacing", "spaced_runs", "invented_spacing", "stock", "invented_stock", "route_hours", "invented_routes"),
)
"""Tables that only some jobs have: with control pairs, circuits begun in part or in a fallback, a time study, counts.

Boxes of which the catalog invents whether they are stocked."""

Group = str | tuple[str, ...]
"""A table, or tables that have the same rows and stand side by side as one."""


@dataclass(frozen=True)
class SheetPlan:
    """A sheet of tables: short ones below each other, then the long ones, which begin in one row, then workings.

    A short table fits a printed page; others may stand to the `right` of it, from a column of the sheet on. Headings of
    the long ones are repeated on every page after their first. Those `below` are not printed. `kind` is result,
    input, working or catalog; `printed` is the last column that is printed where workings stand to the right of
    results, 0 for all; `workings` are the columns from which on a long table is not printed; `widths` are those of
    columns that no table asks for.
    """

    title: str
    kind: str
    intro: str
    groups: tuple[Group, ...] = ()
    long: tuple[Group, ...] = ()
    below: tuple[str, ...] = ()
    printed: int = 0
    workings: Mapping[str, str] = field(default_factory=dict)
    widths: Mapping[int, float] = field(default_factory=dict)
    right: Mapping[str, Mapping[str, int]] = field(default_factory=dict)

    def of(self, tables: Container[str]) -> SheetPlan:
        """Return the sheet of a book with these tables: without those that only some jobs have."""

        def kept(groups: tuple[Group, ...]) -> tuple[Group, ...]:
            return tuple(g for g in groups if not isinstance(g, str) or g in tables or g not in SOMETIMES)

        more = 2 if self.title == BOXES and "control_roles" in tables else 0  # counts of control pairs
        right = {
            left: {n: place for n, place in found.items() if n in tables or n not in SOMETIMES}
            for left, found in self.right.items()
        }
        printed = self.printed + more
        return replace(self, groups=kept(self.groups), right=right, long=kept(self.long), printed=printed)

    @property
    def tables(self) -> Iterator[str]:
        """Yield the names of all tables."""
        for group in (*self.groups, *self.long, *self.below):
            yield from (group,) if isinstance(group, str) else group
            yield from self.right.get(group, ()) if isinstance(group, str) else ()


SUMMARY, BID, TRACE, SWAP, PROPOSAL, ORDER, CREW = "Summary", "Bid", "Trace", "Swap", "Proposal", "Order", "Crew"
CHECKS, BREAKDOWN, CIRCUITS, BOXES = "Checks", "Breakdown", "Circuits", "Boxes"
CHANGED = "Changes"
WORKINGS = "Plan workings"
GROUND_PATH, ABOUT, INSPECTION = "Ground path", "About", "Inspection"
"""Sheets that other code names: those with a page or a chart of their own, and those that pages link to."""

KIND_WORDS = {
    "result": "Result sheet: formulas only",
    "input": "Input sheet",
    "working": "Working sheet: formulas only",
    "catalog": "Catalog sheet: what the job was built with; lay your own rows over it with --catalogs",
}
