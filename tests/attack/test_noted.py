"""What is read of results is noted, however it is read; what is not read is not."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from typing import Any

import pytest

from tests.attack.noted import noted, read

PLAIN = {
    "plans": {"a": {"usd": 1.5, "h": 2}},
    "boxes": [{"box": "1", "n": [1, 2]}, {"box": "2", "n": []}],
    "none": None,
}
OTHERS: dict[str, Any] = {
    "usd": {**PLAIN, "plans": {"a": {"usd": 1.25, "h": 2}}},
    "kind": {**PLAIN, "plans": {"a": {"usd": 1.5, "h": 2.0}}},
    "plan": {**PLAIN, "plans": {"a": {"usd": 1.5, "h": 2}, "b": {}}},
    "boxes": {**PLAIN, "boxes": PLAIN["boxes"][:1]},  # type: ignore[index]
    "n": {**PLAIN, "boxes": [{"box": "1", "n": [1, 3]}, {"box": "2", "n": []}]},
}
ALL = set(OTHERS)
READERS: list[tuple[Callable[[Any], Any], set[str]]] = [
    (lambda r: r["plans"]["a"]["usd"], {"usd"}),
    (lambda r: r["plans"]["a"]["h"], {"kind"}),
    (lambda r: r["plans"].get("b", 0), {"plan"}),
    (lambda r: r["plans"].get("a")["usd"], {"usd", "plan"}),
    (lambda r: list(r["plans"]), {"plan"}),
    (lambda r: {**r["plans"]["a"]}, {"usd", "kind"}),
    (lambda r: dict(r["plans"]["a"]), {"usd", "kind"}),
    (lambda r: dict(r["plans"]["a"].items()), {"usd", "kind"}),
    (lambda r: list(r["plans"]["a"].values()), {"usd", "kind"}),
    (lambda r: r["plans"] == PLAIN["plans"], {"usd", "kind", "plan"}),
    (lambda r: PLAIN["plans"] == r["plans"], {"usd", "kind", "plan"}),
    (lambda r: r["plans"]["a"] | {"x": 1}, {"usd", "kind"}),
    (lambda r: bool(r["boxes"]), {"boxes"}),
    (lambda r: len(r["boxes"]), {"boxes"}),
    (lambda r: [b["box"] for b in r["boxes"]], {"boxes"}),
    (lambda r: next(b for b in r["boxes"] if b["box"] == "1")["n"][1], {"boxes", "n"}),
    (lambda r: r["boxes"][0]["box"], set()),
    (lambda r: r["boxes"][-1]["box"], {"boxes"}),
    (lambda r: r["boxes"][0]["n"][:1], {"n"}),
    (lambda r: sum(r["boxes"][0]["n"]), {"n"}),
    (lambda r: sorted(r["boxes"][0]["n"]), {"n"}),
    (lambda r: [*r["boxes"][0]["n"]], {"n"}),
    (lambda r: 2 in r["boxes"][0]["n"], {"n"}),
    (lambda r: r["boxes"][0]["n"] == [1, 2], {"n"}),
    (lambda r: [1, 2] == r["boxes"][0]["n"], {"n"}),  # noqa: SIM300
    (lambda r: r["boxes"][0]["n"] + [3], {"n"}),
    (lambda r: tuple(r["boxes"][0]["n"]), {"n"}),
    (lambda r: str(r["boxes"]), {"boxes", "n"}),
    (lambda r: (r["plans"]["a"].pop("usd"), r["plans"]["a"]), {"usd", "kind"}),
    (lambda r: (r["boxes"][0].update(n=[]), r["boxes"][0]["n"], r["boxes"][0]), {"n"}),
    (lambda r: (r["boxes"][0]["n"].sort(reverse=True), list(r["boxes"][0]["n"])), {"n"}),
    (json.dumps, ALL),
    (copy.deepcopy, ALL),
    (repr, ALL),
]


@pytest.mark.parametrize("case", range(len(READERS)))
def test_what_is_read_is_noted_and_what_is_not_is_not(case: int):
    reader, moves = READERS[case]
    notes = set()
    assert reader(noted(copy.deepcopy(PLAIN), notes.add)) == reader(copy.deepcopy(PLAIN))
    told = {o for o, other in OTHERS.items() if any(read(other, n) != read(PLAIN, n) for n in notes)}
    assert told == moves


def test_a_part_that_is_gone_is_another_one():
    assert read({"plans": {}}, (("plans", "a", "usd"), "whole")) != read(PLAIN, (("plans", "a", "usd"), "whole"))


def test_a_key_that_is_missing_is_missing():
    with pytest.raises(KeyError):
        noted(PLAIN, print)["absent"]
