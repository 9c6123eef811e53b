"""What is wrong with the definition of a table: said with its name, and with what may have been meant."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches


class DefinitionError(ValueError):
    """A table or a column is defined in a way that cannot be meant."""


def nearest(name: str, names: Iterable[str]) -> str:
    """Return the names most like another as the end of a sentence; nothing where none is like it.

    Parameters
    ----------
    name
        What does not exist.
    names
        What does.
    """
    found = get_close_matches(name, sorted(set(names)), n=3, cutoff=0.5)
    return f"; nearest: {', '.join(found)}" if found else ""
