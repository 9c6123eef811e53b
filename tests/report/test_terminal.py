"""Terminals: characters that an encoding lacks, and readers that hang up."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest

from tests.conftest import ROOT, SAMPLES

HEAD = "box,circuit,device,run_ft,fed_from\n"
CYRILLIC = "cp866"
"""An encoding of terminals without the letters of the tests."""


def run(encoding: str, *arguments: str) -> tuple[int, str, str]:
    """Run the command line on a terminal of an encoding; return exit code, stdout and stderr."""
    done = subprocess.run(
        [sys.executable, "-m", "takeoff", *arguments],
        capture_output=True,
        cwd=ROOT,
        env={**os.environ, "PYTHONIOENCODING": encoding},
        timeout=120,
    )
    # what a terminal cannot show must not hide what it can
    return done.returncode, done.stdout.decode(encoding, "replace"), done.stderr.decode(encoding, "replace")


def schedule(folder: Path, text: str) -> str:
    (folder / "s.csv").write_text(text, encoding="utf-8")
    return str(folder / "s.csv")


def test_an_error_shows_the_code_of_a_letter_that_the_terminal_lacks(tmp_path: Path):
    path = schedule(tmp_path, HEAD + "Büro,P-1,duplex,10,\nBÜRO,P-1,duplex,10,\n")
    message = 's.csv:3:box: is the id of row 2 too: "B\\xdcRO"; an id that no other box has\n'
    assert run(CYRILLIC, "check", path) == (2, "", message)


def test_a_notice_shows_the_code_of_a_letter_that_the_terminal_lacks(tmp_path: Path):
    path = schedule(tmp_path, "box,circuit,device,run_ft,größe\nB1,P-1,duplex,10,m²\n")
    notice = 'notice: s.csv:1: columns carried through to the workbook but not used: "gr\\xf6\\xdfe"'
    code, out, errors = run(CYRILLIC, "check", path)
    assert (code, out.splitlines()[0], errors) == (0, notice, "")
    out_path = tmp_path / "o.xlsx"
    code, _, errors = run(CYRILLIC, "build", path, "-o", str(out_path))
    assert (code, errors.splitlines()) == (0, [notice])
    assert out_path.exists()


def test_the_name_of_a_file_may_be_one_that_the_terminal_lacks(tmp_path: Path):
    out = tmp_path / "übersicht.xlsx"
    code, told, errors = run(CYRILLIC, "build", str(SAMPLES / "small.csv"), "-o", str(out), "--quiet")
    assert (code, errors) == (0, "")
    assert told.splitlines()[-1] == f"wrote {tmp_path}{os.sep}\\xfcbersicht.xlsx"
    assert out.exists()


@pytest.mark.parametrize("letter", ["É", "\U0001f50c"])
def test_a_terminal_of_plain_letters_stops_nothing(tmp_path: Path, letter: str):
    """The sentence is whole around the letter, in whichever form that comes out."""
    path = schedule(tmp_path, HEAD + f"B1,P-1,duplex,10,Caf{letter}\n")
    code, out, errors = run("ascii", "check", path)
    assert (code, out) == (2, "")
    (line,) = errors.splitlines()
    assert line.startswith('s.csv:2:fed_from: is not a box of the schedule: "Caf')
    assert line.endswith('"; accepted: panel')


def test_a_notice_on_a_terminal_of_plain_letters_stops_no_build(tmp_path: Path):
    path = schedule(tmp_path, "box,circuit,device,run_ft,größe\nB1,P-1,duplex,10,m²\n")
    code, out, errors = run("ascii", "build", path, "-o", str(tmp_path / "o.xlsx"))
    assert code == 0
    assert out.splitlines()[-1] == f"wrote {tmp_path / 'o.xlsx'}"
    (line,) = errors.splitlines()
    assert line.startswith('notice: s.csv:1: columns carried through to the workbook but not used: "gr')


def test_the_workbook_keeps_what_the_terminal_cannot_show(tmp_path: Path):
    path = schedule(tmp_path, HEAD + "Büro,P-1,duplex,10,\n")
    assert run("ascii", "build", path, "-o", str(tmp_path / "o.xlsx"))[0] == 0
    rows = openpyxl.load_workbook(tmp_path / "o.xlsx")["Schedule"].iter_rows(values_only=True)
    assert any("Büro" in row for row in rows)


def hung_up(*arguments: str) -> tuple[int, str]:
    """Run with a stdout whose reader is gone before the first word; return exit code and stderr."""
    reader, writer = os.pipe()
    os.close(reader)
    try:
        done = subprocess.run(
            [sys.executable, "-m", "takeoff", *arguments], stdout=writer, stderr=subprocess.PIPE, cwd=ROOT, timeout=120
        )
    finally:
        os.close(writer)
    return done.returncode, done.stderr.decode()


@pytest.mark.parametrize("command", ["check", "build", "--help"])
def test_a_reader_that_hangs_up_gets_no_traceback(tmp_path: Path, command: str):
    out = tmp_path / "o.xlsx"
    arguments = {
        "check": ["check", str(SAMPLES / "small.csv")],
        "build": ["build", str(SAMPLES / "small.csv"), "-o", str(out)],
        "--help": ["--help"],
    }[command]
    code, errors = hung_up(*arguments)
    assert errors == ""
    assert code in (0, 1)
    assert out.exists() == (command == "build")  # the file is written before anything is said


def test_a_reader_that_hangs_up_after_a_line_gets_no_traceback(tmp_path: Path):
    """Many notices: the pipe fills, and its reader takes the first line only."""
    rows = "".join(f"B{n},P-{n},junction,10,panel\n" for n in range(2000))
    (tmp_path / "s.csv").write_text(HEAD + rows)
    process = subprocess.Popen(
        [sys.executable, "-m", "takeoff", "check", str(tmp_path / "s.csv")],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=ROOT,
    )
    assert process.stdout
    assert process.stderr
    first = process.stdout.readline().decode()
    process.stdout.close()
    errors = process.stderr.read().decode()
    process.stderr.close()
    assert process.wait(timeout=120) in (0, 1)
    assert first == 'notice: s.csv:2:wires: ends here unused and is counted as capped: "A N"\n'
    assert errors == ""


def test_the_terminal_in_the_readme_is_what_the_build_prints(tmp_path: Path):
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    command = "$ takeoff build samples/small.csv -o small.xlsx\n"
    shown = readme.partition(command)[2].partition("```")[0]
    build = [sys.executable, "-m", "takeoff", "build", str(SAMPLES / "small.csv"), "-o", "small.xlsx"]
    done = subprocess.run(build, capture_output=True, text=True, cwd=tmp_path, timeout=120)
    assert (done.returncode, done.stdout) == (0, shown)
