"""What rows of the catalogs must say together, beyond what each column accepts by itself."""

from __future__ import annotations

from collections.abc import Iterator

from takeoff.catalog.rows import RESERVED, Catalogs, Row
from takeoff.text.problems import InputError, Problem

FOR_EACH_EDITION = ("rules", "fill_parts", "checks", "allowances", "ambient", "adjustments")
"""Catalogs in which every key must have a row for every edition: a missing figure would count as nothing."""

SOME_FOR_EACH_EDITION = ("egc_sizes", "breakers")
"""Catalogs that must have at least one row for every edition."""


def crosscheck(catalogs: Catalogs) -> None:
    """Raise InputError with every row that does not fit the others, by file and row."""
    checks = (_words, _editions, _devices, _operations, _minute_ranges, _cables, _bands, _nothing, _ranges)
    found = [p for check in checks for p in check(catalogs)]
    if found:
        raise InputError(sorted(found, key=lambda p: (p.file, p.row or 0)))


def _wrong(row: Row, column: str, message: str, accepted: str) -> Problem:
    return Problem(str(row["_file"]), int(str(row["_row"])), column, str(row[column]), message, accepted)


def _words(catalogs: Catalogs) -> Iterator[Problem]:
    for name in ("constructions", "conductors", "devices", "box_styles", "plans"):
        for row in catalogs[name]:
            if str(row["key"]).casefold() in RESERVED:
                column = catalogs[name].key_columns[0].column
                yield _wrong(row, column, "is a word with a meaning of its own:", "another key")
    for row in catalogs["plans"]:
        if str(row["key"]) in catalogs["constructions"]:
            yield _wrong(row, "plan", "is the key of a construction:", "another key")


def _ranges(catalogs: Catalogs) -> Iterator[Problem]:
    for row in catalogs["ranges"]:
        if float(str(row["correlation_pct"])) > 100:
            yield _wrong(row, "correlation_pct", "is more than moving as one:", "0 to 100")


def _editions(catalogs: Catalogs) -> Iterator[Problem]:
    for row in catalogs["editions"]:
        edition = str(row["edition"])
        for name in (*FOR_EACH_EDITION, *SOME_FOR_EACH_EDITION):
            have = {key.partition("|")[2] for key in catalogs[name].keys if key.partition("|")[0] == edition}
            wanted = {key.partition("|")[2] for key in catalogs[name].keys}
            if name in SOME_FOR_EACH_EDITION:
                wanted = set() if have else {"any size"}
            if missing := ", ".join(sorted(wanted - have)):
                yield _wrong(
                    row, "edition", f"has no row in the catalog {name} for {missing}:", "rows for every edition"
                )


def _devices(catalogs: Catalogs) -> Iterator[Problem]:
    for row in catalogs["devices"]:
        kinds = str(row["roles"]).split()
        connects = row["connects"] != "none"
        if "none" in kinds and len(kinds) > 1:
            yield _wrong(row, "roles", "says none beside others:", "none alone, or roles")
        elif connects == ("none" in kinds):
            yield _wrong(
                row, "connects", "does not fit the roles of the device:", "none where roles is none, and only there"
            )
        if row["yokes"] and not connects:
            yield _wrong(
                row, "yokes", "is a yoke without conductors:", "0, or roles: a yoke takes room by its largest conductor"
            )
        if row["yokes"] and not row["gangs_each"]:
            yield _wrong(row, "gangs_each", "is no gang for a device on a yoke:", "1 or more")
        if row["connects"] == "terminals" and not row["terminals_each"]:
            yield _wrong(row, "terminals_each", "is no terminal for a device with terminals:", "1 or more")


def _operations(catalogs: Catalogs) -> Iterator[Problem]:
    first: dict[str, Row] = {}
    for row in catalogs["operations"]:
        other = first.setdefault(str(row["operation"]), row)
        for column in ("driver", "step", "title"):
            if row[column] != other[column]:
                yield _wrong(
                    row, column, f"differs among the rows of {row['operation']}:", f'"{other[column]}", as in the first'
                )


def _minute_ranges(catalogs: Catalogs) -> Iterator[Problem]:
    for row in catalogs["minute_ranges"]:
        if float(str(row["low_minutes"])) > float(str(row["high_minutes"])):
            yield _wrong(row, "low_minutes", "is over the highest:", f"at most {row['high_minutes']}")


def _cables(catalogs: Catalogs) -> Iterator[Problem]:
    for row in catalogs["cables"]:
        construction = catalogs["constructions"][str(row["construction"])]
        raceway, kind = construction["wiring_kind"] == "raceway", construction["egc_kind"]
        family = str(construction["fitting_family"])
        if f"{family}|{row['fitting_size']}" not in catalogs["fittings"]:
            yield _wrong(
                row, "fitting_size", f"is no size of the fitting family {family}:", "a size of the catalog fittings"
            )
        if (row["egc_awg"] == "none") != (kind == "armor"):
            need = "none, its armor is the EGC" if kind == "armor" else "the size of its wire-type EGC"
            yield _wrong(row, "egc_awg", f"does not fit the construction {construction['key']}:", need)
        if row["bare_awg"] == "none" and construction["egc_size_rule"] == "aluminum":
            yield _wrong(row, "bare_awg", "is sized by the aluminum column:", "the size of its bare conductor")
        if (row["wire_item"] == "none") == raceway:
            need = "the conductor pulled in" if raceway else "none, the cable brings its conductors"
            yield _wrong(row, "wire_item", f"does not fit a {construction['wiring_kind']}:", need)
        if (row["egc_item"] == "none") == (raceway and kind != "armor"):
            need = "the EGC pulled in" if raceway and kind != "armor" else "none"
            yield _wrong(row, "egc_item", f"does not fit the construction {construction['key']}:", need)


def _bands(catalogs: Catalogs) -> Iterator[Problem]:
    reach: dict[float, float] = {}
    for row in catalogs["breaker_bands"]:
        volts, rating = float(str(row["volts_to"])), float(str(row["rating_to_a"]))
        reach[volts] = max(rating, reach.get(volts, 0))
    least = min(reach.values())
    for row in catalogs["breakers"]:
        if float(str(row["rating_a"])) > least:
            yield _wrong(
                row, "rating_a", "has no band in the catalog breaker_bands:", f"up to {least:g} A, or a row there"
            )


def _nothing(catalogs: Catalogs) -> Iterator[Problem]:
    row = catalogs["prices"]["none"]
    if row["price_usd"]:
        yield _wrong(row, "price_usd", "is a price for nothing:", "0; the item none stands where nothing is bought")
