"""Words as people type them: alike without regard to case, spaces, hyphens and underscores."""

from __future__ import annotations

import re
import unicodedata


def plain(heading: str) -> str:
    """Return a heading without regard to case, spaces, hyphens and underscores."""
    return re.sub(r"[\s\-_]+", "", heading).casefold()


def normal(text: str) -> str:
    """Return a text without blanks around it, in the composed form of Unicode: letters that look alike are alike."""
    return text.strip() if text.isascii() else unicodedata.normalize("NFC", text).strip()
