"""Results of a build that note what is read of them: a test that reads two counts of a box does not notice a moved price."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator
from typing import Any

Path = tuple[Any, ...]
Note = tuple[Path, str]
"""Keys and places down to a part of the results, and what was read there: its length, its keys, or all of it."""

Noting = Callable[[Note], object]
LENGTH, KEYS, WHOLE = "length", "keys", "whole"


def noted(part: Any, noting: Noting, path: Path = ()) -> Any:
    """Return a part of results that notes what is read of it; what is changed in it is changed in the part."""
    if isinstance(part, dict):
        return NotedDict(part, noting, path)
    if isinstance(part, list):
        return NotedList(part, noting, path)
    noting((path, WHOLE))
    return part


def read(results: Any, note: Note) -> Any:
    """Return what was read of a part of results, of other results; a note itself where they have no such part."""
    path, kind = note
    for key in path:
        try:
            results = results[key]
        except (LookupError, TypeError):
            return note
    if kind == WHOLE:
        return repr(results)
    return len(results) if kind == LENGTH else list(results)


class _Noted:
    """What dictionaries and lists have in common: whatever is not told apart reads all of it."""

    def __init__(self, part: Any, noting: Noting, path: Path) -> None:
        super().__init__(part)  # type: ignore[call-arg]
        self.part, self.noting, self.path = part, noting, path

    def _at(self, key: Any) -> Any:
        return noted(self.part[key], self.noting, (*self.path, key))

    def _whole(self) -> Any:
        self.noting((self.path, WHOLE))
        return self.part

    def __len__(self) -> int:
        self.noting((self.path, LENGTH))
        return len(self.part)

    def __eq__(self, other: object) -> bool:
        return bool(self._whole() == other)

    def __ne__(self, other: object) -> bool:
        return not self == other

    def __repr__(self) -> str:
        return repr(self._whole())

    def __deepcopy__(self, known: object) -> Any:
        return copy.deepcopy(self._whole())

    def __reduce_ex__(self, protocol: Any) -> Any:
        return self._whole().__reduce_ex__(protocol)

    def __or__(self, other: Any) -> Any:
        return self._whole() | other

    def __ror__(self, other: Any) -> Any:
        return other | self._whole()

    def __add__(self, other: Any) -> Any:
        return self._whole() + other

    def __radd__(self, other: Any) -> Any:
        return other + self._whole()

    def __mul__(self, times: Any) -> Any:
        return self._whole() * times

    __rmul__ = __mul__
    __hash__ = None  # type: ignore[assignment]

    def copy(self) -> Any:
        return self._whole().copy()


def _changes(name: str) -> Any:
    """Return a method that changes a part of results in its place; it counts as reading all of it."""

    def change(self: _Noted, *given: Any, **named: Any) -> Any:
        found = getattr(self._whole(), name)(*given, **named)
        return self if found is self.part else found

    return change


class NotedDict(_Noted, dict[Any, Any]):
    """A dictionary that notes which keys are read."""

    __setitem__, __delitem__, __ior__ = map(_changes, ("__setitem__", "__delitem__", "__ior__"))
    pop, popitem, clear, update, setdefault = map(_changes, ("pop", "popitem", "clear", "update", "setdefault"))

    def __getitem__(self, key: Any) -> Any:
        if key not in self.part:
            self.noting((self.path, KEYS))
        return self._at(key)

    def get(self, key: Any, otherwise: Any = None) -> Any:
        return self._at(key) if key in self else otherwise

    def __contains__(self, key: object) -> bool:
        self.noting((self.path, KEYS))
        return key in self.part

    def __iter__(self) -> Iterator[Any]:
        self.noting((self.path, KEYS))
        yield from self.part

    def __reversed__(self) -> Iterator[Any]:
        yield from list(self)[::-1]

    def keys(self) -> Any:
        return dict.fromkeys(self).keys()

    def values(self) -> Any:
        return [self._at(key) for key in self]

    def items(self) -> Any:
        return dict(zip(self, self.values(), strict=True)).items()


class NotedList(_Noted, list[Any]):
    """A list that notes which entries are read."""

    __setitem__, __delitem__, __iadd__, __imul__ = map(_changes, ("__setitem__", "__delitem__", "__iadd__", "__imul__"))
    append, extend, insert, remove = map(_changes, ("append", "extend", "insert", "remove"))
    pop, clear, sort, reverse = map(_changes, ("pop", "clear", "sort", "reverse"))

    def __getitem__(self, place: Any) -> Any:
        if isinstance(place, slice) or not -len(self.part) <= place < len(self.part):
            return self._whole()[place]
        if place < 0:
            self.noting((self.path, LENGTH))
        return self._at(place)

    def __contains__(self, entry: object) -> bool:
        return entry in self._whole()

    def __iter__(self) -> Iterator[Any]:
        return (self._at(place) for place in range(len(self)))

    def __reversed__(self) -> Iterator[Any]:
        yield from list(self)[::-1]

    def __lt__(self, other: Any) -> bool:
        return bool(self._whole() < other)

    def __gt__(self, other: Any) -> bool:
        return bool(self._whole() > other)

    def index(self, *given: Any) -> int:
        return int(self._whole().index(*given))

    def count(self, entry: Any) -> int:
        return int(self._whole().count(entry))
