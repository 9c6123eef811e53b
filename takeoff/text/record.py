"""A record: files packed into texts that fit the cells of a worksheet, and read from them again.

Cells are what every spreadsheet program keeps when it saves a workbook; parts and properties of a file are not.
"""

from __future__ import annotations

import base64
import binascii
import json
import re
import zlib
from collections.abc import Iterable, Mapping

LONGEST = 30_000
"""Characters of one part; a cell takes 32,767."""

_PART = re.compile(r"record (\d+) of (\d+): ([A-Za-z0-9+/=]*)")


def pack(files: Mapping[str, str]) -> list[str]:
    """Return the parts of a record.

    Parameters
    ----------
    files
        Texts by the name of their file.
    """
    data = zlib.compress(json.dumps(files, ensure_ascii=False).encode(), 9)
    text = base64.b64encode(data).decode()
    pieces = [text[start : start + LONGEST] for start in range(0, len(text), LONGEST)]
    return [f"record {n} of {len(pieces)}: {piece}" for n, piece in enumerate(pieces, start=1)]


def unpack(texts: Iterable[str]) -> dict[str, str] | None:
    """Return the files of a record whose parts are among some texts, in any order; None where it is not whole."""
    found = [match for match in map(_PART.fullmatch, texts) if match]
    pieces = {int(match[1]): match[3] for match in found}
    if not found or sorted(pieces) != list(range(1, int(found[0][2]) + 1)):
        return None
    try:
        data = zlib.decompress(base64.b64decode("".join(pieces[n] for n in sorted(pieces)), validate=True))
        return {str(name): str(text) for name, text in json.loads(data).items()}
    except (binascii.Error, zlib.error, ValueError, AttributeError):
        return None
