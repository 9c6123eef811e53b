"""Published tables and examples in tests/published, each row with its source; cases worked by hand in tests/worked."""

from __future__ import annotations

import csv
from pathlib import Path

PUBLISHED = Path(__file__).parent / "published"
WORKED = PUBLISHED.with_name("worked")


def published(name: str) -> list[dict[str, str]]:
    return _rows(PUBLISHED / f"{name}.csv")


def worked(name: str) -> list[dict[str, str]]:
    """Return cases with their arithmetic in words, which a layman can follow without the code."""
    return _rows(WORKED / f"{name}.csv")


def _rows(path: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))


def number(value: object) -> float:
    return float(str(value))
