"""Times as a watch shows them, against the written forms that people use, and back from seconds."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from takeoff.study.watch import seconds_of


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("65", 65), ("65.5", 65.5), (".5", 0.5), ("65 s", 65), ("65s", 65), ("65 sec", 65),
        ("1:05", 65), ("0:07.5", 7.5), ("12:00", 720), ("75:30", 4530), ("1:02:03", 3723),
        ("1m05s", 65), ("1m5s", 65), ("1 min 5 s", 65), ("1M05S", 65), ("2m", 120), ("2 min", 120), ("1h2m3s", 3723), ("1' 5\"", 65),
    ],
)  # fmt: skip
def test_one_time_in_many_forms(text: str, seconds: float):
    assert seconds_of(text) == seconds


@pytest.mark.parametrize(
    "text",
    ["", " ", "1:5", "1:60", "1m60s", "1:75:00", "-5", "1,5", "5e3", "nan", "inf", "m", "s", ":", "1:", "abc", "1::05", "1:05:", "1.5m", "2026-03-02", "65-5", "9" * 400],
)  # fmt: skip
def test_what_is_no_time(text: str):
    assert seconds_of(text) is None


@given(st.integers(0, 86_399))
def test_every_second_of_a_day_in_its_forms(second: int):
    hours, minutes, seconds = second // 3600, second // 60 % 60, second % 60
    forms = [
        f"{second}",
        f"{second // 60}:{seconds:02}",
        f"{hours}:{minutes:02}:{seconds:02}",
        f"{hours}h{minutes}m{seconds}s",
    ]
    assert {seconds_of(f) for f in forms} == {second}
