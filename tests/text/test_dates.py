"""Day numbers against the calendar of the standard library, and against the serial numbers of worksheets."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.utils.datetime import from_excel, to_excel

from takeoff.build import compute
from takeoff.text.dates import FORMAT, NOT_GIVEN, day_number, iso
from takeoff.text.problems import InputError
from tests.priced import laid, priced
from tests.tables import row

DAYS = st.dates(dt.date(1990, 1, 1), dt.date(2199, 12, 31))


@pytest.mark.parametrize(
    ("text", "serial"),
    [
        # serial numbers of the 1900 date system, ISO/IEC 29500-1 18.17.4.1: 1900-03-01 is 61; counted on from there
        ("2026-11-25", 61 + (dt.date(2026, 11, 25) - dt.date(1900, 3, 1)).days),
        ("2026-11-25", 46351),
        ("2000-01-01", 36526),  # from memory: the serial number that books on worksheets print most
        ("2024-02-29", 45351),
        ("1990-01-01", 32874),
        ("2199-12-31", 109574),
    ],
)
def test_a_date_is_the_serial_number_of_a_worksheet(text: str, serial: int):
    assert day_number(text) == serial
    assert to_excel(dt.date.fromisoformat(text)) == serial


@given(DAYS)
def test_every_date_comes_back_and_is_what_a_worksheet_reads(day: dt.date):
    number = day_number(day.isoformat())
    assert number is not None
    assert from_excel(number) == dt.datetime.combine(day, dt.time())
    assert iso(number) == day.isoformat()


@given(DAYS)
def test_a_month_is_its_first_day(day: dt.date):
    assert day_number(day.strftime("%Y-%m")) == day_number(day.replace(day=1).isoformat())


@pytest.mark.parametrize("text", ["2026-11-25 00:00:00", "2026-11-25T00:00:00", "2026-11-25T00:00", " 2026-11-25 "])
def test_a_time_of_midnight_that_a_workbook_adds_is_passed_over(text: str):
    assert day_number(text) == 46351


@pytest.mark.parametrize(
    "text",
    [
        "",
        "0",
        "46351",
        "2026",
        "2026-2-3",
        "2026-13-01",
        "2026-00-10",
        "2026-02-29",  # no leap year
        "2100-02-29",  # nor is 2100, by the rule of the centuries
        "2026-11-31",
        "11/25/2026",
        "25.11.2026",
        "20261125",
        "2026-11-25 08:30:00",
        "2026-W48-3",
        "1989-12-31",
        "2200-01-01",
        "0026-11-25",
        "tomorrow",
        "\u0662\u0660\u0662\u0666-\u0661\u0661-\u0662\u0665",  # digits of another script
    ],
)
def test_what_is_no_date_has_no_number(text: str):
    assert day_number(text) is None


def test_nothing_is_shown_as_not_given():
    assert iso(0) == NOT_GIVEN == "not given"
    assert iso(46351.0) == "2026-11-25"
    # sections of a number format, ISO/IEC 29500-1 18.8.31: above zero; below; zero
    assert FORMAT.split(";") == ["yyyy-mm-dd", "", '"not given"']


def test_the_same_date_as_option_as_text_and_as_date_of_the_inputs_file(tmp_path):
    ways = [
        priced(tmp_path / "a", "estimate_date=2026-11-25"),
        priced(tmp_path / "b", toml='estimate_date = "2026-11-25"\n'),
        priced(tmp_path / "c", toml="estimate_date = 2026-11-25\n"),
    ]
    assert [build.inputs["estimate_date"] for build in ways] == [46351] * 3
    assert {row(build, "dates", key="estimate_date")["value"] for build in ways} == {46351}
    assert priced(tmp_path / "d", "estimate_date=2026-11", "install_date=Not Given").inputs["install_date"] == 0


@pytest.mark.parametrize("text", ["25.11.2026", "0", "2026-02-30", "soon"])
def test_an_input_that_is_no_date_is_an_error(tmp_path, text: str):
    with pytest.raises(InputError) as wrong:
        compute(laid(tmp_path, f"estimate_date={text}"))
    assert str(wrong.value) == (
        f'--set:estimate_date: is not accepted: "{text}"; '
        "a date such as 2026-11-25, or a month such as 2026-11, or not given"
    )


def test_the_month_of_a_catalog_price_is_its_first_day(tmp_path):
    build = priced(tmp_path, catalogs={"prices": "item,date\nac-12-2,2026-11\n"})
    assert row(build, "list_costs", item="ac-12-2")["date"] == 46351 - 24
