"""A box in several kinds of space: the rules of all of them hold."""

from __future__ import annotations

import pytest

from tests.conftest import Counter

CASES = [
    ("general", "ac", "meets"),
    ("patient-care", "ac-redundant", "meets"),
    ("damp", "mc-wire", "look"),
    ("Damp location", "mc-wire", "look"),
    ("patient-care plenum", "ac-redundant", "meets"),
    ("patient-care, damp", "emt-wire", "look"),
    ("Damp location + patient care area", "emt-wire", "look"),
]
"""By hand in the plan ac, ac-redundant, mc-wire, emt-wire: NEC 517.13(B) refuses Type AC without an insulated EGC, 320.10
and 320.12 refuse Type AC where damp, 517.13(A) refuses Type MC whose armor is no EGC; what is left is raceway."""


@pytest.mark.parametrize(("space", "wired_as", "outcome"), CASES)
def test_the_rules_of_all_kinds_of_space_hold(count: Counter, space: str, wired_as: str, outcome: str):
    found = count(f'box,circuit,device,run_ft,space\nB1,P-1,duplex,10,"{space}"\n', compared="ac-first")
    box = found.box("B1", "ac-first")
    assert (box["wired_as"], box["space_check"]) == (wired_as, outcome)


def test_the_schedule_of_the_workbook_shows_them_all(count: Counter):
    found = count("box,circuit,device,run_ft,space\nB1,P-1,duplex,10,plenum; patient care space\n", compared="emt")
    assert list(found.build.book.values("schedule", "space")) == ["plenum patient-care"]
