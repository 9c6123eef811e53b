"""A seeded generator of schedules of any size, made of the circuits that commercial floors repeat."""

from __future__ import annotations

import csv
import random
from pathlib import Path

HEADER = [
    "box",
    "circuit",
    "device",
    "run_ft",
    "fed_from",
    "wires",
    "awg",
    "breaker_a",
    "poles",
    "neutral",
    "space",
    "area",
]


def schedule_rows(boxes: int, seed: int = 20) -> list[dict[str, str]]:
    """Return at least one circuit of rows and not more than `boxes` rows."""
    chance = random.Random(seed)
    rows: list[dict[str, str]] = []
    number = 0
    while len(rows) < boxes:
        number += 1
        make = chance.choice((_receptacles, _lighting, _shared_neutral, _equipment, _patient))
        circuit = make(f"P{number // 40}-{number}", len(rows), chance)
        rows += circuit[: boxes - len(rows)]
    return rows


def write_schedule(path: Path, boxes: int, seed: int = 20) -> None:
    """Write a schedule of `boxes` rows."""
    with path.open("w", newline="", encoding="utf-8") as out:
        writer = csv.DictWriter(out, HEADER, restval="")
        writer.writeheader()
        writer.writerows(schedule_rows(boxes, seed))


def _row(number: int, circuit: str, device: str, feet: float, wires: str = "", **more: str) -> dict[str, str]:
    area = f"zone {number // 200}"
    return {
        "box": f"B{number}",
        "circuit": circuit,
        "device": device,
        "run_ft": f"{feet:g}",
        "wires": wires,
        "area": area,
        **more,
    }


def _receptacles(circuit: str, start: int, chance: random.Random) -> list[dict[str, str]]:
    home = chance.randint(20, 160)
    first = _row(start, circuit, "duplex", home, awg="10" if home > 120 else "")
    rest = [
        _row(start + n, circuit, chance.choice(("duplex", "duplex", "gfci")), chance.randint(6, 30))
        for n in range(1, 8)
    ]
    if chance.random() < 0.5:
        rest[4]["fed_from"] = f"B{start + 2}"
    return [first, *rest]


def _lighting(circuit: str, start: int, chance: random.Random) -> list[dict[str, str]]:
    switch = chance.choice(("switch", "dimmer", "sensor"))
    first = _row(start, circuit, switch, chance.randint(20, 110), "A N")
    return [
        first,
        *(
            _row(start + n, circuit, "luminaire", chance.randint(6, 16), "S1 N")
            for n in range(1, chance.randint(4, 12))
        ),
    ]


def _shared_neutral(circuit: str, start: int, chance: random.Random) -> list[dict[str, str]]:
    rows = [_row(start, circuit, "junction", chance.randint(20, 120), "A B C N")]
    for n in range(1, 7):
        hot = "ABC"[(n - 1) // 2]
        parent = f"B{start}" if n % 2 else ""
        rows.append(_row(start + n, circuit, "duplex", chance.randint(6, 24), f"{hot} N", fed_from=parent))
    return rows


def _equipment(circuit: str, start: int, chance: random.Random) -> list[dict[str, str]]:
    three = {"breaker_a": "30", "poles": "3", "neutral": "no"}
    return [_row(start, circuit, "equipment-3p", chance.randint(30, 140), **three)]


def _patient(circuit: str, start: int, chance: random.Random) -> list[dict[str, str]]:
    return [_row(start + n, circuit, "duplex-hg", chance.randint(8, 90), space="patient-care") for n in range(5)]
