"""Agreement under mutation: `python -m tests.attack.agreement ROUNDS [SEED] [SCHEDULE]`.

Of each of eight schedules ROUNDS workbooks are made, each with twenty input cells changed at random, every kind of them
in turn. LibreOffice recalculates them, and every formula is compared with a build that has the same changes by files.
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import openpyxl

from takeoff.addendum.carry import place_own
from takeoff.addendum.earlier import read_earlier, rebuild
from takeoff.addendum.edits import given_tables
from takeoff.build import Build, compute
from takeoff.engine.tables import Field, Table
from takeoff.job.quotes import FREE
from takeoff.model.cost.totals import NOT_COMPARABLE
from takeoff.model.frame import INVENTED
from takeoff.report.output import write_outputs
from takeoff.text.dates import day_number
from takeoff.workbook.layout import heading
from tests import office
from tests.attack.jobs import JOBS, options_of
from tests.changes import live
from tests.held import held_pages, held_types

LINE = "Summary", "A3"
"""What every sheet says."""

EDITS = 20
"""Cells changed in one workbook."""

TRIES = 20
"""Draws of a cell and a value, until the value is another one than is there."""

SOURCES = ("quoted 2026-11", "agreed with the crew", "time study of 2026-10", "illustrative", "memory second-hand")
WORDS = ("007", "1E5", "TRUE", "2026-01-02", "#N/A", "*", "?", "~", "half", "0,5", "Caf\u00e9", "3/4", "x " * 40 + "x")
"""Texts, some of which a spreadsheet takes for something else."""


@dataclass(frozen=True)
class Kind:
    """A kind of input cell: a column of a table of inputs."""

    table: Table
    field: Field

    @property
    def name(self) -> str:
        return f"{self.table.name}.{self.field.name}"

    @property
    def rows(self) -> list[int]:
        """Places of the rows that hold something."""
        column, free = FREE_ROWS.get(self.table.name, (self.field.name, None))
        lines = MAKES_LINES.get(self.name)
        return [
            place
            for place, value in enumerate(self.table.data[column])
            if value != free and not (lines and str(value).startswith(lines))
        ]


FREE_ROWS = {"quotes": ("quote", FREE.file), "bid_lines": ("kind", "-"), "late_changes": ("text", "-")}
"""Rows that wait for something, by a column and what it holds then: `workbook/test_typed_quotes.py` fills them."""

MAKES_LINES = {"box_sizes.source": INVENTED}
"""What gives a row lines elsewhere, which a new build leaves out where something else is typed over it: see
`test_a_box_whose_stock_is_known_has_no_line_of_what_hangs_on_it`."""


@dataclass(frozen=True)
class Edit:
    """A cell that is typed over: its column, the place of its row, and what is typed."""

    kind: Kind
    row: int
    value: object

    @property
    def said(self) -> str:
        return f"{self.kind.name} of {self.kind.table.data[self.kind.table.fields[0].name][self.row]}: {self.value!r}"


@dataclass
class Found:
    """How often what was changed, and what differed."""

    edits: dict[str, int] = field(default_factory=dict)
    refused: list[str] = field(default_factory=list)
    cells: int = 0
    held: int = 0
    stale: int = 0
    differ: list[str] = field(default_factory=list)


def kinds_of(build: Build) -> list[Kind]:
    """Return every kind of input cell of a build that has such cells."""
    fields = ((table, one) for table, _ in given_tables(build) for one in table.fields if one.role == "input")
    return [Kind(table, one) for table, one in fields if Kind(table, one).rows]


def drawn(dice: random.Random, kind: Kind, row: int, build: Build) -> object:
    """Return another value that a cell accepts; the value it has where there is no other."""
    table, one = kind.table, kind.field
    old = table.data[one.name][row]
    choices = _choices(one, table, row, build)
    if choices:
        other = [c for c in choices if str(c) != str(old)]
        picked = dice.choice(other) if other else old
        return int(picked) if one.unit == "0/1" else picked
    if one.unit == "date":
        return day_number(f"202{dice.randint(5, 7)}-{dice.randint(1, 12):02}-{dice.randint(1, 28):02}")
    if isinstance(old, str):
        return dice.choice(SOURCES if one.name.endswith("source") else WORDS)
    return _number(dice, kind, row, float(old))


def _choices(one: Field, table: Table, row: int, build: Build) -> Sequence[str]:
    if one.listed:
        listed = build.book.tables[one.listed]
        key, value = (listed.data[f.name] for f in listed.fields[:2])
        return [str(v) for k, v in zip(key, value, strict=True) if k == table.data[table.key][row]]
    name, _, column = one.choices.partition(".")
    if column and name in build.book.tables:
        return [str(v) for v in build.book.values(name, column)]
    return one.choices.split(",") if one.choices else []


def _number(dice: random.Random, kind: Kind, row: int, old: float) -> float:
    one, data = kind.field, kind.table.data
    low, high = (float(data[name][row]) for name in one.limits) if one.limits else (one.minimum, one.maximum or 1e6)
    value = old * dice.choice((0.5, 0.8, 1.1, 1.5, 2)) if old else max(low, -20) + dice.random() * min(high - low, 20)
    value = min(max(value, low), high)
    whole = one.whole or (float(old).is_integer() and one.unit in ("ea", "h", "no.", "") and bool(one.limits))
    return float(round(value)) if whole else round(value, 3)


def edits_of(dice: random.Random, build: Build, kinds: Sequence[Kind]) -> list[Edit]:
    """Return a change of a random cell of each of some kinds."""
    found = []
    for kind in kinds:
        tries = ((row, drawn(dice, kind, row, build)) for row in dice.choices(kind.rows, k=TRIES))
        other = (Edit(kind, *each) for each in tries if each[1] != kind.table.data[kind.field.name][each[0]])
        found += [edit for edit in [next(other, None)] if edit]
    return found


def type_into(source: Path, target: Path, edits: Sequence[Edit]) -> None:
    """Type changes into a copy of a workbook."""
    book = openpyxl.load_workbook(source)
    for edit in edits:
        sheet = next(s for s in book.worksheets if f"table_{edit.kind.table.name}" in s.tables)
        headings, *lines = sheet[sheet.tables[f"table_{edit.kind.table.name}"].ref]
        place = next(n for n, c in enumerate(headings) if c.value == heading(edit.kind.field))
        lines[edit.row][place].value = edit.value
        if isinstance(edit.value, str):  # which the library would make an error of, where it is called as one
            lines[edit.row][place].data_type = "s"
    book.save(target)


def rounds_of(build: Build, rounds: int, dice: random.Random) -> Iterator[list[Edit]]:
    """Yield the changes of each workbook: kinds in turn, so that each is changed about as often as any other."""
    waiting: list[Kind] = []
    for _ in range(rounds):
        if len(waiting) < EDITS:
            more = kinds_of(build)
            dice.shuffle(more)
            waiting += more
        drawn_now: list[Kind] = []
        for kind in list(waiting):
            if len(drawn_now) < EDITS and kind.name not in [k.name for k in drawn_now]:
                drawn_now.append(kind)
                waiting.remove(kind)
        yield edits_of(dice, build, drawn_now)


def agree(folder: Path, name: str, rounds: int, seed: int) -> Found:
    """Return what differs between recalculated workbooks of one schedule and builds with the same changes."""
    found, dice = Found(), random.Random(f"{seed}:{name}")
    folder.mkdir()
    with held_pages(), held_types():
        source = folder / "source.xlsx"
        build = compute(options_of(folder / "texts", name))
        write_outputs(build, source, None)
        typed, builds = [], []
        for number, edits in enumerate(rounds_of(build, rounds, dice)):
            path = folder / f"{name}-{number}.xlsx"
            type_into(source, path, edits)
            sources, refused = place_own(earlier := read_earlier(path, thorough=False))
            if refused:
                found.refused += [
                    f"{name}: {r.edit.table}.{r.edit.column} {r.edit.row}: {r.edit.edited}: {r.why}" for r in refused
                ]
                gone = {(r.edit.table, r.edit.column) for r in refused}
                edits = [e for e in edits if (e.kind.table.name, e.kind.field.name) not in gone]
                type_into(source, path, edits)
            assert len(earlier.edits) - len(refused) == len(edits), [e.said for e in edits]
            after = folder / f"{name}-{number}-built.xlsx"
            write_outputs(rebuild(sources), after, None)
            typed.append((path, edits))
            builds.append(after)
            for edit in edits:
                found.edits[edit.kind.name] = found.edits.get(edit.kind.name, 0) + 1
    out = folder / "recalculated"
    out.mkdir()
    office.convert(folder / "profile", [path for path, _ in typed], "xlsx", out)
    shipped, stale = live(source), f"{build.catalogs['stops']['stale_cable']['title']}: 1"
    for (path, edits), after in zip(typed, builds, strict=True):
        cells = live(after)
        said = "; ".join(e.said for e in edits)
        moved = [
            f"{p}: another formula" for p in sorted(cells.keys() | shipped.keys()) if cells.get(p) != shipped.get(p)
        ]
        shown = office.values(out / path.name)
        held = {place for place in cells if shown.get(place) == NOT_COMPARABLE}  # until a build makes the cutting plan
        found.held += len(held)
        if stale in str(shown[LINE]) and not moved:  # every sheet says so, and that totals are to be looked at first
            found.stale += 1
            continue
        differ = moved or list(office.differences(office.values(after), shown, cells.keys() - held))
        found.cells += len(cells)
        found.differ += [f"{path.stem}: {len(differ)} differ: {differ[:4]} after {said}"] if differ else []
    return found


def main() -> None:
    """Try as many workbooks of each schedule as the command line says."""
    rounds, seed = (int(given) for given in (*sys.argv[1:3], *("20", "1")[len(sys.argv) - 1 :]))
    start, edits, cells, differ = time.perf_counter(), dict[str, int](), 0, 0
    names = sys.argv[3:] or list(JOBS)
    for name in names:
        with tempfile.TemporaryDirectory() as folder:
            found = agree(Path(folder) / "job", name, rounds, seed)
        for kind, count in found.edits.items():
            edits[kind] = edits.get(kind, 0) + count
        cells, differ = cells + found.cells, differ + len(found.differ)
        for line in [*found.refused, *found.differ]:
            print(line, flush=True)
        said = f"{sum(found.edits.values())} changes, {found.cells:,} formulas, {found.held} say {NOT_COMPARABLE}"
        said += f", {found.stale} workbooks say that cable in packages was priced before a change"
        print(f"{name}: {rounds} workbooks, {said}, {len(found.differ)} workbooks differ", flush=True)
    said = f"{len(edits)} kinds of cells, {sum(edits.values())} changes, the rarest {min(edits.values())} times"
    print(f"{said}, {cells:,} formulas, {differ} workbooks differ, {time.perf_counter() - start:.0f} s")
    sys.exit(bool(differ))


if __name__ == "__main__":
    main()
