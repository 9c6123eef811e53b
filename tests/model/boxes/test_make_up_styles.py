"""Styles of ground make-up, counted by hand and by a loop: pigtails, EGCs left long, tails bought, switches on screws.

How grounds are made up is common practice, no source; the sections of the NEC that a case rests on stand beside it.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from takeoff.build import Build, Options, compute
from tests.conftest import SAMPLES, Counted, Counter
from tests.copies import worked
from tests.tables import rows

PLANS = "ac-first,mc-wire-first,mc-armor-first,mc-redundant-first"
STYLES = ("pigtails", "long-tails", "ready-made")


@pytest.mark.parametrize("case", worked("make_up"), ids=lambda c: c["id"])
def test_a_box_worked_by_hand(count: Counter, case: dict[str, str]):
    sets = f"ground_make_up={case['ground_make_up']}", f"switch_bond={case['switch_bond']}"
    counted = two_wire(count, int(case["runs"]), case["device"], *sets)
    assert counted.counts("X", case["plan"])[2:] == (int(case["terminations"]), int(case["splices"]))


def two_wire(count: Counter, runs: int, device: str, *sets: str) -> Counted:
    """Build one box X that runs of two wires enter, a switch with its leg in the run beyond it."""
    legs = sum(d in SWITCHES for d in device.split("+"))
    beyond = "A N" if not legs else " ".join(["A N", *(f"S{n}" for n in range(1, legs + 1))])
    first = beyond if legs and runs == 1 else "A N"
    gangs = device.count("+") + 1
    style = "masonry" if gangs > 2 else "square"
    lines = f"X,P-1,{device},20,panel,{first},{style}\n"
    lines += "".join(f"F{n},P-1,junction,9,X,{beyond},square\n" for n in range(1, runs))
    return count("box,circuit,device,run_ft,fed_from,wires,box_style\n" + lines, *sets, compared=PLANS)


SWITCHES = ("switch", "sensor", "sensor-leads")
LEADS = ("sensor-leads", "equipment-1p")


def by_a_loop(runs: int, devices: list[str], style: str, switch_bond: str, self_grounding: str, wire: bool) -> int:
    """Count the ground terminations of a metal box as a foreman would, end by end."""
    joined, screw, green = ["EGC"] * runs if wire else [], 0, 0
    long = len(joined) if style == "long-tails" else 0
    for device in devices:
        if device in LEADS:
            if wire:
                joined.append("green lead")
            else:
                screw += 1
        elif device == "junction" or self_grounding == "yes" or (device in SWITCHES and switch_bond == "screws"):
            continue
        else:
            green += 1
            if not wire:
                screw += 1
            elif long:
                long -= 1
            else:
                joined.append("pigtail")
    if wire:
        screw += 1
        if style != "long-tails" and len(joined) > 1:
            joined.append("box pigtail")
    return (len(joined) if len(joined) > 1 else 0) + screw + green


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.integers(1, 4),
    st.lists(st.sampled_from(["duplex", "gfci", "switch", "sensor-leads"]), min_size=1, max_size=3),
    st.sampled_from(STYLES),
    st.sampled_from(["jumper", "screws"]),
    st.sampled_from(["no", "yes"]),
)
def test_every_box_is_as_a_loop_over_its_ends_counts_it(
    count: Counter, runs: int, devices: list[str], style: str, switch_bond: str, self_grounding: str
):
    sets = f"ground_make_up={style}", f"switch_bond={switch_bond}", f"self_grounding={self_grounding}"
    counted = two_wire(count, runs, "+".join(devices), *sets)
    for plan in PLANS.split(","):
        wire = counted.box("X", plan)["wired_as"] not in ("ac", "mc-armor")
        expected = by_a_loop(runs, devices, style, switch_bond, self_grounding, wire)
        assert counted.counts("X", plan)[2] == expected, plan


def test_no_style_changes_the_box_fill(count: Counter):
    """314.16(B)(1) counts a long loop of an unbroken circuit conductor twice; EGCs are counted by 314.16(B)(5) alone.

    Nothing there asks how long an EGC is: up to four take one allowance. Pigtails and jumpers take none.
    """
    fills = {style: two_wire(count, 2, "duplex", f"ground_make_up={style}").results["boxes"] for style in STYLES}
    found = {style: [b["fill_in3"] for b in boxes] for style, boxes in fills.items()}
    assert found["long-tails"] == found["ready-made"] == found["pigtails"]


def test_minutes_and_parts_of_every_style_worked_by_hand(count: Counter):
    """The middle of a run, a duplex receptacle, two EGCs: shipped minutes and prices, which are illustrative."""
    found = {s: two_wire(count, 2, "duplex", f"ground_make_up={s}").box("X", "mc-wire-first") for s in STYLES}
    spliced, pigtail = 0.35, 0.45
    # 4 ends in the splice and 2 pigtails against 2 ends and none; screw and green terminal are the same
    assert found["pigtails"]["minutes"] - found["long-tails"]["minutes"] == pytest.approx(2 * spliced + 2 * pigtail)
    # a bought tail takes 20 % of the minutes of one cut on site
    assert found["pigtails"]["minutes"] - found["ready-made"]["minutes"] == pytest.approx(2 * 0.8 * pigtail)
    small, medium, waste = 0.09, 0.14, 1.05  # connector for up to 3 and up to 5 ends, USD
    saved = 2 * 0.42 * 1.03 + (medium - small) * waste
    assert found["pigtails"]["material_cost"] - found["long-tails"]["material_cost"] == pytest.approx(saved)
    more = 2 * (0.98 - 0.42) * 1.03
    assert found["ready-made"]["material_cost"] - found["pigtails"]["material_cost"] == pytest.approx(more)


def test_parts_bought_follow_the_style(count: Counter):
    """X and a box of one EGC on its screw: two pigtails in X; with a jumper in the armor plan one."""
    for style, cut, bought in (("pigtails", 2, 0), ("long-tails", 0, 0), ("ready-made", 0, 2)):
        by_item = two_wire(count, 2, "duplex", f"ground_make_up={style}").total("material_by_item", "mc-wire-first")
        found = [by_item.get(item, 0) / 1.03 for item in ("ground-pigtail", "ground-tail")]
        assert found == pytest.approx([cut, bought]), style
    jumper = two_wire(count, 2, "duplex", "ground_make_up=ready-made").total("material_by_item", "ac-first")
    assert jumper["ground-tail"] == pytest.approx(1.03)


def ranged(build: Build, name: str) -> dict[tuple[str, str], float]:
    """Return a figure of the range of styles by style and plan."""
    return {(line["style"], line["plan"]): line[name] for line in rows(build, "make_up_range")}


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("now", ["pigtails", "ready-made"])
def test_the_range_says_what_a_build_in_that_style_gives(style: str, now: str):
    """Whatever the style in force is, each row is what the totals become with that style: terminations and hours."""
    schedule, conditions = SAMPLES / "two-story.csv", SAMPLES / "bid.toml"
    others = ("switch_bond=screws", "learning_rate_pct=90")
    here = compute(Options(schedule, inputs=conditions, sets=(f"ground_make_up={now}", *others)))
    there = compute(Options(schedule, inputs=conditions, sets=(f"ground_make_up={style}", *others)))
    for n, plan in enumerate(here.frame.compared):
        for name in ("ground_terminations", "labor_hours"):
            expected = there.book.values("plan_sums", name)[n]
            assert ranged(here, name)[style, plan] == pytest.approx(expected), (name, plan)


def test_the_saving_on_the_sample_in_every_style(sample_build: Build):
    """957 terminations fewer by pigtails, 519 with EGCs left long: the saving halves, and no style hides it.

    With one construction for every circuit they are 953 and 512.

    A count that saves one end for the loop in every box with a splice, and one more where two or more EGCs and a device
    meet, comes to 594: it still makes a pigtail in the 39 boxes at the end of a run with one EGC and one device, where
    the long EGC needs no splice at all (2 ends each, 78), and gives one EGC only to the 5 boxes with two or three
    devices (6 ends). 594 - 78 - 6 = 510. The sensors of the two boxes H50 and H60 have leads: with EGCs left long the
    lead joins the splice in the place of the end on a green terminal, 4 ends as before, while the armor-type needs no
    jumper, 1 end in the place of 2: 510 + 2 = 512.

    By run four more circuits begin in the armor-type, and only their damp luminaires behind have a wire: in A161, B152,
    C136 (a switch) and A173 (a lead) one EGC comes in, not two. By pigtails that is an end less in the splice of each: 4,
    953 + 4 = 957. With EGCs left long the switches need no splice at all, the EGC goes from the box screw to the device,
    2 ends in the place of 4, and the lead joins one EGC, not two: 3 x 2 + 1 = 7, 512 + 7 = 519.
    """
    fewer = ranged(sample_build, "fewer")
    assert {s: fewer[s, "mc-armor-first"] for s in STYLES} == {"pigtails": 957, "long-tails": 519, "ready-made": 957}
    assert {s: fewer[s, "mc-wire-first"] for s in STYLES} == dict.fromkeys(STYLES, 0)
    assert 594 - 39 * 2 - 6 + 2 == 512
    saved, hours = ranged(sample_build, "saved_hours"), ranged(sample_build, "labor_hours")
    for style in STYLES:
        assert saved[style, "mc-armor-first"] == hours[style, "mc-wire-first"] - hours[style, "mc-armor-first"]
    states = {style: {line["state"] for line in rows(sample_build, "make_up_range", style=style)} for style in STYLES}
    assert states == {"pigtails": {"in force"}, "long-tails": {"-"}, "ready-made": {"-"}}


def test_the_end_of_the_run_and_the_boxes_of_many_devices_make_the_difference(sample_build: Build):
    """The 39 boxes and the 6 ends of the test above, counted here from the wired job."""
    frame, book = sample_build.frame, sample_build.book
    wired = zip(*(book.values("wiring", n) for n in ("circuit", "plan", "wired_as")), strict=True)
    as_built = {c: w for c, p, w in wired if p == "mc-armor-first"}
    ends = many = 0
    for box, key in zip(frame.job.boxes, frame.types.of_box, strict=True):
        make_up = frame.types.by_key[key]
        if (
            frame.catalogs["constructions"][as_built[frame.stretch_names[frame.stretch_of_box[id(box)]]]]["egc_kind"]
            != "armor"
        ):
            continue
        egcs, devices = make_up.entries, make_up.bonded_terminals
        ends += box.circuit.repeat * (egcs == 1 and devices == 1 and not make_up.bonded_leads)
        many += box.circuit.repeat * max(0, min(egcs, devices) - 1)
    assert (ends, many) == (39, 6)


def test_a_style_of_the_user_is_a_row(count: Counter, tmp_path: Path):
    """EGCs left long and bought jumpers: no code is needed for a style that joins the two."""
    row = "style,title,egc_tails,tails_bought,pigtail_minutes_pct,source\nboth,left long; jumpers bought,1,1,10,test\n"
    text = "box,circuit,device,run_ft\nM,P-1,duplex,10\nE,P-1,duplex,10\n"
    found = count(text, "ground_make_up=both", compared="ac-first,mc-wire-first", make_up_styles=row)
    assert found.counts("M", "mc-wire-first")[2:] == (4, 1)
    assert found.total("material_by_item", "ac-first")["ground-tail"] == pytest.approx(2 * 1.03)
    assert ranged(found.build, "ground_terminations")["both", "mc-wire-first"] == 4 + 2
