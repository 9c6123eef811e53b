"""Times as a watch shows them and as people write them: 65, 1:05, 1m05s are one time."""

from __future__ import annotations

import re

ACCEPTED = "seconds such as 65 or 65.5, or 1:05, 1m05s, 1 min 5 s"

_SECONDS = re.compile(r"(\d{1,9}(?:\.\d{0,20})?|\.\d{1,20}) ?(?:s|sec)?")
_COLONS = re.compile(r"(?:(\d{1,2}):)?(\d{1,4}):(\d{2}(?:\.\d{1,20})?)")
_LETTERS = re.compile(
    r"(?:(\d{1,2}) ?(?:h|hr) ?)?(?:(\d{1,4}) ?(?:m|min|') ?)?(?:(\d{1,2}(?:\.\d{1,20})?) ?(?:s|sec|\"))?"
)


def seconds_of(text: str) -> float | None:
    """Return the seconds that a text says; None where it says none.

    Parameters
    ----------
    text
        Seconds alone, minutes and seconds, or hours before them. Behind a colon stand two figures, under 60.
    """
    said = " ".join(text.casefold().split())
    if plain := _SECONDS.fullmatch(said):
        return float(plain[1])
    parts = _COLONS.fullmatch(said) or (_LETTERS.fullmatch(said) if said else None)
    if not parts:
        return None
    hours, minutes, seconds = parts.groups()
    if float(seconds or 0) >= 60 or (hours and int(minutes or 0) >= 60):
        return None
    return int(hours or 0) * 3600 + int(minutes or 0) * 60 + float(seconds or 0)
