"""Builds from a schedule, quotes and an inputs file given as texts, for tests of prices, labor and bid."""

from __future__ import annotations

from pathlib import Path

from takeoff.build import Build, Options, compute
from tests.held import held_pages

SCHEDULE = """box,circuit,device,run_ft,fed_from,area
R1,KP-1,duplex,46,panel,kitchen
R2,KP-1,duplex,12,R1,kitchen
R3,KP-1,gfci,12,R2,store
L1,KP-2,luminaire,38,panel,store
R4,KP-4,duplex,20,panel,
"""
"""Two areas and a box without one, three circuits."""


def laid(
    folder: Path,
    *sets: str,
    toml: str = "",
    compared: str = "ac-first,mc-wire-first",
    schedule: str = SCHEDULE,
    quotes: dict[str, str] | None = None,
    catalogs: dict[str, str] | None = None,
) -> Options:
    """Write the texts as files into a folder, and return the options of a build from them."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "s.csv").write_text(schedule, encoding="utf-8")
    (folder / "i.toml").write_text(toml, encoding="utf-8")
    for name, text in (quotes or {}).items():
        (folder / name).write_text(text, encoding="utf-8")
    overlay = folder / "catalogs"
    overlay.mkdir(exist_ok=True)
    for name, text in (catalogs or {}).items():
        (overlay / f"{name}.csv").write_text(text, encoding="utf-8")
    return Options(
        folder / "s.csv",
        overlay if catalogs else None,
        folder / "i.toml" if toml else None,
        sets,
        compared,
        quotes=[folder / name for name in quotes or {}],
    )


def priced(folder: Path, *sets: str, **texts: object) -> Build:
    """Return the computed build of texts; see `laid` for what may be given."""
    with held_pages():
        return compute(laid(folder, *sets, **texts))  # type: ignore[arg-type]
