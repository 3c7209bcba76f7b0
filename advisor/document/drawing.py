"""The one chart of the customer's page: what each heater costs to put in and over the years. Black and white first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

_WIDTH, _NAME, _RIGHT, _ROW, _BAR = 700.0, 225.0, 90.0, 26.0, 13.0


@dataclass(frozen=True)
class Bar:
    """One heater: its name, its price, everything over the years with its likely range, and that in words. [$]"""

    name: str
    price_usd: float
    total_usd: float
    low_usd: float
    high_usd: float
    told: str


def cost_bars(bars: Sequence[Bar], *, price: str, later: str, likely: str) -> str:
    """Horizontal bars as SVG: the price dark, the rest light, a line for the likely range; the words of the key."""
    most = max([*(bar.high_usd for bar in bars), *(bar.price_usd for bar in bars), 1.0])
    scale = (_WIDTH - _NAME - _RIGHT) / most
    height = _ROW * len(bars) + 26
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH:.0f} {height:.0f}" font-size="12" '
        'font-family="Libertinus Serif, Georgia, serif" role="img">'
    ]
    for number, bar in enumerate(bars):
        top = _ROW * number + 6
        middle = top + _BAR / 2
        price_w = scale * min(bar.price_usd, bar.total_usd)
        total_w = scale * bar.total_usd
        low_x, high_x = _NAME + scale * bar.low_usd, _NAME + scale * bar.high_usd
        parts += [_words(_NAME - 8, middle + 4 + shift, line, "end") for shift, line in _lines(bar.name)]
        parts.append(_box(_NAME, top, price_w, "#444"))
        parts.append(_box(_NAME + price_w, top, max(total_w - price_w, 0.0), "#ddd"))
        parts.append(
            f'<path d="M{low_x:.1f} {middle:.1f}H{high_x:.1f}M{low_x:.1f} {middle - 4:.1f}v8'
            f'M{high_x:.1f} {middle - 4:.1f}v8" stroke="#000" stroke-width="1.2" fill="none"/>'
        )
        parts.append(_words(max(high_x, _NAME + total_w) + 6, middle + 4, bar.told, "start"))
    key_y = height - 14
    x = _NAME - 60
    for fill, word in (("#444", price), ("#ddd", later)):
        parts += [_box(x, key_y, 13, fill), _words(x + 19, key_y + 10, word, "start")]
        x += 34 + 5.8 * len(word)
    parts.append(
        f'<path d="M{x:.1f} {key_y + 6:.1f}h18m-18 -4v8m18 -8v8" stroke="#000" stroke-width="1.2" fill="none"/>'
    )
    parts.append(_words(x + 24, key_y + 10, likely, "start"))
    return "".join([*parts, "</svg>"])


def _lines(name: str) -> list[tuple[float, str]]:
    """A name on one line, or broken once near its middle."""
    if len(name) <= 38:
        return [(0.0, name)]
    cut = name.rfind(" ", 0, 39)
    cut = cut if cut > 0 else 38
    rest = name[cut:].strip()
    return [(-6.0, name[:cut]), (7.0, rest if len(rest) <= 40 else f"{rest[:39]}…")]


def _box(x: float, y: float, width: float, fill: str) -> str:
    return (
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{_BAR}" fill="{fill}" '
        'stroke="#000" stroke-width="0.6"/>'
    )


def _words(x: float, y: float, text: str, anchor: str) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(text)}</text>'
