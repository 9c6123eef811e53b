"""The code edition decides how many allowances the grounding conductors of a box take: NEC 314.16(B)(5)."""

from __future__ import annotations

import pytest

from tests.boxes import smallest
from tests.conftest import Counter

FIVE = "box,circuit,device,run_ft,fed_from\nX,P-1,duplex,20,panel\n" + "".join(
    f"F{n},P-1,junction,9,X\n" for n in range(4)
)
"""Five runs of 12 AWG enter X: ten conductors and a yoke of two are 12 x 2.25 = 27 in3."""


@pytest.mark.parametrize(
    ("edition", "allowances", "box"),
    [
        ("2017", 1, "square-4.69x1.5"),  # 29.25 of 29.5 in3
        ("2020", 1.25, "square-4x2.125"),  # 29.8125 of 30.3 in3
        ("2023", 1.25, "square-4x2.125"),
    ],
)
def test_a_fifth_grounding_conductor_takes_a_quarter_from_2020(
    count: Counter, edition: str, allowances: float, box: str
):
    counted = count(FIVE, f"code_edition={edition}", **smallest())
    found = counted.box("X", "mc-wire-first")
    assert found["fill_in3"] == 27 + allowances * 2.25
    assert found["chosen_box"] == box
    assert counted.results["inputs"]["code_edition"] == edition


@pytest.mark.parametrize("edition", ["2017", "2020", "2023"])
def test_no_edition_counts_what_does_not_enter(count: Counter, edition: str):
    """Armor-type: nothing of the grounding path takes room, and four grounds are one allowance in all editions."""
    assert count(FIVE, f"code_edition={edition}").box("X", "ac-first")["fill_in3"] == 27
    four = FIVE.replace("F3,P-1,junction,9,X\n", "")
    assert count(four, f"code_edition={edition}").box("X", "mc-wire-first")["fill_in3"] == (8 + 2 + 1) * 2.25


@pytest.mark.parametrize("edition", ["2017", "2020", "2023"])
def test_no_edition_changes_what_is_made_up(count: Counter, edition: str):
    # circuit: 5 ends + 1 spliced and a pigtail landed, twice; grounds: 5 runs, device and box, screw, green terminal
    assert count(FIVE, f"code_edition={edition}").counts("X", "mc-wire-first") == (2 * 7, 2, 7 + 2, 1)
