"""All files of a command as one: old or new and nothing beside, whatever stops it; rights kept, nobody's file taken."""

from __future__ import annotations

import fcntl
import os
import resource
import signal
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from typer.testing import CliRunner

from takeoff.cli import app
from takeoff.text.interrupts import WRITTEN, Interrupted, held_off, interruptible
from takeoff.text.problems import InputError
from takeoff.text.transaction import Transaction, sweep
from tests.attack.interrupts import NAMES, SCHEDULE, SIGNALS, Child, arguments, attack, contents
from tests.conftest import SAMPLES

NOBODY = 65534


@pytest.fixture
def place() -> Iterator[Path]:
    """Return a folder that other users may enter."""
    with tempfile.TemporaryDirectory() as name:
        Path(name).chmod(0o755)
        yield Path(name)


def run(*given: object) -> tuple[int, str]:
    done = CliRunner().invoke(app, [str(g) for g in given])
    return done.exit_code, done.stderr


@pytest.mark.parametrize("number", SIGNALS)
def test_builds_cut_at_random_moments(place: Path, number: int):
    attack(place, number, 3)


def test_two_builds_to_one_target(place: Path):
    (place / "s.csv").write_text(SCHEDULE)
    folder = place / "both"
    folder.mkdir()
    children = [
        Child(folder, place / f"{n}.said", arguments(folder, schedule))
        for n, schedule in enumerate((place / "s.csv", SAMPLES / "small.csv"))
    ]
    assert [child.wait() for child in children] == [0, 0]
    both = contents(folder)
    alone = []
    for name, schedule in (("a", place / "s.csv"), ("b", SAMPLES / "small.csv")):
        (place / name).mkdir()
        assert Child(place / name, place / "said", arguments(place / name, schedule)).wait() == 0
        alone.append(contents(place / name))
    assert set(both) == set(alone[0])
    assert all(content in (alone[0][name], alone[1][name]) for name, content in both.items())


@pytest.mark.parametrize("limit", [2_000, 20_000, 150_000])
def test_a_full_disk_leaves_the_old_files_and_names_the_one_that_failed(place: Path, limit: int):
    """A limit on the size of a file stands for a disk that is full."""
    folder = place / "job"
    folder.mkdir()
    (place / "s.csv").write_text(SCHEDULE)
    assert Child(folder, place / "said", arguments(folder, place / "s.csv")).wait() == 0
    old = contents(folder)
    (place / "said").touch()
    child = Child(
        folder,
        place / "pipe",
        [*arguments(folder), "--replace"],
        lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit)),
    )
    assert child.wait() == 2
    assert contents(folder) == old
    said = (place / "pipe").read_text()
    told = [n for n in NAMES if said.startswith(f"{folder / n}: cannot be written (File too large); free some space")]
    assert told == (["o.json"] if limit < 150_000 else told[:1])
    assert len(told) == 1


@pytest.mark.parametrize("command", ["new", "calibrate", "observe", "order"])
def test_a_full_disk_leaves_nothing_of_any_command_and_lets_it_be_tried_again(place: Path, command: str):
    given = {
        "new": ["new", place / "job"],
        "calibrate": ["calibrate", SAMPLES / "times.csv", "-o", place / "job"],
        "observe": ["observe", SAMPLES / "small.csv", "-o", place / "o.xlsx"],
        "order": ["build", SAMPLES / "small.csv", "-o", place / "o.xlsx", "--order", place / "job"],
    }[command]
    before = contents(place)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            "takeoff.text.transaction.os.fsync", lambda _: (_ for _ in ()).throw(OSError(28, "No space left"))
        )
        code, said = run(*given)
    assert (code, "cannot be written (No space left)" in said) == (2, True)
    assert contents(place) == before
    assert list(place.iterdir()) == []
    assert run(*given)[0] == 0


@pytest.mark.skipif(os.geteuid() != 0, reason="only root may become nobody")
def test_a_folder_that_may_not_be_written_to(place: Path):
    (place / "job").mkdir()
    said = place / "said"
    said.touch()
    said.chmod(0o666)
    given = ["build", str(place / "s.csv"), "-o", str(place / "job" / "o.xlsx")]
    (place / "s.csv").write_text(SCHEDULE)
    assert Child(place, said, given, lambda: os.setuid(NOBODY)).wait() == 2
    assert said.read_text() == (
        f"{place / 'job' / 'o.xlsx'}: lies in a folder that may not be written to; give another place\n"
    )


@pytest.mark.skipif(os.geteuid() != 0, reason="only root may become nobody")
@pytest.mark.parametrize("option", ["-o", "--json", "--order", "--catalogs", "--inputs", "schedule"])
def test_a_folder_that_may_not_be_entered(place: Path, option: str):
    (place / "closed" / "job").mkdir(parents=True)
    (place / "closed").chmod(0o700)
    (place / "s.csv").write_text(SCHEDULE)
    (place / "said").touch()
    (place / "said").chmod(0o666)
    inside = place / "closed" / "job" / "o.xlsx"
    schedule = inside if option == "schedule" else place / "s.csv"
    given = ["build", schedule, "-o", "/dev/shm/takeoff-none.xlsx", *([option, inside] if option != "schedule" else [])]
    assert Child(place, place / "said", [str(g) for g in given], lambda: os.setuid(NOBODY)).wait() == 2
    assert "Traceback" not in (place / "said").read_text()
    assert str(place / "closed") in (place / "said").read_text()


def test_rights_of_a_file_stay_when_it_is_replaced(tmp_path: Path):
    given = ["build", SAMPLES / "small.csv", "-o", tmp_path / "o.xlsx", "--json", tmp_path / "o.json"]
    assert run(*given)[0] == 0
    (tmp_path / "o.xlsx").chmod(0o600)
    (tmp_path / "o.json").chmod(0o640)
    assert run(*given)[0] == 0
    assert [stat.S_IMODE((tmp_path / n).stat().st_mode) for n in ("o.xlsx", "o.json")] == [0o600, 0o640]


@pytest.mark.parametrize(
    ("option", "name", "content"),
    [
        ("--order", "job/order.csv", b"po,vendor\n1,x\n"),
        ("--order", "job/cuts.csv", b"mine"),
        ("--json", "o.json", b'{"mine": 1}'),
        ("--columns", "c.csv", b"sheet,mine\n"),
        ("-o", "o.xlsx", b"PK\x03\x04 of somebody else"),
        ("-o", "o.xlsx", b"a text"),
    ],
)
def test_files_of_somebody_else_are_not_overwritten(tmp_path: Path, option: str, name: str, content: bytes):
    target = tmp_path / name
    target.parent.mkdir(exist_ok=True)
    target.write_bytes(content)
    given = target.parent if option == "--order" else target
    more = [] if option == "-o" else [option, given]
    code, said = run("build", SAMPLES / "small.csv", "-o", tmp_path / "o.xlsx", *more)
    assert (code, said) == (
        2,
        f"{target}: is there and was not written by this tool; give another name, or move it away\n",
    )
    assert contents(tmp_path) == {name: content}


def test_an_expanded_schedule_takes_the_place_of_no_schedule(tmp_path: Path):
    target = tmp_path / "mine.csv"
    target.write_text(SCHEDULE)
    code, said = run("check", SAMPLES / "small.csv", "--expanded", target)
    assert (code, target.read_text()) == (2, SCHEDULE)
    assert said == f"{target}: is there, and may be a schedule of your own; give another name, or move it away\n"


def test_a_form_that_cannot_be_written_leaves_no_starter_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("takeoff.workbook.pages.form.save", full)
    code, said = run("new", tmp_path / "job")
    assert (code, contents(tmp_path)) == (2, {})
    assert said.startswith(f"{tmp_path / 'job' / 'schedule.xlsx'}: cannot be written (No space left on device)")
    assert not (tmp_path / "job").exists()


def test_what_a_killed_command_left_is_swept_and_what_another_writes_is_not(tmp_path: Path):
    left, busy, own = (tmp_path / n for n in (".takeoff-left.part", ".takeoff-busy.part", ".takeoff-own.txt"))
    for path in (left, busy, own):
        path.write_text("x")
    with busy.open("rb+") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        sweep(tmp_path)
    assert sorted(tmp_path.iterdir()) == [busy, own]


def test_a_link_that_lies_where_files_are_swept_is_not_followed(tmp_path: Path):
    (tmp_path / "mine.txt").write_text("x")
    (tmp_path / ".takeoff-x.part").symlink_to(tmp_path / "mine.txt")
    sweep(tmp_path)
    assert (tmp_path / "mine.txt").read_text() == "x"


def test_a_failing_move_says_what_was_written_before(tmp_path: Path):
    (tmp_path / "b").mkdir()

    def write() -> None:
        with Transaction() as files:
            files.write_text(tmp_path / "a", "new")
            files.write_text(tmp_path / "b", "new")

    with pytest.raises(InputError) as wrong:
        write()
    assert str(wrong.value) == (
        f"{tmp_path / 'b'}: cannot be written (Is a directory); written before it: a; "
        "free some space, or give another place"
    )
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a", "b"]


def test_folders_made_for_nothing_go_again(tmp_path: Path):

    def write() -> None:
        with Transaction() as files:
            files.folder(tmp_path / "a" / "b")
            files.write_text(tmp_path / "a" / "b" / "c", "x")
            raise RuntimeError

    with pytest.raises(RuntimeError):
        write()
    assert list(tmp_path.iterdir()) == []


def test_a_signal_is_held_off_until_files_have_moved_and_says_so():
    steps = []

    def step() -> None:
        with interruptible():
            with held_off(WRITTEN):
                signal.raise_signal(signal.SIGTERM)
                steps.append("moved")
            steps.append("not reached")

    with pytest.raises(Interrupted) as stopped:
        step()
    assert (steps, stopped.value.name, stopped.value.said) == (["moved"], "SIGTERM", WRITTEN)


def test_a_signal_that_is_ignored_stays_so():
    before = signal.signal(signal.SIGHUP, signal.SIG_IGN)
    try:
        with interruptible():
            signal.raise_signal(signal.SIGHUP)
    finally:
        signal.signal(signal.SIGHUP, before)


@pytest.mark.parametrize("option", ["-o", "--json", "--order", "--columns", "--inputs", "--catalogs", "--quote"])
@pytest.mark.parametrize("kind", ["circle", "long name"])
def test_paths_that_the_system_refuses(tmp_path: Path, option: str, kind: str):
    path = tmp_path / ("n" * 300 + ".xlsx")
    if kind == "circle":
        path = tmp_path / "x.xlsx"
        path.symlink_to(path)
    more = [] if option == "-o" else ["-o", tmp_path / "o.xlsx"]
    code, said = run("build", SAMPLES / "small.csv", option, path, *more)
    assert (code, said.count("\n")) == (2, 1), said
    assert said.startswith((str(tmp_path), path.name))


@pytest.mark.parametrize("kind", ["circle", "long name"])
@pytest.mark.parametrize("command", ["check", "new", "calibrate", "calibrate -o", "observe"])
def test_paths_that_the_system_refuses_on_other_commands(tmp_path: Path, command: str, kind: str):
    path = tmp_path / ("n" * 300 + ".csv")
    if kind == "circle":
        path = tmp_path / "x.csv"
        path.symlink_to(path)
    given = {
        "check": ["check", path],
        "new": ["new", path],
        "calibrate": ["calibrate", path],
        "calibrate -o": ["calibrate", SAMPLES / "times.csv", "-o", path],
        "observe": ["observe", SAMPLES / "small.csv", "-o", path],
    }[command]
    code, said = run(*given)
    assert (code, said.count("\n")) == (2, 1), said
