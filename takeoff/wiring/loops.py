"""Loops among boxes that feed one another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping


def loops(parents: Mapping[str, str]) -> Iterator[list[str]]:
    """Yield every loop once, as the keys in it; `parents` gives for each key the key that feeds it."""
    done: set[str] = set()
    for start in parents:
        path: dict[str, None] = {}  # in order, and found at once: a chain may be long
        key = start
        while key in parents and key not in done and key not in path:
            path[key] = None
            key = parents[key]
        if key in path:
            steps = list(path)
            yield steps[steps.index(key) :]
        done.update(path)
