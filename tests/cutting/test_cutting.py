"""The cutting plan: published cutting stock problems, exhaustive searches of small ones, and what must always hold."""

from __future__ import annotations

import math
from functools import cache
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from takeoff.cutting.plan import CuttingPlan, cut
from tests.copies import published


def repeated(demand: dict[float, int]) -> list[float]:
    return [size for size, count in demand.items() for _ in range(count)]


def hundredths(length_ft: float) -> int:
    """Lengths of these tests have at most two decimals."""
    return round(length_ft * 100)


def assert_holds(plan: CuttingPlan, pieces: list[float], stock: list[float]) -> None:
    """Every piece in one coil or reported; no coil over its length; the figures of the plan are those of its coils."""
    placed = sorted(p for c in plan.coils for p in c.pieces)
    longest = max(stock, default=0)
    assert list(plan.too_long) == [i for i, p in enumerate(pieces) if p > longest]
    assert sorted([*placed, *plan.too_long]) == list(range(len(pieces)))
    for coil in plan.coils:
        used = sum(hundredths(pieces[p]) for p in coil.pieces)
        assert coil.pieces == tuple(sorted(coil.pieces)) != ()
        assert coil.length_ft in stock
        assert used <= hundredths(coil.length_ft)
        assert (hundredths(coil.used_ft), hundredths(coil.leftover_ft)) == (used, hundredths(coil.length_ft) - used)
    order = [(-c.length_ft, -c.used_ft) for c in plan.coils]
    assert order == sorted(order)
    bought = sum(hundredths(c.length_ft) for c in plan.coils)
    assert hundredths(plan.bought_ft) == bought
    assert hundredths(plan.gap_ft) == bought - hundredths(plan.bound_ft) >= 0


def first_fit(pieces: list[float], length: float) -> list[float]:
    """First fit decreasing, the textbook rule: what is left on every coil."""
    left: list[int] = []
    for piece in sorted(map(hundredths, pieces), reverse=True):
        at = next((i for i, room in enumerate(left) if room >= piece), len(left))
        if at == len(left):
            left.append(hundredths(length))
        left[at] -= piece
    return [room / 100 for room in left]


def exhaustive(pieces: list[float], stock: list[float]) -> int:
    """Fewest hundredths of a foot: every set of pieces that may share the first one's coil, and the rest again."""
    sizes, lengths = [hundredths(p) for p in pieces], sorted(map(hundredths, stock))

    @cache
    def fewest(left: frozenset[int]) -> int:
        if not left:
            return 0
        first, *others = sorted(left)
        best = math.inf
        for take in product((False, True), repeat=len(others)):
            held = [first, *(o for o, t in zip(others, take, strict=True) if t)]
            length = next((s for s in lengths if s >= sum(sizes[i] for i in held)), None)
            if length:
                best = min(best, length + fewest(left - frozenset(held)))
        return int(best)

    return fewest(frozenset(range(len(sizes))))


def test_published_u120_00_takes_48_where_the_textbook_rule_takes_49():
    """Falkenauer, u120_00 of the OR-Library and BPPLIB: 120 pieces, stock length 150, optimum 48."""
    pieces = repeated({float(r["size"]): int(r["demand"]) for r in published("cutting_u120_00")})
    assert (len(pieces), sum(pieces)) == (120, 7078)
    assert len(first_fit(pieces, 150)) == 49
    plan = cut(pieces, [150])
    assert_holds(plan, pieces, [150])
    assert (len(plan.coils), plan.bound_ft) == (48, 48 * 150)


def test_a_textbook_example_takes_453():
    """Chvatal, Linear Programming, 1983, p. 195: linear program 452.25, optimum 453."""
    pieces = repeated({45: 97, 36: 610, 31: 395, 14: 211})
    plan = cut(pieces, [100])
    assert_holds(plan, pieces, [100])
    assert len(plan.coils) == 453
    assert 45225 <= plan.bound_ft <= 45300


def test_encyclopedia_example_takes_73():
    """Wikipedia, Cutting stock problem: paper rolls of 5600 mm, optimum 73, lower bound 72.7."""
    widths = (1380, 1520, 1560, 1710, 1820, 1880, 1930, 2000, 2050, 2100, 2140, 2150, 2200)
    demand = (22, 25, 12, 14, 18, 18, 20, 10, 12, 14, 16, 18, 20)
    pieces = repeated(dict(zip(map(float, widths), demand, strict=True)))
    assert sum(pieces) == 407160
    plan = cut(pieces, [5600])
    assert_holds(plan, pieces, [5600])
    assert (len(plan.coils), plan.bound_ft) == (73, 73 * 5600)


@pytest.mark.parametrize(
    ("demand", "stock", "feet"),
    [
        # example of a constraint modelling library; 36 of 40: four by total length alone
        ({7: 2, 5: 2, 3: 4}, [10], 40),
        # example of an integer programming library; 663 of 750: three by total length alone
        ({187: 1, 119: 2, 74: 2, 90: 1}, [250], 750),
        # no two of 130 share a coil of 250, so four coils, though 700 ft would be three
        ({130: 4, 90: 2}, [250], 1000),
        # a public example of nesting: 93 ft. 95 could only be 25+25+25+20, and a 16 leaves 4 on each of them or
        # takes a 5 with it, each time more than the 2 to spare
        ({16: 2, 12: 3, 5: 5}, [20, 25, 40], 100),
        # 16 + 5 = 21 leaves 4 on a 25; 12 + 12 = 24: worked by hand, 25 + 25
        ({16: 1, 5: 1, 12: 2}, [20, 25, 60], 50),
        # one reel is shorter than two coils, and the other way round
        ({150: 2}, [250, 400], 400),
        ({150: 2}, [160, 400], 320),
    ],
)
def test_small_jobs_worked_by_hand(demand: dict[float, int], stock: list[float], feet: float):
    pieces = repeated(demand)
    plan = cut(pieces, stock)
    assert_holds(plan, pieces, stock)
    assert (plan.bought_ft, plan.gap_ft) == (feet, 0)


def test_coils_cut_up_without_a_leftover_are_found_again():
    """Fifteen coils of 250 ft, each cut in three: fifteen is the optimum by construction, 3750 ft.

    Rules that take coil after coil need one more; the prices of the linear program find the patterns.
    """
    first = (68, 64, 67, 88, 84, 66, 61, 84, 98, 88, 74, 66, 80, 61, 94)
    second = (96, 76, 91, 90, 73, 91, 117, 87, 60, 77, 97, 117, 61, 61, 60)
    pieces = [float(p) for a, b in zip(first, second, strict=True) for p in (a, b, 250 - a - b)]
    assert len(first_fit(pieces, 250)) > 15
    plan = cut(pieces, [250])
    assert_holds(plan, pieces, [250])
    assert (plan.bought_ft, plan.gap_ft) == (3750, 0)


WHOLE = st.integers(1, 60).map(float)
FINE = st.integers(1, 6000).map(lambda n: n / 100)


@settings(max_examples=250, deadline=None)
@given(
    st.lists(st.one_of(WHOLE, FINE), max_size=7),
    st.lists(st.one_of(WHOLE, FINE), min_size=1, max_size=3, unique=True),
)
def test_small_jobs_equal_an_exhaustive_search(pieces: list[float], stock: list[float]):
    plan = cut(pieces, stock)
    assert_holds(plan, pieces, stock)
    fit = [p for p in pieces if p <= max(stock)]
    assert hundredths(plan.bought_ft) == exhaustive(fit, stock)
    assert plan.gap_ft == 0


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.one_of(WHOLE, FINE), min_size=8, max_size=60),
    st.lists(st.sampled_from([25.0, 40.0, 62.5, 100.0, 333.33, 1000.0]), min_size=1, max_size=3, unique=True),
    st.randoms(use_true_random=False),
)
def test_any_order_buys_the_same_and_never_more_than_the_textbook_rule(pieces, stock, random):
    plan = cut(pieces, stock)
    assert_holds(plan, pieces, stock)
    assert cut(pieces, stock) == plan
    mixed = random.sample(pieces, len(pieces))
    assert (cut(mixed, stock[::-1]).bought_ft, cut(mixed, stock[::-1]).bound_ft) == (plan.bought_ft, plan.bound_ft)
    fit = [p for p in pieces if p <= max(stock)]
    assert plan.bought_ft <= round(len(first_fit(fit, max(stock))) * max(stock), 2)
    # no purchase is under the total
    assert plan.bound_ft >= round(sum(fit), 2)


def test_reels_too_long_in_hundredths_for_patterns_still_get_the_best_of_the_other_plans():
    """Runs of two decimals on four stock lengths; the gap shown is at most the shortest of them."""
    pieces = [30 + (i * 6997 % 10_007) / 100 for i in range(60)]
    stock = [200.0, 250.0, 500.0, 1000.0]
    plan = cut(pieces, stock)
    assert_holds(plan, pieces, stock)
    assert sum(pieces) <= plan.bound_ft <= plan.bought_ft <= plan.bound_ft + 200


def test_pieces_are_rounded_up_and_noise_decides_nothing():
    # 0.1 + 0.2 is a little over 0.3 in binary fractions; ten of 25.0 are not over 250
    assert len(cut([0.1 + 0.2, 0.3], [0.6]).coils) == 1
    assert len(cut([25.0] * 10, [250]).coils) == 1
    assert len(cut([83.33, 83.33, 83.34], [250]).coils) == 1
    # a thousandth more than a hundredth is a hundredth more
    assert len(cut([83.331, 83.331, 83.34], [250]).coils) == 2
    assert cut([10.001], [250]).coils[0].used_ft == 10.01


def test_pieces_longer_than_every_stock_length_are_reported():
    plan = cut([300, 100, 250.01, 250, 400], [100, 250])
    assert plan.too_long == (0, 2, 4)
    assert [(c.length_ft, c.pieces, c.leftover_ft) for c in plan.coils] == [(250, (3,), 0), (100, (1,), 0)]
    assert (plan.bought_ft, plan.bound_ft) == (350, 350)


@pytest.mark.parametrize(("pieces", "stock", "too_long"), [([], [250], ()), ([], [], ()), ([5, 6], [], (0, 1))])
def test_nothing_to_cut_or_nothing_to_cut_from(pieces: list[float], stock: list[float], too_long: tuple[int, ...]):
    plan = cut(pieces, stock)
    assert (plan.coils, plan.too_long, plan.bought_ft, plan.bound_ft, plan.gap_ft) == ((), too_long, 0, 0, 0)


@pytest.mark.parametrize("wrong", [0, -1, math.nan, math.inf])
def test_a_length_is_a_number_over_zero(wrong: float):
    with pytest.raises(ValueError, match="finite number of feet over zero"):
        cut([12, wrong], [250])
    with pytest.raises(ValueError, match="finite number of feet over zero"):
        cut([12], [wrong])


def test_a_large_job_is_planned_by_the_same_rules():
    """Ten thousand different runs between 12 and 80 ft: too many for patterns, and still near the bound."""
    pieces = [12 + (i * 6997 % 10_000) * 68 / 10_000 for i in range(10_000)]
    pieces = [math.floor(p * 100) / 100 for p in pieces]
    plan = cut(pieces, [250, 1000])
    assert_holds(plan, pieces, [250, 1000])
    assert plan.gap_ft <= 1000


def test_a_stock_length_that_holds_no_piece_lowers_no_bound():
    """76 ft from 32 and 52 ft take both, 84 ft; pieces of 0.13 ft, that hold nothing, would make 76.05 ft of a bound."""
    plan = cut([1.0, 21.0, 27.0, 27.0], [32.0, 52.0, 0.13])
    assert (plan.bought_ft, plan.bound_ft, plan.gap_ft) == (84, 84, 0)
