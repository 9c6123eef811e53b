"""The keys of the rows of a table as whole numbers: found once for all sums, counts and searches over them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

_Array = np.ndarray[Any, np.dtype[Any]]


@dataclass(frozen=True)
class Keys:
    """A number for every different key, one column or several taken together, and that of each row."""

    numbers: Mapping[tuple[object, ...], int]
    of_rows: _Array

    def find(self, columns: Iterable[_Array]) -> _Array:
        """Return the numbers of other keys; -1, which is the place behind the last one, for those that no row has."""
        found = [self.numbers.get(key, -1) for key in zip(*(c.tolist() for c in columns), strict=True)]
        return np.array(found, dtype=np.int64)

    @cached_property
    def first_rows(self) -> _Array:
        """The first row of each key, counted from 1; 0 behind the last one."""
        first = np.zeros(len(self.numbers) + 1, dtype=np.int32)
        first[self.of_rows[::-1]] = np.arange(len(self.of_rows), 0, -1)
        return first

    @cached_property
    def last_rows(self) -> _Array:
        """The last row of each key, counted from 1; 0 behind the last one."""
        last = np.zeros(len(self.numbers) + 1, dtype=np.int32)
        last[self.of_rows] = np.arange(1, len(self.of_rows) + 1)
        return last

    @cached_property
    def counts(self) -> _Array:
        """How many rows have each key; 0 behind the last one."""
        return np.bincount(self.of_rows, minlength=len(self.numbers) + 1)


def keys_of(columns: Sequence[_Array]) -> Keys:
    """Return the keys of rows; equal ones have equal numbers, counted from 0 as they come."""
    entries = [column.tolist() for column in columns]
    numbers = {key: n for n, key in enumerate(dict.fromkeys(zip(*entries, strict=True)))}
    of_rows = map(numbers.__getitem__, zip(*entries, strict=True))
    return Keys(numbers, np.fromiter(of_rows, dtype=np.int32, count=len(columns[0])))
