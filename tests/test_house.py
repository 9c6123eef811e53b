"""The house in order: imports go down, files stay readable, every column says what it is, documents match."""

from __future__ import annotations

import ast
import graphlib
import re
import subprocess
import sys
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

from takeoff.build import Build
from takeoff.engine.tables import Book, Column
from takeoff.model.givens.constructions import drivers_of
from takeoff.workbook.references import formula_of
from takeoff.workbook.sheets.order import SHEETS
from takeoff.workbook.sheets.plan import SOMETIMES
from takeoff.workbook.writer import references_of
from tests.conftest import ROOT

FLOORS = (
    ("text",),
    ("engine", "cutting"),
    ("catalog", "drawing"),
    ("job",),
    ("wiring",),
    ("model",),
    ("workbook",),
    ("build",),
    ("addendum",),
    ("report", "study"),
    ("guard",),
    ("cli_addendum",),
    ("cli",),
    ("__main__",),
)
"""Folders by floor, the lowest first: an import goes down, or stays in its folder."""

WITHIN = {
    "model": ("frame", "givens", "boxes", "rules", "cost", "order", "swap", "trace", "book", "remains"),
    "workbook": (
        *("file", "measure", "layout", "known", "formulas", "references", "furnish", "paging", "printing", "charts"),
        *("sheets", "pages"),
        *("leads", "writer", "changes_book", "columns", "taken"),
    ),
}
"""Rooms of a folder, the lowest first."""

LONGEST = 300
"""Lines of a file that a reader takes in."""


def modules() -> dict[str, Path]:
    package = ROOT / "takeoff"
    return {
        ".".join(p.relative_to(package).with_suffix("").parts): p for p in package.rglob("*.py") if p.stem != "__init__"
    }


def imports(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and str(node.module).startswith("takeoff"):
            module = str(node.module).removeprefix("takeoff").lstrip(".")
            found |= {f"{module}.{a.name}".lstrip(".") for a in node.names} & set(modules()) or {module}
    return found - {""}


def test_imports_go_down_from_folder_to_folder():
    floor = {folder: n for n, folders in enumerate(FLOORS) for folder in folders}
    assert {m.partition(".")[0] for m in modules()} == set(floor)
    wrong = []
    for module, path in modules().items():
        for read in imports(path):
            mine, other = module.partition(".")[0], read.partition(".")[0]
            if mine != other and floor[other] >= floor[mine]:
                wrong.append(f"{module} imports {read}")
    assert wrong == []


@pytest.mark.parametrize("folder", sorted(WITHIN))
def test_imports_go_down_inside_a_folder(folder: str):
    floor = {room: n for n, room in enumerate(WITHIN[folder])}
    inside = {m: p for m, p in modules().items() if m.startswith(f"{folder}.")}
    wrong = []
    for module, path in inside.items():
        for read in imports(path):
            if read.startswith(f"{folder}."):
                mine, other = (name.split(".")[1] for name in (module, read))
                if mine != other and floor[other] >= floor[mine]:
                    wrong.append(f"{module} imports {read}")
    assert wrong == []


def test_no_module_reads_itself_by_way_of_others():
    reads = {m: imports(p) for m, p in modules().items()}
    order = graphlib.TopologicalSorter(reads)
    order.prepare()


def test_only_the_workbook_layer_knows_the_workbook_library_and_only_the_command_line_its_own():
    for module, path in modules().items():
        text = path.read_text(encoding="utf-8")
        assert ("import typer" in text) == (module in ("cli", "cli_addendum", "guard"))
        if not module.startswith("workbook") and not module.startswith("text.workbook_"):
            assert "openpyxl" not in text, module


def test_only_the_printed_pages_and_the_measure_of_letters_know_the_library_of_pages():
    knows = [m for m, path in modules().items() if "reportlab" in path.read_text(encoding="utf-8")]
    assert sorted(knows) == [
        *("report.crew_pdf", "report.job_pages", "report.mixed_pages", "report.pdf"),
        "workbook.measure",
    ]


def test_files_stay_readable():
    lengths = {m: len(p.read_text(encoding="utf-8").splitlines()) for m, p in modules().items()}
    assert {m: n for m, n in lengths.items() if n > LONGEST} == {}


@pytest.mark.skipif(not (ROOT / ".git").exists(), reason="not a clone")
def test_top_level_holds_what_the_design_fixes():
    tracked = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout.split(
        "\n"
    )
    top = {name.split("/")[0] for name in tracked if name and not name.startswith(".")}
    fixed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "takeoff", "catalogs", "tests", "samples", "LICENSE"}
    assert top <= fixed


def test_every_driver_of_the_catalog_is_counted(sample_build: Build):
    """Work and quantities are lists by driver: a driver without its column would not build."""
    drivers = drivers_of(sample_build.frame)
    assert list(sample_build.book.tables["mix"].blocks["drivers"]) == drivers
    used = {r["driver"] for name in ("operations", "uses") for r in sample_build.catalogs[name]}
    rows = [d for d in sample_build.catalogs["drivers"] if d["counted_at"] == "box" or d["driver"] in used]
    assert drivers == [str(d["driver"]) for d in rows]


def test_every_table_stands_on_one_sheet(sample_build: Build):
    placed = [t for plan in SHEETS for t in plan.tables]
    assert len(placed) == len(set(placed))
    assert set(sample_build.book.tables) <= set(placed)
    assert set(placed) - set(sample_build.book.tables) <= set(SOMETIMES)


def test_every_column_that_counts_or_checks_by_a_rule_says_which(sample_build: Build):
    for table in sample_build.book.tables.values():
        for column in table.columns:
            if column.name.endswith("_check") or (
                table.name == "work" and column.name in drivers_of(sample_build.frame)
            ):
                assert column.note, f"{table.name}.{column.name}"


def test_every_public_function_is_documented_and_typed():
    for module, path in modules().items():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                assert node.returns is not None, f"{module}.{node.name}"
                assert all(a.annotation for a in node.args.args if a.arg not in ("self", "cls")), (
                    f"{module}.{node.name}"
                )


def readme() -> str:
    return (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_readme_names_every_command_option_and_input(sample_build: Build):
    text = readme()
    for word in (
        "takeoff build",
        "takeoff check",
        "takeoff new",
        "takeoff calibrate",
        "takeoff observe",
        "--confidence",
        "--precision",
        "--allowance",
        "--convention",
        "--details",
        "--end-to-end",
        "--workers",
        "--boxes",
        "--json",
        "--rooms",
        "--expanded",
        "--catalogs",
        "--inputs",
        "--set",
        "--plans",
        "--crew-pdf",
        "--crew-paper",
        "--quiet",
        "takeoff edits",
        "takeoff changes",
        "--carry",
        "--replace",
    ):
        assert word in text, word
    for name in sample_build.catalogs["inputs"].keys:
        assert f"`{name}`" in text, name


def test_the_readme_names_every_column_of_the_schedule_and_every_device(sample_build: Build):
    from takeoff.job.records import BOX_COLUMNS, CIRCUIT_COLUMNS

    text = readme()
    for column in (*BOX_COLUMNS, *CIRCUIT_COLUMNS):
        assert f"`{column}`" in text, column
    for device in sample_build.catalogs["devices"].keys:
        assert f"`{device}`" in text, device


def test_the_readme_names_every_column_of_the_readings():
    from takeoff.study.columns import COLUMNS

    text = readme().partition("## Time studies")[2]
    for column in COLUMNS:
        assert f"`{column}`" in text, column


def test_the_readme_names_every_key_of_the_json():
    import json

    schema = json.loads((ROOT / "tests" / "results.schema.json").read_text(encoding="utf-8"))
    text = readme()
    for part in ("plan", "box", "problem"):
        for key in schema["$defs"][part]["properties"]:
            assert f"`{key}`" in text, key


def test_the_continuous_checks_run_the_two_commands_of_the_readme():
    """The script takes them out of the README, so that what is promised is what runs."""
    commands = re.findall(r"^    (\S.+)$", readme(), flags=re.MULTILINE)
    assert len(commands) == 2
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    for command, word in zip(commands, ("takeoff build", "pytest"), strict=True):
        assert word in command
        assert f"promised '{word}'" in script


def test_declared_packages_are_those_imported():
    declared = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    names = {{"pillow": "PIL"}.get(name, name) for name in (re.split(r"[><=~]", d)[0] for d in declared)}
    used = set()
    for path in modules().values():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                used |= {a.name.split(".")[0] for a in node.names}
            elif isinstance(node, ast.ImportFrom) and node.level == 0:
                used.add(str(node.module).split(".")[0])
    assert used - set(sys.stdlib_module_names) - {"takeoff"} == names


@pytest.mark.parametrize("name", ["small.csv", "two-story.csv"])
def test_the_samples_have_no_notices(name: str):
    from takeoff.build import Options, read_job

    assert read_job(Options(ROOT / "samples" / name)).job.notices == []


def test_the_worked_example_of_the_developers_guide_works(sample_build: Build):
    """The column of the guide is taken out of it, put into its table, and gives formula and value."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    example = re.search(r"```python\n(.*?)```", text, flags=re.DOTALL)
    assert example
    names: dict[str, object] = {}
    exec(example[1], names)
    column = names["room_left"]
    assert isinstance(column, Column)
    table = sample_build.book.tables["fits"]
    longer = replace(table, columns=[*table.columns, column])
    book = Book([t if t is not table else longer for t in sample_build.book.tables.values()], sample_build.inputs)
    room = book.values("fits", "chosen_volume_in3") - book.values("fits", "sum_in3")
    assert list(book.values("fits", column.name)) == list(room)
    refs = references_of(book)
    assert f"`={formula_of(refs.spots['fits'], column, refs)}`" in text
