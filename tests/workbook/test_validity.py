"""The workbook is a valid file by ECMA-376, and a fault of each kind would be found."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from takeoff.build import Options, compute
from takeoff.report.output import write_outputs
from tests.conftest import SAMPLES
from tests.validity import against_schemas, between_parts, faults


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    target = tmp_path_factory.mktemp("valid") / "small.xlsx"
    write_outputs(compute(Options(SAMPLES / "small.csv")), target, None)
    return target


def test_the_workbook_is_a_valid_file(small: Path):
    assert faults(small) == []


def test_the_larger_sample_fits_together(sample_workbook: Path):
    assert list(between_parts(sample_workbook)) == []


def once(pattern: str, new: str) -> Callable[[str], str]:
    return lambda text: re.sub(pattern, new, text, count=1, flags=re.S)


FAULTS = {
    "an element out of the order of the schema": ("xl/worksheets/sheet1.xml", once(r"(<sheetData>.*?</sheetData>)(.*?)(<pageMargins[^>]*/>)", r"\3\1\2"), "Unexpected element"),
    "an element of no schema": ("xl/worksheets/sheet1.xml", once(r"<sheetData>", "<colour/><sheetData>"), "Unexpected.*colour"),
    "a number where a choice stands": ("xl/worksheets/sheet1.xml", once(r'<c r="A1"', '<c r="A1" cm="x"'), "cm"),
    "a style that is not there": ("xl/worksheets/sheet1.xml", once(r' s="\d+"', ' s="99999"'), "style that is not there"),
    "a row out of order": ("xl/worksheets/sheet2.xml", once(r'<row r="5"', '<row r="2"'), "stands after row|out of order"),
    "a table of another name": ("xl/tables/table2.xml", lambda t: re.sub(r'displayName="[^"]*"', 'displayName="{other}"', t), "stands twice"),
    "a heading that is not in its cell": ("xl/tables/table1.xml", once(r'(<tableColumn [^>]*name=")[^"]*', r"\1another"), "not the headings"),
    "a table over more columns than it has": ("xl/tables/table1.xml", once(r' ref="([A-Z]+\d+):[A-Z]+(\d+)"', r' ref="\1:ZZ\2"'), "columns in"),
    "a name of a sheet that is not there": ("xl/workbook.xml", once(r"(<definedName [^>]*>)[^<]*<", r"\1Nowhere!$A$1<"), "Nowhere"),
    "a validation counted wrong": ("xl/worksheets/sheet{valid}.xml", once(r'<dataValidations count="\d+"', '<dataValidations count="0"'), "validation"),
    "a relationship to no part": ("xl/_rels/workbook.xml.rels", once(r"sheet1\.xml", "sheet99.xml"), "no part"),
    "a part without a content type": ("[Content_Types].xml", once(r'<Override [^>]*/xl/styles\.xml"[^>]*/>', ""), "content type"),
}  # fmt: skip


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_would_be_found(fault: str, small: Path, tmp_path: Path):
    part, change, words = FAULTS[fault]
    broken = tmp_path / "broken.xlsx"
    with zipfile.ZipFile(small) as old, zipfile.ZipFile(broken, "w") as new:
        valid = next(n for n in range(1, 99) if b"<dataValidations" in old.read(f"xl/worksheets/sheet{n}.xml"))
        first = re.search(r'displayName="([^"]*)"', old.read("xl/tables/table1.xml").decode())
        for name in old.namelist():
            data = old.read(name)
            if name == part.format(valid=valid):
                text = data.decode()
                changed = change(text).replace("{other}", first[1] if first else "")
                assert changed != text
                data = changed.encode()
            new.writestr(name, data)
    found = list(
        against_schemas(broken)
        if words in ("cm", "Unexpected element", "Unexpected.*colour")
        else between_parts(broken)
    )
    assert any(re.search(words, f) for f in found), found[:5]
