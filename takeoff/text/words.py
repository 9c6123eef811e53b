"""Words as people type them: alike without regard to case, spaces, hyphens and underscores."""

from __future__ import annotations

import re


def plain(heading: str) -> str:
    """Return a heading without regard to case, spaces, hyphens and underscores."""
    return re.sub(r"[\s\-_]+", "", heading).casefold()
