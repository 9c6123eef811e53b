"""Write text files, each whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path
from tempfile import NamedTemporaryFile

_MASK = os.umask(0)
os.umask(_MASK)
NEW_FILE = 0o666 & ~_MASK
"""Rights of a file as if it had been made under its own name, not as a temporary one."""


def pending_text(path: Path, text: str) -> Path:
    """Write text beside its target and return the new file, to be moved into place."""
    with NamedTemporaryFile("w", encoding="utf-8", dir=path.absolute().parent, prefix=".takeoff-", delete=False) as out:
        pending = Path(out.name)
        try:
            out.write(text)
        except BaseException:
            pending.unlink()
            raise
    pending.chmod(NEW_FILE)
    return pending


def write_text(path: Path, text: str) -> None:
    """Write a text file; one that is there stays as it is until the new one is whole."""
    target = path.resolve()
    pending_text(target, text).replace(target)
