"""The risk of a saving: draws against closed forms, one range at a time against rebuilds, order of the bars."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from takeoff.build import Build
from takeoff.catalog.rows import Row
from takeoff.model.swap.draws import PERCENTS, Range, draw, outcome_of
from takeoff.report.results import results_of
from takeoff.text.problems import InputError
from tests.swapping import CLINIC, INVENTED, Rebuild, minutes, on_grounds, overlay, prices, shipped, swap_of
from tests.tables import row, rows

MANY = 400_000
SKEWED = Range(0.5, 1.0, 3.0)
"""Worked example of a risk manual: triangular 0.5, 1, 3; P10, P50, P90 of .8536, 1.4189, 2.2929, mean 1.5."""

RANGES = [SKEWED, Range(0.8, 1.0, 1.6), Range(0.7, 1.3, 1.4), Range(1.0, 1.0, 1.5), Range(0.5, 1.0, 1.0)]


def law(r: Range, shape: str) -> stats.rv_continuous:
    """Return the distribution of scipy; PERT is a beta of mean (a + 4 m + b) / 6 whose exponents sum to 4."""
    width = r.high - r.low
    if shape == "triangular":
        return stats.triang((r.likely - r.low) / width, r.low, width)
    return stats.beta(1 + 4 * (r.likely - r.low) / width, 1 + 4 * (r.high - r.likely) / width, r.low, width)


@pytest.mark.parametrize("shape", ["triangular", "pert"])
@pytest.mark.parametrize("r", RANGES, ids=str)
def test_percentiles_of_the_draws_are_those_of_the_distribution(r: Range, shape: str):
    """Five standard errors: a sampled quantile q of n draws has sqrt(p (1 - p) / n) / density(q) (order statistics)."""
    found = np.percentile(draw({"x": r}, shape, MANY, 3)["x"], [10, 50, 90])
    for p, sampled in zip((0.1, 0.5, 0.9), found, strict=True):
        exact = law(r, shape).ppf(p)
        error = np.sqrt(p * (1 - p) / MANY) / law(r, shape).pdf(exact)
        assert abs(sampled - exact) < 5 * error


@pytest.mark.parametrize("r", RANGES, ids=str)
def test_moments_of_the_draws_are_the_closed_forms(r: Range):
    """Means (a + m + b) / 3 and (a + 4 m + b) / 6; variance of the triangle (a2 + m2 + b2 - am - ab - mb) / 18."""
    a, m, b = r.low, r.likely, r.high
    triangle, pert = (draw({"x": r}, shape, MANY, 4)["x"] for shape in ("triangular", "pert"))
    variance = (a * a + m * m + b * b - a * m - a * b - m * b) / 18
    assert triangle.mean() == pytest.approx((a + m + b) / 3, abs=5 * np.sqrt(variance / MANY))
    assert triangle.var() == pytest.approx(variance, rel=0.02)
    assert pert.mean() == pytest.approx((a + 4 * m + b) / 6, abs=5 * pert.std() / np.sqrt(MANY))
    assert a <= triangle.min() < triangle.max() <= b
    assert a <= pert.min() < pert.max() <= b


def test_the_published_triangle():
    """Risk-tool manual, triangular 0.5, 1, 3: a fifth is at or below the mode; PERT of the same has mean 1.25."""
    found = draw({"x": SKEWED}, "triangular", MANY, 5)["x"]
    assert np.percentile(found, [10, 50, 90]) == pytest.approx([0.8536, 1.4189, 2.2929], abs=0.012)
    assert found.mean() == pytest.approx(1.5, abs=0.005)
    assert (found <= 1).mean() == pytest.approx(0.2, abs=0.004)
    assert draw({"x": SKEWED}, "pert", MANY, 5)["x"].mean() == pytest.approx(1.25, abs=0.005)


def test_the_sum_of_most_likely_values_is_optimistic():
    """Three items of 0.8, 1.0, 1.6: 8 % chance of no more than 3.0; P90 3.79. Worked by hand, no published source."""
    found = sum(draw({n: Range(0.8, 1.0, 1.6) for n in "abc"}, "triangular", MANY, 6).values())
    assert (found <= 3.0).mean() == pytest.approx(0.08, abs=0.005)
    assert np.percentile(found, 90) == pytest.approx(3.79, abs=0.01)


def test_ranges_are_drawn_independently():
    found = draw(dict.fromkeys("abc", SKEWED), "triangular", MANY, 7)
    assert np.abs(np.corrcoef(list(found.values())) - np.eye(3)).max() < 5 / np.sqrt(MANY)


@pytest.mark.parametrize("together", [0.3, 0.5, 0.8])
@pytest.mark.parametrize("shape", ["triangular", "pert"])
def test_ranges_of_one_cause_have_the_rank_correlation_of_the_closed_form(together: float, shape: str):
    """Of normal scores correlated by r, ranks are by 6 / pi x asin(r / 2), whatever the shapes.

    Kruskal, Ordinal Measures of Association, 1958; from memory.
    """
    pair = {"a": Range(0.5, 1, 3, "copper", together), "b": Range(0.8, 1, 1.6, "copper", together)}
    apart = {"c": Range(0.8, 1, 1.6, "crew", together), "d": Range(0.8, 1, 1.6, "copper", 0)}
    found = draw({**pair, **apart}, shape, MANY, 11)
    ranks = stats.spearmanr(np.array(list(found.values())).T).statistic
    assert ranks[0, 1] == pytest.approx(6 / np.pi * np.arcsin(together / 2), abs=0.006)
    assert np.abs([ranks[0, 2], ranks[0, 3], ranks[1, 2], ranks[2, 3]]).max() < 0.006


def test_triangles_that_move_as_one_add_up_quantile_by_quantile():
    """Fully together: P10 of the sum is the sum of the P10s, and its spread the sum of the spreads."""
    ranges = {"a": Range(0.5, 1, 3, "copper", 1), "b": Range(0.8, 1, 1.6, "copper", 1)}
    total = sum(draw(ranges, "triangular", MANY, 12).values())
    laws = [law(r, "triangular") for r in ranges.values()]
    for p in (0.1, 0.5, 0.9):
        assert np.percentile(total, 100 * p) == pytest.approx(sum(one.ppf(p) for one in laws), abs=0.012)
    assert total.std() == pytest.approx(sum(one.std() for one in laws), rel=0.02)  # both lean, not quite alike


def test_two_equal_triangles_together_differ_by_less_than_apart():
    """Var(a - b) = 2 Var (1 - r), r of the draws; apart r is 0: 2 Var, Var = (high - low)^2 / 24 of a symmetric one."""
    both = {n: Range(0.9, 1, 1.1, "copper", 0.8) for n in "ab"}
    a, b = draw(both, "triangular", MANY, 13).values()
    r = np.corrcoef(a, b)[0, 1]
    assert (a - b).var() == pytest.approx(2 * 0.2**2 / 24 * (1 - r), rel=0.02)
    assert 0.77 < r < 0.8


def test_the_same_seed_gives_the_same_draws_and_another_seed_others():
    one, again, other = (draw({"x": SKEWED}, "pert", 1000, seed)["x"] for seed in (1, 1, 2))
    assert (one == again).all()
    assert (one != other).mean() > 0.99


def test_a_range_without_width_is_no_draw():
    assert set(draw({"x": Range(1.03, 1.03, 1.03)}, "pert", 100, 1)["x"]) == {1.03}


def test_an_outcome_says_what_its_draws_come_to():
    """1 to 100: half are at most 50.5, and the chance of more than nothing counts what is above 0."""
    found = outcome_of(np.arange(1.0, 101.0) - 20)
    assert (found.mean_usd, found.at(50), found.chance_pct) == (30.5, 30.5, 80)
    assert found.sd_usd == pytest.approx(np.sqrt(100 * 101 / 12))
    assert (found.curve_usd[0], found.curve_usd[-1], len(found.curve_usd)) == (-19, 80, len(PERCENTS))


ONE_TIME = ("other_one_time_usd=7", "labor_rate_usd_per_h=70")
PART_BUILT = "[areas.east]\ninstalled_pct = 20\n[areas.west]\ninstalled_pct = 20\n"


@pytest.fixture
def rebuild(tmp_path: Path) -> Rebuild:
    return Rebuild(tmp_path)


def ranges(**ends: tuple[float, float, float]) -> str:
    """Return the ranges with other ends; those not named are as shipped."""
    rows = [{"range": key, "low_pct": e[0], "likely_pct": e[1], "high_pct": e[2]} for key, e in ends.items()]
    names = ("range", "low_pct", "likely_pct", "high_pct", "source")
    return overlay(names, ({**r, "source": INVENTED} for r in rows))


@pytest.mark.parametrize("shape", ["triangular", "pert"])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_mean_of_the_draws_is_the_mean_by_formula(rebuild: Rebuild, shape: str, seed: int):
    """Within 4 standard errors; the formula again here: the saving is linear in every factor, and these are independent."""
    build = rebuild(CLINIC, *ONE_TIME, f"risk_shape={shape}", f"risk_seed={seed}", toml=PART_BUILT)
    risk, s = row(build, "risk"), swap_of(build)
    weights = {"triangular": (1, 1, 1), "pert": (1, 4, 1)}[shape]
    f = {
        str(r["range"]): np.average(
            [float(str(r[f"{n}_pct"])) / 100 for n in ("low", "likely", "high")], weights=weights
        )
        for r in shipped("ranges")
    }
    old, new = (
        s[f"ground_hours_{w}"] * f["ground_minutes"] + s[f"other_hours_{w}"] * f["other_minutes"]
        for w in ("from", "to")
    )
    labor = (old - new * f["new_labor"]) * 70 * f["labor_rate"]
    cable = s["cable_usd_from"] * f["from_cable"] - s["cable_usd_to"] * f["to_cable"]
    parts = s["box_usd"] * f["boxes"] + s["fitting_usd"] * f["fittings"]
    mean = (labor + cable + parts) * f["remaining"] - 7 * f["one_time"]
    assert risk["mean_by_formula_usd"] == pytest.approx(mean)
    assert abs(risk["mean_usd"] - mean) < 4 * risk["sd_usd"] / np.sqrt(risk["draws"])
    assert risk["sd_usd"] > 0


def test_percentiles_are_in_order_and_the_curve_rises(rebuild: Rebuild):
    build = rebuild(CLINIC, *ONE_TIME)
    risk, curve = row(build, "risk"), rows(build, "risk_curve")
    assert risk["p10_usd"] < risk["p50_usd"] < risk["p90_usd"]
    heights = [r["net_usd"] for r in curve]
    assert heights == sorted(heights)
    at = {r["chance_pct"]: r["net_usd"] for r in curve}
    assert [risk[f"p{p}_usd"] for p in (10, 50, 90)] == [at[p] for p in (10, 50, 90)]
    assert risk["draws"] >= 10_000
    assert results_of(build)["swap"]["risk"]["p10_usd"] == pytest.approx(risk["p10_usd"])


def test_the_seed_is_an_input(rebuild: Rebuild):
    found = [row(rebuild(CLINIC, f"risk_seed={seed}"), "risk")["p10_usd"] for seed in (1, 1, 2)]
    assert found[0] == found[1] != found[2]


@pytest.mark.parametrize("one_time", [0, 1, 2])
def test_draws_are_fresh_on_the_build_whatever_a_figure_is(rebuild: Rebuild, one_time: int):
    """A figure is compared with what it was by its size: none, one, or more."""
    risk = row(rebuild(CLINIC, f"other_one_time_usd={one_time}"), "risk")
    assert (risk["changed"], risk["says"]) == (0, "computed on the build; inputs as then")


def test_fewer_than_ten_thousand_draws_are_refused(rebuild: Rebuild):
    with pytest.raises(InputError, match="risk_draws"):
        rebuild(CLINIC, "risk_draws=9999")


@pytest.mark.parametrize(("one_time", "chance"), [(0, 100), (500, 0)])
def test_ranges_without_width_leave_the_saving_certain(rebuild: Rebuild, one_time: float, chance: float):
    flat = ranges(**{str(r["range"]): (100, 100, 100) for r in shipped("ranges")})
    build = rebuild(CLINIC, "labor_rate_usd_per_h=200", f"other_one_time_usd={one_time}", catalogs={"ranges": flat})
    risk, net = row(build, "risk"), swap_of(build)["net_usd"]
    assert [risk[n] for n in ("p10_usd", "p50_usd", "p90_usd", "mean_usd")] == pytest.approx([net] * 4)
    assert risk["sd_usd"] == pytest.approx(0, abs=1e-9)
    assert (risk["chance_pct"], net > 0) == (chance, chance == 100)


SMALL = {"fitting", "joint", "support", "small"}


def price_of(factor: float, families: set[str], begin: str = "") -> dict[str, str]:
    """Return the price list with the prices of families, of items that begin so, times a factor."""

    def price(r: Row) -> float:
        mine = r["family"] in families and str(r["item"]).startswith(begin)
        return float(str(r["price_usd"])) * (factor if mine else 1)

    return {"prices": prices(price)}


def minutes_of(factor: float, grounds: bool) -> dict[str, str]:
    """Return the minutes with those of operations on grounds, or of all others, times a factor."""
    return {"operations": minutes(lambda r: float(str(r["minutes"])) * (factor if on_grounds(r) == grounds else 1))}


def minutes_of_the_new(factor: float) -> dict[str, str]:
    """Return minutes of the plan swapped to as rows of its own construction, which go before those of all."""
    own = (
        {**r, "construction": "mc-armor", "minutes": float(str(r["minutes"])) * factor} for r in shipped("operations")
    )
    names = ("operation", "construction", "title", "driver", "minutes", "step", "source")
    return {"operations": overlay(names, own)}


ESTIMATES: dict[str, Callable[[float], dict[str, str]]] = {
    "ground_minutes": lambda f: minutes_of(f, grounds=True),
    "other_minutes": lambda f: minutes_of(f, grounds=False),
    "new_labor": minutes_of_the_new,
    "from_cable": lambda f: price_of(f, {"cable"}, "mc-wire"),
    "to_cable": lambda f: price_of(f, {"cable"}, "mc-armor"),
    "boxes": lambda f: price_of(f, {"box", "cover"}),
    "fittings": lambda f: price_of(f, SMALL),
}


def scaled(rebuild: Rebuild, key: str, factor: float) -> Build:
    """Return a build with one estimate changed by a factor, by the inputs of the job alone."""
    only = {name: factor if name == key else 1 for name in ("one_time", "labor_rate", "remaining")}
    sets = (f"other_one_time_usd={7 * only['one_time']}", f"labor_rate_usd_per_h={70 * only['labor_rate']}")
    toml = PART_BUILT.replace("20", f"{100 - 80 * only['remaining']}")
    return rebuild(CLINIC, *sets, toml=toml, catalogs=ESTIMATES[key](factor) if key in ESTIMATES else {})


@pytest.mark.parametrize("key", [str(r["range"]) for r in shipped("ranges")])
def test_each_end_of_a_range_is_a_rebuild_with_the_estimate_changed(rebuild: Rebuild, key: str):
    build = rebuild(CLINIC, *ONE_TIME, toml=PART_BUILT)
    (shown,) = (r for r in shipped("ranges") if r["range"] == key)
    swing, net = row(build, "swings", range=key), swap_of(build)["net_usd"]
    for end in ("low", "high"):
        again = scaled(rebuild, key, float(str(shown[f"{end}_pct"])) / 100)
        assert swing[f"{end}_usd"] == pytest.approx(swap_of(again)["net_usd"] - net, abs=1e-9), end
    assert swing["swing_usd"] == pytest.approx(abs(swing["high_usd"] - swing["low_usd"]))


def test_circuits_that_both_plans_wire_alike_swing_nothing(rebuild: Rebuild):
    """517.13: both plans wire the circuit for patient care in the same construction, whose price moves neither."""
    more = CLINIC.replace("wires,area", "wires,area,space") + "C1,P-4,duplex-hg,90,,,west,patient-care\n"
    plain, with_patient = (rows(rebuild(text, *ONE_TIME), "swings") for text in (CLINIC, more))
    assert [r["swing_usd"] for r in with_patient] == pytest.approx([r["swing_usd"] for r in plain])


def test_the_bars_are_sorted_and_each_range_has_one(rebuild: Rebuild):
    build = rebuild(CLINIC, *ONE_TIME, toml=PART_BUILT)
    bars = rows(build, "tornado")
    assert len(bars) >= 8
    swings = [abs(b["high_usd"] - b["low_usd"]) for b in bars]
    assert swings == sorted(swings, reverse=True)
    assert sorted(b["title"] for b in bars) == sorted(str(r["title"]) for r in shipped("ranges"))
    ends = {str(r["title"]): (r["low_pct"], r["high_pct"]) for r in shipped("ranges")}
    assert all((b["low_pct"], b["high_pct"]) == ends[b["title"]] for b in bars)


def test_ranges_that_swing_alike_are_parted(rebuild: Rebuild):
    """Three ranges without width swing nothing, nor do days where no dates are given; every one still has a place of its own, in the order of the catalog."""
    flat = ranges(boxes=(100, 100, 100), labor_rate=(100, 100, 100), one_time=(100, 100, 100))
    bars = rows(rebuild(CLINIC, *ONE_TIME, catalogs={"ranges": flat}), "tornado")
    assert len({b["title"] for b in bars}) == len(bars)
    titles = ["labor rate", "price of boxes", "days of approval and delivery", "one-time cost"]
    assert [b["title"] for b in bars[-4:]] == titles
    assert [(b["low_usd"], b["high_usd"]) for b in bars[-4:]] == [(0, 0)] * 4


def test_a_range_leans_whose_ends_are_not_as_far_from_the_likely_as_each_other(rebuild: Rebuild):
    """80 and 150 are 20 under and 50 over 100; 80 and 140 both 30 from 110; 80 and 120 both 20 from 100."""
    odd = ranges(boxes=(80, 100, 150), labor_rate=(80, 110, 140), one_time=(80, 100, 120))
    build = rebuild(CLINIC, *ONE_TIME, catalogs={"ranges": odd})
    skew = {r["range"]: r["skew"] for r in rows(build, "swings")}
    assert [skew[n] for n in ("boxes", "labor_rate", "one_time")] == pytest.approx([0.3, 0, 0], abs=1e-12)
    leans = {b["title"]: b["lean"] for b in rows(build, "tornado")}
    assert [leans[n] for n in ("price of boxes", "labor rate", "one-time cost")] == ["YES", "no", "no"]


@pytest.mark.parametrize(
    ("shape", "mean_pct"), [("triangular", (80 + 100 + 180) / 3), ("pert", (80 + 4 * 100 + 180) / 6)]
)
def test_at_its_mean_a_range_moves_the_saving_by_its_part(rebuild: Rebuild, shape: str, mean_pct: float):
    """One-time cost of 300 USD, 80 to 180 % of it: 60 USD less at the low end, 240 more at the high one."""
    catalogs = {"ranges": ranges(one_time=(80, 100, 180))}
    build = rebuild(CLINIC, "other_one_time_usd=300", f"risk_shape={shape}", catalogs=catalogs)
    assert swap_of(build)["one_time_usd"] == pytest.approx(300)
    found = row(build, "swings", range="one_time")
    assert (found["low_usd"], found["high_usd"]) == pytest.approx((60, -240))
    assert found["mean_usd"] == pytest.approx(-300 * (mean_pct - 100) / 100)


def test_an_end_on_the_wrong_side_of_the_likely_is_taken_as_the_likely(rebuild: Rebuild):
    odd = ranges(labor_rate=(110, 100, 90))
    found = row(rebuild(CLINIC, catalogs={"ranges": odd}), "spreads", range="labor_rate")
    assert (found["low"], found["likely"], found["high"], found["mean"]) == (1, 1, 1, 1)


def test_a_case_takes_one_range_at_an_end_and_the_last_all_at_their_means(rebuild: Rebuild):
    """Worked by hand: every range 80, 100, 150 %; the mean of a triangle is (80 + 100 + 150) / 3 = 110 %."""
    names = [str(r["range"]) for r in shipped("ranges")]
    lopsided = ranges(**dict.fromkeys(names, (80, 100, 150)))
    build = rebuild(CLINIC, "risk_shape=triangular", catalogs={"ranges": lopsided})
    ends = {f"{name}|{case}": {name: end} for name in names for case, end in ((1, 0.8), (2, 1.5))}
    for key, moved in [*ends.items(), ("all|3", dict.fromkeys(names, 1.1))]:
        case = row(build, "cases", key=key)
        assert [case[n] for n in names] == pytest.approx([moved.get(n, 1) for n in names]), key
