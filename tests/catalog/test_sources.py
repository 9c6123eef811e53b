"""The register of sources: every id resolves, and what a value rests on is what its row says."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

import pytest

from takeoff.catalog.load import load_catalogs
from takeoff.catalog.rows import Catalogs
from takeoff.catalog.sources import Citation, cited, register_of
from tests.copies import published

KINDS = {
    *("code", "standard", "public record", "public page", "published article"),
    *("common practice", "convention", "arithmetic", "invented", "from memory"),
}
PUBLIC = {"code", "standard", "public record", "published article"}

Keyed = Callable[[Mapping[str, object]], tuple[object, ...]]


def of(*columns: str) -> Keyed:
    def key(row: Mapping[str, object]) -> tuple[object, ...]:
        return tuple(str(row[c]) if c.endswith("awg") or c == "box" else float(str(row[c]) or 0) for c in columns)

    return key


def ambient(row: Mapping[str, object]) -> tuple[object, ...]:
    return (float(str(row["band_f"]).removesuffix(" or less").rpartition("-")[2]), *of(*FACTORS)(row))


FACTORS = ("factor_60c", "factor_75c", "factor_90c")
AMPACITY = ("awg", "copper_60c_a", "copper_75c_a", "copper_90c_a")
RESISTANCE = ("awg", "copper_ohm_per_kft", "aluminum_ohm_per_kft")
COPIES: list[tuple[str, str, Keyed, Keyed, int]] = [
    ("allowances", "volume_allowances", of("awg", "volume_in3"), of("awg", "volume_in3"), 21),
    ("box_sizes", "box_volumes", of("box", "volume_in3"), of("box", "volume_in3"), 17),
    *(("egc_sizes", "egc_sizes", key, key, 21) for key in [of("breaker_a", "copper_awg", "aluminum_awg")]),
    ("adjustments", "adjustment_factors", of("ccc_to", "percent"), of("ccc_to", "percent"), 18),
    ("ambient", "ambient_factors", of("to_f", *FACTORS), ambient, 48),
    ("conductors", "copper_60c", of("awg", "copper_60c_a"), of("awg", "copper_60c_a"), 9),
    ("conductors", "copper_ampacity", of(*AMPACITY), of(*AMPACITY), 11),
    ("conductors", "resistance", of(*RESISTANCE), of(*RESISTANCE), 11),
    ("short_time", "short_time", of("awg", "test_a", "test_s"), of("awg", "test_a", "test_s"), 9),
]


def sources_of(catalogs: Catalogs) -> Iterator[tuple[str, str]]:
    for catalog in catalogs.values():
        for column in (r.column for r in catalog.columns if r.column == "source" or r.column.endswith("_source")):
            for row in catalog:
                yield f"{catalog.name} {row['key']} {column}", str(row[column])


def kinds_of(text: str, catalogs: Catalogs) -> set[str]:
    return {str(catalogs["sources"][c.source]["kind"]) for c in cited(text, catalogs["sources"])}


def test_every_source_of_the_shipped_catalogs_is_an_id(catalogs: Catalogs):
    found = list(sources_of(catalogs))
    assert len(found) > 1500
    assert [
        f"{where}: {text}" for where, text in found if any(not c.source for c in cited(text, catalogs["sources"]))
    ] == []


def test_every_registered_source_says_what_it_is_and_is_cited(catalogs: Catalogs):
    register = register_of(catalogs)
    in_copies = {
        c.source for _, name, *_ in COPIES for r in published(name) for c in cited(r["source"], catalogs["sources"])
    }
    for row in catalogs["sources"]:
        assert row["kind"] in KINDS, row
        assert all(str(row[c]).strip() for c in ("title", "dated", "checked_by")), row
    weights = {c.source for r in published("conductor_weights") for c in cited(r["source"], catalogs["sources"])}
    assert [k for k, rows in register.known.items() if not rows and k not in in_copies | weights] == []


@pytest.mark.parametrize(("name", "copy", "ours", "theirs", "rows"), COPIES, ids=[f"{n}-{c}" for n, c, *_ in COPIES])
def test_a_value_that_equals_a_published_copy_cites_what_the_copy_does(
    catalogs: Catalogs, name: str, copy: str, ours: Keyed, theirs: Keyed, rows: int
):
    """A figure that stands in print is no common practice and no invention; one known from memory alone says so."""
    sources = catalogs["sources"]
    printed = {theirs(row): {c.source for c in cited(row["source"], sources)} for row in published(copy)}
    equal = [row for row in catalogs[name] if ours(row) in printed]
    assert len(equal) == rows
    for row in equal:
        ids, copied = {c.source for c in cited(str(row["source"]), sources)}, printed[ours(row)]
        assert "" not in copied
        public = {i for i in copied if sources[i]["kind"] in PUBLIC}
        assert public & ids, (row["key"], row["source"])
        assert "memory" not in copied or "memory" in ids, (row["key"], row["source"])
        assert "common" not in ids, (row["key"], row["source"])


def test_what_is_priced_and_timed_is_invented_and_says_so_first(catalogs: Catalogs):
    for name in ("prices", "operations", "families", "connectors", "work_conditions", "ranges"):
        for row in catalogs[name]:
            assert row["key"] == "none" or "invented" in kinds_of(str(row["source"]), catalogs), row["key"]
            assert row["key"] == "none" or str(row["source"]).split()[0].rstrip(";") == "illustrative", row["key"]


def test_a_free_text_of_the_user_stays_as_it_stands(tmp_path: Path, catalogs: Catalogs):
    sources = catalogs["sources"]
    assert cited("quote of the supplier; March", sources) == [Citation("", "quote of the supplier; March")]
    assert cited("nec 314.16(B); the shop", sources) == [Citation("nec", "314.16(B)"), Citation("", "the shop")]
    assert cited("illustrative, invented for the demonstration: replace", sources)[0].source == "illustrative"
    (tmp_path / "prices.csv").write_text(
        "item,price_usd,source\nmc-wire-12-2,9,list of 2026-11\nmc-wire-12-3,9,my-list page 4\n"
    )
    (tmp_path / "sources.csv").write_text(
        "source,title,dated,kind,checked_by\nmy-list,our price list,2026-11,public record,us\n"
    )
    register = register_of(load_catalogs(tmp_path))
    assert {t: dict(rows) for t, rows in register.free.items()} == {"list of 2026-11": {"prices": 1}}
    assert register.known["my-list"] == {"prices": 1}
