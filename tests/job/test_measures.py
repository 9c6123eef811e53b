"""How the trade writes lengths, breakers, sizes, voltages and loads; 1 ft is 12 in and 0.3048 m (NIST SP 811)."""

from __future__ import annotations

import pytest

from takeoff.job.measures import breaker, length_ft, load_va, size_awg, voltages

LENGTHS = [
    ("85", 85),
    ("85'", 85),
    ("85 ft", 85),
    ("85ft.", 85),
    ("12'-6\"", 12.5),
    ("12' 6", 12.5),
    ("12'6\"", 12.5),
    ("12 ft 6 in", 12.5),
    ("12' - 6 1/2\"", 12 + 6.5 / 12),
    ("12'-1/2\"", 12 + 0.5 / 12),
    ('18"', 1.5),
    ("12\u2019-6\u201d", 12.5),
    ("26 m", 26 / 0.3048),
    ("7.62m", 25),
]
NO_LENGTHS = ["", "about 80", "1,250", "12,5", "-5", "nan", "1e3", "12'-13\"", "85 rods", "12'-6'", "#12"]


@pytest.mark.parametrize(("text", "feet"), LENGTHS)
def test_lengths(text: str, feet: float):
    assert length_ft(text) == pytest.approx(feet, abs=1e-9)


@pytest.mark.parametrize("text", NO_LENGTHS)
def test_what_is_no_length_of_one_meaning_is_none(text: str):
    assert length_ft(text) is None


def test_a_number_without_a_unit_is_in_the_unit_of_the_column():
    assert length_ft("44", "in") == pytest.approx(44 / 12, abs=1e-9)
    assert length_ft("3.048", "m") == pytest.approx(10, rel=1e-15)
    assert length_ft("9 ft", "in") == 9


BREAKERS = {
    "20": (20, 0),
    "15 A": (15, 0),
    "20 amps": (20, 0),
    "20A/1P": (20, 1),
    "20/1": (20, 1),
    "20A-1P": (20, 1),
    "20A 1 pole": (20, 1),
    "30A/2P": (30, 2),
    "2P-30": (30, 2),
    "2P30A": (30, 2),
    "1/20": (20, 1),
    "3P-100A": (100, 3),
    "100/3": (100, 3),
    "20A1P": (20, 1),
}


@pytest.mark.parametrize(("text", "meant"), BREAKERS.items())
def test_breakers(text: str, meant: tuple[float, int]):
    assert breaker(text) == meant


@pytest.mark.parametrize("text", ["", "20/15", "20A/4P", "GFCI 20", "20A/1P GFCI", "-20", "1P", "20//1", "twenty"])
def test_what_is_no_breaker_is_none(text: str):
    assert breaker(text) is None


def test_sizes_voltages_and_loads():
    assert [size_awg(t) for t in ("12", "#12", "12 AWG", "No. 12", "#12 CU", "10 ga")] == ["12"] * 5 + ["10"]
    assert [size_awg(t) for t in ("#12 AL", "12/2", "2#12", "")] == [""] * 4
    assert size_awg("1/0 AWG") == "1/0"
    assert [voltages(t) for t in ("120", "277 V", "208Y/120", "120/208V", "480Y/277V", "line")] == [
        (120,),
        (277,),
        (120, 208),
        (120, 208),
        (277, 480),
        (),
    ]
    assert [load_va(t) for t in ("180", "1500 VA", "1.5 kVA", "1.5 kW", "-1")] == [180, 1500, 1500, None, None]
