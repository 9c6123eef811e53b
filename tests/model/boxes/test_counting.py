"""Terminations, splices and entries, counted by hand by the counting rules of DEVELOPERS.md.

The rules are those of NEC 250.146, 250.148, 300.13(B) and 404.2(C) where they name a section, and
common practice, no source, where they say convention.
"""

from __future__ import annotations

import pytest

from tests.conftest import ALL_PLANS, Counter

WIRE, ARMOR = "mc-wire-first", "mc-armor-first"
HEAD = "box,circuit,device,run_ft,fed_from,wires,taps,breaker_a,poles,neutral,awg,repeat,construction\n"
MIDDLE_AND_END = "box,circuit,device,run_ft\nM,P-1,duplex,10\nE,P-1,duplex,10\n"


@pytest.mark.parametrize(
    ("box", "plan", "circuit", "ground", "fill_in3"),
    [
        ("M", WIRE, (8, 2), (6, 1), 15.75),
        ("M", ARMOR, (8, 2), (2, 0), 13.50),
        ("E", WIRE, (2, 0), (5, 1), 11.25),
        ("E", ARMOR, (2, 0), (2, 0), 9.00),
    ],
)
def test_the_four_rows_worked_by_hand(count: Counter, box, plan, circuit, ground, fill_in3):
    counted = count(MIDDLE_AND_END)
    assert counted.counts(box, plan) == circuit + ground
    assert counted.box(box, plan)["fill_in3"] == fill_in3


def test_the_example_of_the_schedule_format(count: Counter):
    counted = count(
        "box,circuit,device,run_ft,fed_from,wires\nB1,LP1-1,duplex,60,,\nB2,LP1-1,duplex,12,,\n"
        "B3,LP1-3,switch,40,,A N\nB4,LP1-3,luminaire,15,,S1 N\nB5,LP1-3,luminaire,10,,S1 N\n"
    )
    boxes = ["B1", "B2", "B3", "B4", "B5"]
    assert [counted.counts(b, WIRE)[:2] for b in boxes] == [(8, 2), (2, 0), (4, 1), (6, 2), (4, 2)]
    assert [counted.counts(b, WIRE)[2:] for b in boxes] == [(6, 1), (5, 1), (6, 1), (5, 1), (4, 1)]
    assert [counted.counts(b, ARMOR)[2:] for b in boxes] == [(2, 0), (2, 0), (2, 0), (1, 0), (1, 0)]
    assert [counted.total("entries", c) for c in (WIRE, ARMOR)] == [8, 8]


def test_each_kind_of_construction_grounds_by_its_kind(count: Counter):
    counted = count(MIDDLE_AND_END, compared=ALL_PLANS)
    ground = {c: counted.counts("M", c)[2:] for c in counted.results["plans"]}
    assert ground == {
        "ac-first": (2, 0),
        "mc-wire-first": (6, 1),
        "mc-armor-first": (2, 0),
        "ac-redundant-first": (6, 1),
        "mc-redundant-first": (6, 1),
        "emt": (6, 1),
    }


def test_a_junction_splices_every_role_and_bonds_the_box(count: Counter):
    counted = count(HEAD + "J,P-1,junction,10,,,,,,,,,\nA,P-1,duplex,5,J,,,,,,,,\nB,P-1,duplex,5,J,,,,,,,,\n")
    assert counted.counts("J", WIRE) == (6, 2, 5, 1)  # grounds: 3 runs + box = 4 ends, and the box screw
    assert counted.counts("J", ARMOR) == (6, 2, 0, 0)


def test_a_lone_grounding_conductor_lands_on_the_box_screw_without_a_splice(count: Counter):
    counted = count(HEAD + "J,P-1,junction,10,,,,,,,,,\n")
    assert counted.counts("J", WIRE) == (2, 0, 1, 0)  # hot and neutral capped, one connector each


def test_two_devices_in_one_box_pigtail_even_at_the_end_of_a_run(count: Counter):
    counted = count(HEAD + "Q,P-1,duplex+duplex,10,,,,,,,,,\n")
    # a role: 1 + 2 ends spliced, 2 pigtails land: 3 + 2 = 5; grounds: 1 + 2 + box = 4, screw, 2 green
    assert counted.counts("Q", WIRE) == (10, 2, 7, 1)
    assert counted.counts("Q", ARMOR) == (10, 2, 4, 0)


def test_through_make_up_lands_both_conductors_on_the_device(count: Counter):
    counted = count(MIDDLE_AND_END, "make_up=through")
    assert counted.counts("M", ARMOR) == (4, 0, 2, 0)
    assert counted.counts("E", ARMOR) == (2, 0, 2, 0)


def test_a_switch_has_one_terminal_for_a_role_and_cannot_pass_it_on(count: Counter):
    rows = "S,P-1,switch,10,,A N,,,,,,,\nT,P-1,switch,10,S,A N,,,,,,,\nL,P-1,luminaire,5,T,S1 N,,,,,,,\nK,P-1,luminaire,5,S,S2 N,,,,,,,\n"
    counted = count(HEAD + rows, "make_up=through")
    # S: hot 2 + 1 spliced = 4; neutral 3 spliced; the leg S2 lands
    assert counted.counts("S", ARMOR)[:2] == (4 + 3 + 1, 2)


def test_a_shared_neutral_is_pigtailed_whatever_the_make_up(count: Counter):
    rows = 'D1,"P-1,3",duplex,10,,A B N,A N,,,,,,\nD2,"P-1,3",duplex,10,,A B N,B N,,,,,,\n'
    counted = count(HEAD + rows, "make_up=through")
    # D1: hot A passes on the device (2), hot B only passes: 2 ends spliced, neutral 3 ends + 1 = 4
    assert counted.counts("D1", ARMOR)[:2] == (2 + 2 + 4, 2)
    # D2: hot B lands, hot A is capped, the neutral lands
    assert counted.counts("D2", ARMOR)[:2] == (1 + 1 + 1, 0)


def test_separate_neutrals_are_not_shared(count: Counter):
    rows = 'D1,"P-1,3",duplex,10,,A B NA NB,A NA,,,,,,\nD2,"P-1,3",duplex,10,,A B NA NB,B NB,,,,,,\n'
    counted = count(HEAD + rows, "make_up=through")
    assert counted.counts("D1", ARMOR)[:2] == (2 + 2 + 2 + 2, 2)


def test_the_neutral_of_a_hot_is_chosen_without_taps(count: Counter):
    rows = 'D1,"P-1,3",duplex,10,,A B NA NB,,,,,,,\nD2,"P-1,3",duplex,10,,B NB,,,,,,,\n'
    schedule = count(HEAD + rows).build.job
    assert [box.taps for box in schedule.boxes] == [[["A", "NA"]], [["B", "NB"]]]


def test_three_way_and_four_way_switches_take_line_travelers_and_leg(count: Counter):
    rows = (
        "W1,P-1,switch-3way,30,,A N,,,,,,,\nW2,P-1,switch-4way,20,,T1 T2 N,,,,,,,\n"
        "W3,P-1,switch-3way,20,,T3 T4 N,,,,,,,\nL,P-1,luminaire,8,,S1 N,,,,,,,\n"
    )
    counted = count(HEAD + rows)
    taps = [box.taps[0] for box in counted.build.job.boxes]
    assert taps == [["A", "T1", "T2"], ["T1", "T2", "T3", "T4"], ["S1", "T3", "T4"], ["S1", "N"]]
    assert counted.counts("W1", WIRE) == (3 + 2, 1, 6, 1)  # three land, the neutral passes spliced: 404.2(C)
    assert counted.counts("W2", WIRE) == (4 + 2, 1, 6, 1)
    assert counted.counts("W3", ARMOR) == (3 + 2, 1, 2, 0)


def test_a_four_way_switch_may_have_one_name_on_both_sides(count: Counter):
    rows = (
        "W1,P-1,switch-3way,30,,A N,,,,,,,\nW2,P-1,switch-4way,20,,T1 T2 N,,,,,,,\n"
        "W3,P-1,switch-3way,20,,T1 T2 N,,,,,,,\nL,P-1,luminaire,8,,S1 N,,,,,,,\n"
    )
    assert count(HEAD + rows).counts("W2", ARMOR) == (4 + 2, 1, 2, 0)


def test_a_second_switch_takes_the_next_leg(count: Counter):
    rows = "S,P-1,switch+switch,10,,A N,,,,,,,\nL,P-1,luminaire,5,,S1 S2 N,,,,,,,\nK,P-1,luminaire,5,,S2 N,,,,,,,\n"
    counted = count(HEAD + rows)
    assert counted.build.job.boxes[0].taps == [["A", "S1"], ["A", "S2"]]
    assert counted.counts("S", ARMOR) == (5 + 1 + 1 + 2, 2, 4, 0)  # hot 3 ends + 2, legs land, neutral passes


def test_an_isolated_ground_is_counted_like_a_circuit_role_and_takes_no_jumper(count: Counter):
    rows = "I1,P-1,duplex-ig,10,,A N IG,,,,,,,\nI2,P-1,duplex-ig,10,,A N IG,,,,,,,\n"
    counted = count(HEAD + rows)
    assert counted.counts("I1", ARMOR) == (12, 3, 0, 0)
    assert counted.counts("I1", WIRE) == (12, 3, 4, 1)  # grounds: 2 runs + box, and the box screw
    assert counted.counts("I2", WIRE) == (3, 0, 1, 0)


def test_self_grounding_devices_take_no_jumper_but_the_box_stays_bonded(count: Counter):
    counted = count(MIDDLE_AND_END, "self_grounding=yes")
    assert counted.counts("M", ARMOR)[2:] == (0, 0)
    assert counted.counts("M", WIRE)[2:] == (4, 1)  # trap 14: 2 runs + box, and the box screw; 250.148
    assert counted.counts("E", WIRE)[2:] == (1, 0)


def test_a_device_of_the_catalog_can_be_self_grounding(count: Counter):
    counted = count(MIDDLE_AND_END, devices="device,self_grounding\nduplex,1\n")
    assert counted.counts("M", ARMOR)[2:] == (0, 0)


def test_leads_are_ends_of_the_splice(count: Counter):
    counted = count(HEAD + "E1,P-1,equipment-3p,30,,A B C,,30,3,no,,,\n")
    assert counted.counts("E1", WIRE) == (6, 3, 4, 1)  # three splices of 2; grounds: run + lead + box, screw
    assert counted.counts("E1", ARMOR) == (6, 3, 1, 0)


def test_repeat_builds_the_circuit_again(count: Counter):
    once = count(MIDDLE_AND_END)
    names = ("circuit_terminations", "ground_terminations", "entries", "labor_hours", "material_cost")
    single = {n: once.total(n, WIRE) for n in names}
    thrice = count("box,circuit,device,run_ft,repeat\nM,P-1,duplex,10,3\nE,P-1,duplex,10,\n")
    assert {n: thrice.total(n, WIRE) for n in names} == pytest.approx({n: 3 * v for n, v in single.items()}, rel=1e-12)
    assert thrice.box("M", WIRE)["repeat"] == 3
    assert thrice.counts("M", WIRE) == once.counts("M", WIRE)


def test_the_panel_end_is_counted_apart(count: Counter):
    counted = count(HEAD + 'D,"P-1,3,5",junction,10,,A B C N,,,,,,,\n')
    ends = {c: counted.total("panel_ends", c) for c in (WIRE, ARMOR)}
    assert ends[WIRE] == {"home_runs": 1, "circuit_terminations": 4, "ground_terminations": 1}
    assert ends[ARMOR] == {"home_runs": 1, "circuit_terminations": 4, "ground_terminations": 0}
    assert counted.total("entries", WIRE) == 1


def test_a_held_circuit_is_wired_in_its_construction_in_every_comparison(count: Counter):
    rows = "H,P-1,duplex,10,,,,,,,,,emt-wire\nF,P-3,duplex,10,,,,,,,,,\n"
    counted = count(HEAD + rows, compared="ac-first,mc-armor-first")
    assert [counted.box("H", c)["wired_as"] for c in ("ac-first", "mc-armor-first")] == ["emt-wire", "emt-wire"]
    assert counted.counts("H", "ac-first")[2:] == (5, 1)
    assert counted.counts("F", "ac-first")[2:] == (2, 0)
    assert list(counted.results["plans"]) == ["ac-first", "mc-armor-first"]


def test_default_sizes_follow_the_breaker_and_the_smallest_size(count: Counter):
    """60 C copper column of Table 310.16 with 240.4(D), NFPA 70: 15 A 14, 20 A 12, 30 A 10, 40 A 8, 50 A 6 AWG."""
    rows = "".join(f"D{a},P-{a},duplex,10,,,,{a},,,,,\n" for a in (15, 20, 25, 30, 40, 50))
    sizes = {b.circuit.breaker_a: b.run.awg for b in count(HEAD + rows).build.job.boxes}
    assert sizes == {15: "12", 20: "12", 25: "10", 30: "10", 40: "8", 50: "6"}
    sizes = {b.circuit.breaker_a: b.run.awg for b in count(HEAD + rows, "min_awg=14").build.job.boxes}
    assert sizes[15] == "14"
    assert sizes[20] == "12"


def test_boxes_alike_are_one_type_whatever_the_letter_of_their_hot(count: Counter):
    rows = 'J,"P-1,3",junction,10,,A B N,,,,,,,\nA,"P-1,3",duplex,5,J,A N,,,,,,,\nB,"P-1,3",duplex,5,J,B N,,,,,,,\n'
    counted = count(HEAD + rows)
    make_up = {b["box"]: b["make_up"] for b in counted.results["boxes"]}
    assert make_up["A"] == make_up["B"] != make_up["J"]
