"""The box a shop uses: of those stocked that hold the fill the cheapest with its ring, of equal ones the smallest.

Boxes that are not stocked are never chosen: the result says where there is none. Which box is bought is a convention of
this project; what each volume holds is Table 314.16(A).
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from takeoff.build import Build, Options, compute
from takeoff.report.results import results_of
from takeoff.report.totals import totals_text
from takeoff.text.problems import InputError
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
        # 13.5 in3: the box of 18.0 is not stocked as shipped; 2.30 + 1.20 USD is the least of the others
        ([], "square-4x1.5", 21.0),
        # the deep 4 in box at 3.30 + 1.20 goes before 25.5 in3 of the larger square at 4.00 + 1.90
        (["square-4x1.5"], "square-4x2.125", 30.3),
        # without it 4.00 + 1.90 is less than 4.30 + 1.90 and 5.20 + 1.90
        (["square-4x1.5", "square-4x2.125"], "square-4.69x1.25", 25.5),
        # what costs more than the box chosen changes nothing
        (["square-4x2.125", "square-4.69x2.125"], "square-4x1.5", 21.0),
    ],
)
def test_the_cheapest_stocked_box_that_holds_the_fill_is_chosen(
    count: Counter, boxes: list[str], chosen: str, volume: float
):
    counted = pair(count, "square", *boxes)
    found = counted.box("M", "ac-first")
    assert (found["fill_in3"], found["chosen_box"], found["chosen_volume_in3"]) == (13.5, chosen, volume)
    assert counted.total("complete", "ac-first") is True


STOCK = ("square-4x1.25", "square-4x1.5", "square-4x2.125", "square-4.69x1.25", "square-4.69x1.5", "square-4.69x2.125")
VOLUMES = (18.0, 21.0, 30.3, 25.5, 29.5, 42.0)
"""Table 314.16(A)."""

RINGS = {"4": 1.2, "4.69": 1.9}
"""Shipped price of a ring for one gang, USD, illustrative: without waste, tax and escalation."""


def cheapest(fill_in3: float, stocked: list[bool], prices: list[float]) -> str:
    """Return the box chosen, by a loop over all of them: one without a price after all that have one."""
    best: tuple[bool, float, float] | None = None
    chosen = "none in the catalog"
    for box, volume, has, price in zip(STOCK, VOLUMES, stocked, prices, strict=True):
        if not has or volume < fill_in3:
            continue
        ring = RINGS[box.partition("-")[2].partition("x")[0]]
        mine = (price == 0, round(price + ring, 6), volume)
        if best is None or mine < best:
            best, chosen = mine, box
    return chosen


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(st.booleans(), min_size=6, max_size=6),
    st.lists(st.sampled_from([0.0, 2.0, 2.7, 3.4]), min_size=6, max_size=6),
)
def test_the_box_is_the_one_that_a_loop_over_all_finds(count: Counter, stocked: list[bool], prices: list[float]):
    """Prices 0.70 USD apart, as the rings are: boxes with their rings tie, and then the smallest counts."""
    sizes = "box,stocked\n" + "".join(f"{box},{int(has)}\n" for box, has in zip(STOCK, stocked, strict=True))
    list_ = "item,unit,price_usd\n" + "".join(f"{b},each,{p}\n" for b, p in zip(STOCK, prices, strict=True))
    counted = count(PAIR.format(style="square"), compared="ac-first,mc-wire-first", box_sizes=sizes, prices=list_)
    for box, plan in (("M", "ac-first"), ("M", "mc-wire-first"), ("E", "ac-first")):
        found = counted.box(box, plan)
        assert found["chosen_box"] == cheapest(found["fill_in3"], stocked, prices), (box, plan)


def test_a_box_without_a_price_is_chosen_only_where_no_priced_one_holds_and_is_said(count: Counter):
    """13.5 in3: 21.0 has no price, and 30.3 is taken; alone, it is chosen, and the total is not complete."""
    unpriced = "item,price_usd\nsquare-4x1.5,0\n"
    priced = count(PAIR.format(style="square"), compared="ac-first,mc-wire-first", prices=unpriced)
    assert priced.box("M", "ac-first")["chosen_box"] == "square-4x2.125"
    assert priced.total("complete", "ac-first") is True
    only = not_stocked(*(box for box in STOCK if box != "square-4x1.5"))
    alone = count(PAIR.format(style="square"), compared="ac-first,mc-wire-first", prices=unpriced, box_sizes=only)
    assert alone.box("M", "ac-first")["chosen_box"] == "square-4x1.5"
    assert alone.total("prices_missing", "ac-first") == 1
    assert alone.total("complete", "ac-first") is False


def test_a_quote_changes_the_box(count: Counter, tmp_path: Path):
    """A quote of 1.80 USD for the deep box: with the same ring it is less than 2.30 for the shallow one."""
    quote = tmp_path / "q.csv"
    quote.write_text("item,unit,price\nsquare-4x2.125,C,180\n")
    schedule = tmp_path / "s.csv"
    schedule.write_text(PAIR.format(style="square"))
    build = compute(Options(schedule, plans="ac-first,mc-wire-first", quotes=[quote]))
    assert {b["chosen_box"] for b in results_of(build)["boxes"]} == {"square-4x2.125"}


def stocked_as(text: str, tmp_path: Path) -> Build:
    (tmp_path / "job.toml").write_text(text)
    (tmp_path / "s.csv").write_text(PAIR.format(style="square"))
    return compute(Options(tmp_path / "s.csv", inputs=tmp_path / "job.toml", plans="ac-first,mc-wire-first"))


def test_the_inputs_file_says_what_is_stocked_by_family(tmp_path: Path):
    build = stocked_as('[stocked]\nsquare = ["SQUARE-4x1.25", "square-4.69x2.125"]\n', tmp_path)
    assert {b["chosen_box"] for b in results_of(build)["boxes"]} == {"square-4x1.25"}
    stock = {str(r["key"]): r["stocked"] for r in build.catalogs["box_sizes"]}
    assert [stock[box] for box in STOCK] == [1, 0, 0, 0, 0, 1]
    assert stock["octagon-4x1.5"] == 1  # another family stays as it is


def test_what_is_wrong_with_a_stock_is_said_in_one_pass(tmp_path: Path):
    with pytest.raises(InputError) as wrong:
        stocked_as('[stocked]\nsquare = ["square-4x9", "octagon-4x1.5"]\nround = []\n', tmp_path)
    said = [(p.file, p.column, p.value, p.message) for p in wrong.value.problems]
    assert said == [
        ("job.toml", "stocked.square", "square-4x9", "is not a box of the catalog:"),
        ("job.toml", "stocked.square", "octagon-4x1.5", "is a box of the family octagon:"),
        ("job.toml", "stocked.round", "round", "is not a family of boxes:"),
    ]
    with pytest.raises(InputError):
        stocked_as("stocked = 3\n", tmp_path)


def test_the_box_and_its_ring_are_bought_as_chosen(count: Counter):
    bought = pair(count, "square", "square-4x1.5", "square-4x2.125").total("material_by_item", "ac-first")
    # both boxes, without waste
    assert (bought["square-4.69x1.25"], bought["ring-4.69-1gang"]) == (2, 2)
    assert not {"square-4x1.25", "square-4x1.5", "ring-4-1gang"} & bought.keys()


def test_no_other_family_is_asked(count: Counter):
    """Device boxes of 14.0 and 18.0 in3 hold 13.5; where neither is stocked, no square box is put in their place."""
    counted = pair(count, "device", "device-3x2x2.75", "device-3x2x3.5")
    found = counted.box("M", "ac-first")
    assert (found["chosen_box"], found["chosen_volume_in3"]) == ("none in the catalog", None)
    assert counted.box("E", "ac-first")["chosen_box"] == "square-4x1.5"
    assert counted.total("boxes", "ac-first") == {"square-4x1.5": 1}


def test_where_none_is_left_the_total_is_not_complete(count: Counter):
    """Without the deep device box, 15.75 in3 has none; 13.5 still fits 14.0."""
    counted = pair(count, "device", "device-3x2x3.5", base="ac-first")
    assert counted.box("M", "ac-first")["chosen_box"] == "device-3x2x2.75"
    found = counted.box("M", "mc-wire-first")
    assert (found["fill_in3"], found["chosen_box"], found["chosen_volume_in3"]) == (15.75, "none in the catalog", None)
    assert [counted.total("boxes_without_size", c) for c in ("ac-first", "mc-wire-first")] == [0, 1]
    assert [counted.total("complete", c) for c in ("ac-first", "mc-wire-first")] == [True, False]
    assert counted.total("boxes", "mc-wire-first") == {"square-4x1.5": 1}


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
    lines = [re.split(" {2,}", line) for line in text.splitlines()[2:4]]
    assert [(line[0], line[9], line[-1]) for line in lines] == [
        ("AC first", "+0", "complete"),
        ("MC wire EGC first", "n/c", "not to be used"),
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
    # eight 12 AWG: 18.0 of 18.0
    assert count(four, box_sizes="box,stocked\nsquare-4x1.25,1\n").box("X", "ac-first")["chosen_box"] == "square-4x1.25"
    assert count(four).box("X", "ac-first")["chosen_box"] == "square-4x1.5"
