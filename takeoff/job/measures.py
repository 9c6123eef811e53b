"""How the trade writes lengths, sizes, breakers, voltages and loads: small pure readers, None where a text is none.

A reader takes what has one meaning only. `12'-6"` is 12.5 ft; `1,250` is refused, since it is 1.25 in one
country and 1250 in another.
"""

from __future__ import annotations

import re
from collections.abc import Callable

FT_PER_M = 1 / 0.3048
"""The international foot is exactly 0.3048 m (NIST Special Publication 811, appendix B)."""

FT_OF = {"ft": 1.0, "in": 1 / 12, "m": FT_PER_M}
DECIMALS = 9
"""Of a length in feet: the same length is the same number in whatever unit it is written."""

_NUMBER = r"(?:\d+(?:\.\d*)?|\.\d+)"
_INCHES = rf"(?:(?P<inches>{_NUMBER})(?:\s+|-)?)??(?:(?P<top>\d+)/(?P<under>[1-9]\d*))?"
_FEET_INCHES = re.compile(rf"(?P<feet>\d+)\s*(?:'|ft\.?|feet)\s*-?\s*(?:(?={_NUMBER}){_INCHES}\s*(?:\"|in\.?)?)?")
_PRIMES = str.maketrans(
    {**dict.fromkeys("\u2018\u2019\u2032", "'"), **dict.fromkeys("\u201c\u201d\u2033", '"'), "\u2013": "-"}
)
"""Marks of feet and inches, and the dash, as word processors write them."""

_POLE = r"p(?:oles?)?"
_RATING = r"(?P<amps>\d+(?:\.\d+)?)\s*(?:a(?:mps?)?)?"
_BREAKERS = (
    re.compile(rf"{_RATING}"),
    re.compile(rf"{_RATING}\s*[-/, ]\s*(?P<poles>[123])\s*-?\s*(?:{_POLE})?"),
    re.compile(rf"(?P<poles>[123])\s*-?\s*{_POLE}\s*[-/, ]?\s*{_RATING}"),
    re.compile(r"(?P<poles>[123])\s*[-/]\s*(?P<amps>\d\d+)\s*(?:a(?:mps?)?)?"),
    re.compile(rf"(?P<amps>\d\d+)\s*a(?:mps?)?\s*(?P<poles>[123])\s*-?\s*{_POLE}"),
)
_SIZE = re.compile(r"(?:#|no\.?|number)?\s*(?P<size>\d+(?:/0)?)\s*(?:awg|ga(?:uge)?)?\s*(?:cu|copper)?")
_VOLTS = re.compile(r"(?P<one>\d+)\s*v?(?:ac)?(?:\s*y?\s*/\s*(?P<other>\d+)\s*v?(?:ac)?)?")
_LOAD = re.compile(rf"(?P<load>{_NUMBER})\s*(?P<unit>k?va)?")


def length_ft(text: str, unit: str = "ft", unit_of: Callable[[str], str] = lambda _: "") -> float | None:
    r"""Return a length in feet: `85`, `85'`, `85 ft`, `12'-6"`, `12' 6 1/2"`, `18"`, `26 m`.

    Parameters
    ----------
    text
        A number without a unit is one of `unit`; or feet and inches.
    unit
        `ft`, `in` or `m`: what the column is in.
    unit_of
        Returns the unit, of these three, that a word is.

    Examples
    --------
    >>> length_ft("12'-6"), length_ft('18"'), length_ft("about 80")
    (12.5, 1.5, None)
    """
    said = text.translate(_PRIMES).casefold().strip()
    if re.fullmatch(_NUMBER, said):
        return round(float(said) * FT_OF[unit], DECIMALS)
    worded = re.fullmatch(rf"({_NUMBER})\s*('|\"|[a-z]+\.?)", said)
    if worded:
        word = worded[2].rstrip(".")
        of = {"'": "ft", '"': "in"}.get(word) or unit_of(word) or (word if word in FT_OF else "")
        return round(float(worded[1]) * FT_OF[of], DECIMALS) if of else None
    both = _FEET_INCHES.fullmatch(said)
    if not both:
        return None
    inches = float(both["inches"] or 0) + (int(both["top"]) / int(both["under"]) if both["top"] else 0)
    return round(int(both["feet"]) + inches / 12, DECIMALS) if inches < 12 else None


def breaker(text: str) -> tuple[float, int] | None:
    """Return the rating of a breaker, A, and its poles, 0 where they are not said.

    The smaller number is the poles: no breaker of a branch circuit has a rating under 10 A, or more than three poles.

    Examples
    --------
    >>> breaker("20A/1P"), breaker("20/1"), breaker("2P-30"), breaker("15 A"), breaker("20/15")
    ((20.0, 1), (20.0, 1), (30.0, 2), (15.0, 0), None)
    """
    said = text.casefold().strip()
    for form in _BREAKERS:
        found = form.fullmatch(said)
        if found:
            return float(found["amps"]), int(found.groupdict().get("poles") or 0)
    return None


def size_awg(text: str) -> str:
    """Return the size that `#12`, `12 AWG`, `No. 12` or `#12 CU` names, or nothing."""
    found = _SIZE.fullmatch(text.casefold().strip())
    return found["size"] if found else ""


def voltages(text: str) -> tuple[float, ...]:
    """Return the voltage of a text, or both of a system such as `208Y/120`, the smaller first; nothing where none."""
    found = _VOLTS.fullmatch(text.casefold().strip())
    return tuple(sorted({float(v) for v in found.groups() if v})) if found else ()


def load_va(text: str) -> float | None:
    """Return a load in VA: `1500`, `1500 VA`, `1.5 kVA`."""
    found = _LOAD.fullmatch(text.casefold().strip())
    if not found:
        return None
    return round(float(found["load"]) * (1000 if found["unit"] == "kva" else 1), 6)
