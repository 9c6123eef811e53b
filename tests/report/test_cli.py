"""The command line: commands and options by their names, exit codes, what goes where, and how fast help comes."""

from __future__ import annotations

import json
import os
import pty
import re
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest
from typer.testing import CliRunner

from takeoff import __version__
from takeoff.catalog.rows import Catalogs
from takeoff.cli import app
from tests.conftest import ROOT, SAMPLES
from tests.tables import called

SMALL = str(SAMPLES / "small.csv")


def run(*arguments: str) -> tuple[int, str, str]:
    done = CliRunner().invoke(app, list(arguments))
    return done.exit_code, done.stdout, done.stderr


def test_version():
    assert run("--version") == (0, f"takeoff {__version__}\n", "")


@pytest.mark.parametrize(
    "command", [[], ["build"], ["check"], ["new"], ["edits"], ["changes"], ["calibrate"], ["observe"]]
)
def test_help_has_an_example_on_every_command(command: list[str]):
    code, out, _ = run(*command, "--help")
    assert code == 0
    assert f"Example: takeoff {' '.join(command)}".strip() in out


@pytest.mark.parametrize(
    "option",
    [
        "-o",
        "--json",
        "--catalogs",
        "--inputs",
        "--set",
        "--plans",
        "--crew-pdf",
        "--crew-paper",
        "--carry",
        "--replace",
        "--quiet",
    ],
)
def test_build_has_its_options(option: str):
    assert option in run("build", "--help")[1]


def test_build_prints_the_totals_and_writes_both_files(tmp_path: Path):
    out, results = tmp_path / "o.xlsx", tmp_path / "o.json"
    code, text, errors = run(
        "build", SMALL, "-o", str(out), "--json", str(results), "--plans", "ac-first,mc-wire-first"
    )
    assert (code, errors) == (0, "")
    found = json.loads(results.read_text())["plans"]
    lines = [line.split() for line in text.splitlines()]
    assert list(found) == ["ac-first", "mc-wire-first"]
    for line, (plan, totals) in zip(text.splitlines()[2:4], found.items(), strict=True):
        assert line.startswith(f"{called(plan)} ")
        assert line.removeprefix(called(plan)).split()[1] == str(totals["ground_terminations"])
    assert lines[-1] == ["wrote", str(out), "and", str(results)]


def test_notices_go_to_stderr_and_not_with_quiet(tmp_path: Path):
    (tmp_path / "s.csv").write_text("box,circuit,device,run_ft,drawing\nB1,P-1,junction,10,E1\n")
    arguments = ["build", str(tmp_path / "s.csv"), "-o", str(tmp_path / "o.xlsx")]
    told = (
        'notice: s.csv:1: columns carried through to the workbook but not used: "drawing"\n'
        'notice: s.csv:2:wires: ends here unused and is counted as capped: "A N"\n'
    )
    assert run(*arguments)[2] == told
    assert run(*arguments, "--quiet")[2] == ""


def test_check_prints_what_it_found():
    """Counted by hand: 7 receptacles of 180 VA and 2 luminaires of 40 VA; 46 + 38 + 52 + 61 = 197 ft of home runs."""
    code, out, errors = run("check", SMALL)
    assert (code, errors) == (0, "")
    lines = out.splitlines()
    assert lines[:10] == [
        "small.csv: 12 rows, 12 boxes, 4 circuits; with repeats 12 boxes, 4 circuits",
        "",
        "                        recep-             lumi-  equip-          load  runs  home  home runs  longest",
        "panel  circuits  boxes  tacles  switches  naires    ment  other     VA    ft  runs         ft       ft  longest run to",
        "KP            4     12       7         2       2       0      1  1,340   300     4        197       61  X1",
        "",
        "make-up types: 11",
        "spaces: general 11, patient-care 1",
        "read small.csv: 13 rows with entries, the heading one of them; in all 12 boxes, 300 ft of runs, each once",
        "notices: 0",
    ]
    assert re.fullmatch(
        r"invented figures that a total rests on: \d+, those that weigh most first; replace them", lines[10]
    )
    weights = [float(line.replace("< 1", "0").split()[0].replace(",", "")) for line in lines[12:]]
    count = int(lines[10].split(": ")[1].split(",")[0])
    assert len(weights) == count > 40  # all of them
    assert weights == sorted(weights, reverse=True)


@pytest.mark.parametrize(
    ("name", "message"),
    [("e.txt", "does not end in .csv; give a name that does"), ("s.csv", "is read by this build; give another name")],
)
def test_an_expansion_that_cannot_be_written_is_an_error(tmp_path: Path, name: str, message: str):
    (tmp_path / "s.csv").write_text("circuit,device,run_ft\nP-1,duplex,9\n")
    found = run("check", str(tmp_path / "s.csv"), "--expanded", str(tmp_path / name))
    assert found == (2, "", f"{tmp_path / name}: {message}\n")
    assert [p.name for p in tmp_path.iterdir()] == ["s.csv"]


def test_check_takes_the_size_from_the_inputs(tmp_path: Path):
    assert run("check", SMALL, "--set", "min_awg=10")[0] == 0


@pytest.mark.parametrize("start", [[str(Path(sys.executable).parent / "takeoff")], [sys.executable, "-m", "takeoff"]])
def test_the_command_works_from_any_folder(tmp_path: Path, start: list[str]):
    """Installed, the command finds its catalogs wherever it is called, and the files of the user where he stands."""
    (tmp_path / "s.csv").write_text("box,circuit,device,run_ft\nB1,P-1,duplex,20\nB2,P-1,duplex,12\n")
    elsewhere = {k: v for k, v in os.environ.items() if k != "PYTHONPATH"}
    command = [*start, "build", "s.csv", "-o", "o.xlsx", "--json", "o.json"]
    done = subprocess.run(command, capture_output=True, text=True, cwd=tmp_path, env=elsewhere, timeout=120)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.splitlines()[-1] == "wrote o.xlsx and o.json"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["o.json", "o.xlsx", "s.csv"]
    assert [b["box"] for b in json.loads((tmp_path / "o.json").read_text())["boxes"]] == ["B1"] * 3 + ["B2"] * 3


def test_new_writes_a_folder_that_builds_as_it_stands(tmp_path: Path):
    folder = tmp_path / "job"
    code, out, _ = run("new", str(folder))
    assert code == 0
    written = sorted(str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_file())
    assert written == [
        "catalogs/families.csv",
        "catalogs/operations.csv",
        "catalogs/prices.csv",
        "inputs.toml",
        "schedule.csv",
        "schedule.xlsx",
    ]
    assert sorted(out.splitlines()) == [str(folder / name) for name in written]
    options = ["--inputs", str(folder / "inputs.toml"), "--catalogs", str(folder / "catalogs")]
    code, text, _ = run("build", str(folder / "schedule.csv"), "-o", str(folder / "o.xlsx"), *options)
    assert code == 0
    assert text.splitlines()[:-2] == run("build", SMALL, "-o", str(tmp_path / "o.xlsx"))[1].splitlines()[:-2]


def test_the_form_reads_back_as_it_stands(tmp_path: Path):
    """Counted by hand: 5 + 2 + 5 + 1 + 1 + 1 + 3 + 1 boxes; 110 + 122 + 165 + 85 + 95 + 74 + 70 = 721 ft of runs."""
    run("new", str(tmp_path / "job"))
    code, out, _ = run("check", str(tmp_path / "job" / "schedule.xlsx"), "--expanded", str(tmp_path / "e.csv"))
    assert code == 0
    line = next(line for line in out.splitlines() if line.startswith("LP1 "))
    assert line.split() == "LP1 7 19 9 2 5 2 1 11,320 721 7 577 165 LP1-5.1".split()
    run("check", str(SAMPLES / "form.csv"), "--expanded", str(tmp_path / "f.csv"))
    assert (tmp_path / "e.csv").read_bytes() == (tmp_path / "f.csv").read_bytes()


def test_the_form_offers_what_the_catalogs_hold_and_says_what_each_column_means(tmp_path: Path, catalogs: Catalogs):
    run("new", str(tmp_path / "job"))
    book = openpyxl.load_workbook(tmp_path / "job" / "schedule.xlsx")
    sheet, lists = book.worksheets[0], book["Lists"]
    headings = [cell.value for cell in sheet[1]]
    assert headings == [key.replace("_", " ") for key in catalogs["form_columns"].keys]
    rules = {str(rule.sqref): rule for rule in sheet.data_validations.dataValidation}
    for place, row in enumerate(catalogs["form_columns"], start=1):
        letter = sheet.cell(1, place).column_letter
        for cells in (f"{letter}1", f"{letter}2:{letter}5000"):
            assert rules[cells].prompt == f"{row['note']}. Blank: {row['when_blank']}."
    offered = {column[1].value: [cell.value for cell in column[2:] if cell.value] for column in lists.columns}
    assert offered["device"] == catalogs["devices"].keys
    assert offered["space"] == catalogs["spaces"].keys
    assert offered["construction"] == offered["run construction"] == catalogs["constructions"].keys
    assert [str(size) for size in offered["awg"]] == catalogs["conductors"].keys
    device, space = (
        rules[
            f"{sheet.cell(1, headings.index(n) + 1).column_letter}2:{sheet.cell(1, headings.index(n) + 1).column_letter}5000"
        ]
        for n in ("device", "space")
    )
    assert (device.showErrorMessage, space.showErrorMessage) == (False, True)
    assert device.formula1 == f"Lists!$A$3:$A${2 + len(catalogs['devices'])}"


def test_every_line_of_the_starter_inputs_is_accepted(tmp_path: Path):
    folder = tmp_path / "job"
    run("new", str(folder))
    lines = (folder / "inputs.toml").read_text().splitlines()
    (folder / "inputs.toml").write_text(
        "\n".join(line[2:] for line in lines if line.startswith("# ") and (" = " in line or line.startswith("# [")))
    )
    assert run("check", SMALL, "--inputs", str(folder / "inputs.toml"))[::2] == (0, "")


def test_new_leaves_a_folder_alone_that_holds_something(tmp_path: Path):
    (tmp_path / "mine.txt").touch()
    assert run("new", str(tmp_path)) == (2, "", f"{tmp_path}: exists and is not an empty folder; give a new name\n")


def test_an_error_of_the_tool_is_one_sentence_and_exit_code_1(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    def broken(*_: object) -> None:
        raise RuntimeError("of no kind foreseen")

    monkeypatch.setattr("takeoff.build.find_types", broken)
    code, out, errors = run("build", SMALL, "-o", str(tmp_path / "o.xlsx"))
    assert (code, out) == (1, "")
    assert errors.startswith("takeoff: an error of the tool, not of the input: RuntimeError: of no kind foreseen")
    assert list(tmp_path.iterdir()) == []


def test_a_usage_error_is_exit_code_2():
    assert run("build")[0] == 2
    assert run("biuld")[0] == 2


def test_many_problems_are_counted(tmp_path: Path):
    (tmp_path / "s.csv").write_text("box,circuit,device,run_ft\n" + "".join(f"B{n},P-1,x,1\n" for n in range(500)))
    code, _, errors = run("check", str(tmp_path / "s.csv"))
    assert code == 2
    assert len(errors.splitlines()) == 401
    assert errors.splitlines()[-1] == "... and 100 more problems; mend these first"


def test_help_loads_no_heavy_package():
    """The commands import what they need: help must come at once."""
    code = "import sys; from takeoff.cli import app; print([m for m in ('pandas', 'numpy', 'scipy', 'openpyxl') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"


def test_a_build_loads_no_package_that_it_does_not_need(tmp_path: Path):
    """Each of them takes 5 to 40 MB of memory."""
    code = (
        f"import sys; from takeoff.cli import app; app(['build', {str(SMALL)!r}, '-o', {str(tmp_path / 'o.xlsx')!r}], "
        "standalone_mode=False); print([m for m in ('pandas', 'statsmodels', 'reportlab.platypus') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.splitlines()[-1] == "[]"


def test_progress_shows_on_a_terminal_only(tmp_path: Path):
    arguments = [sys.executable, "-m", "takeoff", "build", SMALL, "-o", str(tmp_path / "o.xlsx")]
    piped = subprocess.run(arguments, capture_output=True, text=True, cwd=ROOT, check=True)
    assert piped.stderr == ""
    for more, shown in (([], True), (["--quiet"], False)):
        parent, child = pty.openpty()
        environment = {**os.environ, "TERM": "xterm"}
        process = subprocess.Popen([*arguments, *more], stdout=subprocess.PIPE, stderr=child, cwd=ROOT, env=environment)
        os.close(child)
        seen = b""
        while True:
            try:
                piece = os.read(parent, 4096)
            except OSError:
                break
            if not piece:
                break
            seen += piece
        process.communicate()
        os.close(parent)
        assert (b"writing the workbook" in seen) == shown
