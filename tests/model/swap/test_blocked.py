"""Circuits in which a rule stands against the plan swapped to: by reason, and what they contribute to the saving."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.swapping import CLINIC, Rebuild, overlay, shipped, swap_of
from tests.tables import row, rows

SPACES = CLINIC.replace("wires,area", "wires,area,space").replace("61,,,east\n", "61,,,east,patient-care\n")
"""P-1 serves a patient care space: 517.13(B) asks for an insulated copper EGC besides the armor."""


@pytest.fixture
def rebuild(tmp_path: Path) -> Rebuild:
    return Rebuild(tmp_path)


def test_a_blocked_circuit_stands_with_its_reason_and_what_it_contributes(rebuild: Rebuild):
    """From Type MC with a wire to one with armor as EGC: in P-1 both plans fall back to the same, which saves nothing."""
    build = rebuild(SPACES)
    (found,) = rows(build, "blocked")
    assert found["circuits"] == "P-1"
    assert found["why"].startswith("MC with armor EGC: ")
    assert "517.13(B)" in found["why"]
    alike = {r["plan"]: r["wired_as"] for r in rows(build, "wiring") if r["circuit"] == "P-1"}
    assert len(set(alike.values())) == 1
    assert found["saved_usd"] == 0
    assert swap_of(build)["fallbacks"] == 1


def test_a_fallback_that_differs_contributes_what_it_saves_there(rebuild: Rebuild):
    """The two plans wire the damp circuit otherwise, whole: the difference of P-1 alone is what it saves."""
    sets = ("swap_from=mc-wire-first", "swap_to=ac-first", "construction_by=circuit")
    build = rebuild(SPACES.replace("patient-care", "damp"), *sets, compared="mc-wire-first,ac-first")
    (found,) = rows(build, "blocked")
    alone = "".join(
        x for x in SPACES.replace("patient-care", "damp").splitlines(True) if ",P-1," in x or x[:3] == "box"
    )
    other = rebuild(alone, *sets, compared="mc-wire-first,ac-first")
    costs = [row(other, "plan_sums", plan=p)["installed_cost"] for p in ("mc-wire-first", "ac-first")]
    assert found["saved_usd"] == pytest.approx(costs[0] - costs[1])


def test_without_a_fallback_there_is_no_list(rebuild: Rebuild):
    assert not {"blocked", "blocked_kinds"} & set(rebuild(CLINIC).book.tables)


@pytest.mark.parametrize(("low", "high"), [(5, 101), (99, 300)])
def test_headline_and_chance_never_contradict_each_other_without_a_sentence(rebuild: Rebuild, low: int, high: int):
    """A saving estimated that is less likely than not, or a loss that is not, says so; go is never said of a loss.

    Minutes on grounds lean far to one side; one-time cost moves the estimate over nothing and back.
    """
    leaning = [
        {**r, "low_pct": low, "high_pct": high} if r["range"] == "ground_minutes" else r for r in shipped("ranges")
    ]
    catalogs = {"ranges": overlay(("range", "low_pct", "likely_pct", "high_pct", "source"), leaning)}
    base = ("labor_rate_usd_per_h=400", "demo_share_pct=100")
    gross = swap_of(rebuild(CLINIC, *base))["gross_usd"]
    assert gross > 0
    met = set()
    for part in (0.5, 0.8, 0.95, 0.999, 1.001, 1.05, 1.2, 1.5):
        build = rebuild(CLINIC, *base, f"other_one_time_usd={part * gross}", catalogs=catalogs)
        risk, net = row(build, "risk"), swap_of(build)["net_usd"]
        apart = (net > 0) != (risk["chance_pct"] > 50)
        met.add(apart)
        assert str(risk["apart"]).startswith("ESTIMATE AND CHANCE POINT APART") == apart, part
        assert str(risk["verdict"]).startswith("NO") == (net <= 0 or risk["mean_usd"] <= 0), part
        assert not str(risk["verdict"]).startswith("GO") or risk["chance_pct"] >= 80
    assert met == {False, True}
