"""Calibration: readings read and refused by exact sentences, minutes by hand, and overlays that a build accepts."""

from __future__ import annotations

import csv
import datetime as dt
from pathlib import Path

import numpy as np
import openpyxl
import pytest
from scipy import stats
from typer.testing import CliRunner

from takeoff.build import Build, Options, compute
from takeoff.cli import app
from takeoff.report.results import results_of
from takeoff.study.calibrate import CalibrateOptions, Calibration, calibrate
from tests.conftest import SAMPLES
from tests.tables import rows

HEAD = "date,worker_code,construction,operation,box,count,seconds,interruptions_s,rating,leave_out,note\n"
TIMES = SAMPLES / "times.csv"


def reading(**cells: object) -> str:
    """Return a row that is right but for the cells given."""
    values = {"date": "2026-03-02", "worker_code": "W1", "construction": "ac", "operation": "connector"}
    values |= {"seconds": "60"} | {k: str(v) for k, v in cells.items()}
    return ",".join(values.get(name, "") for name in HEAD.strip().split(",")) + "\n"


def many(seconds: list[float], **cells: object) -> str:
    return "".join(reading(seconds=s, **cells) for s in seconds)


def run(*arguments: object) -> tuple[int, str, str]:
    done = CliRunner().invoke(app, ["calibrate", *map(str, arguments)])
    return done.exit_code, done.stdout, done.stderr


@pytest.fixture
def times(tmp_path: Path):
    """Return a function that writes a file of readings."""

    def write(text: str, head: str = HEAD) -> Path:
        path = tmp_path / "t.csv"
        path.write_text(head + text, encoding="utf-8")
        return path

    return write


def minutes_in(folder: Path) -> dict[tuple[str, str], tuple[float, str]]:
    with (folder / "operations.csv").open(encoding="utf-8") as file:
        return {(r["operation"], r["construction"]): (float(r["minutes"]), r["source"]) for r in csv.DictReader(file)}


def ranges_in(folder: Path) -> dict[tuple[str, str], tuple[float, float]]:
    with (folder / "minute_ranges.csv").open(encoding="utf-8") as file:
        found = list(csv.DictReader(file))
    return {(r["operation"], r["construction"]): (float(r["low_minutes"]), float(r["high_minutes"])) for r in found}


# bad input


BAD_ROWS = [
    ("no seconds", reading(seconds=""), ["t.csv:2:seconds: is blank; the seconds from start to stop, or a reason in leave_out"]),
    (
        "seconds as no watch shows them",
        reading(seconds="1:5"),
        ['t.csv:2:seconds: is not a time: "1:5"; seconds such as 65 or 65.5, or 1:05, 1m05s, 1 min 5 s'],
    ),
    ("seconds nil", reading(seconds="0"), ['t.csv:2:seconds: is out of range: "0"; from 0.1 to 86400']),
    ("no operation", reading(operation=""), ["t.csv:2:operation: is blank; an operation of the catalog, or whole-box"]),
    (
        "unknown operation",
        reading(operation="open-armour"),
        ['t.csv:2:operation: is not an operation of the catalog: "open-armour"; did you mean open-armor?'],
    ),
    ("no construction", reading(construction=""), ["t.csv:2:construction: is blank; a construction, or all where it makes no difference"]),
    (
        "unknown construction",
        reading(construction="mc"),
        ['t.csv:2:construction: is not in the catalog: "mc"; accepted: ac, mc-wire, mc-armor, ac-redundant, mc-redundant, emt-wire, emt-bare'],
    ),
    (
        "no worker",
        reading(worker_code=""),
        ["t.csv:2:worker_code: is blank; a code such as W3, at most 12 letters, digits and . _ / -, and no name"],
    ),
    (
        "a name",
        reading(worker_code="A. Person"),
        ['t.csv:2:worker_code: is not a code: "A. Person"; a code such as W3, at most 12 letters, digits and . _ / -, and no name'],
    ),
    ("no date", reading(date=""), ["t.csv:2:date: is blank; year-month-day, such as 2026-03-02"]),
    ("a date of two readings", reading(date="3/2/2026"), ['t.csv:2:date: is not a date: "3/2/2026"; year-month-day, such as 2026-03-02']),
    ("no such day", reading(date="2026-02-30"), ['t.csv:2:date: is not a date: "2026-02-30"; year-month-day, such as 2026-03-02']),
    ("a rating as a factor", reading(rating="1.05"), ['t.csv:2:rating: is out of range: "1.05"; from 40 to 200']),
    ("count nil", reading(count="0"), ['t.csv:2:count: is out of range: "0"; from 0.01 to 10000']),
    (
        "a count that slipped",
        reading(count="9000"),
        ['t.csv:2:count: leaves under 0.01 s for one: "9000"; how many were made'],
    ),
    (
        "interrupted all the time",
        reading(interruptions_s="60"),
        ['t.csv:2:interruptions_s: is not less than the seconds: "60"; under 60; it is taken off'],
    ),
    ("left out without a reason", reading(leave_out="x"), ['t.csv:2:leave_out: is no reason: "x"; why the reading is left out, or nothing where it counts']),
    ("left out by a yes", reading(leave_out="true"), ['t.csv:2:leave_out: is no reason: "true"; why the reading is left out, or nothing where it counts']),
    (
        "a whole box without its name",
        reading(operation="whole-box"),
        ["t.csv:2:box: is blank for whole-box; which box or mock-up was timed, the same words each time"],
    ),
    (
        "all in one pass",
        reading(operation="x", seconds="") + reading(date="") + reading(rating="fast"),
        [
            "t.csv:2:operation: is not an operation of the catalog: \"x\"; accepted: mount-box, measure-cut, route-cable, run-raceway, secure-cable, secure-raceway, open-armor, insert-bushing, bond-strip, cut-bare, connector, raceway-connector, pull-conductors, prepare-circuit, prepare-egc, splice-ground, ...",
            "t.csv:2:seconds: is blank; the seconds from start to stop, or a reason in leave_out",
            "t.csv:3:date: is blank; year-month-day, such as 2026-03-02",
            't.csv:4:rating: is not a number: "fast"; digits with a decimal point, no unit and no thousands mark',
        ],
    ),
    ("nothing that counts", reading(leave_out="the watch stopped"), ["t.csv:2:seconds: no row holds a reading that counts; one row each"]),
]  # fmt: skip


@pytest.mark.parametrize(("text", "sentences"), [b[1:] for b in BAD_ROWS], ids=[b[0] for b in BAD_ROWS])
def test_bad_readings_by_their_sentences(times, tmp_path: Path, text: str, sentences: list[str]):
    code, out, errors = run(times(text), "-o", tmp_path / "overlay")
    assert (code, out, errors.splitlines()) == (2, "", sentences)
    assert [p.name for p in tmp_path.iterdir()] == ["t.csv"]


@pytest.mark.parametrize(
    ("head", "sentence"),
    [
        ("date,worker,construction,seconds\n", "t.csv:1:operation: is missing from the header; found: date, worker, construction, seconds"),
        ("date,worker,worker_code,construction,operation,seconds\n", 't.csv:1:worker_code: stands twice in the header: "worker_code"; one column of each name'),
    ],
)  # fmt: skip
def test_bad_headers(times, head: str, sentence: str):
    assert run(times("2026-03-02,W1,W1,ac,open-armor,50\n", head)) == (2, "", sentence + "\n")


def test_bad_options_and_readings_in_one_pass(times):
    path = times(reading(seconds=""))
    given = ("--confidence", "5", "--precision", "0", "--allowance", "nan", "--convention", "day")
    assert run(path, *given)[::2] == (
        2,
        '--confidence: is out of range: "5"; from 50 to 99.9 percent\n'
        '--precision: is out of range: "0"; from 0.1 to 50 percent\n'
        '--allowance: is out of range: "nan"; from 0 to 90 percent\n'
        '--convention: is not a convention: "day"; accepted: share-of-day, share-of-job\n'
        "t.csv:2:seconds: is blank; the seconds from start to stop, or a reason in leave_out\n",
    )


def test_an_empty_file(times):
    assert run(times("", "")) == (2, "", "t.csv: is empty; a header row and one row for each reading\n")


# what is accepted, and what is said of it


def test_aliases_unknown_columns_and_unfilled_lines_are_notices(times):
    path = times(
        "2026-03-02,W1,AC,Open-Armor,50,dusty,rain\n2026-03-02,w1,ac,open-armor,52,,\n,,mc-wire,open-armor,,,\n,Mary,ac,cut-bare,,,\n",
        "Date,Worker,Construction,Operation,Seconds,Remark,weather\n",
    )
    code, out, errors = run(path)
    assert code == 0
    assert errors.splitlines() == [
        'notice: t.csv:1: columns that are not used: "weather"',
        'notice: t.csv:seconds: 2 rows hold neither seconds nor a date and were passed over: "rows 4, 5"',
    ]
    assert "2 readings of 1 worker, 2026-03-02" in out
    assert run(path, "--quiet")[2] == ""


def test_a_code_that_looks_like_a_name_is_a_notice(times):
    assert run(times(reading(worker_code="Person")))[2] == (
        'notice: t.csv:worker_code: looks like a name: "Person"; codes keep readings apart from people\n'
    )


def test_a_workbook_with_real_dates_is_read(tmp_path: Path):
    book = openpyxl.Workbook()
    book.active.append(HEAD.strip().split(","))
    book.active.append([dt.datetime(2026, 3, 2), "W1", "ac", "connector", None, 2, 118.5, 10, None, None, None])
    book.save(tmp_path / "t.xlsx")
    (timing,) = calibrate(CalibrateOptions(tmp_path / "t.xlsx")).timings
    assert timing.observed_s == (118.5 - 10) / 2
    assert timing.readings[0].date == dt.date(2026, 3, 2)


# figures


def test_the_handout_from_file_to_overlay(times, tmp_path: Path):
    """The university handout of test_timestudy, as seconds: 21.5 x 85 % / (1 - 10 %) = 20.31 s = 0.33843 min."""
    path = times(many([20, 23, 19, 18, 24, 25], rating=85))
    code, out, _ = run(path, "-o", tmp_path / "overlay", "--allowance", "10", "--details")
    assert code == 0
    ((key, (minutes, source)),) = minutes_in(tmp_path / "overlay").items()
    assert key == ("connector", "ac")
    assert minutes == pytest.approx(21.5 * 0.85 / 0.9 / 60, abs=5e-6)
    assert source == "time study, n=6, 1 worker, 2026-03-02, rated, allowance 10 % of the day"
    assert "standard = normal / (1 - 0.1), allowance 10 % of the day (share-of-day)" in out


def test_the_quiz_by_the_other_convention(times, tmp_path: Path):
    """The university quiz of test_timestudy: 20 x 120 % x (1 + 20 %) = 28.8 s."""
    path = times(many([27, 19, 20, 21, 13], rating=120))
    code, out, _ = run(path, "-o", tmp_path / "o", "--allowance", "20", "--convention", "share-of-job", "--details")
    assert code == 0
    minutes, source = minutes_in(tmp_path / "o")["connector", "ac"]
    assert minutes == pytest.approx(28.8 / 60)
    assert source.endswith("allowance 20 % of the job")
    assert "standard = normal x (1 + 0.2), allowance 20 % of the job (share-of-job)" in out


def test_count_and_interruptions(times):
    path = times(reading(seconds="190", count="6", interruptions_s="40") + reading(seconds="28"))
    (timing,) = calibrate(CalibrateOptions(path)).timings
    assert [r.seconds_each for r in timing.readings] == [25, 28]


def test_an_outlier_is_flagged_and_kept_and_a_left_out_reading_is_named(times):
    """The readings of NIST/SEMATECH e-Handbook 1.3.5.17.1, see test_timestudy."""
    uranium = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]
    path = times(many(uranium) + reading(seconds="400", leave_out="reel was empty"))
    done = calibrate(CalibrateOptions(path))
    (timing,) = done.timings
    assert [(r.row, round(z, 1)) for r, z in timing.flagged] == [(9, 30.0)]
    assert timing.spread.mean == pytest.approx(np.mean(uranium))
    out = run(path, "--details")[1]
    assert "probably an interruption that was not written down: row 9" in out
    assert "outlier: row 9, ac connector: 245.6 s each, modified z +30.0" in out
    assert "W1" not in out
    assert "left out: row 10, ac connector of 400 s: reel was empty" in out
    assert "Iglewicz and Hoaglin" in out


def test_one_worker_alone_asks_for_others_with_a_fifth_of_the_readings_each(times):
    """Mean 20, sd by scipy; the number is the first whose t interval is within 10 % of the mean, over five workers."""
    seconds = [18.0, 22.0, 19.0, 21.0, 24.0, 16.0]
    done = calibrate(CalibrateOptions(times(many(seconds)), precision_pct=2))
    deviation = stats.tstd(seconds)
    first = next(n for n in range(2, 9999) if stats.t.ppf(0.975, n - 1) * deviation / n**0.5 <= 0.4)
    advice = done.figures[0].advice
    assert (advice.word, advice.workers, advice.each) == ("more workers", 5, min(30, -(-first // 5)))
    assert "more workers, in all: connector 5" in run(times(many(seconds)))[1]


def test_one_reading_has_no_spread_and_calibrates(times, tmp_path: Path):
    code, out, _ = run(times(reading()), "-o", tmp_path / "o", "--details")
    assert code == 0
    assert "connector  ac            1        1      60.0    60.0   -" in out
    assert minutes_in(tmp_path / "o") == {
        ("connector", "ac"): (1.0, "time study, n=1, 1 worker, 2026-03-02, allowance none")
    }
    assert ranges_in(tmp_path / "o") == {}


def test_without_a_folder_nothing_is_written(times, tmp_path: Path):
    code, out, _ = run(times(reading()))
    assert (code, "wrote" in out) == (0, False)
    assert [p.name for p in tmp_path.iterdir()] == ["t.csv"]


# differences


def study(times, first: dict[str, list[float]], second: dict[str, list[float]], **cells: str) -> Calibration:
    text = "".join(many(s, worker_code=w, construction="ac", **cells) for w, s in first.items())
    text += "".join(many(s, worker_code=w, construction="mc-wire", **cells) for w, s in second.items())
    return calibrate(CalibrateOptions(times(text)))


def test_the_same_workers_are_paired(times):
    """Student's sleep data, raised to be times; scipy and the printed t 4.0621 as in test_timestudy."""
    one = [10.7, 8.4, 9.8, 8.8, 9.9, 13.4, 13.7, 10.8, 10.0, 12.0]
    two = [11.9, 10.8, 11.1, 10.1, 9.9, 14.4, 15.5, 11.6, 14.6, 13.4]
    first, second = ({f"W{n}": [s] for n, s in enumerate(t)} for t in (one, two))
    (found,) = study(times, first, second).comparisons
    assert found.unit == "pairs"
    assert found.difference
    assert found.difference.t == pytest.approx(4.0621, abs=5e-5)
    assert found.difference.shown


def test_other_workers_are_not_paired(times):
    """NIST/SEMATECH e-Handbook 7.3.1 with a worker for each time: Welch, t 2.269."""
    old, new = [32, 37, 35, 28, 41, 44, 35, 31, 34, 38, 42], [36, 31, 30, 31, 34, 36, 29, 32, 31]
    first = {f"A{n}": [float(s)] for n, s in enumerate(old)}
    second = {f"B{n}": [float(s)] for n, s in enumerate(new)}
    (found,) = study(times, first, second, operation="whole-box", box="device").comparisons
    assert (found.unit, found.first.name) == ("workers", "whole-box: device")
    assert found.difference
    assert -found.difference.t == pytest.approx(2.269, abs=0.001)


def test_pairs_are_means_of_workers_and_leave_out_who_did_one_only(times):
    first = {"W1": [50, 54], "W2": [60, 62, 64], "W3": [45], "W9": [10]}
    second = {"W1": [48], "W2": [57, 61], "W3": [45, 43]}
    (found,) = study(times, first, second).comparisons
    assert (found.unit, found.aside) == ("pairs", ["W9"])
    wanted = stats.ttest_rel([48, 59, 44], [52, 62, 45])
    assert found.difference
    assert (found.difference.t, found.difference.p) == pytest.approx((wanted.statistic, wanted.pvalue))


def test_one_worker_alone_is_tested_on_readings_and_the_report_says_so(times):
    done = study(times, {"W1": [50, 54, 52]}, {"W1": [40, 41, 39]})
    (found,) = done.comparisons
    assert found.unit == "readings"
    wanted = stats.ttest_ind([40, 41, 39], [50, 54, 52], equal_var=False)
    assert found.difference
    assert found.difference.p == pytest.approx(wanted.pvalue)
    out = run(done.options.times, "--details")[1]
    assert "a test on readings speaks of the workers who were timed, not of others" in out
    assert "a difference: mc-wire is faster" in out


def test_a_difference_that_is_not_shown_is_called_so(times):
    done = study(times, {"W1": [50], "W2": [60], "W3": [55]}, {"W1": [52], "W2": [57], "W3": [56]})
    out = run(done.options.times, "--details")[1]
    assert "no difference shown, so one figure for all: connector" in out
    assert "is faster" not in out


def test_what_cannot_be_tested_says_why(times):
    assert study(times, {"W1": [50]}, {"W1": [40]}).comparisons[0].why == "one reading is not enough"
    same = study(times, {"W1": [50], "W2": [60]}, {"W1": [45], "W2": [55]})
    assert same.comparisons[0].why == "every pair differs by the same"


def test_only_the_same_work_is_compared(times):
    text = reading() + reading(construction="mc-wire", operation="open-armor") + reading(construction="all")
    text += reading(operation="whole-box", box="A") + reading(operation="whole-box", box="B", construction="mc-wire")
    assert calibrate(CalibrateOptions(times(text))).comparisons == []


# the overlay


def test_an_overlay_lies_over_older_rows_and_leaves_the_others(times, tmp_path: Path):
    folder = tmp_path / "catalogs"
    CliRunner().invoke(app, ["new", str(tmp_path / "job")])
    (tmp_path / "job" / "catalogs").rename(folder)
    before = (folder / "operations.csv").read_text(encoding="utf-8").splitlines()
    path = times(many([50, 55], operation="mount-box", construction="all") + reading())
    code, out, _ = run(path, "-o", folder)
    assert code == 0
    after = (folder / "operations.csv").read_text(encoding="utf-8").splitlines()
    assert len(after) == len(before) + 1
    assert [line for line in after if line not in before] == [
        'mount-box,all,"mount the box, ring and cover",boxes,0.875,1,"time study, n=2, 1 worker, 2026-03-02, allowance none"',
        'connector,ac,"knockout, connector, seat, tighten, locknut",armor_ends,1,9,"time study, n=1, 1 worker, 2026-03-02, allowance none"',
    ]
    names = [str(folder / f"{name}.csv") for name in ("operations", "minute_ranges", "learning")]
    wrote = f"wrote {names[0]}, {names[1]} and {names[2]}, {len(before) - 2} rows kept"
    assert wrote in out
    assert run(path, "-o", folder)[0] == 0
    assert (folder / "operations.csv").read_text(encoding="utf-8").splitlines() == after


def test_an_older_file_of_few_columns_gets_those_it_lacks(times, tmp_path: Path):
    folder = tmp_path / "mine"
    folder.mkdir()
    (folder / "operations.csv").write_text("Operation;Construction;Minutes\nconnector;all;2\n", encoding="utf-8")
    assert run(times(reading()), "-o", folder)[0] == 0
    found = minutes_in(folder)
    assert found["connector", "all"] == (2, "")
    assert found["connector", "ac"][0] == 1


def test_operations_and_constructions_of_the_user(times, tmp_path: Path):
    own = tmp_path / "own"
    own.mkdir()
    (own / "operations.csv").write_text(
        "operation,construction,title,driver,minutes,step\nlabel-box,all,write the label,boxes,0.4,19\n",
        encoding="utf-8",
    )
    path = times(many([30, 36], operation="label-box", construction="all"))
    assert run(path)[0] == 2
    assert run(path, "-o", own)[0] == 0
    assert minutes_in(own)["label-box", "all"][0] == pytest.approx(33 / 60)
    assert run(path, "--catalogs", own, "-o", tmp_path / "other")[0] == 0
    assert compute(Options(SAMPLES / "small.csv", tmp_path / "other")).catalogs["operations"]["label-box|all"]


@pytest.mark.parametrize(
    ("target", "sentence"),
    [
        ("t.csv", "{}/t.csv: is not a folder; give a folder for the catalog rows"),
        ("no/overlay", "{}/no/overlay: lies in a folder that does not exist; make the folder first"),
        (".", "{}/t.csv: lies in the folder that is to be written; another folder for -o: build takes every table there for a catalog"),
    ],
)  # fmt: skip
def test_folders_that_cannot_be_written(times, tmp_path: Path, target: str, sentence: str):
    path = times(reading())
    assert run(path, "-o", tmp_path / target) == (2, "", sentence.format(tmp_path) + "\n")
    assert [p.name for p in tmp_path.iterdir()] == ["t.csv"]


def test_a_folder_that_build_would_not_accept_stays_as_it_is(times, tmp_path: Path):
    folder = tmp_path / "mine"
    folder.mkdir()
    (folder / "prices.csv").write_text("item,price_usd\nac-14-2,cheap\n", encoding="utf-8")
    code, _, errors = run(times(reading()), "-o", folder)
    assert code == 2
    assert errors.startswith('prices.csv:2:price_usd: is not accepted: "cheap"')
    assert [p.name for p in folder.iterdir()] == ["prices.csv"]


def test_an_interrupted_run_leaves_the_old_file(times, tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    folder = tmp_path / "o"
    assert run(times(reading()), "-o", folder)[0] == 0
    old = (folder / "operations.csv").read_text(encoding="utf-8")

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("takeoff.text.transaction.tempfile.mkstemp", full)
    monkeypatch.setattr("takeoff.study.calibrate.prove_overlay", lambda *_: None)
    code, _, errors = run(times(reading(seconds=90)), "-o", folder)
    assert (code, errors) == (
        2,
        f"{folder / 'operations.csv'}: cannot be written (No space left on device); "
        "free some space, or give another place\n",
    )
    assert (folder / "operations.csv").read_text(encoding="utf-8") == old
    assert run(times(reading()), "-o", tmp_path / "new")[0] == 2
    assert not (tmp_path / "new").exists()


# the sample moves the comparison


def sample_readings() -> dict[tuple[str, str], list[float]]:
    """Return the normal seconds for one of the sample, read by this test itself."""
    found: dict[tuple[str, str], list[float]] = {}
    with TIMES.open(encoding="utf-8") as file:
        for r in csv.DictReader(file):
            if not r["leave_out"] and r["operation"] != "whole-box":
                each = (float(r["seconds"]) - float(r["interruptions_s"] or 0)) / float(r["count"])
                found.setdefault((r["operation"], r["construction"]), []).append(each * float(r["rating"] or 100) / 100)
    return found


def pooled() -> dict[tuple[str, str], list[float]]:
    """Return the readings of the sample, those of all constructions together: it shows no difference in any operation.

    A connector was timed nine times in one construction, ten times in the others: the mean of all weighs workers, not
    readings alike, and differs from the plain one by less than a thousandth.
    """
    found = sample_readings()
    together: dict[str, list[float]] = {}
    for (operation, _), seconds in found.items():
        together.setdefault(operation, []).extend(seconds)
    return {key: together[key[0]] for key in found}


def labor_hours(build: Build) -> dict[str, float]:
    return {name: totals["labor_hours"] for name, totals in results_of(build)["plans"].items()}


def test_every_reading_of_the_sample_is_marked_synthetic():
    with TIMES.open(encoding="utf-8") as file:
        readings = list(csv.DictReader(file))
    assert {r["note"] for r in readings} == {"synthetic, made for the demonstration"}
    assert {r["construction"] for r in readings} == {"ac", "mc-wire", "mc-armor"}
    assert len({r["worker_code"] for r in readings}) >= 3


def test_the_sample_moves_the_comparison_as_its_minutes_do(tmp_path: Path):
    """Hours move by quantity x change of minutes / 60, with the minutes computed here from the readings."""
    code, _, _ = run(TIMES, "-o", tmp_path / "o", "--allowance", "15")
    assert code == 0
    names = "ac-first,mc-wire-first,mc-armor-first"
    before = compute(Options(SAMPLES / "small.csv", plans=names))
    after = compute(Options(SAMPLES / "small.csv", tmp_path / "o", plans=names))
    measured = {key: float(np.mean(each)) / (1 - 0.15) / 60 for key, each in pooled().items()}
    change = dict.fromkeys(names.split(","), 0.0)
    drivers = {(r["operation"], r["construction"]): (r["driver"], r["minutes_each"]) for r in rows(before, "steps")}
    for counted in rows(before, "mix"):
        for operation, construction in drivers:
            minutes = measured.get((operation, construction))
            if minutes is not None and construction == counted["wired_as"]:
                driver, shipped = drivers[operation, construction]
                change[counted["plan"]] += counted[driver] * (minutes - shipped) / 60
    was, now = labor_hours(before), labor_hours(after)
    for name in change:
        assert abs(change[name]) > 0.05
        assert now[name] - was[name] == pytest.approx(change[name], abs=3e-3)
    apart = {
        name: round(now[name] - now["ac-first"], 3) != round(was[name] - was["ac-first"], 3)
        for name in ("mc-wire-first", "mc-armor-first")
    }
    assert all(apart.values())


def test_minutes_from_made_up_readings_stay_marked_in_the_workbook(tmp_path: Path):
    run(TIMES, "-o", tmp_path / "o")
    sources = [source for _, source in minutes_in(tmp_path / "o").values()]
    assert all(s.startswith("illustrative, ") and "time study, n=" in s for s in sources)
    build = compute(Options(SAMPLES / "small.csv", tmp_path / "o"))
    steps = {s["key"]: s["invented"] for s in rows(build, "steps")}
    assert steps["connector|ac"] == 1


def test_measured_minutes_lose_the_mark(times, tmp_path: Path):
    run(times(many([50, 55], construction="ac")), "-o", tmp_path / "o")
    build = compute(Options(SAMPLES / "small.csv", tmp_path / "o", plans="ac-first,mc-wire-first"))
    steps = {s["key"]: s["invented"] for s in rows(build, "steps")}
    assert (steps["connector|ac"], steps["connector|mc-wire"]) == (0, 1)
