"""Signals that end a command: raised, so that what was begun is cleared away, and held off while files move."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

_NAMES = ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK")
"""Not every system has all of them."""

NOTHING = "nothing was written; what was there is as it was"
WRITTEN = "the files were written before"


class Interrupted(BaseException):
    """The user or the system ended the command; `said` is what became of the files."""

    def __init__(self, number: int, said: str) -> None:
        self.name, self.said = signal.Signals(number).name, said
        super().__init__(self.name)


class _Stop:
    """Raises Interrupted; what it says changes when files are written."""

    def __init__(self, said: str) -> None:
        self.said = said

    def __call__(self, number: int, _: FrameType | None) -> None:
        raise Interrupted(number, self.said)


@contextmanager
def interruptible(said: str = NOTHING) -> Iterator[None]:
    """Raise Interrupted where a signal ends the command; one that is ignored, as behind nohup, stays so.

    Parameters
    ----------
    said
        What became of the files up to here.
    """
    with _handled(_Stop(said)):
        yield


@contextmanager
def held_off(said: str = "") -> Iterator[None]:
    """Hold signals off until the end of a step that must not be cut; they come then.

    Parameters
    ----------
    said
        What became of the files when the step is done, where it changes that.
    """
    came: list[int] = []
    with _handled(lambda number, _: came.append(number)) as before:
        yield
        for stop in before:
            if isinstance(stop, _Stop) and said:
                stop.said = said
    for number in came[:1]:
        signal.raise_signal(number)


@contextmanager
def _handled(handler: Callable[[int, FrameType | None], object]) -> Iterator[list[object]]:
    """Put a handler in place of those of the signals, and give these."""
    before: dict[int, object] = {}
    if threading.current_thread() is threading.main_thread():
        numbers = [getattr(signal, name) for name in _NAMES if hasattr(signal, name)]
        before = {n: signal.getsignal(n) for n in numbers if signal.getsignal(n) not in (signal.SIG_IGN, None)}
    try:
        for number in before:
            signal.signal(number, handler)
        yield list(before.values())
    finally:
        for number, old in before.items():
            signal.signal(number, old)  # type: ignore[arg-type]
