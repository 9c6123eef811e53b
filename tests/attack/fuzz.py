"""Made-up input: `python -m tests.attack.fuzz 10000 [SEED]` tries so many cases and says which ones failed.

A case is a sound set of files with one to three changes in cells, bytes or structure. Whatever it is, the command leaves
with 0 or 2, without a traceback, in time; on 2 nothing is written, on 0 rows, feet and boxes are those of the file.
Case n of a seed is always the same: `python -m tests.attack.fuzz 1 SEED N` repeats one.
"""

from __future__ import annotations

import csv
import io
import json
import random
import shutil
import sys
import tempfile
import time
import warnings
from collections import Counter
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Annotated

import openpyxl
import typer
from typer.testing import CliRunner

from takeoff.build import Options, read_job
from takeoff.catalog.load import catalog_folder
from takeoff.cli import app
from takeoff.guard import guarded, say
from takeoff.report.totals import receipt_text
from tests.attack.made_up import KINDS, QUOTE, SCHEDULE, TOML

LONGEST_S = 5.0
"""Processor time of one case, but for what a whole build of the sample takes."""


PART = 100
"""Cases after which the command says how far it is."""


@dataclass(frozen=True)
class Case:
    """One case: its number, what was changed, and the command as arguments."""

    number: int
    said: str
    arguments: list[str]


light = typer.Typer(pretty_exceptions_enable=False)
"""The reading of `build`, with its guard, for most cases: what follows takes ten times as long."""


@light.callback()
def reading() -> None:
    """Read, and say what was read."""


@light.command("read")
def read_only(
    schedule: Path,
    inputs: Path | None = None,
    catalogs: Path | None = None,
    quote: Path | None = None,
    set_: Annotated[str, typer.Option("--set")] = "",
) -> None:
    """Read all files of a build."""
    quotes = (quote,) if quote else ()
    with guarded():
        say(receipt_text(read_job(Options(schedule, catalogs, inputs, (set_,) if set_ else (), quotes=quotes)).job))


def make(folder: Path, number: int, seed: int) -> Case:
    """Write the files of a case into an empty folder."""
    pick = random.Random(f"{seed}:{number}")
    kind = pick.choice(list(KINDS))
    files = {"s.csv": SCHEDULE.encode(), "i.toml": TOML.encode(), "q.csv": QUOTE.encode()}
    said = KINDS[kind](pick, files)
    for name, data in files.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_bytes(data)
    schedule = "s.xlsx" if "s.xlsx" in files else "s.csv"
    if kind == "study":
        return Case(number, said, ["calibrate", str(folder / "t.csv"), "-o", str(folder / "out")])
    command = pick.choice(["build", "check", *["read"] * 18])
    given = [command, str(folder / schedule), "--inputs", str(folder / "i.toml")]
    given += ["--catalogs", str(folder / "c")] if kind == "overlay" else []
    given += ["--set", said] if kind == "set" else []
    given += ["--quote", str(folder / "q.csv")] if kind == "quote" else []
    if command == "build":
        given += ["-o", str(folder / "o.xlsx"), "--json", str(folder / "o.json")]
    return Case(number, f"{kind}: {said}", given)


def run(case: Case, folder: Path) -> list[str]:
    """Run a case and return what is wrong with it."""
    before = {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    start = time.process_time()
    with warnings.catch_warnings(record=True) as warned:
        warnings.simplefilter("always")
        done = CliRunner().invoke(light if case.arguments[0] == "read" else app, case.arguments)
    took = time.process_time() - start
    wrong = [f"warning {w.message}" for w in warned if issubclass(w.category, RuntimeWarning)]
    if done.exit_code not in (0, 2):
        wrong.append(f"exit code {done.exit_code}: {done.stderr[-400:]!r}")
    if "Traceback" in done.output:
        wrong.append("a traceback")
    if "\x1b" in done.output:
        wrong.append("an escape on the terminal")
    if took > LONGEST_S * (3 if case.arguments[0] in ("build", "check") else 1):
        wrong.append(f"{took:.1f} s")
    after = {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    if done.exit_code == 2 and after != before:
        wrong.append(f"wrote {sorted(p.name for p in after.keys() - before.keys())} and left with 2")
    if any(after.get(path) != data for path, data in before.items()):
        wrong.append("changed what it reads")
    if done.exit_code == 0 and case.arguments[0] != "calibrate":
        try:
            wrong += counted(Path(case.arguments[1]), done.stdout, folder / "o.json")
        except Exception as reason:  # whatever another reader makes of a file that was read here
            wrong.append(f"was read, and is not by another reader: {reason!r}")
    return wrong


def counted(schedule: Path, said: str, results: Path) -> list[str]:
    """Return where rows, feet and boxes differ from those of the file, read here by other means."""
    rows = whole_rows(schedule) if schedule.suffix == ".xlsx" else text_rows(schedule)
    heads = ["".join(c for c in h.casefold() if c not in " \t\n-_") for h in rows[0]]
    entries = [dict(zip(heads, row, strict=False)) for row in rows[1:]]
    many = [int(float(row.get("count") or 1)) for row in entries]
    # a row that goes on from one above may give the feet from box to box alone
    firsts = [float(row["runft"].strip() or row.get("nextft", "")) for row in entries]
    feet = sum(first + (n - 1) * between(row) for first, row, n in zip(firsts, entries, many, strict=True))
    told = f"in all {sum(many)} boxes, {feet:,.0f} ft of runs, each once"
    wrong = [] if told in said else [f"{told!r} is not said: {said[-200:]!r}"]
    if results.exists():
        boxes = {b["box"] for b in json.loads(results.read_text(encoding="utf-8"))["boxes"]}
        if len(boxes) != sum(many):
            wrong.append(f"{len(boxes)} boxes in the results, {sum(many)} in the file")
    return wrong


def between(row: dict[str, str]) -> float:
    """Return the feet between the boxes of a count: as said, else the input for the kind of the first device."""
    if row.get("nextft", "").strip():
        return float(row["nextft"])
    kinds = {one["device"]: one["device_kind"] for one in catalog("devices")}
    given = {one["name"]: one["value"] for one in catalog("inputs")}
    kind = kinds.get(row["device"].partition("+")[0].strip(), "")
    return float(given.get(f"next_{kind}_ft", 0))


@cache
def catalog(name: str) -> list[dict[str, str]]:
    with (catalog_folder() / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def text_rows(path: Path) -> list[list[str]]:
    data = path.read_bytes()
    encoding = "utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    if encoding == "utf-8-sig" and data[:200].count(0) > len(data[:200]) / 3:
        encoding = "utf-16-be" if data[:1] == b"\x00" else "utf-16-le"
    text = data.decode(encoding)
    if text.startswith("sep="):
        delimiter, text = text[4], text.partition("\n")[2]
    else:
        delimiter = max(",;\t", key=next(line for line in text.splitlines() if line.strip()).count)
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    return [row for row in rows if any(cell.strip() for cell in row)]


def whole_rows(path: Path) -> list[list[str]]:
    """Return the rows of a workbook; of one that the other reader refuses, those that it had before it was damaged."""
    try:
        return sheet_rows(path)
    except Exception:  # what the other reader makes of a part that says nothing of the rows
        return list(csv.reader(io.StringIO(SCHEDULE)))


def sheet_rows(path: Path) -> list[list[str]]:
    sheets = [s for s in openpyxl.load_workbook(path, data_only=True) if s.sheet_state == "visible"]
    tables = [[["" if v is None else str(v) for v in row] for row in s.iter_rows(values_only=True)] for s in sheets]
    filled = [[row for row in table if any(cell.strip() for cell in row)] for table in tables]
    table = [t for t in filled if t]
    alike = [t for t in table if len({*t[0]} & {*table[0][0]} - {""}) > 2]
    return [alike[0][0], *(row for t in alike for row in t[1:])]


def attack(count: int, seed: int, first: int = 0) -> tuple[list[str], Counter[str]]:
    """Return what is wrong with the cases from a first one on, and how they ended."""
    wrong: list[str] = []
    ended: Counter[str] = Counter()
    for number in range(first, first + count):
        folder = Path(tempfile.mkdtemp(prefix="fuzz-"))
        try:
            case = make(folder, number, seed)
            found = run(case, folder)
            ended["wrong" if found else "built or checked, or refused"] += 1
            wrong += [f"case {number} of seed {seed}, {case.said[:150]}: {said}" for said in found]
        finally:
            shutil.rmtree(folder)
    return wrong, ended


def main() -> None:
    """Try as many cases as the command line says."""
    count, seed, first = (int(given) for given in (*sys.argv[1:4], *("10000", "1", "0")[len(sys.argv) - 1 :]))
    start = time.perf_counter()
    wrong, ended = list[str](), Counter[str]()
    for part in range(first, first + count, PART):
        found, how = attack(min(PART, first + count - part), seed, part)
        wrong, ended = [*wrong, *found], ended + how
        print(*found, f"to case {part + how.total() - 1}", sep="\n", flush=True)
    print(f"{count} cases of seed {seed} in {time.perf_counter() - start:.0f} s: {dict(ended)}")
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
