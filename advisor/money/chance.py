"""Draws with evenly spread quantiles, the distributions they are read from, and chances in words."""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from functools import cache
from math import gamma
from statistics import NormalDist

import numpy as np

from advisor.core.arrays import Floats, Ints

#: Low, typical and high: 10, 50 and 90 in a hundred.
Range = tuple[float, float, float]

#: Normal score of the 90th percentile; the 10th is its negative.
Z90 = NormalDist().inv_cdf(0.9)


@cache
def even_grid(draws: int) -> tuple[Floats, Floats]:
    """Evenly spread quantiles and their normal scores, in rising order."""
    quantiles = (np.arange(draws) + 0.5) / draws
    normal = NormalDist()
    return quantiles, np.array([normal.inv_cdf(quantile) for quantile in quantiles.tolist()])


def order_of(name: str, draws: int, seed: int) -> Ints:
    """A random order that belongs to an input's name, whatever other inputs there are."""
    return np.random.default_rng([seed, zlib.crc32(name.encode())]).permutation(draws)


def linked(one: Floats, other: Floats, link_frac: float) -> Floats:
    """Normal scores correlated with ``one``, their own part coming from ``other``, on the even grid again."""
    mixed = link_frac * one + (1 - link_frac**2) ** 0.5 * other
    scores = np.empty_like(mixed)
    scores[np.argsort(mixed)] = even_grid(len(mixed))[1]
    return scores


def triangular(quantile: Floats, low: float, mode: float, high: float) -> Floats:
    """Value of a triangular distribution at a quantile."""
    split = (mode - low) / (high - low)
    rising = low + np.sqrt(quantile * (high - low) * (mode - low))
    falling = high - np.sqrt((1 - quantile) * (high - low) * (high - mode))
    return np.where(quantile < split, rising, falling)


def between(ranges: Floats, normal: Floats) -> Floats:
    """Value at a normal score of a distribution whose 10, 50 and 90 points are given, (draws, n).

    Lognormal on each side of the middle; a straight line, not below 0, where an end is 0, because a logarithm
    cannot reach it.
    """
    low, typical, high = ranges.T
    if (low == high).all():
        return np.broadcast_to(typical, np.broadcast_shapes(normal.shape, typical.shape))
    steps = normal / Z90
    below = normal < 0
    with np.errstate(divide="ignore", invalid="ignore"):
        # Logarithms of the few ends, one exponential of the many draws.
        rates = np.where(below, np.log(typical / low), np.log(high / typical))
        value = typical * np.exp(rates * steps)
    straight = np.where(below, low <= 0, typical <= 0)
    if straight.any():
        # An end of 0 on this side: below, the low one; above, the typical one.
        line = typical + np.where(below, typical, high) * steps
        value = np.where(straight, np.maximum(line, 0.0), value)
    return value


def weibull_life_yr(quantile: Floats, mean_yr: Floats, shape: Floats) -> Floats:
    """Life by which a share of heaters has failed; an infinite shape is a life without spread. [yr]"""
    power = 1 / shape
    scale = mean_yr / np.array([gamma(1 + one) for one in power.tolist()])
    return scale * (-np.log1p(-quantile)) ** power


def band(values: Floats) -> Floats:
    """10th, 50th and 90th percentile of each candidate; (3, n)."""
    return np.percentile(values, (10, 50, 90), axis=0)


def chance_word(chance_frac: float) -> str:
    """A chance in a word: ``likely`` from 60 %, ``unlikely`` to 40 %, ``toss-up`` between."""
    if chance_frac >= 0.6:
        return "likely"
    return "unlikely" if chance_frac <= 0.4 else "toss-up"


def sum_of_ranges(parts: Sequence[Range], link_frac: float) -> Range:
    """Low, typical and high of a sum, from those of its parts.

    Adding up all the lows would claim that every part is cheap at once; the distances from typical add as
    those of correlated errors do.

    Parameters
    ----------
    parts : sequence of tuple of float
        Low, typical, high of each part.
    link_frac : float
        Correlation between parts: 0 independent, 1 all together. [-]
    """
    typical, down, up, down_squared, up_squared = 0.0, 0.0, 0.0, 0.0, 0.0
    # A handful of numbers, some hundred times a comparison: plain floats are quicker than arrays.
    for low, middle, high in parts:
        typical += middle
        down, down_squared = down + abs(low - middle), down_squared + (low - middle) ** 2
        up, up_squared = up + abs(high - middle), up_squared + (high - middle) ** 2
    apart = ((1 - link_frac) * down_squared + link_frac * down**2) ** 0.5
    above = ((1 - link_frac) * up_squared + link_frac * up**2) ** 0.5
    return typical - apart, typical, typical + above
