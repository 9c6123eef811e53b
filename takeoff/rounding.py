"""How a spreadsheet rounds numbers and joins texts, where Python would do it differently."""

from __future__ import annotations

from typing import Any

import numpy as np


def nine(number: Any) -> Any:
    """Round to nine decimals, halves away from zero: the noise of binary fractions goes, nothing else.

    Numbers so large that they have no ninth decimal stay as they are.
    """
    exact = np.asarray(number, dtype=float)
    rounded = np.sign(exact) * np.floor(np.abs(exact) * 1e9 + 0.5) / 1e9
    return np.where(np.abs(exact) < 1e6, rounded, exact)


def round_up(number: Any) -> Any:
    """Round away from zero to a whole number, after dropping noise beyond the ninth decimal."""
    return np.sign(number) * np.ceil(nine(np.abs(number)))


def as_text(value: Any) -> Any:
    """Return texts for joining into keys: texts and whole numbers, which every program writes alike."""
    array = np.asarray(value)
    if array.dtype == object or array.dtype.kind == "U":
        return array.astype(object)
    if np.any(array != np.floor(array)):
        raise ValueError(f"only whole numbers join texts, not {array[array != np.floor(array)][0]}")
    return np.vectorize(lambda v: f"{v:.15g}", otypes=[object])(array)
