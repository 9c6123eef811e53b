"""Extreme, empty and contradictory studies: exit 0 or 2 with sentences, no traceback, no warning of a library."""

from __future__ import annotations

import io
import tempfile
import warnings
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from takeoff.cli import app

HEAD = "date,worker_code,crew,period,construction,operation,box,count,seconds,interruptions_s,leave_out\n"


def run(path: Path, *arguments: str) -> tuple[int, str, str]:
    """Return what calibrate says; a warning of a library fails, as it would stand on the screen."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        done = CliRunner().invoke(app, ["calibrate", str(path), "--details", *arguments])
    assert "Traceback" not in done.output
    assert "error of the tool" not in done.output
    return done.exit_code, done.stdout, done.stderr


def line(seconds: object, worker: str = "W1", **cells: object) -> str:
    values = {"date": "2026-03-02", "worker_code": worker, "construction": "ac", "operation": "connector"}
    values |= {"seconds": str(seconds)} | {k: str(v) for k, v in cells.items()}
    return ",".join(values.get(name, "") for name in HEAD.strip().split(",")) + "\n"


SAME = "".join(line(60, f"W{w}", construction=c) for w in range(4) for c in ("ac", "mc-wire") for _ in range(3))
HARD = {
    "the same time throughout": SAME,
    "one other in many alike": SAME + line(60.0000001),
    "a tenth of a second and a day": "".join(line(s, f"W{n % 3}") for n, s in enumerate([0.1, 86400] * 6)),
    "a thousandfold within each worker": "".join(line(s, f"W{w}") for w in range(3) for s in (1, 1000, 86400)),
    "one worker without a spread, others with": line(5, "A") * 5 + line(5, "B") + line(9, "B") + line(7, "C"),
    "a worker for each reading": "".join(line(30 + n, f"W{n}") for n in range(40)),
    "before only": "".join(line(30 + n, f"W{n}", period="before") for n in range(4)),
    "before, after and neither": "".join(
        line(30 + n, f"W{n}", period=p) for n in range(3) for p in ("before", "after", "")
    ),
    "crews on some lines": "".join(
        line(30 + n, f"W{n}", period=p, crew="c" * (n % 2)) for n in range(4) for p in ("before", "after")
    ),
    "for all constructions and for one": "".join(
        line(30 + n, f"W{n}", construction=c) for n in range(3) for c in ("all", "ac")
    ),
    "dates out of order, centuries apart": "".join(
        line(30 + n, "W1", date=d) for n, d in enumerate(["2026-03-02", "1900-01-01", "2999-12-31", "0001-01-01"] * 3)
    ),
    "tiny parts of one": "".join(line(3, f"W{n}", count=c) for n in range(3) for c in (0.01, 250)),
}


@pytest.mark.parametrize("name", HARD)
def test_hard_studies_are_calibrated(name: str, tmp_path: Path):
    path = tmp_path / "t.csv"
    path.write_text(HEAD + HARD[name], encoding="utf-8")
    code, out, errors = run(path, "-o", str(tmp_path / "o"))
    assert (code, errors) == (0, "")
    assert "nan" not in out
    assert "inf" not in out.replace("information", "")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (line(60, period="later"), 't.csv:2:period: is not known: "later"; before or after a change, or nothing'),
        (
            line(60, leave_out="4: the watch stopped"),
            't.csv:2:leave_out: names a reading that is not there: "4: the watch stopped"; the number of a time',
        ),
        (line("1:05", interruptions_s="1:05"), 't.csv:2:interruptions_s: is not less than the seconds: "1:05"; under 65; it is taken off'),
        (line("1:05:99"), 't.csv:2:seconds: is not a time: "1:05:99"; seconds such as 65 or 65.5, or 1:05, 1m05s, 1 min 5 s'),
        (line("9" * 300), 't.csv:2:seconds: is not a time: "' + "9" * 57 + '..."; seconds such as 65 or 65.5, or 1:05, 1m05s, 1 min 5 s'),
        (line(60, crew="c" * 41), 't.csv:2:crew: is too long: "' + "c" * 41 + '"; at most 40 characters'),
        ("", "t.csv:2:seconds: no row holds a reading that counts; one row each"),
    ],
)  # fmt: skip
def test_what_contradicts_itself_is_a_sentence(tmp_path: Path, text: str, sentence: str):
    path = tmp_path / "t.csv"
    path.write_text(HEAD + text, encoding="utf-8")
    assert run(path, "-o", str(tmp_path / "o")) == (2, "", sentence + "\n")
    assert [p.name for p in tmp_path.iterdir()] == ["t.csv"]


def test_several_times_on_a_line_beside_one(tmp_path: Path):
    path = tmp_path / "t.csv"
    path.write_text(
        "date,worker,construction,work,seconds,time 1,less 1,time 2,time 9\n"
        "2026-03-02,W1,ac,connector,60,,,,\n2026-03-02,W1,ac,connector,,50,5,1:10,\n2026-03-02,W2,ac,connector,40,41,,,42\n",
        encoding="utf-8",
    )
    assert "6 readings of 2 workers" in run(path)[1]


def test_an_interruption_without_its_time_is_asked_for(tmp_path: Path):
    path = tmp_path / "t.csv"
    path.write_text(
        "date,worker,construction,work,time 1,less 1,time 2,less 2\n2026-03-02,W1,ac,connector,50,,,5\n",
        encoding="utf-8",
    )
    assert run(path)[2] == "t.csv:2:seconds_2: is blank; the seconds from start to stop, or a reason in leave_out\n"


def test_sheets_of_two_workers_where_one_has_another_layout(tmp_path: Path):
    """A second sheet with the headings in the first row, the labels gone: read by its headings all the same."""
    book = openpyxl.Workbook()
    first, second = book.active, book.create_sheet("more")
    for row in (
        ["Worker:", "W1", "Date:", "2026-03-02"],
        [],
        ["construction", "work", "time 1"],
        ["ac", "connector", "1:05"],
    ):
        first.append(row)
    for row in (["construction", "work", "time 1", "worker", "date"], ["ac", "connector", 70, "W2", "2026-03-03"]):
        second.append(row)
    out = io.BytesIO()
    book.save(out)
    (tmp_path / "t.xlsx").write_bytes(out.getvalue())
    code, said, errors = run(tmp_path / "t.xlsx")
    assert (code, errors) == (0, "")
    assert "2 readings of 2 workers, 2026-03-02 to 2026-03-03" in said


readings = st.tuples(
    st.one_of(
        st.floats(0.1, 86_400).map(lambda s: f"{s:.4f}"), st.sampled_from(["60", "0:07", "1m05s", "1440:00", "x", ""])
    ),
    st.sampled_from(["W1", "W2", "W3", "a"]),
    st.sampled_from(["ac", "mc-wire", "mc-armor", "all"]),
    st.sampled_from(["", "before", "after"]),
    st.sampled_from(["", "c1", "c2"]),
    st.sampled_from(["2026-03-02", "2026-03-03", "2026-03-09", "2027-01-01"]),
    st.sampled_from(["", "1", "4", "0.5"]),
)


@given(st.lists(readings, max_size=25))
@settings(max_examples=25, deadline=None)
def test_made_up_studies_end_with_0_or_2(made: list[tuple[str, ...]]):
    text = "".join(line(s, w, construction=c, period=p, crew=crew, date=d, count=n) for s, w, c, p, crew, d, n in made)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "t.csv"
        path.write_text(HEAD + text, encoding="utf-8")
        code, out, errors = run(path, "-o", str(Path(folder) / "o"))
        assert code in (0, 2)
        assert (code == 2) == (": " in errors and not out)
        assert not (code == 2 and (Path(folder) / "o").exists())
