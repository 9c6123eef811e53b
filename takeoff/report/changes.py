"""What the commands of an addendum print: what was carried, what moved, what two workbooks say differently."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from takeoff.addendum.altered import ADDED, ALTERED, GONE, Difference
from takeoff.addendum.carry import Carried
from takeoff.addendum.earlier import Earlier
from takeoff.addendum.edits import Edit, Refused
from takeoff.addendum.moves import CAUSES, Move
from takeoff.addendum.outputs import Compared
from takeoff.text.problems import shorten
from takeoff.text.terminal import aligned

SHOWN = 40
"""Lines of one list; what is beyond is counted."""

MAIN = ("labor, h", "material, USD", "installed, USD", "bid, USD")
"""Figures of the Summary that the terminal shows."""

LIKE_NOTHING = 5e-10


def carried_text(done: Carried) -> str:
    """Return what was carried over from an earlier workbook, and what was not, in few lines."""
    every = len(done.placed) + len(done.refused)
    lines = [f"carried from {done.earlier.file}: {len(done.placed)} of {every} changes made by hand"]
    if done.taken_over:
        lines.append(f"taken over from it, not given anew: {'; '.join(done.taken_over)}")
    lines += _cut([f"NOT CARRIED: {edit_text(r.edit)}: {r.why}" for r in done.refused])
    lines.append("every change, and what moved by which cause, stands on the sheet Changes")
    return "\n".join(lines)


def edits_text(options: Sequence[str], earlier: Earlier, refused: Sequence[Refused]) -> str:
    """Return what was changed by hand in a workbook, what is in no file, and how a build takes the files."""
    without = {r.edit for r in refused}
    kept = [e for e in earlier.edits if e not in without]
    every = len(kept) + len(refused)
    lines = [f"{earlier.file}: {len(kept)} of {every} changes made by hand are in the files"]
    lines += _cut([f"  {edit_text(edit)}" for edit in kept])
    lines += _cut([f"IN NO FILE: {edit_text(r.edit)}: {r.why}" for r in refused])
    if options:
        lines.append(f"build with them: takeoff build SCHEDULE -o NEW.xlsx {' '.join(options)}")
    return "\n".join(lines)


def edit_text(edit: Edit) -> str:
    """Return a change made by hand in one line."""
    place = ", ".join(part for part in (edit.sheet, edit.row if edit.key else edit.title, edit.heading) if part)
    if edit.added:
        return f"{place}: a row added"
    return f"{place}: {edit.shown(edit.shipped)} -> {shorten(edit.shown(edit.edited))}" if edit.heading else place


def compared_text(compared: Compared) -> str:
    """Return what moved between two workbooks, and what they say differently."""
    parts = [f"{compared.old.file} against {compared.new.file}, each with what was changed in it by hand", ""]
    moved = [m for m in compared.found.figures if abs(m.after - m.before) > LIKE_NOTHING or any(_steps(m))]
    parts += _moves([m for m in moved if m.figure in MAIN]) if moved else ["no figure of the Summary moved"]
    parts += [f"{len(moved)} figures of the Summary moved: all stand on the sheet Changes, with -o"] if moved else []
    parts += compared.found.joined
    for title, found in (("boxes and circuits", compared.schedule), ("inputs and catalogs", compared.inputs)):
        counts = Counter(d.what for d in found)
        parts += ["", f"{title}: " + ", ".join(f"{counts[w]} {w}" for w in (ADDED, GONE, ALTERED))]
        parts += _cut([_difference(d) for d in found])
    parts += ["", f"changed by hand: {len(compared.hand)}"]
    parts += _cut([f"  {edit_text(edit)} ({fate})" for edit, fate in compared.hand])
    return "\n".join(parts)


def _moves(figures: Sequence[Move]) -> list[str]:
    causes = [c for c in CAUSES if any(abs(m.by_cause[c]) > LIKE_NOTHING for m in figures)]
    lines = [["plan", "figure", "before", *(f"by {c}" for c in causes), "after"]]
    for m in figures:
        steps = (f"{m.by_cause[c]:+,.2f}" if abs(m.by_cause[c]) > LIKE_NOTHING else "-" for c in causes)
        lines.append([m.plan, m.figure, f"{m.before:,.2f}", *steps, f"{m.after:,.2f}"])
    return aligned(lines, (0, 1))


def _steps(move: Move) -> Iterator[bool]:
    return (abs(step) > LIKE_NOTHING for step in move.by_cause.values())


def _difference(found: Difference) -> str:
    place = f"  {found.table}, {found.row}: {found.what}"
    return (
        f"{place}, {found.cell}: {shorten(found.before)} -> {shorten(found.after)}" if found.what == ALTERED else place
    )


def _cut(lines: Sequence[str]) -> list[str]:
    more = len(lines) - SHOWN
    return [*lines[:SHOWN], *([f"  ... and {more} more: write the sheet Changes"] if more > 0 else [])]
