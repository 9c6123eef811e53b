"""Lay changes made by hand over the sources of a build, as files: inputs, rows of catalogs, quotes."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby
from typing import Any

from takeoff.addendum.bid_rows import BLANK_ROWS, lay_line
from takeoff.addendum.edits import NOT_THERE, Edit, Refused
from takeoff.addendum.overlay import Overlays
from takeoff.addendum.quotes import QuoteFiles
from takeoff.addendum.toml_text import toml_text
from takeoff.build import Build
from takeoff.catalog.stock import STOCKED, boxes_named
from takeoff.job.inputs import AREAS, BOXES, CIRCUITS, LATE, LINES, PLAN_KEYS
from takeoff.job.overrides import CONSTRUCTION, REPEAT, RUN, WORK_STATE
from takeoff.job.records import LOOP_COLUMNS
from takeoff.job.sources import Sources
from takeoff.model.frame import INVENTED
from takeoff.model.givens.facts import circuits_asked
from takeoff.model.givens.inputs import STATED
from takeoff.model.givens.practice import AS_AREA
from takeoff.text.dates import iso
from takeoff.wiring.places import areas_of, kinds_of
from takeoff.workbook.file.reading import Formula, Value

INPUT_FILE = "inputs.toml"
OF_LINES = {"bid_lines": LINES, "late_changes": LATE}
"""Tables of lines, with the table of the inputs file that holds them."""


@dataclass
class _Draft:
    """Sources in the making: the inputs file as it will be, rows over catalogs, quotes.

    `fresh` is the build without the changes; what it does not have cannot be changed. `answers` are those changed.
    """

    fresh: Build
    earlier: Build
    doc: dict[str, Any]
    overlays: Overlays
    quotes: QuoteFiles
    answers: Mapping[tuple[str, ...], object]
    refused: list[Refused] = field(default_factory=list)

    def entries(self, table: str, name: str) -> dict[str, Any]:
        """Return what the inputs file says of an area, circuit or box, spelled in any way."""
        named = self.doc.setdefault(table, {})
        known = next((n for n in named if n.casefold() == name.casefold()), name)
        found: dict[str, Any] = named.setdefault(known, {})
        return found


def lay(base: Sources, edits: Sequence[Edit], fresh: Build, earlier: Build) -> tuple[Sources, list[Refused]]:
    """Return sources with changes laid over them, and the changes that have no place there, each with why.

    Parameters
    ----------
    base
        Sources without the changes.
    edits
        What was changed in the earlier workbook, in the order of its tables.
    fresh
        The build of `base`.
    earlier
        The build that wrote the earlier workbook.
    """
    text = next(iter(base.inputs.values()), "")
    answers = {edit.key: edit.edited for edit in edits if edit.table == "facts_asked"}
    files = Overlays(base.catalogs, fresh), QuoteFiles(base.quotes, fresh)
    draft = _Draft(fresh, earlier, tomllib.loads(text), *files, answers)
    before = toml_text(draft.doc)
    for (table, _), group in groupby(edits, key=lambda e: (e.table, e.key)):
        of_row = list(group)
        if table in OF_LINES:
            _lay_line(draft, of_row)
            continue
        for edit in sorted(of_row, key=lambda e: e.column == "item"):  # by which the row of a quote is known
            why = _lay(draft, edit)
            draft.refused += [Refused(edit, why)] if why else []
    inputs = base.inputs
    if toml_text(draft.doc) != before:
        inputs = {next(iter(base.inputs), INPUT_FILE): toml_text(draft.doc)}
    laid = replace(base, inputs=inputs, catalogs=draft.overlays.texts(), quotes=draft.quotes.texts())
    return laid, draft.refused


def _lay(draft: _Draft, edit: Edit) -> str:
    """Lay one change, or return why it has no place."""
    if isinstance(edit.edited, Formula):
        return edit.edited.why_not
    if edit.table in HOMES:
        return HOMES[edit.table](draft, edit)
    if edit.table in draft.fresh.catalogs:
        return draft.overlays.lay(edit, draft.earlier)
    return "it is no input: what it says is changed by a new build"


def _input(draft: _Draft, edit: Edit) -> str:
    """Lay a change of an input."""
    (name,) = edit.key
    known = draft.fresh.catalogs["inputs"]
    if edit.added or name not in known or edit.column not in ("value", "kind"):
        return "it is no value of an input"
    if edit.column == "kind":
        if edit.edited != STATED:
            return "a file says what a number rests on by its source in a catalog inputs.csv"
        draft.doc.setdefault(name, draft.fresh.inputs[name])  # a number that the inputs file names is stated
        return ""
    if known[name]["choices"] == PLAN_KEYS and edit.edited not in draft.fresh.frame.compared:
        return "the plan is not compared in the new build: name it with --plans"
    draft.doc[name] = toml_value(edit.edited, edit.unit)
    return ""


def _area(draft: _Draft, edit: Edit) -> str:
    """Lay a change of an area: a condition of the work there, or what is installed; or all of a row added."""
    (area,) = edit.key
    if area.casefold() not in {a.casefold() for a in areas_of(draft.fresh.job)}:
        return "the new schedule has no area of this name"
    if edit.added:
        cells = {name: value for name, value in edit.added.items() if name not in ("key", "area", "boxes")}
    else:
        cells = {edit.column: edit.edited}
    for column, value in cells.items():
        kind = _kind(column, draft)
        if not kind and column != "installed_pct":
            return "it is no input: what it says is changed by a new build"
        draft.entries(AREAS, area)[kind or column] = toml_value(value, "")
    return ""


def _circuit(draft: _Draft, edit: Edit) -> str:
    """Lay a change of a circuit: how often it is built, what in, what its loop reads, or a condition of the work."""
    (circuit,) = edit.key
    if circuit.casefold() not in {c.name.casefold() for c in draft.fresh.job.circuits}:
        return "the new schedule has no circuit of this name"
    names = {"repeat": REPEAT, "held_to": CONSTRUCTION, **{name: name for name in (WORK_STATE, *LOOP_COLUMNS)}}
    name = names.get(edit.column) or _kind(edit.column, draft)
    if edit.added or not name:
        return "it is a fact of the schedule: change it there and build again"
    entries = draft.entries(CIRCUITS, circuit)
    if edit.edited == AS_AREA:
        entries.pop(name, None)
    else:
        entries[name] = toml_value(edit.edited, edit.unit)
    return ""


def _fact(draft: _Draft, edit: Edit) -> str:
    """Lay an answer to a fact: it is said of every circuit that was asked for it in one row.

    A fact is of a circuit; one that is asked for other runs of it in another row is told where both say the same.
    """
    fact, asked = edit.key
    if edit.added or edit.column != "answer":
        return "it is no answer to a fact that a circuit is asked for"
    known = {c.name.casefold() for c in draft.fresh.job.circuits}
    every = circuits_asked(draft.earlier.frame, fact)
    if asked not in every:
        return "no circuit is asked for it: there is nothing that it answers"
    named = [name for name in every[asked][1] if name.casefold() in known]
    for shown, (shipped, others) in every.items():
        both = sorted({*named} & {*others})
        if both and draft.answers.get((fact, shown), shipped) != edit.edited:
            return f"{both[0]} is asked for it in the row {shown} too: answer both alike, or tell it in the schedule"
    for name in named:
        draft.entries(CIRCUITS, name)[fact] = toml_value(edit.edited, edit.unit)
    return "" if named else "the new schedule has none of the circuits that were asked for it"


def _box(draft: _Draft, edit: Edit) -> str:
    """Lay a change of the run of a box."""
    (box,) = edit.key
    if edit.added:
        return "a box is added in the schedule: nothing here says how it is fed"
    if box.casefold() not in {b.source.box.casefold() for b in draft.fresh.job.boxes}:
        return "the new schedule has no box of this name"
    if edit.column != "run_ft":
        return "it is a fact of the schedule: change it there and build again"
    draft.entries(BOXES, box)[RUN] = toml_value(edit.edited, edit.unit)
    return ""


def _lay_line(draft: _Draft, edits: Sequence[Edit]) -> None:
    """Lay the changes of one line of the bid or one late change."""
    table = edits[0].table
    listed = draft.doc.setdefault(OF_LINES[table], [])
    rows = draft.earlier.book.tables[table].data
    number = int(edits[0].key[0]) if edits[0].key[0].isdigit() else 0
    blank = BLANK_ROWS[table]
    shipped = {n: rows[n][number - 1] if 0 < number <= len(rows[n]) else blank[n] for n in blank}
    changed = {e.column: e.edited for e in edits if not e.added}
    for edit in (e for e in edits if e.added):
        changed |= {name: value for name, value in edit.added.items() if name in blank}
    why = lay_line(listed, shipped, {n: blank[n] if v == NOT_THERE else v for n, v in changed.items()}, blank)
    draft.refused += [Refused(edit, why) for edit in edits if why]
    if not listed:
        del draft.doc[OF_LINES[table]]


def _stock(draft: _Draft, edit: Edit) -> str:
    """Lay a change of a box; where the inputs file names the stock of its family, what is stocked is said there."""
    (box,), sizes, named = edit.key, draft.fresh.catalogs["box_sizes"], draft.doc.get(STOCKED, {})
    family = str(edit.added.get("family", "")) or (str(sizes[box]["family"]) if box in sizes else "")
    if family in named and (edit.added or edit.column == STOCKED):
        value = edit.added.get(STOCKED, 1) if edit.added else edit.edited
        if value not in (0, 1):
            return f'is not accepted: "{value}"; 1 for a box that is stocked, 0 for another one'
        others = [one for one in boxes_named(named[family]) if one.casefold() != box.casefold()]
        named[family] = [*others, *([box] if value else [])]
        if not edit.added:
            return ""
    if edit.column == "source" and not edit.added and box in sizes:
        was, now = (str(said).casefold().startswith(INVENTED) for said in (sizes[box]["source"], edit.edited))
        if now and not was:  # what hangs on its stock has no row in the workbook
            return "a file says that the stock of a box is illustrative by its source in a catalog box_sizes.csv"
    return draft.overlays.lay(edit, draft.earlier)


def _quote(draft: _Draft, edit: Edit) -> str:
    return draft.quotes.lay(edit)


HOMES: Mapping[str, Callable[[_Draft, Edit], str]] = {
    **dict.fromkeys(("numbers", "dates", "choices", "texts", "built_with"), _input),
    "areas": _area,
    "circuits": _circuit,
    "schedule": _box,
    "facts_asked": _fact,
    "quotes": _quote,
    "box_sizes": _stock,
}
"""What lays the change of a table that is neither a catalog nor a list of lines; `box_sizes` is in both places."""


def _kind(column: str, draft: _Draft) -> str:
    """Return the kind of condition that a column holds, nothing where it holds none."""
    kinds = [f"kind_{n}" for n, _ in enumerate(kinds_of(draft.earlier.catalogs), start=1)]
    return list(kinds_of(draft.earlier.catalogs))[kinds.index(column)] if column in kinds else ""


def toml_value(value: Value, unit: str) -> str | int | float:
    """Return what was typed as a value of an inputs file; a blank cell counts as 0, as in the workbook."""
    if unit == "date" and isinstance(value, int | float):
        return iso(value)
    if value == NOT_THERE and unit:
        return 0
    if isinstance(value, float):
        return int(value) if value.is_integer() else value
    return value
