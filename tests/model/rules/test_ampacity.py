"""What the conductors of a run carry, and the breaker they may stand on: NEC 310.15, 310.16, 110.14(C), 240.4.

Worked by hand from the 90 C column of Table 310.16 (14 AWG 25 A, 12 AWG 30 A, 10 AWG 40 A, 8 AWG 55 A, 6 AWG 75 A,
3 AWG 115 A), the factors of Table 310.15(B)(1) and the adjustments of Table 310.15(C)(1); published examples are named
beside their figures.
"""

from __future__ import annotations

import pytest

from tests.conftest import PLAN_OF, Counted, Counter
from tests.tables import row, rows, schedule

EMT, WIRE, AC = "emt-wire", "mc-wire", "ac"
NINE = "A S1 S2 S3 S4 S5 S6 S7 S8"
"""Nine ungrounded conductors in one raceway."""

EIGHT = "A S1 S2 S3 S4 S5 S6 N"
"""Seven ungrounded conductors and the neutral of one hot: eight that carry current."""


def one_run(count: Counter, wires: str, awg: int, *sets: str, construction: str = EMT, **cells: object) -> Counted:
    """Build one run to a box X, wired as said whatever the checks find."""
    box = {"wires": wires, "awg": awg, "construction": construction, **cells}
    return count(schedule(box), *sets, compared=PLAN_OF[construction])


def carries(counted: Counted, construction: str = EMT) -> dict[str, object]:
    return row(counted, "run_tests", construction=construction)


# Worked examples


def test_nine_12_awg_in_a_raceway(count: Counter):
    """EC&M code quiz 23: nine 12 AWG in EMT carry 30 x 0.70 = 21 A; on 60 C terminals 20 A, 110.14(C)."""
    found = carries(one_run(count, NINE, 12))
    assert (found["ccc"], found["adjust_pct"], found["corrected_a"]) == (9, 70, 21)
    assert (found["usable_a"], found["allowed_a"], found["overcurrent"]) == (20, 20, "meets")


@pytest.mark.parametrize(("conductors", "percent"), [(3, 100), (4, 80), (6, 80), (7, 70), (9, 70), (10, 50), (20, 50)])
def test_the_bands_of_the_adjustment_table(count: Counter, conductors: int, percent: int):
    wires = " ".join(["A", *(f"S{n}" for n in range(1, conductors))])
    found = carries(one_run(count, wires, 12))
    assert (found["ccc"], found["adjust_pct"]) == (conductors, percent)
    assert found["corrected_a"] == pytest.approx(30 * percent / 100, abs=1e-12)


@pytest.mark.parametrize(
    ("nonlinear", "conductors", "corrected_a", "usable_a"), [("no", 3, 32.8, 30), ("yes", 4, 26.24, 26.24)]
)
def test_four_10_awg_at_120_f(count: Counter, nonlinear: str, conductors: int, corrected_a: float, usable_a: float):
    """Trade article on correction factors: 40 x 0.82 = 32.8 A; where all four carry current, 40 x 0.82 x 0.80."""
    found = carries(one_run(count, "A B C N", 10, "ambient_f=120", f"nonlinear_loads={nonlinear}"))
    assert found["ccc"] == conductors
    assert found["corrected_a"] == pytest.approx(corrected_a, abs=1e-12)
    assert found["usable_a"] == pytest.approx(usable_a, abs=1e-12)  # 30 A is the 60 C column


@pytest.mark.parametrize(("awg", "corrected_a"), [(8, 35.035), (6, 47.775)])
def test_eight_conductors_at_40_c_for_40_a(count: Counter, awg: int, corrected_a: float):
    """Public question and answer: 40 A, eight conductors, 40 C: 40/(0.91 x 0.70) = 62.8 A of the 90 C column, 6 AWG."""
    found = carries(one_run(count, EIGHT, awg, "ambient_f=104", breaker_a=40))
    assert (found["ccc"], found["asked_a"]) == (8, pytest.approx(62.794, abs=0.001))
    assert found["corrected_a"] == pytest.approx(corrected_a, abs=1e-12)
    assert (found["corrected_a"] >= 40) == (awg == 6)


# Conductors that count: 310.15(E), (F)


@pytest.mark.parametrize(
    ("wires", "nonlinear", "conductors"),
    [
        ("A N", "no", 2),
        ("A N", "yes", 2),  # the neutral of one hot carries all of its current
        ("A B N", "no", 3),  # two hots of a wye: the neutral carries what one of them does
        ("A B N", "yes", 3),
        ("A B C N", "no", 3),
        ("A B C N", "yes", 4),
        ("A B C", "yes", 3),
        ("A B C NA NB NC", "no", 6),
        ("A N IG", "no", 2),  # grounding conductors never count
        ("A S1 N", "no", 3),
        ("T1 T2 N", "no", 3),
    ],
)
def test_trap_44_which_conductors_count(count: Counter, wires: str, nonlinear: str, conductors: int):
    upstream = {"box": "U", "wires": "A N"} if wires[0] == "T" else None
    boxes = [upstream, {"wires": wires, "fed_from": "U"}] if upstream else [{"wires": wires}]
    counted = count(schedule(*boxes), f"nonlinear_loads={nonlinear}", compared=PLAN_OF[EMT])
    assert rows(counted, "run_tests")[-1]["ccc"] == conductors


def test_trap_43_dedicated_neutrals_are_six_and_lose_the_spare(count: Counter):
    """Three hots on one neutral are three, spared in a bundle; with a neutral each they are six, 80 % and less."""
    shared = one_run(count, "A B C N", 12, "bundled_cables=6", construction=WIRE)
    assert (carries(shared, WIRE)["ccc_together"], carries(shared, WIRE)["adjust_pct"]) == (18, 100)
    dedicated = one_run(count, "A B C NA NB NC", 12, construction=WIRE)
    assert (carries(dedicated, WIRE)["ccc"], carries(dedicated, WIRE)["adjust_pct"]) == (6, 80)
    bundled = one_run(count, "A B C NA NB NC", 12, "bundled_cables=6", construction=WIRE)
    assert (carries(bundled, WIRE)["ccc_together"], carries(bundled, WIRE)["adjust_pct"]) == (36, 40)


# Bundled cables: 310.15(C)(1)(d), in 2017 310.15(B)(3)(a)(4)


@pytest.mark.parametrize("edition", ["2017", "2020", "2023"])
@pytest.mark.parametrize(
    ("cables", "percent", "corrected_a"), [(1, 100, 30), (10, 100, 30), (11, 60, 18), (40, 60, 18)]
)
def test_trap_45_twelve_awg_cables_together(
    count: Counter, edition: str, cables: int, percent: int, corrected_a: float
):
    """Ten two-wire cables are 20 conductors, spared; from 21 on a flat 60 %: 30 x 0.60 = 18 A, not 45 %."""
    sets = f"bundled_cables={cables}", f"code_edition={edition}"
    for construction in (AC, WIRE, "mc-armor", "ac-redundant", "mc-redundant"):
        found = carries(one_run(count, "A N", 12, *sets, construction=construction), construction)
        assert (found["ccc_together"], found["adjust_pct"]) == (2 * cables, percent)
        assert found["corrected_a"] == pytest.approx(corrected_a, abs=1e-12)


@pytest.mark.parametrize(
    ("wires", "awg", "cables", "percent", "corrected_a"),
    [
        pytest.param("A N", 10, 10, 50, 20, id="10 AWG goes by the table"),
        pytest.param("A N", 14, 10, 50, 12.5, id="14 AWG goes by the table"),
        pytest.param("A S1 S2 N", 12, 5, 50, 15, id="four in a cable go by the table"),
        pytest.param("A S1 S2 N", 12, 6, 45, 13.5, id="24 in cables of four: 45 %"),
        pytest.param("A B N", 12, 6, 100, 30, id="18 in cables of three"),
        pytest.param("A B N", 12, 7, 60, 18, id="21 in cables of three"),
    ],
)
def test_trap_45_who_is_not_spared(count: Counter, wires: str, awg: int, cables: int, percent: int, corrected_a: float):
    found = carries(one_run(count, wires, awg, f"bundled_cables={cables}", construction=WIRE), WIRE)
    assert found["adjust_pct"] == percent
    assert found["corrected_a"] == pytest.approx(corrected_a, abs=1e-12)


def test_bundles_are_of_cables_a_raceway_holds_one_circuit(count: Counter):
    assert carries(one_run(count, "A N", 12, "bundled_cables=30"))["adjust_pct"] == 100


# The breaker: 240.4(B), (D)


def bundled_18_a(count: Counter, *devices: str) -> dict[str, object]:
    """Build a 20 A circuit of devices in a chain, in two-wire 12 AWG cables, eleven together: 18 A."""
    boxes = [
        {"box": f"B{n}", "device": d, "wires": "A N", "awg": 12, "fed_from": f"B{n - 1}" if n else "panel"}
        for n, d in enumerate(devices)
    ]
    counted = count(schedule(*boxes), "bundled_cables=11", compared=PLAN_OF[WIRE])
    found = carries(counted, WIRE)
    assert found["usable_a"] == pytest.approx(18, abs=1e-12)
    return found


@pytest.mark.parametrize(
    ("devices", "allowed_a", "outcome"),
    [
        pytest.param(["duplex", "duplex"], 18, "fails", id="several receptacles"),
        pytest.param(["luminaire", "luminaire"], 20, "meets", id="luminaires"),
        pytest.param(["equipment-1p"], 20, "meets", id="a single load"),
    ],
)
def test_trap_46_the_next_standard_rating_is_barred_for_receptacles(
    count: Counter, devices: list[str], allowed_a: float, outcome: str
):
    """NEC 240.4(B)(1), 240.6(A): 18 A may stand on 20 A, but not where more than one receptacle is supplied."""
    found = bundled_18_a(count, *devices)
    assert found["next_a"] == 20
    assert (found["allowed_a"], found["overcurrent"]) == (pytest.approx(allowed_a, abs=1e-12), outcome)


def test_trap_46_one_duplex_is_two_receptacles(count: Counter):
    """NEC Article 100: two contact devices on one yoke are a multiple receptacle; 240.4(B)(1) counts receptacles."""
    assert bundled_18_a(count, "duplex")["overcurrent"] == "fails"


def test_one_single_receptacle_may_stand_on_the_next_standard_rating(count: Counter):
    """A two-pole receptacle is a single one: 10 AWG, eleven cables of two together, 40 x 0.45 = 18 A on 20 A."""
    box = {"device": "receptacle-2p", "wires": "A B", "awg": 10, "poles": 2, "volts": 208}
    found = carries(count(schedule(box), "bundled_cables=11", compared=PLAN_OF[WIRE]), WIRE)
    assert (found["usable_a"], found["allowed_a"], found["overcurrent"]) == (18, 20, "meets")


@pytest.mark.parametrize(("awg", "limit_a", "over_a"), [(14, 15, 20), (12, 20, 25), (10, 30, 35)])
@pytest.mark.parametrize("terminals", [60, 75])
def test_small_conductors_stand_on_no_more_than_240_4_d(
    count: Counter, awg: int, limit_a: int, over_a: int, terminals: int
):
    """14 AWG 15 A, 12 AWG 20 A, 10 AWG 30 A, although the 75 C column has 20, 25 and 35 A."""
    for breaker_a, outcome in ((limit_a, "meets"), (over_a, "fails")):
        counted = one_run(count, "A N", awg, f"terminal_c={terminals}", breaker_a=breaker_a, device="equipment-1p")
        assert (carries(counted)["allowed_a"], carries(counted)["overcurrent"]) == (limit_a, outcome)


# Terminals: 110.14(C), and correction: 310.15(B)


@pytest.mark.parametrize(
    ("awg", "terminals", "usable_a"),
    [(12, 60, 20), (12, 75, 25), (10, 75, 35), (8, 60, 40), (8, 75, 50), (6, 75, 65), (3, 60, 85), (3, 75, 100)],
)
def test_terminals_decide_what_the_conductors_carry(count: Counter, awg: int, terminals: int, usable_a: int):
    """Table 310.16, copper: the column of the terminals, although the conductors are rated 90 C."""
    assert carries(one_run(count, "A N", awg, f"terminal_c={terminals}"))["usable_a"] == usable_a


@pytest.mark.parametrize(("awg", "breaker_a"), [(8, 50), (6, 60), (3, 100)])
@pytest.mark.parametrize(("terminals", "outcome"), [(75, "meets"), (60, "fails")])
def test_terminals_of_75_c_let_larger_conductors_stand_on_a_larger_breaker(
    count: Counter, awg: int, breaker_a: int, terminals: int, outcome: str
):
    """NEC 240.4(D) is for 14, 12 and 10 AWG; at 75 C 8, 6 and 3 AWG carry 50, 65 and 100 A, at 60 C 40, 55 and 85."""
    cells = {"breaker_a": breaker_a, "poles": 2, "volts": 208, "device": "receptacle-2p+receptacle-2p"}
    found = carries(one_run(count, "A B", awg, f"terminal_c={terminals}", **cells))
    assert found["overcurrent"] == outcome


def test_larger_conductors_may_stand_on_the_next_standard_rating(count: Counter):
    """NEC 240.4(B): 6 AWG carries 55 A on 60 C terminals; 55 A is no standard rating, 60 A is the next."""
    found = carries(one_run(count, "A N", 6, breaker_a=60, device="equipment-1p"))
    assert (found["usable_a"], found["next_a"]) == (55, 60)
    assert (found["allowed_a"], found["overcurrent"]) == (60, "meets")


@pytest.mark.parametrize(
    ("awg", "ambient_f", "corrected_a", "usable_a"),
    [
        (12, 86, 30, 20),
        (12, 113, 26.1, 20),  # 30 x 0.87; from the 60 C column it would be 20 x 0.71 = 14.2
        (12, 140, 21.3, 20),  # the 60 C column ends at 131 F
        (12, 149, 19.5, 19.5),
        (12, 50, 34.5, 20),  # a cold place gives no more than the terminals
        (10, 122, 32.8, 30),
        (10, 131, 30.4, 30),
        (10, 140, 28.4, 28.4),
    ],
)
def test_trap_47_correct_from_the_90_c_column_then_cap(
    count: Counter, awg: int, ambient_f: int, corrected_a: float, usable_a: float
):
    found = carries(one_run(count, "A N", awg, f"ambient_f={ambient_f}"))
    assert found["corrected_a"] == pytest.approx(corrected_a, abs=1e-12)
    assert found["usable_a"] == pytest.approx(usable_a, abs=1e-12)


@pytest.mark.parametrize("edition", ["2017", "2020", "2023"])
@pytest.mark.parametrize(("ambient_f", "factor"), [(104, 0.91), (105, 0.87), (113, 0.87), (114, 0.82), (104.5, 0.87)])
def test_trap_48_fahrenheit_is_looked_up_in_the_fahrenheit_bands(
    count: Counter, edition: str, ambient_f: float, factor: float
):
    """105 F is 40.56 C, between the bands 36 to 40 C and 41 to 45 C; the band of 105 to 113 F has 0.87."""
    counted = one_run(count, "A N", 12, f"ambient_f={ambient_f}", f"code_edition={edition}")
    assert row(counted, "conditions")["ambient_factor"] == factor
    assert carries(counted)["corrected_a"] == pytest.approx(30 * factor, abs=1e-12)


def test_correction_and_adjustment_multiply(count: Counter):
    """Nine conductors at 105 F: 30 x 0.87 x 0.70 = 18.27 A."""
    assert carries(one_run(count, NINE, 12, "ambient_f=105"))["corrected_a"] == pytest.approx(18.27, abs=1e-12)


# Thermal insulation: 320.80(A)


@pytest.mark.parametrize(
    ("construction", "awg", "usable_a"),
    [(AC, 12, 20), ("ac-redundant", 12, 20), (AC, 8, 40), (AC, 6, 55), (WIRE, 12, 25), (WIRE, 8, 50), (EMT, 6, 65)],
)
def test_type_ac_in_thermal_insulation_carries_its_60_c_ampacity(
    count: Counter, construction: str, awg: int, usable_a: int
):
    """NEC 320.80(A), on 75 C terminals; other constructions keep what their terminals allow."""
    sets = "thermal_insulation=yes", "terminal_c=75"
    counted = one_run(count, "A N", awg, *sets, construction=construction)
    assert carries(counted, construction)["usable_a"] == usable_a


def test_type_ac_in_thermal_insulation_is_still_corrected_from_90_c(count: Counter):
    """NEC 320.80(A): the 90 C rating serves for correction; at 140 F 55 x 0.71 = 39.05 A, under the 40 A of 60 C."""
    sets = "thermal_insulation=yes", "terminal_c=75", "ambient_f=140"
    assert carries(one_run(count, "A N", 8, *sets, construction=AC), AC)["usable_a"] == pytest.approx(39.05, abs=1e-12)


def test_type_ac_outside_thermal_insulation_has_the_column_of_its_terminals(count: Counter):
    assert carries(one_run(count, "A N", 8, "terminal_c=75", construction=AC), AC)["usable_a"] == 50


# The load: 210.19(A), 210.20(A)


@pytest.mark.parametrize(
    ("continuous", "load_va", "outcome"),
    [("no", 2400, "meets"), ("no", 2401, "fails"), ("yes", 1920, "meets"), ("yes", 1921, "fails")],
)
def test_the_breaker_covers_the_load_and_125_percent_of_a_continuous_one(
    count: Counter, continuous: str, load_va: int, outcome: str
):
    """NEC 210.20(A), 20 A at 120 V: 2400 VA, or 2400 / 1.25 = 1920 VA where continuous."""
    box = {"device": "equipment-1p", "load_va": load_va, "continuous": continuous}
    assert row(count(schedule(box), compared=PLAN_OF[EMT]), "verdicts")["load_check"] == outcome


@pytest.mark.parametrize(("load_va", "outcome"), [(38 * 120, "meets"), (39 * 120, "fails")])
def test_the_conductors_carry_the_load_where_the_breaker_is_the_next_standard_rating(
    count: Counter, load_va: int, outcome: str
):
    """NEC 210.19(A)(1): five 8 AWG at 113 F carry 55 x 0.87 x 0.80 = 38.28 A; they may stand on 40 A, 240.4(B)."""
    box = {"device": "equipment-1p", "wires": "A S1 S2 S3 N", "awg": 8, "breaker_a": 40, "load_va": load_va}
    counted = count(schedule(box), "ambient_f=113", compared=PLAN_OF[EMT])
    assert carries(counted)["usable_a"] == pytest.approx(38.28, abs=1e-12)
    assert carries(counted)["overcurrent"] == "meets"
    assert row(counted, "verdicts")["load_check"] == outcome
