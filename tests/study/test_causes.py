"""Readings that stand apart by probable cause, pooled figures, before and after, and what the first page says of them."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import openpyxl
import pytest
from scipy import stats
from typer.testing import CliRunner

from takeoff.cli import app
from takeoff.study.calibrate import CalibrateOptions, Calibration, calibrate
from tests.conftest import SAMPLES

HEAD = "date,worker_code,crew,period,construction,operation,box,count,seconds,interruptions_s\n"
STEADY = [58, 60, 61, 59, 62, 60, 57, 63]
Write = Callable[[str], Path]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    def written(text: str) -> Path:
        path = tmp_path / "t.csv"
        path.write_text(HEAD + text, encoding="utf-8")
        return path

    return written


def line(seconds: object, worker: str = "W1", **cells: object) -> str:
    values = {"date": "2026-03-02", "worker_code": worker, "construction": "ac", "operation": "connector"}
    values |= {"seconds": str(seconds)} | {k: str(v) for k, v in cells.items()}
    return ",".join(values.get(name, "") for name in HEAD.strip().split(",")) + "\n"


def shown(path: Path, *arguments: str) -> str:
    done = CliRunner().invoke(app, ["calibrate", str(path), *arguments])
    assert done.exit_code == 0, done.output
    return done.stdout


def causes(done: Calibration) -> dict[str, list[int]]:
    return {d.cause: [int(s.reading.row) for s in d.strays] for d in done.doubts}


# causes


@pytest.mark.parametrize(
    ("odd", "cause", "why"),
    [
        ({"seconds": 3600}, "slip", "60 times the others: was the time in another unit?"),
        ({"seconds": 1}, "slip", "a 60th of the others: minutes written as seconds?"),
        ({"seconds": 60, "count": 4}, "slip", "one 4th of the others with a count of 4: was it one?"),
        ({"seconds": 150}, "interruption", ""),
        ({"seconds": 25}, "short", ""),
    ],
)
def test_one_odd_reading_by_its_probable_cause(write: Write, odd: dict[str, int], cause: str, why: str):
    path = write("".join(line(s, f"W{n % 4}") for n, s in enumerate(STEADY)) + line(**{"worker": "W1", **odd}))
    done = calibrate(CalibrateOptions(path))
    assert causes(done) == {cause: [10]}
    assert done.doubts[0].strays[0].why == why
    assert len(done.figures[0].readings) == 9


def test_a_count_that_is_missing(write: Write):
    """Four at a time, some 15 s each; one line says 61 s and no count."""
    path = write("".join(line(s, f"W{n % 4}", count=4) for n, s in enumerate(STEADY)) + line(61))
    done = calibrate(CalibrateOptions(path))
    assert causes(done) == {"slip": [10]}
    assert done.doubts[0].strays[0].why == "4 times the others, which were 4 at a time: is the count missing?"


def test_one_slow_set_of_sheets_is_one_line_and_names_nobody(write: Write):
    """W3 takes 1.6 times the others in every operation: no reading of it is called an interruption."""
    text = ""
    for operation, base in (("connector", 60), ("open-armor", 50), ("mount-box", 300)):
        for w in range(6):
            factor = 1.6 if w == 3 else 1
            text += "".join(
                line(base * factor * (1 + 0.01 * ((3 * w + n) % 5)), f"W{w}", operation=operation) for n in range(3)
            )
    path = write(text + line(180, "W1"))
    done = calibrate(CalibrateOptions(path))
    assert [d.cause for d in done.doubts] == ["throughout", "interruption"]
    assert done.doubts[0].factor == pytest.approx(1.6, abs=0.05)
    assert causes(done)["interruption"] == [56]
    out = shown(path, "--details")
    assert "one set of sheets stands apart all through, 1.6 times the others" in out
    assert not re.search(r"\bW\d\b", out)


def test_people_who_differ_a_little_are_no_cause(write: Write):
    text = "".join(
        line(60 + 3 * w + n, f"W{w}", operation=o)
        for o in ("connector", "open-armor")
        for w in range(5)
        for n in range(3)
    )
    assert calibrate(CalibrateOptions(write(text))).doubts == []


# one figure where no difference is shown


def both(first: dict[str, list[float]], second: dict[str, list[float]], name: str = "mc-wire") -> str:
    text = "".join(line(s, w) for w, times in first.items() for s in times)
    return text + "".join(line(s, w, construction=name) for w, times in second.items() for s in times)


def minutes(folder: Path) -> dict[str, str]:
    rows = [row.split(",") for row in (folder / "operations.csv").read_text(encoding="utf-8").splitlines()[1:]]
    return {row[1]: row[-1] and re.search(r"armor_ends,([\d.]+),", ",".join(row))[1] for row in rows}  # type: ignore[index]


def test_without_a_difference_both_constructions_get_the_mean_of_all(write: Write, tmp_path: Path):
    text = both({"W1": [50], "W2": [60], "W3": [55]}, {"W1": [52], "W2": [57], "W3": [56]})
    shown(write(text), "-o", str(tmp_path / "o"))
    assert minutes(tmp_path / "o") == {"ac": "0.91667", "mc-wire": "0.91667"}
    assert "ac and mc-wire together" in (tmp_path / "o" / "operations.csv").read_text(encoding="utf-8")


def test_with_a_difference_each_has_its_own(write: Write, tmp_path: Path):
    text = both({"W1": [60], "W2": [70], "W3": [65]}, {"W1": [40], "W2": [51], "W3": [44]})
    shown(write(text), "-o", str(tmp_path / "o"))
    assert minutes(tmp_path / "o") == {"ac": "1.08333", "mc-wire": "0.75"}
    low, high = stats.t.interval(0.95, 2, 65 / 60, stats.sem([1, 70 / 60, 65 / 60]))
    ranges = (tmp_path / "o" / "minute_ranges.csv").read_text(encoding="utf-8").splitlines()
    assert ranges[0] == "operation,construction,low_minutes,high_minutes,confidence_pct,source"
    assert ranges[1].startswith(f"connector,ac,{low:.5f},{high:.5f},95,")


def test_of_three_the_one_that_differs_stands_alone(write: Write):
    one = {f"W{n}": [60.0 + 3 * n] for n in range(6)}
    two = {f"W{n}": [60.5 + 3 * n + (-1) ** n] for n in range(6)}
    three = {f"W{n}": [40.0 + 3 * n + 0.1 * n] for n in range(6)}
    text = both(one, two) + "".join(line(t[0], w, construction="mc-armor") for w, t in three.items())
    done = calibrate(CalibrateOptions(write(text)))
    assert [f.constructions for f in done.figures] == [["ac", "mc-wire"], ["mc-armor"]]
    assert all(f.apart for f in done.figures)


# before and after a change


def crews(before: dict[str, list[float]], after: dict[str, list[float]]) -> str:
    return "".join(
        line(s, f"{crew}-{n}", crew=crew, period=period)
        for period, times in (("before", before), ("after", after))
        for crew, found in times.items()
        for n, s in enumerate(found)
    )


def test_before_and_after_is_tested_by_crew(write: Write):
    """The paired t of crew means by scipy; the workers of a crew are others before than after."""
    before = {"a": [60, 64, 62], "b": [70, 74], "c": [55, 57]}
    after = {"a": [50, 55], "b": [60, 61, 65], "c": [48, 45]}
    path = write(crews(before, after).replace("a-0,a,after", "x-0,a,after"))
    done = calibrate(CalibrateOptions(path))
    (found,) = done.comparisons
    assert (found.unit, found.of) == ("pairs", "crew")
    wanted = stats.ttest_rel([float(np.mean(v)) for v in after.values()], [float(np.mean(v)) for v in before.values()])
    assert found.difference
    assert (found.difference.t, found.difference.p) == pytest.approx((wanted.statistic, wanted.pvalue))
    assert "connector: ac after takes" in shown(path)
    (figure,) = done.figures
    assert {r.period for r in figure.readings} == {"after"}


def test_before_and_after_that_do_not_differ_are_one_figure(write: Write):
    text = crews({"a": [60, 64], "b": [70], "c": [55]}, {"a": [63], "b": [66], "c": [58]})
    (figure,) = calibrate(CalibrateOptions(write(text))).figures
    assert len(figure.readings) == 7


def test_another_construction_after_than_before_is_tested_and_said(write: Write):
    text = crews({"a": [60], "b": [70], "c": [66]}, {"a": [50], "b": [61], "c": [55]})
    text = "".join(r.replace(",ac,", ",mc-wire,") if ",after," in r else r for r in text.splitlines(keepends=True))
    path = write(text)
    (found,) = calibrate(CalibrateOptions(path)).comparisons
    assert (found.mixed, found.of, found.shown) == (True, "crew", True)
    assert "another construction after than before: the days may make the difference" in shown(path)


# the first page


def many_of_everything() -> str:
    """Return a study with every operation in three constructions, all of them different, and slips in each."""
    operations = "mount-box measure-cut secure-cable open-armor insert-bushing connector prepare-circuit splice-circuit circuit-pigtail land-circuit fold-mount test-box".split()
    text = ""
    for n, operation in enumerate(operations):
        for k, construction in enumerate(("ac", "mc-wire", "mc-armor")):
            for w in range(6):
                mine = {"operation": operation, "construction": construction}
                text += "".join(line(20 + 9 * n + 7 * k + w + 0.3 * i, f"W{w}", **mine) for i in range(4))
            text += line(9000, "W1", **mine) + line(400, "W2", **mine) + line(1, "W3", **mine)
    return text


@pytest.mark.parametrize("text", ["sample", "many", "one"])
def test_the_first_page_fits_a_screen(write: Write, tmp_path: Path, text: str):
    path = SAMPLES / "times.csv"
    if text != "sample":
        path = write(many_of_everything() if text == "many" else line(60))
    out = shown(path, "-o", str(tmp_path / "o")).splitlines()
    page = [row for row in out if not row.startswith("wrote ")]
    assert len(page) <= 23
    assert [row for row in page if len(row) > 80] == []
    assert not re.search(r"\bW\d\b", "\n".join(page))
    wanted = ("what differs", "what to do next", "--details", "Hours decide no question of the code.")
    assert all(any(word in row for row in page) for word in wanted)


def test_no_sheet_of_a_worker_is_named_on_the_first_page(tmp_path: Path):
    """In a workbook with a sheet for each worker a row is told as W3!12: the page counts, the details say which."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for w in range(1, 5):
        sheet = book.create_sheet(f"W{w}")
        sheet.append(["Date", "2026-03-02", "Worker", f"W{w}"])
        sheet.append(["construction", "work", "time 1", "time 2", "time 3"])
        sheet.append(["ac", "connector", *(str(s + w) for s in (58, 60, 61))])
        sheet.append(["ac", "connector", *(str(s + w) for s in (59, 62, 150 if w == 3 else 60))])
    book.save(tmp_path / "t.xlsx")
    page, details = shown(tmp_path / "t.xlsx"), shown(tmp_path / "t.xlsx", "--details")
    assert "  probably an interruption that was not written down: 1 line, --details says which" in page.splitlines()
    assert not re.search(r"\bW\d\b", page)
    assert "row W3!4, ac connector: 153.0 s each" in details


def test_a_long_name_of_the_work_is_not_cut(write: Write):
    name = "duplex and switch; middle of run; two cables of 12 AWG"
    text = "".join(
        line(base + 7 * w + n + w % 2 * (base > 400), f"W{w}", construction=c, operation="whole-box", box=name)
        for c, base in (("mc-wire", 470), ("mc-armor", 400))
        for w in range(4)
        for n in range(2)
    )
    page = shown(write(text)).splitlines()
    place = page.index(f"  whole-box: {name}:")
    assert page[place + 1].startswith("    mc-armor takes 70.5 (")


def test_a_curve_of_the_dates_says_when_the_estimate_is_reached(write: Write):
    """Ten a day at 80 % from 200 s on; the catalog's 0.9 min = 54 s is unit 2^(log .27 / log .8) = 58.4: 18 more, 2 days."""
    text = "".join(
        line(round(200 * (10 * d + n + 1) ** np.log2(0.8), 4), "W1", date=f"2026-03-0{2 + d}")
        for d in range(4)
        for n in range(10)
    )
    out = shown(write(text), "--details")
    assert (
        "connector: times fall with practice, a curve of 80 %; the 0.9 min that held before are reached after 2 more days"
        in out
    )


def test_the_first_of_what_is_learned_is_no_interruption(write: Write):
    """A curve of 70 %, three a day on five days: first ones take 100 s, the 15th 25 s. One reading of W1 is no part of it."""
    text = ""
    for w in range(4):
        for unit in range(1, 16):
            seconds = 100 * unit**-0.5146 * (1 + 0.01 * ((unit + w) % 3))
            text += line(f"{seconds:.1f}", f"W{w}", date=f"2026-03-{2 + (unit - 1) // 3:02d}")
    done = calibrate(CalibrateOptions(write(text + line(130, "W1", date="2026-03-06"))))
    found = causes(done)
    assert found["learned"] == [2, 17, 32, 47]
    assert found["interruption"] == [62]


def test_a_slip_is_to_be_corrected_before_more_is_timed(write: Write):
    """A sheet of four workers with one time sixty times too long: the first page says so, not that more is wanted."""
    path = write("".join(line(s, f"W{n % 4}") for n, s in enumerate(STEADY)) + line(3600, "W1") + line(3540, "W1"))
    page = shown(path).splitlines()
    assert "  correct the slips below, calibrate again: connector" in page
    assert not [text for text in page if text.startswith(("  more ", "  out of reach", "  enough"))]
    assert "  probably a slip of the unit or the count: row 10, 11" in page


def test_differences_with_periods_fit_a_line(write: Write):
    text = ""
    for period in ("before", "after"):
        for w in range(4):
            for construction, base in (("mc-wire", 470), ("mc-redundant", 400)):
                mine = {"operation": "whole-box", "box": '"duplex, two cables"', "construction": construction}
                text += line(base + 5 * w + (w % 2 if base == 400 else 0), f"W{w}", crew=f"c{w}", period=period, **mine)
    page = shown(write(text)).splitlines()
    assert max(map(len, page)) <= 80
    assert [t for t in page if "before mc-redundant takes 69.5" in t]
