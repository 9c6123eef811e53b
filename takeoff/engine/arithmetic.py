"""How a spreadsheet rounds, joins, compares and chooses, where Python would do it differently."""

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


def round_half(number: Any) -> Any:
    """Round to a whole number, halves away from zero, after dropping noise beyond the ninth decimal."""
    return np.sign(number) * np.floor(nine(np.abs(number)) + 0.5)


def as_text(value: Any) -> Any:
    """Return texts for joining into keys: texts and whole numbers, which every program writes alike."""
    array = np.asarray(value)
    if array.dtype == object or array.dtype.kind == "U":
        return array.astype(object)
    if np.any(array != np.floor(array)):
        raise ValueError(f"only whole numbers join texts, not {array[array != np.floor(array)][0]}")
    return np.vectorize(lambda v: f"{v:.15g}", otypes=[object])(array)


def fixed(number: Any) -> Any:
    """Return numbers as texts with one decimal, halves away from zero."""
    return np.vectorize(lambda v: f"{v:.1f}", otypes=[object])(round_half(np.multiply(number, 10)) / 10 + 0.0)


def choose(test: Any, then: Any, otherwise: Any) -> Any:
    """Choose by row; a column may hold texts and numbers, which must not turn into one another."""
    then, otherwise = np.asarray(then), np.asarray(otherwise)
    if (then.dtype.kind in "OU") != (otherwise.dtype.kind in "OU") or "O" in (then.dtype.kind, otherwise.dtype.kind):
        then, otherwise = then.astype(object), otherwise.astype(object)
    return np.where(test, then, otherwise)


def begins(a: Any, b: Any) -> Any:
    """Say whether texts begin with another, which a spreadsheet compares without regard to case."""
    texts, word = np.asarray(a, dtype=object), str(b).casefold()
    return np.vectorize(lambda t: str(t).casefold().startswith(word), otypes=[bool])(texts)


def divide(a: Any, b: Any, otherwise: Any) -> Any:
    """Divide; where the divisor is 0 to nine decimals the formula says what stands instead."""
    zero = nine(b) == 0
    return np.where(zero, otherwise, a / np.where(zero, 1, b))


def log10(a: Any) -> Any:
    """Return the decimal logarithm; where there is none, a test in the formula passes over it."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.log10(a)


def below(a: Any, b: Any) -> Any:
    """Say whether a < b; values nearer than 1e-9 are equal."""
    return nine(np.subtract(a, b)) < 0
