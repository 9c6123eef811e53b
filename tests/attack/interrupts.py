"""Builds cut at random moments: `python -m tests.attack.interrupts 100` tries each signal so often.

A build runs in a child that has loaded everything, so that the moments fall on its own work. Afterwards each file is
the old one or the new one, byte by byte, and nothing lies beside it; what KILL leaves is swept by the next build.
"""

from __future__ import annotations

import os
import random
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

import takeoff.build
import takeoff.report.output
import takeoff.report.totals
from takeoff.cli import app
from tests.conftest import SAMPLES

SIGNALS = (signal.SIGINT, signal.SIGTERM, signal.SIGKILL)
NAMES = ("o.xlsx", "o.json", "columns.csv", "order/order.csv", "order/cuts.csv")
SCHEDULE = "box,circuit,device,run_ft\nB1,P-1,duplex,20\nB2,P-1,duplex,12\n"
LOADED = (takeoff.build, takeoff.report.output, takeoff.report.totals)
"""Before the children are made, so that they need not load it."""


def arguments(folder: Path, schedule: Path = SAMPLES / "small.csv") -> list[str]:
    """Return a build that writes every kind of file, as arguments."""
    targets = {"-o": "o.xlsx", "--json": "o.json", "--columns": "columns.csv", "--order": "order"}
    return ["build", str(schedule), *(text for key, name in targets.items() for text in (key, str(folder / name)))]


@dataclass
class Child:
    """A build in a child process, with what it says in a file."""

    folder: Path
    said: Path
    arguments: list[str]
    before: Callable[[], object] = lambda: None
    pid: int = field(init=False)

    def __post_init__(self) -> None:
        self.pid = os.fork()
        if self.pid:
            return
        code = 99
        try:
            out = os.open(self.said, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            os.dup2(out, 1)
            os.dup2(out, 2)
            sys.stdout, sys.stderr = open(1, "w", closefd=False), open(2, "w", closefd=False)  # noqa: SIM115
            signal.signal(signal.SIGINT, signal.default_int_handler)  # which is ignored behind a `&` of the shell
            self.before()
            app(self.arguments)
        except SystemExit as leave:
            code = leave.code if isinstance(leave.code, int) else 1
        finally:
            with suppress(OSError):
                sys.stdout.flush()
                sys.stderr.flush()
            os._exit(code)

    def wait(self) -> int:
        """Return the exit code, or the signal that ended it as a negative number."""
        return os.waitstatus_to_exitcode(os.waitpid(self.pid, 0)[1])


def contents(folder: Path) -> dict[str, bytes]:
    """Return every file of a folder."""
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def written(folder: Path, schedule: Path) -> dict[str, bytes]:
    """Return what an uncut build writes."""
    folder.mkdir()
    assert Child(folder, folder.with_suffix(".said"), arguments(folder, schedule)).wait() == 0
    return contents(folder)


def attack(place: Path, number: int, tries: int, seed: int = 1) -> Counter[str]:
    """Cut builds with one signal and return how often the old files, the new ones or both stood there after.

    Raises
    ------
    AssertionError
        A file is neither the old one nor the new one, something lies beside it, or what was said is wrong.
    """
    pick = random.Random(seed + number)
    (place / "old.csv").write_text(SCHEDULE)
    old = written(place / f"old-{number}", place / "old.csv")
    new = written(place / f"new-{number}", SAMPLES / "small.csv")
    found: Counter[str] = Counter()
    folder, said = place / f"cut-{number}", place / f"cut-{number}.said"
    folder.mkdir()

    def over_old() -> Child:
        """Return a build over the old files, which it reads first: were they changed by hand."""
        (folder / "order").mkdir(exist_ok=True)
        for name, content in old.items():
            (folder / name).write_bytes(content)
        return Child(folder, said, arguments(folder))

    started = time.perf_counter()
    assert over_old().wait() == 0
    lasts = time.perf_counter() - started
    for _ in range(tries):
        child = over_old()
        time.sleep(pick.uniform(0, lasts * 1.1))
        os.kill(child.pid, number)
        code, text = child.wait(), said.read_text()
        now = contents(folder)
        left = [name for name in now if name not in old]
        states = {
            name: "new" if now[name] == new[name] else "old" if now[name] == old[name] else "torn" for name in NAMES
        }
        state = "/".join(sorted(set(states.values())))
        assert "torn" not in state, states
        # what comes while the library of commands reads the arguments is swallowed by its compiled part: all is written
        swallowed = text.startswith("Exception ignored in") and (code, state) == (0, "new")
        assert swallowed or "Traceback" not in text, text
        assert code in ((0, -number) if number == signal.SIGKILL else (0, 1, 130, -number)), (code, text)
        assert not left or number == signal.SIGKILL, left
        assert state in ("old", "new") or number == signal.SIGKILL, states
        if "nothing was written" in text:
            assert state == "old"
        if "were written before" in text or code == 0:
            assert state == "new"
        found[state] += 1
        found["swallowed"] += swallowed
        found["left"] += len(left)
    assert Child(folder, said, arguments(folder)).wait() == 0
    assert contents(folder) == new
    return found


def main() -> None:
    """Try each signal so often as the command line says."""
    tries = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    with tempfile.TemporaryDirectory() as name:
        for number in SIGNALS:
            found = attack(Path(name), number, tries)
            shown = ", ".join(f"{what} {count}" for what, count in found.items())
            print(f"{signal.Signals(number).name}: {tries} tries: {shown}")


if __name__ == "__main__":
    main()
