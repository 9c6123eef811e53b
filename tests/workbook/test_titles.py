"""What is read calls plans, constructions and conditions by their titles; their keys are for files and the command line."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from takeoff.build import Build
from takeoff.workbook.sheets.order import SHEETS
from takeoff.workbook.sheets.plan import ABOUT
from tests import office

RESULTS = [plan.title for plan in SHEETS if plan.kind == "result" and plan.title != ABOUT]
"""About says how the plans were named when the workbook was built: there the keys belong."""

NAMED = ("plans", "constructions", "work_conditions", "families")
"""Catalogs whose rows have a title of a few words. A key that is an English word, such as vacant, is no key to find."""

WORD = re.compile(r"[a-z]+")


@pytest.fixture(scope="module")
def said(sample_workbook: Path) -> dict[tuple[str, str], str]:
    """Return the texts of the sheets of results as shipped, by sheet and cell."""
    return {
        place: cell.value
        for place, cell in office.cells(sample_workbook).items()
        if place[0] in RESULTS and isinstance(cell.value, str)
    }


def test_no_cell_of_a_result_is_a_key_where_there_is_a_title(sample_build: Build, said: dict[tuple[str, str], str]):
    titles = {*sample_build.frame.titles.values(), *sample_build.frame.called.values()}
    assert titles <= set(said.values())
    keys = {str(row["key"]) for name in ("plans", "constructions") for row in sample_build.catalogs[name]}
    keys |= {str(r["key"]) for name in NAMED for r in sample_build.catalogs[name] if not WORD.fullmatch(str(r["key"]))}
    assert {place: text for place, text in said.items() if keys & set(text.split("|"))} == {}


def test_no_sentence_of_a_result_holds_the_key_of_a_plan_or_a_construction(
    sample_build: Build, said: dict[tuple[str, str], str]
):
    """As a word of its own: an item of the price list begins with the key of its construction, as in ac-12-2."""
    keys = {str(r["key"]) for name in ("plans", "constructions") for r in sample_build.catalogs[name]}
    found = re.compile(rf"(?<![\w/.-])({'|'.join(sorted(map(re.escape, keys), key=len, reverse=True))})(?![\w/.-])")
    assert {place: text for place, text in said.items() if found.search(text)} == {}
