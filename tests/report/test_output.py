"""What is written: the same bytes for the same input, whole or not at all, text that stays text, JSON by its schema."""

from __future__ import annotations

import json
import re
import stat
import zipfile
from pathlib import Path

import jsonschema
import openpyxl
import pandas as pd
import pytest
from typer.testing import CliRunner

from takeoff.build import Options, compute
from takeoff.cli import app
from takeoff.report.output import write_outputs
from takeoff.workbook import writer
from takeoff.workbook.file.rows import Block, BlockColumn, Cell, SheetRows, escape
from tests.conftest import ALL_PLANS, ROOT, SAMPLES, Counter
from tests.tables import called

SCHEMA = json.loads((ROOT / "tests" / "results.schema.json").read_text(encoding="utf-8"))
NASTY = [
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    "'quoted",
    '"x"',
    "a<b>&c",
    "_x0041_",
    "01",
    "1E2",
    "*",
    "a?c",
    "~",
    ">5",
    "  two  ",
]
"""Ids that a spreadsheet takes for a formula, a number, a wildcard or an operator."""


def build_nasty(folder: Path) -> Path:
    rows = "".join(f'"{n} {t}","{t}",duplex,10,"{t}"\n' for n, t in enumerate(t.replace('"', '""') for t in NASTY))
    (folder / "s.csv").write_text("box,circuit,device,run_ft,area\n" + rows + "=B,=C,duplex,5,=D\n", encoding="utf-8")
    write_outputs(compute(Options(folder / "s.csv")), folder / "o.xlsx", folder / "o.json")
    return folder / "o.xlsx"


def test_text_of_the_user_stays_text_and_is_never_looked_up(tmp_path: Path):
    sheet = openpyxl.load_workbook(build_nasty(tmp_path))["Schedule"]
    header = next(r for r in sheet.iter_rows() if r[1].value == "box")
    rows = list(sheet.iter_rows(min_row=header[0].row + 1))
    assert [r[2].value.replace("_x005F_", "_") for r in rows] == [*(t.strip() for t in NASTY), "=C"]
    assert {c.data_type for r in rows for c in r if isinstance(c.value, str)} <= {"s", "inlineStr"}
    circuits = openpyxl.load_workbook(tmp_path / "o.xlsx", data_only=True)["Circuits"]
    title = next(r for r in circuits.iter_rows() if r[0].value == "circuit")
    column = [c.value for c in title].index("circuit")
    names = [r[column].value for r in circuits.iter_rows(min_row=title[0].row + 1)]
    assert [n.replace("_x005F_", "_") for n in dict.fromkeys(names)] == [*(t.strip() for t in NASTY), "=C"]


@pytest.mark.libreoffice
def test_nasty_names_recalculate(tmp_path: Path, recalculate):
    from tests import office

    path = build_nasty(tmp_path)
    office.poison(path, tmp_path / "poisoned.xlsx")
    (again,) = recalculate([tmp_path / "poisoned.xlsx"])
    assert list(office.differences(office.values(path), office.values(again), office.formulas(path))) == []


def test_the_same_input_gives_the_same_bytes(tmp_path: Path):
    for folder in ("a", "b"):
        (tmp_path / folder).mkdir()
        write_outputs(
            compute(Options(SAMPLES / "small.csv")), tmp_path / folder / "o.xlsx", tmp_path / folder / "o.json"
        )
    for name in ("o.xlsx", "o.json"):
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes()


def test_no_trace_of_a_machine_or_of_another_program(tmp_path: Path):
    write_outputs(compute(Options(SAMPLES / "small.csv")), tmp_path / "o.xlsx", None)
    archive = zipfile.ZipFile(tmp_path / "o.xlsx")
    assert {i.date_time for i in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
    assert b"<Application>takeoff</Application>" in archive.read("docProps/app.xml")
    assert b"openpyxl" not in archive.read("docProps/core.xml")
    assert str(tmp_path).encode() not in b"".join(archive.read(n) for n in archive.namelist())


def test_an_interrupted_build_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    path = tmp_path / "o.xlsx"
    path.write_bytes(b"the old one")

    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("takeoff.workbook.file.package._BookWriter.write_data", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_outputs(compute(Options(SAMPLES / "small.csv")), path, tmp_path / "o.json")
    assert path.read_bytes() == b"the old one"
    assert [p.name for p in tmp_path.iterdir()] == ["o.xlsx"]


def test_a_new_file_has_the_rights_of_any_new_file(tmp_path: Path):
    write_outputs(compute(Options(SAMPLES / "small.csv")), tmp_path / "o.xlsx", tmp_path / "o.json")
    (tmp_path / "plain").touch()
    rights = {stat.S_IMODE(p.stat().st_mode) for p in tmp_path.iterdir()}
    assert len(rights) == 1


@pytest.mark.parametrize(
    ("target", "message"),
    [
        ("none/o.xlsx", "lies in a folder that does not exist; make the folder first"),
        ("folder.xlsx", "is a folder; give the name of a file"),
        ("s.xlsx", "is read by this build; give another name"),
        ("o.csv", "does not end in .xlsx; give a name that does"),
    ],
)
def test_targets_that_cannot_be_written(tmp_path: Path, target: str, message: str):
    book = openpyxl.Workbook()
    for line in (["box", "circuit", "device", "run_ft"], ["B1", "P-1", "duplex", 10]):
        book.active.append(line)
    book.save(tmp_path / "s.xlsx")
    (tmp_path / "folder.xlsx").mkdir()
    done = CliRunner().invoke(app, ["build", str(tmp_path / "s.xlsx"), "-o", str(tmp_path / target)])
    assert (done.exit_code, done.stderr) == (2, f"{tmp_path / target}: {message}\n")


def test_a_target_that_is_open_elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    def locked(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(writer, "save", locked)
    done = CliRunner().invoke(
        app, ["build", str(SAMPLES / "small.csv"), "-o", str(tmp_path / "o.xlsx"), "--json", str(tmp_path / "o.json")]
    )
    sentence = (
        f"{tmp_path / 'o.xlsx'}: may not be written; is it open in another program; close it, or give another name\n"
    )
    assert (done.exit_code, done.stderr) == (2, sentence)
    assert list(tmp_path.iterdir()) == []


def test_the_json_follows_its_schema(count: Counter):
    counted = count(
        "box,circuit,device,run_ft,wires,drawing\nA,P-1,duplex,10,A N IG,E1\nB,P-1,equipment-3p,5,A B C,E1\n".replace(
            "B,P-1", "B,P-3"
        )
    )
    jsonschema.validate(counted.results, SCHEMA)
    assert len(counted.results["problems"]) == 2
    assert set(counted.results["plans"]) == set(ALL_PLANS.split(",")[:3])
    assert len(counted.results["boxes"]) == 2 * 3


def test_the_sample_json_follows_its_schema_and_adds_up(sample_build):
    from takeoff.report.results import results_of

    results = results_of(sample_build)
    jsonschema.validate(results, SCHEMA)
    for name, totals in results["plans"].items():
        mine = [b for b in results["boxes"] if b["plan"] == name]
        for total in ("circuit_terminations", "ground_terminations", "circuit_splices", "ground_splices", "entries"):
            assert totals[total] == sum(b[total] * b["repeat"] for b in mine)
        assert totals["labor_hours"] == pytest.approx(sum(b["minutes"] * b["repeat"] for b in mine) / 60)
        assert totals["material_cost"] == pytest.approx(sum(b["material_cost"] * b["repeat"] for b in mine))
        assert totals["labor_cost"] == pytest.approx(
            totals["labor_hours"] * sample_build.book.values("labor_rate", "usd_per_h")[0]
        )
        assert totals["installed_cost"] == pytest.approx(totals["labor_cost"] + totals["material_cost"])
        assert sum(totals["boxes"].values()) + totals["boxes_without_size"] == sum(b["repeat"] for b in mine)
        assert sum(totals["labor_hours_by_operation"].values()) == pytest.approx(totals["labor_hours"])


def test_pandas_reads_the_totals_without_recalculation(sample_workbook: Path, sample_build):
    sheet = pd.read_excel(sample_workbook, sheet_name="Summary", header=None)
    start = sheet.index[sheet[0] == "plan"][0]
    frame = sheet.iloc[start + 1 : start + 4]
    assert list(frame[0]) == [called(p) for p in sample_build.frame.compared]
    ours = sample_build.book.values("totals", "ground_terminations")
    assert list(frame[2]) == list(ours)


def test_what_reads_as_an_escape_of_the_format_is_escaped():
    assert escape("a&b<c>\r_x0041_") == "a&amp;b&lt;c&gt;_x000D__x005F_x0041_"


def test_rows_stand_in_order_and_keep_their_heights():
    rows = SheetRows()
    rows.put(1, 1, Cell("top"))
    rows.put(5, 2, Cell(2.5, 0, "A2+A3"))
    rows.heights[5] = 30
    rows.blocks.append(
        Block(2, 1, [BlockColumn([1, "x", 2.5]), BlockColumn([1.0, 2.0, 3.0], 4, "A{r}*2%")], [10, 20, 30])
    )
    text = b"".join(rows.xml()).decode()
    assert re.findall(r'<row r="(\d)"', text) == list("12345")
    assert '<c r="B2" s="4"><f t="shared" ref="B2:B4" si="1">A2*2%</f><v>1</v></c>' in text
    assert '<c r="B3" s="4"><f t="shared" si="1"/><v>2</v></c>' in text
    assert '<c r="A3" t="inlineStr"><is><t>x</t></is></c>' in text
    assert '<row r="5" ht="30" customHeight="1"><c r="B5"><f>A2+A3</f><v>2.5</v></c></row>' in text


def test_a_value_that_is_no_number_is_never_written():
    rows = SheetRows()
    rows.put(1, 1, Cell(float("nan"), 0, "A1"))
    with pytest.raises(ValueError, match="no cell holds nan: A1 or below"):
        list(rows.xml())
    rows = SheetRows(blocks=[Block(1, 1, [BlockColumn([1.0, float("inf")], 0, "B{r}")])])
    with pytest.raises(ValueError, match="no cell holds inf: A1 or below"):
        list(rows.xml())
