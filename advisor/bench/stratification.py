"""The water in a tank as a stack of layers: displaced, stirred, heated, conducting, and rising where it is warm.

The layers have equal volume and ride upward with the flow: cold water grows a layer at the bottom, the draw eats the
layer at the top. So nothing is smeared by the arithmetic, whatever the step. ``temps`` runs from bottom to top; its
first layer is filled to ``fill`` (0 to 1) and its last holds the rest, so there is one more than the tank has
volumes of a layer.
"""

from __future__ import annotations

import numpy as np

from advisor.bench.kernels import kernel

_TINY = 1e-12


@kernel
def mean_f(temps: np.ndarray, fill: float) -> float:
    """Mean temperature of the tank. [°F]"""
    last = temps.size - 1
    total = temps[0] * fill + temps[last] * (1 - fill)
    for i in range(1, last):
        total += temps[i]
    return total / last


@kernel
def layer_at(fill: float, place: float, last: int) -> int:
    """The layer that holds a height, in layers from the bottom."""
    return 0 if place < fill else min(last, 1 + int(place - fill))


@kernel
def at_height_f(temps: np.ndarray, fill: float, height_frac: float) -> float:
    """Temperature that a sensor at a height reads. [°F]"""
    last = temps.size - 1
    return temps[layer_at(fill, height_frac * last, last)]


@kernel
def _overlap(i: int, last: int, fill: float, low: float, high: float) -> float:
    """How much of layer ``i`` lies between two heights, in layers."""
    bottom = 0.0 if i == 0 else fill + i - 1
    return max(0.0, min(fill + i, float(last), high) - max(bottom, low))


@kernel
def band_mean_f(temps: np.ndarray, fill: float, low_frac: float, high_frac: float) -> float:
    last = temps.size - 1
    low, high = low_frac * last, high_frac * last
    total = 0.0
    for i in range(layer_at(fill, low, last), layer_at(fill, high, last) + 1):
        total += temps[i] * _overlap(i, last, fill, low, high)
    return total / (high - low)


@kernel
def heat_band(temps: np.ndarray, fill: float, low_frac: float, high_frac: float, heat_layer_df: float) -> None:
    """Spread heat evenly over a band; it is given in degrees times layers."""
    last = temps.size - 1
    low, high = low_frac * last, high_frac * last
    rise_df = heat_layer_df / (high - low)
    for i in range(layer_at(fill, low, last), layer_at(fill, high, last) + 1):
        weight = fill if i == 0 else (1 - fill if i == last else 1.0)
        temps[i] += rise_df * _overlap(i, last, fill, low, high) / max(weight, _TINY)


@kernel
def displace(temps: np.ndarray, fill: float, layers: float, inlet_f: float) -> tuple[float, float]:
    """Push cold water in at the bottom and hot water out at the top.

    Returns what came out, in degrees times layers, and the new fill of the bottom layer.
    """
    last = temps.size - 1
    out = 0.0
    while layers > _TINY:
        take = min(layers, 1 - fill)
        out += take * temps[last]
        temps[0] = (temps[0] * fill + inlet_f * take) / (fill + take)
        fill += take
        layers -= take
        if fill > 1 - 1e-9:
            for i in range(last, 0, -1):
                temps[i] = temps[i - 1]
            fill = 0.0
    return out, fill


@kernel
def mix_bottom(temps: np.ndarray, fill: float, mix_frac: float) -> None:
    """The dip tube's jet stirs every layer whose middle lies below ``mix_frac``."""
    last = temps.size - 1
    zone = mix_frac * last
    total = temps[0] * fill
    weight = fill
    count = 1
    while count <= last:
        share = 1 - fill if count == last else 1.0
        if fill + count - 1 + share / 2 >= zone:
            break
        total += temps[count] * share
        weight += share
        count += 1
    if count > 1:
        for i in range(count):
            temps[i] = total / weight


@kernel
def settle(temps: np.ndarray, fill: float, spare: np.ndarray) -> None:
    """Let warm water rise: pool neighbours until no layer is warmer than the one above it.

    ``spare`` is room to work in, three numbers a layer; what it held does not matter.
    """
    last = temps.size - 1
    calm = True
    for i in range(last):
        if temps[i] > temps[i + 1]:
            calm = False
            break
    if calm:
        return
    # Mean, weight and number of layers of each block, one after the other.
    weights, counts = last + 1, 2 * (last + 1)
    top = -1
    for i in range(last + 1):
        weight = fill if i == 0 else (1 - fill if i == last else 1.0)
        top += 1
        spare[top], spare[weights + top], spare[counts + top] = temps[i], max(weight, _TINY), 1.0
        while top > 0 and spare[top - 1] > spare[top]:
            below, above = spare[weights + top - 1], spare[weights + top]
            weight = below + above
            spare[top - 1] = (spare[top - 1] * below + spare[top] * above) / weight
            spare[weights + top - 1] = weight
            spare[counts + top - 1] += spare[counts + top]
            top -= 1
    i = 0
    for block in range(top + 1):
        for _ in range(int(spare[counts + block])):
            temps[i] = spare[block]
            i += 1


@kernel
def conduct(temps: np.ndarray, fill: float, share: float) -> None:
    """Conduction between neighbours; ``share`` is what two full layers exchange of their difference in the time."""
    last = temps.size - 1
    share = min(0.25, share)
    risen = 0.0  # what the layer below has received from this one, degrees times layers
    for i in range(last + 1):
        weight = 1.0
        if i == 0:
            weight = max(fill, _TINY)
        elif i == last:
            weight = max(1 - fill, _TINY)
        gain = 0.0
        if i < last:
            # A sliver of a layer never takes or gives more than makes it equal to its neighbour.
            gain = min(share, 0.5 * weight, 0.5 * (1 - fill) if i + 1 == last else 0.5) * (temps[i + 1] - temps[i])
        temps[i] += (gain - risen) / weight
        risen = gain
