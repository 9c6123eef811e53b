"""What every command does with what goes wrong, and how it prints: sentences and an exit code, never a traceback."""

from __future__ import annotations

import os
import traceback
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, NoReturn

import typer

if TYPE_CHECKING:
    from takeoff.text.problems import Problem

DONE, BROKEN, INPUT, UNUSABLE = 0, 1, 2, 3
"""Exit codes: done; anything unforeseen; the user's input; with --strict, a plan that is not to be used."""

SHOWN = 400
"""Problems printed one by one; what is beyond is counted."""


def say(text: object, err: bool = False) -> None:
    """Print lines, with characters that a terminal would obey written as their code."""
    from takeoff.text.problems import visible

    typer.echo("\n".join(visible(line) for line in str(text).split("\n")), err=err)


def say_notices(problems: Sequence[Problem], quiet: bool) -> None:
    """Print on stderr what the user should know."""
    for problem in () if quiet else problems[:SHOWN]:
        say(f"{problem.severity}: {problem}", err=True)


@contextmanager
def guarded(written: bool = False) -> Iterator[None]:
    """Turn what goes wrong into sentences and an exit code.

    Parameters
    ----------
    written
        Whether the files of the command are in place: a command that is interrupted says so.
    """
    from takeoff.text.interrupts import NOTHING, WRITTEN, Interrupted, interruptible
    from takeoff.text.problems import InputError

    try:
        with interruptible(WRITTEN if written else NOTHING):
            yield
    except InputError as wrong:
        for problem in wrong.problems[:SHOWN]:
            say(str(problem), err=True)
        if len(wrong.problems) > SHOWN:
            say(f"... and {len(wrong.problems) - SHOWN} more problems; mend these first", err=True)
        raise typer.Exit(INPUT) from None
    except (typer.Exit, typer.Abort, BrokenPipeError):
        raise
    except Interrupted as stopped:
        _fail(f"interrupted ({stopped.name}): {stopped.said}")
    except MemoryError:
        _fail("the machine has not enough memory for this schedule; split the job")
    except Exception as reason:
        if os.environ.get("TAKEOFF_TRACEBACK"):
            traceback.print_exc()
        _fail(f"an error of the tool, not of the input: {type(reason).__name__}: {reason}; see TAKEOFF_TRACEBACK=1")


def _fail(sentence: str) -> NoReturn:
    say(f"takeoff: {sentence}", err=True)
    raise typer.Exit(BROKEN)
