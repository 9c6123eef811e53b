"""Values as people write them."""

from __future__ import annotations

from typing import Any


def plain(value: object) -> Any:
    """Return a value that is written as people write it: whole numbers without a decimal point."""
    if isinstance(value, str | bool):
        return value
    number = float(str(value))
    return int(number) if number.is_integer() else number
