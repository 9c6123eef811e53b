"""The stage that a command is at, on the terminal."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def progress(quiet: bool) -> Iterator[Callable[[str], None]]:
    """Give a function that shows the stage on stderr; silent where nobody looks on."""
    if quiet or not sys.stderr.isatty():
        yield lambda _: None
        return
    from rich.console import Console

    with Console(stderr=True).status("starting") as status:
        yield lambda stage: status.update(f"{stage} ...")
