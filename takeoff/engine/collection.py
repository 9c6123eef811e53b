"""The search for circles of objects that nothing reaches any more, put off while a build makes its millions."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def without_collection() -> Iterator[None]:
    """Put the search off until what runs in here has ended: it would look at every object again and again.

    Hardly an object of a build stands in a circle: what nothing holds any more is freed at once all the same.
    """
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()
