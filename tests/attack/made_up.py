"""Sound files with one to three changes in cells, bytes or structure, for each kind of input."""

from __future__ import annotations

import csv
import io
import random
import zipfile
from collections.abc import Callable

import openpyxl

from takeoff.catalog.load import catalog_folder
from tests.conftest import SAMPLES

SCHEDULE = """box,circuit,device,run_ft,area,fed_from,repeat,breaker_a,wires,note,count,next_ft
B1,LP-1,duplex,20.5,office,,2,20,,,,
B2,LP-1,gfci,12,office,B1,,,,seen,,
B3,LP-2,switch,30,hall,panel,,15,A N,,,
B4,LP-2,luminaire,9,hall,B3,,,S1 N,,3,7
B5,"LP-3,5",junction,40,,,,,A B N,,1,
B6,"LP-3,5",duplex,6,,B5,,,A N,,2,5
"""
TOML = """labor_rate_usd_per_h = 80
make_up = "through"
[areas."office"]
installed_pct = 25
[[lines]]
kind = "direct"
text = "lift"
material_usd = 900
[plans]
mine = ["mc-wire", "emt-wire"]
"""
QUOTE = "item,unit,price_usd,date,valid_until\nac-12-2,M,765.5,2026-11-10,2026-12-10\nmc-wire-12-2,M,800,2026-11-10,\n"
OVERLAYS = ("prices", "operations", "families", "devices", "box_sizes", "constructions", "metals", "cables", "inputs")
SETS = (
    "labor_rate_usd_per_h=70",
    "code_edition=2020",
    "base_plan=ac-first",
    "estimate_date=2026-11-25",
    "crew_types=2",
)

WORDS = (
    *"|0|-1|1e9|1E5|007|TRUE|#N/A|*|?|~|=1+1|+1|@x|'x|\"|a,b|nan|inf|1e-300|99999999999999999999|0x10|1_000|12.|.5".split(
        "|"
    ),
    *"panel|PANEL|none|all|free|B1|b1|LP-1|duplex+switch|A B C|S1 S1|2026-02-30|10000|-0|1e308|2c12|mc-wire|no".split(
        "|"
    ),
    *"\u00bd|\uff11\uff12|\u00e9|e\u0301|\u202e|\x00|\x1b[31m|\ufeff|\U0001f600|{k1}|_x0041_|&amp;|</c>|yes|wet".split(
        "|"
    ),
    *(" ", "a\nb", "x" * 33_000, "9" * 400),
)


def cell_change(pick: random.Random, text: str) -> tuple[str, str]:
    """Return a table with some cells changed, and what was done."""
    rows = [list(row) for row in csv.reader(io.StringIO(text))]
    said = []
    for _ in range(pick.randint(1, 3)):
        row = pick.choice(rows)
        place = pick.randrange(len(row)) if row else 0
        word = pick.choice(WORDS)
        how = pick.choice(["put", "put", "put", "drop", "add", "copy row", "drop row", "blank row", "swap"])
        said.append(f"{how} {word[:20]!r} at {place}")
        if how == "put" and row:
            row[place] = word
        elif how == "drop" and row:
            del row[place]
        elif how == "add":
            row.insert(place, word)
        elif how == "copy row":
            rows.insert(pick.randrange(len(rows)), list(row))
        elif how == "drop row" and len(rows) > 1:
            rows.remove(row)
        elif how == "blank row":
            rows.insert(pick.randrange(len(rows)), [])
        else:
            pick.shuffle(rows)
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue(), "; ".join(said)


def byte_change(pick: random.Random, data: bytes) -> tuple[bytes, str]:
    """Return bytes with some changed, cut or doubled."""
    found, said = bytearray(data), []
    for _ in range(pick.randint(1, 4)):
        place = pick.randrange(len(found) + 1)
        how = pick.choice(["put", "cut", "double", "end", "insert"])
        said.append(f"{how} at {place}")
        if how == "put" and place < len(found):
            found[place] = pick.randrange(256)
        elif how == "cut":
            del found[place : place + pick.randint(1, 30)]
        elif how == "double":
            found[place:place] = found[place : place + pick.randint(1, 200)]
        elif how == "end":
            del found[max(place, 1) :]
        else:
            found[place:place] = bytes(pick.choices((0, 9, 10, 13, 34, 39, 44, 59, 61, 91, 255, 254, 239), k=3))
    return bytes(found), "; ".join(said)


Files = dict[str, bytes]


def _cells(pick: random.Random, files: Files) -> str:
    text, said = cell_change(pick, SCHEDULE)
    files["s.csv"] = text.encode("utf-8", "surrogatepass")
    return said


def _bytes(pick: random.Random, files: Files) -> str:
    name = pick.choice(["s.csv", "s.csv", "i.toml", "q.csv"])
    files[name], said = byte_change(pick, files[name])
    return f"{name} {said}"


def _form(pick: random.Random, files: Files) -> str:
    encoding = pick.choice(["utf-16", "utf-16-le", "utf-8-sig", "latin-1", "cp037", "utf-32"])
    text = SCHEDULE.replace(",", pick.choice([",", ";", "\t"])).replace("\n", pick.choice(["\n", "\r\n", "\r"]))
    files["s.csv"] = pick.choice([text, text * 2, "", "\n\n", "sep=;\n" + text, text.rstrip()]).encode(
        encoding, "replace"
    )
    return encoding


def _book(pick: random.Random, files: Files) -> str:
    text, said = cell_change(pick, SCHEDULE) if pick.random() < 0.5 else (SCHEDULE, "as it is")
    book = openpyxl.Workbook()
    titles = pick.sample(["LP", "LP2", "notes"], pick.randint(1, 3))
    for n, title in enumerate(titles):
        sheet = book.active if not n else book.create_sheet()
        sheet.title, sheet.sheet_state = title, pick.choice(["visible", "visible", "hidden"])
        for row in csv.reader(io.StringIO(text.replace("B", f"B{n}") if n else text)):
            cells = [c[:30_000] if c.isprintable() else "" for c in row]
            sheet.append([float(c) if c.replace(".", "", 1).isdigit() and c.isascii() else c for c in cells])
            sheet.row_dimensions[sheet.max_row].hidden = pick.random() < 0.1
    if all(s.sheet_state == "hidden" for s in book):
        book.active.sheet_state = "visible"
    out = io.BytesIO()
    book.save(out)
    files["s.xlsx"] = out.getvalue()
    return f"{len(titles)} sheets, {said}"


def _parts(pick: random.Random, files: Files) -> str:
    _book(pick, files)
    with zipfile.ZipFile(io.BytesIO(files["s.xlsx"])) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    name = pick.choice([n for n in parts if "sheet" in n or "style" in n or "workbook" in n or "rels" in n])
    parts[name], said = byte_change(pick, parts[name])
    if pick.random() < 0.2:
        del parts[name]
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for part, data in parts.items():
            archive.writestr(part, data)
    files["s.xlsx"] = out.getvalue() if pick.random() < 0.7 else byte_change(pick, out.getvalue())[0]
    return f"{name} {said}"


def _toml(pick: random.Random, files: Files) -> str:
    lines = TOML.splitlines()
    at = pick.randrange(len(lines))
    key, _, _ = lines[at].partition("=")
    word = pick.choice([*WORDS, "[1]", "{}", "true", '"x"', "1979-05-27", "0x" + "F" * 5000])
    lines[at] = pick.choice([f"{key}= {word}", f'{key}= "{word}"', f'"{word}" = 1', f'[areas."{word}"]', word])
    files["i.toml"] = "\n".join(lines).encode("utf-8", "surrogatepass")
    return repr(lines[at][:60])


def _set(pick: random.Random, _: Files) -> str:
    name, _, value = pick.choice(SETS).partition("=")
    word = pick.choice([w for w in WORDS if "\x00" not in w])
    return pick.choice([f"{name}={word}", f"{word}={value}", word, f"{name}={value}"])


def _overlay(pick: random.Random, files: Files) -> str:
    name = pick.choice(OVERLAYS)
    rows = (catalog_folder() / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    some = [rows[0], *pick.sample(rows[1:], min(4, len(rows) - 1))]
    text, said = cell_change(pick, "\n".join(some))
    files[f"c/{name}.csv"] = text.encode("utf-8", "surrogatepass")
    return f"{name} {said}"


def _quote(pick: random.Random, files: Files) -> str:
    text, said = cell_change(pick, QUOTE)
    files["q.csv"] = text.encode("utf-8", "surrogatepass")
    return said


def _study(pick: random.Random, files: Files) -> str:
    lines = (SAMPLES / "times.csv").read_text(encoding="utf-8").splitlines()
    lines = lines[: pick.randint(2, 40)]
    if pick.random() < 0.5:
        lines[0] = lines[0].replace("seconds,interruptions_s", "time 1,less 1").replace("note", "time 2,less 2")
        lines[1:] = [pick.choice((f"{line},1:05", f"{line},70,5", line)) for line in lines[1:]]
    if pick.random() < 0.5:
        lines = ["Job:,two-story,Crew:,a", "Worker:,W9,Before or after:,after", *lines]
    text, said = cell_change(pick, "\n".join(lines))
    files["t.csv"] = text.encode("utf-8", "surrogatepass")
    return f"study: {said}"


KINDS: dict[str, Callable[[random.Random, Files], str]] = {
    "cells": _cells,
    "bytes": _bytes,
    "form": _form,
    "book": _book,
    "parts": _parts,
    "toml": _toml,
    "set": _set,
    "overlay": _overlay,
    "quote": _quote,
    "study": _study,
}
