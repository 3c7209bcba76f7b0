"""Distributions against their definitions, worked by hand."""

from statistics import NormalDist

import numpy as np
import pytest

from advisor.money.chance import (
    Z90,
    band,
    between,
    chance_word,
    even_grid,
    linked,
    order_of,
    sum_of_ranges,
    triangular,
    weibull_life_yr,
)


def test_the_grid_is_even():
    quantiles, scores = even_grid(1000)
    assert quantiles.mean() == pytest.approx(0.5) and quantiles[0] == 0.0005
    assert scores.mean() == pytest.approx(0, abs=1e-12)
    assert scores[899:901].mean() == pytest.approx(NormalDist().inv_cdf(0.9), abs=1e-5)


def test_an_order_belongs_to_a_name():
    assert sorted(order_of("use", 100, 1)) == list(range(100))
    assert (order_of("use", 100, 1) == order_of("use", 100, 1)).all()
    assert (order_of("use", 100, 1) != order_of("labor", 100, 1)).any()


def test_a_range_is_hit_at_its_three_points():
    ranges = np.array([[1300.0, 2000, 3200], [10, 30, 80]])
    values = between(ranges, np.array([[-Z90, -Z90], [0, 0], [Z90, Z90]]))
    assert values == pytest.approx(ranges.T)


def test_a_range_that_starts_at_nought():
    values = between(np.array([[0.0, 350, 1500], [0, 0, 60]]), np.array([[-Z90] * 2, [0] * 2, [Z90] * 2, [-4.0] * 2]))
    assert values[:, 0] == pytest.approx([0, 350, 1500, 0])
    assert values[:, 1] == pytest.approx([0, 0, 60, 0])


def test_halfway_to_an_end_by_hand():
    """The geometric mean of the end and the middle; where an end is 0, the arithmetic one."""
    ranges = np.array([[1300.0, 2000, 3200], [0.5, 2, 8], [0.25, 0.5, 1.0], [0, 350, 1400], [0, 0, 60]])
    values = between(ranges, np.array([[-Z90 / 2] * 5, [Z90 / 2] * 5]))
    assert values[0] == pytest.approx([(1300 * 2000) ** 0.5, 1.0, 0.125**0.5, 175, 0])
    assert values[1] == pytest.approx([(3200 * 2000) ** 0.5, 4.0, 0.5**0.5, 700, 30])


def test_a_quote_has_no_spread():
    assert between(np.array([[2750.0] * 3]), np.array([[-2.0], [3.0]])).tolist() == [
        [2750.0],
        [2750.0],
    ]  # one for each draw
    mixed = between(np.array([[2750.0] * 3, [1.0, 2.0, 3.0]]), np.array([[-2.0, 0], [3.0, 0]]))
    assert mixed[:, 0] == pytest.approx([2750, 2750])


def test_a_triangle_by_hand():
    # 0.75 / 0.82 / 1.0: the share below the peak is 0.07 / 0.25.
    assert triangular(np.array([0.0, 0.28, 1.0]), 0.75, 0.82, 1.0) == pytest.approx([0.75, 0.82, 1.0])
    draws = triangular(even_grid(20_000)[0], 0.75, 0.82, 1.0)
    assert draws.mean() == pytest.approx((0.75 + 0.82 + 1.0) / 3, abs=1e-6)


def test_weibull_lives():
    quantiles = even_grid(20_000)[0][:, None]
    lives = weibull_life_yr(quantiles, np.array([14.5]), np.array([2.5]))
    assert lives.mean() == pytest.approx(14.5, rel=1e-4)
    # One in ten by 6.6 years, nine in ten by 22.8: the points of the lifetime table, to 0.1 year.
    assert np.percentile(lives, (10, 90)) == pytest.approx([6.6, 22.8], abs=0.06)
    assert weibull_life_yr(quantiles, np.array([14.5]), np.array([np.inf])) == pytest.approx(np.full((20_000, 1), 14.5))


@pytest.mark.parametrize("link", [0.0, 0.4, 0.9])
def test_linked_scores(link):
    grid = even_grid(20_000)[1]
    one, other = grid[order_of("a", 20_000, 1)], grid[order_of("b", 20_000, 1)]
    both = linked(one, other, link)
    assert sorted(both) == pytest.approx(grid)
    assert np.corrcoef(one, both)[0, 1] == pytest.approx(link, abs=0.02)


def test_a_sum_of_ranges():
    parts = [[100, 200, 400], [50, 90, 120]]
    # Independent: distances add as squares. Together: they add plainly.
    assert sum_of_ranges(parts, 0.0) == pytest.approx([290 - np.hypot(100, 40), 290, 290 + np.hypot(200, 30)])
    assert sum_of_ranges(parts, 1.0) == pytest.approx([150, 290, 520])
    assert sum_of_ranges([[100, 200, 400]], 0.5) == pytest.approx([100, 200, 400])
    assert sum_of_ranges([], 0.5) == (0, 0, 0)


@pytest.mark.parametrize(
    ("chance", "word"),
    [(0.95, "likely"), (0.6, "likely"), (0.5, "toss-up"), (0.4, "unlikely"), (0.0, "unlikely")],
)
def test_words(chance, word):
    assert chance_word(chance) == word


def test_band():
    assert band(np.arange(101.0)[:, None])[:, 0].tolist() == [10, 50, 90]
