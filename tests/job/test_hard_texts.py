"""Texts that hide something: names alike but for case or form, formulas for a spreadsheet, escapes for a terminal."""

from __future__ import annotations

import csv
import os
import time
import unicodedata
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner

from takeoff.catalog.rows import Catalogs
from takeoff.cli import app
from takeoff.job.inputs import load_inputs
from takeoff.job.schedule import read_schedule
from takeoff.text.csv_text import held
from takeoff.text.problems import InputError
from takeoff.text.read import read_bytes
from takeoff.wiring.sizing import conditions_of
from takeoff.wiring.tree import wire
from tests.conftest import SAMPLES

HEAD = "box,circuit,device,run_ft"
COMPOSED = unicodedata.normalize("NFC", "Caf\u00e9")
APART = unicodedata.normalize("NFD", COMPOSED)


def run(*given: object) -> tuple[int, str, str]:
    done = CliRunner().invoke(app, [str(g) for g in given])
    return done.exit_code, done.stdout, done.stderr


def write(folder: Path, *rows: str, more: str = "") -> Path:
    (folder / "s.csv").write_text("\n".join([HEAD + more, *rows]) + "\n", encoding="utf-8")
    return folder / "s.csv"


def test_areas_and_panels_that_differ_by_case_are_one_and_it_is_said(tmp_path: Path, catalogs: Catalogs):
    rows = (
        "A1,LP1-1,duplex,9,Office,",
        "A2,lp1-2,duplex,9,OFFICE,",
        "A3,X-1,duplex,9,office,Lp1",
        "A4,X-1,duplex,9,OFFICE,",
    )
    schedule = read_schedule(write(tmp_path, *rows, more=",area,panel"), catalogs)
    assert {b.area for b in schedule.boxes} == {"Office"}
    assert {c.panel for c in schedule.circuits.values()} == {"LP1"}
    told = [str(p) for p in schedule.problems.found]
    assert told == [
        's.csv:3:area: is read as "Office", as row 2 spells it: "OFFICE"',
        's.csv:3:panel: is read as "LP1", as row 2 spells it: "lp1"',
        's.csv:4:area: is read as "Office", as row 2 spells it: "office"',
        's.csv:4:panel: is read as "LP1", as row 2 spells it: "Lp1"',
    ]


def test_letters_composed_and_apart_are_the_same(tmp_path: Path, catalogs: Catalogs):
    """Canonical equivalence: The Unicode Standard Annex 15."""
    assert COMPOSED != APART
    path = write(tmp_path, f"{COMPOSED},P-1,duplex,9", f"{APART},P-1,duplex,9")
    found = read_schedule(path, catalogs).problems.errors()
    assert [str(p) for p in found] == [
        f's.csv:3:box: is the id of row 2 too: "{COMPOSED}"; an id that no other box has'
    ]
    path = write(
        tmp_path, f"{COMPOSED},P-1,duplex,9,panel,{APART}", f"B,P-1,duplex,9,{APART},{COMPOSED}", more=",fed_from,area"
    )
    job = wire(read_schedule(path, catalogs), catalogs, conditions_of(load_inputs(catalogs)))
    assert job.boxes[1].upstream is job.boxes[0]
    assert {b.source.area for b in job.boxes} == {COMPOSED}


def test_an_area_of_the_inputs_file_is_found_in_either_form(tmp_path: Path):
    path = write(tmp_path, f"B,P-1,duplex,9,{COMPOSED}", more=",area")
    (tmp_path / "i.toml").write_text(f'[areas."{APART.upper()}"]\ninstalled_pct = 25\n', encoding="utf-8")
    assert run("check", path, "--inputs", tmp_path / "i.toml")[0] == 0


@pytest.mark.parametrize("text", ["=1+1", "+1", "-B1", "@x", "\t=1", "  =1", "=cmd|'/c calc'!A1"])
def test_no_text_of_the_user_is_a_formula_in_a_csv(text: str):
    assert held(text) == f"'{text}"


@pytest.mark.parametrize("cell", ["B1", "", "-5", "-5.25", -5, 3.5, "a=b", "1-2", "'x"])
def test_other_cells_of_a_csv_stay(cell: object):
    assert held(cell) == cell


def test_ids_and_titles_stay_texts_in_the_files_of_the_order(tmp_path: Path):
    (tmp_path / "c").mkdir()
    (tmp_path / "c" / "prices.csv").write_text('item,title\nac-12-2,"=HYPERLINK(""x"")"\n')
    path = write(tmp_path, "=B1,@P-1,duplex,50", "-B2,@P-1,duplex,50", "+B3,@P-1,duplex,50")
    given = ("build", path, "-o", tmp_path / "o.xlsx", "--order", tmp_path / "order", "--catalogs", tmp_path / "c")
    assert run(*given)[0] == 0
    cuts = list(csv.DictReader((tmp_path / "order" / "cuts.csv").read_text().splitlines()))
    assert {c["box"] for c in cuts} == {"'=B1", "'-B2", "'+B3"}
    assert {c["circuit"] for c in cuts} == {"'@P-1"}
    order = list(csv.DictReader((tmp_path / "order" / "order.csv").read_text().splitlines()))
    assert {o["description"] for o in order if o["item"] == "ac-12-2"} == {'\'=HYPERLINK("x")'}


ESCAPE = "\x1b[31m"


@pytest.mark.parametrize(
    "where", ["toml", "set", "set without =", "plans", "heading", "file", "area", "wrote", "folder"]
)
def test_escapes_never_reach_the_terminal(tmp_path: Path, where: str):
    toml = {"toml": '"\\u001b[31mx" = 3\n', "area": '[areas."\\u001b[31mx"]\ninstalled_pct = 1\n'}
    (tmp_path / "i.toml").write_text(toml.get(where, ""))
    (tmp_path / "h.csv").write_text(f'"box{ESCAPE}",circuit,device,run_ft\nB,P-1,duplex,9\n')
    odd = tmp_path / f"{ESCAPE}dir"
    odd.mkdir()
    write(odd, "B,P-1,duplex,9").rename(odd / f"{ESCAPE}s.csv")
    schedule = {"heading": tmp_path / "h.csv", "file": odd / f"{ESCAPE}s.csv"}.get(where, SAMPLES / "small.csv")
    more = {
        "set": ["--set", f"{ESCAPE}x=3"],
        "set without =": ["--set", f"{ESCAPE}x"],
        "plans": ["--plans", f"{ESCAPE}x"],
        "folder": ["--catalogs", odd / "none"],
        "wrote": ["--json", odd / "o.json"],
    }.get(where, [])
    given = ("build", schedule, "-o", tmp_path / "o.xlsx", "--inputs", tmp_path / "i.toml", *more)
    code, out, errors = run(*given)
    assert code == (0 if where in ("wrote", "file") else 2)
    assert "\x1b" not in out + errors
    assert "<U+001B>[31m" in out + errors


@pytest.mark.parametrize("number", ["9" * 5000, "0x" + "F" * 5000, "-" + "9" * 4000])
@pytest.mark.parametrize(
    "table", ["labor_rate_usd_per_h = {}", '[[lines]]\nkind = "direct"\ntext = "x"\nmaterial_usd = {}']
)
def test_numbers_of_thousands_of_digits(tmp_path: Path, number: str, table: str):
    (tmp_path / "i.toml").write_text(table.format(number) + "\n")
    code, _, errors = run("check", SAMPLES / "small.csv", "--inputs", tmp_path / "i.toml")
    assert (code, errors.count("\n")) == (2, 1)
    assert "number too long" in errors


@pytest.mark.parametrize("rate", ["1e-6", "1e-7", "3e-6", "1e-300"])
def test_a_tiny_labor_rate_ranks_the_ranges_all_the_same(count: Callable, rate: str):
    book = count(f"{HEAD}\nB1,P-1,duplex,20\nB2,P-1,gfci,12\n", f"labor_rate_usd_per_h={rate}").build.book
    places = book.values("swings", "larger").tolist()
    assert sorted(places) == list(range(len(places)))


def test_a_metal_that_melts_below_its_insulation_is_refused(tmp_path: Path):
    (tmp_path / "metals.csv").write_text("metal,melts_c\ncopper,0\n")
    code, _, errors = run("check", SAMPLES / "small.csv", "--catalogs", tmp_path)
    assert (code, errors) == (
        2,
        'metals.csv:2:melts_c: is too small: "0"; a number not under 200, with a decimal point\n',
    )


def test_a_very_long_entry_is_called_so(tmp_path: Path):
    """The csv module of Python gives up beyond 131,072 characters of a field."""
    path = write(tmp_path, f"B1,P-1,duplex,9,{'x' * 140_000}", more=",note")
    said = (
        "row 2 or later has an entry of more than 131,072 characters; shorten it, or close a quote that was left open"
    )
    assert run("check", path)[::2] == (2, f"s.csv: {said}\n")
    path = write(tmp_path, f"B1,P-1,duplex,9,{'x' * 100_000}", more=",note")
    assert "s.csv:2:note: has 100,000 characters" in run("check", path)[2]


@pytest.mark.parametrize("make", ["fifo", "zero"])
def test_a_file_that_never_ends_is_refused_at_once(tmp_path: Path, make: str):
    path = Path("/dev/zero") if make == "zero" else tmp_path / "pipe"
    if make == "fifo":
        os.mkfifo(path)
    with pytest.raises(InputError, match="is a device or a pipe, not a file; save its content as a file and give that"):
        read_bytes(path)


def test_a_file_that_grows_while_it_is_read_ends_at_the_limit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    path = write(tmp_path, "B1,P-1,duplex,9")
    monkeypatch.setattr("takeoff.text.read.MAX_BYTES", path.stat().st_size)
    assert read_bytes(path)
    monkeypatch.setattr("takeoff.text.read.MAX_BYTES", path.stat().st_size - 1)
    with pytest.raises(InputError, match="more than"):
        read_bytes(path)


def test_thousands_of_unknown_boxes_in_one_circuit(tmp_path: Path, catalogs: Catalogs):
    """4,000 rows took 69 s: the nearest id was sought for each of them."""
    path = write(tmp_path, *(f"BX{n},P-1,duplex,9,NO{n}" for n in range(2000)), more=",fed_from")
    schedule = read_schedule(path, catalogs)
    start = time.process_time()
    with pytest.raises(InputError) as wrong:
        wire(schedule, catalogs, conditions_of(load_inputs(catalogs)))
    assert time.process_time() - start < 5
    assert len(wrong.value.problems) == 2000


def test_a_long_chain_listed_from_its_far_end(tmp_path: Path, catalogs: Catalogs):
    """60,000 boxes took 68 s: each step searched the whole way before it."""
    rows = (f"B{n},P-1,duplex,9,{f'B{n - 1}' if n else 'panel'}" for n in reversed(range(20_000)))
    schedule = read_schedule(write(tmp_path, *rows, more=",fed_from"), catalogs)
    start = time.process_time()
    assert len(wire(schedule, catalogs, conditions_of(load_inputs(catalogs))).boxes) == 20_000
    assert time.process_time() - start < 10


def test_a_long_loop_is_named_once(tmp_path: Path, catalogs: Catalogs):
    rows = (f"B{n},P-1,duplex,9,B{(n + 1) % 50}" for n in range(50))
    with pytest.raises(InputError) as wrong:
        wire(
            read_schedule(write(tmp_path, *rows, more=",fed_from"), catalogs),
            catalogs,
            conditions_of(load_inputs(catalogs)),
        )
    (problem,) = wrong.value.problems
    assert problem.message.startswith("a loop that the panel does not feed: B0 (row 2), B1 (row 3), ")
