"""Published tables and examples, as they stand in tests/published, each row with its source."""

from __future__ import annotations

import csv
from pathlib import Path

PUBLISHED = Path(__file__).parent / "published"


def published(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader((PUBLISHED / f"{name}.csv").read_text(encoding="utf-8").splitlines()))


def number(value: object) -> float:
    return float(str(value))
