"""Boxes that are not stocked are never chosen: the next larger one is, or the result says that there is none."""

from __future__ import annotations

import pytest

from takeoff.report.totals import totals_text
from tests.conftest import Counted, Counter

PAIR = "box,circuit,device,run_ft,box_style\nM,P-1,duplex,20,{style}\nE,P-1,duplex,10,\n"
"""M holds four 12 AWG and a yoke: 6 x 2.25 = 13.5 in3, with a wire-type EGC 15.75 in3."""


def not_stocked(*boxes: str) -> str:
    return "box,stocked\n" + "".join(f"{box},0\n" for box in boxes)


def pair(
    count: Counter, style: str, *boxes: str, base: str = "mc-wire-first", compared: str = "ac-first,mc-wire-first"
) -> Counted:
    more = {"box_sizes": not_stocked(*boxes)} if boxes else {}
    return count(PAIR.format(style=style), f"base_plan={base}", compared=compared, **more)


@pytest.mark.parametrize(
    ("boxes", "chosen", "volume"),
    [
        ([], "square-4x1.25", 18.0),
        (["square-4x1.25"], "square-4x1.5", 21.0),
        # by volume: 25.5 in3 of the larger square comes before 30.3 in3 of the deep one
        (["square-4x1.25", "square-4x1.5"], "square-4.69x1.25", 25.5),
        (["square-4x1.25", "square-4x1.5", "square-4.69x1.25", "square-4.69x1.5"], "square-4x2.125", 30.3),
        # what is larger than the box chosen changes nothing
        (["square-4x1.5", "square-4.69x2.125"], "square-4x1.25", 18.0),
    ],
)
def test_the_next_larger_stocked_box_is_chosen(count: Counter, boxes: list[str], chosen: str, volume: float):
    counted = pair(count, "square", *boxes)
    found = counted.box("M", "ac-first")
    assert (found["fill_in3"], found["chosen_box"], found["chosen_volume_in3"]) == (13.5, chosen, volume)
    assert counted.total("complete", "ac-first") is True


def test_the_box_and_its_ring_are_bought_as_chosen(count: Counter):
    bought = pair(count, "square", "square-4x1.25", "square-4x1.5").total("material_by_item", "ac-first")
    # both boxes, without waste
    assert (bought["square-4.69x1.25"], bought["ring-4.69-1gang"]) == (2, 2)
    assert not {"square-4x1.25", "square-4x1.5", "ring-4-1gang"} & bought.keys()


def test_no_other_family_is_asked(count: Counter):
    """Device boxes of 14.0 and 18.0 in3 hold 13.5; where neither is stocked, no square box is put in their place."""
    counted = pair(count, "device", "device-3x2x2.75", "device-3x2x3.5")
    found = counted.box("M", "ac-first")
    assert (found["chosen_box"], found["chosen_volume_in3"]) == ("none in the catalog", None)
    assert counted.box("E", "ac-first")["chosen_box"] == "square-4x1.25"
    assert counted.total("boxes", "ac-first") == {"square-4x1.25": 1}


def test_where_none_is_left_the_total_is_not_complete(count: Counter):
    """Without the deep device box, 15.75 in3 has none; 13.5 still fits 14.0."""
    counted = pair(count, "device", "device-3x2x3.5", base="ac-first")
    assert counted.box("M", "ac-first")["chosen_box"] == "device-3x2x2.75"
    found = counted.box("M", "mc-wire-first")
    assert (found["fill_in3"], found["chosen_box"], found["chosen_volume_in3"]) == (15.75, "none in the catalog", None)
    assert [counted.total("boxes_without_size", c) for c in ("ac-first", "mc-wire-first")] == [0, 1]
    assert [counted.total("complete", c) for c in ("ac-first", "mc-wire-first")] == [True, False]
    assert counted.total("boxes", "mc-wire-first") == {"square-4x1.25": 1}


def differences(counted: Counted) -> dict[str, tuple[object, object]]:
    """Return the difference to the base in USD and in percent, as the sheet Breakdown holds them."""
    usd, pct = (counted.build.book.values("against_base", name) for name in ("difference", "difference_pct"))
    return dict(zip(counted.build.frame.compared, zip(usd, pct, strict=True), strict=True))


def test_an_incomplete_total_is_compared_with_nothing(count: Counter):
    counted = pair(count, "device", "device-3x2x3.5", base="ac-first", compared="ac-first,mc-wire-first,mc-armor-first")
    found = differences(counted)
    assert found["ac-first"] == (0, 0)
    assert found["mc-wire-first"] == ("n/c", "n/c")
    base = counted.total("installed_cost", "ac-first")
    gap = counted.total("installed_cost", "mc-armor-first") - base
    assert gap != 0
    assert found["mc-armor-first"] == (pytest.approx(gap), pytest.approx(100 * gap / base))


def test_an_incomplete_base_leaves_no_difference_at_all(count: Counter):
    counted = pair(
        count, "device", "device-3x2x3.5", base="mc-wire-first", compared="ac-first,mc-wire-first,mc-armor-first"
    )
    assert differences(counted) == dict.fromkeys(("ac-first", "mc-wire-first", "mc-armor-first"), ("n/c", "n/c"))
    assert [counted.total("complete", c) for c in ("ac-first", "mc-wire-first", "mc-armor-first")] == [
        True,
        False,
        True,
    ]


def test_the_terminal_says_which_total_is_not_complete(count: Counter):
    text = totals_text(pair(count, "device", "device-3x2x3.5", base="ac-first").build)
    lines = [line.split() for line in text.splitlines()[2:4]]
    assert [(line[0], line[9], " ".join(line[11:])) for line in lines] == [
        ("ac-first", "+0", "complete"),
        ("mc-wire-first", "n/c", "not to be used"),
    ]


def test_where_nothing_of_the_family_is_stocked_every_total_is_incomplete(count: Counter):
    square = [f"square-{s}" for s in ("4x1.25", "4x1.5", "4x2.125", "4.69x1.25", "4.69x1.5", "4.69x2.125")]
    counted = pair(count, "square", *square)
    assert [counted.total("boxes_without_size", c) for c in ("ac-first", "mc-wire-first")] == [2, 2]
    assert [counted.total("boxes", c) for c in ("ac-first", "mc-wire-first")] == [{}, {}]
    assert differences(counted) == dict.fromkeys(("ac-first", "mc-wire-first"), ("n/c", "n/c"))


def test_an_exactly_full_box_still_has_to_be_stocked(count: Counter):
    four = "box,circuit,device,run_ft,fed_from\nX,P-1,junction,20,panel\n"
    four += "".join(f"F{n},P-1,junction,9,X\n" for n in range(3))
    # eight 12 AWG: 18.0 of 18.0 in3
    assert count(four).box("X", "ac-first")["chosen_box"] == "square-4x1.25"
    assert count(four, box_sizes=not_stocked("square-4x1.25")).box("X", "ac-first")["chosen_box"] == "square-4x1.5"
