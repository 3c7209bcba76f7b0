"""Small line drawings: what a heater looks like, and where its valves are. One grey that is seen on light and dark."""

from __future__ import annotations

_INK = "#80766a"


def _drawing(lines: str, *, wide: int = 48, high: int = 64) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}" height="{high}" viewBox="0 0 {wide} {high}" '
        f'fill="none" stroke="{_INK}" stroke-width="2.5" stroke-linecap="round" stroke-linejoin="round">{lines}</svg>'
    )


_TANK = '<rect x="12" y="20" width="24" height="38" rx="5"/><path d="M15 58v4M33 58v4"/>'
_FLAME = '<path d="M24 55c-5-3-2-7 0-9 2 2 5 6 0 9z"/>'
_BOX = '<rect x="11" y="22" width="26" height="32" rx="3"/><path d="M18 54v8M30 54v8"/>'
_CABLE = '<path d="M{x} {y}c-3-5 3-7 0-{long}" stroke-width="4"/>'

#: What each kind of heater looks like.
OF_HEATERS = {
    "tank_flue": _drawing(_TANK + _FLAME + '<path d="M20 20V3M28 20V3M17 3h14"/>'),
    "tank_cable": _drawing(_TANK + _CABLE.format(x=24, y=20, long=16) + '<path d="M26 34l-5 7h6l-5 7"/>'),
    "box_pipe": _drawing(_BOX + '<path d="M20 22V4M28 22V4M17 4h14"/><path d="M24 48c-5-3-2-7 0-9 2 2 5 6 0 9z"/>'),
    "box_cable": _drawing(
        _BOX
        + _CABLE.format(x=19, y=22, long=18)
        + _CABLE.format(x=29, y=22, long=18)
        + '<path d="M26 30l-5 7h6l-5 7"/>'
    ),
    "tank_fan": _drawing(
        _TANK + '<rect x="10" y="4" width="28" height="16" rx="3"/><circle cx="24" cy="12" r="5"/>'
        '<path d="M24 7v10M19 12h10"/>'
    ),
    "tank_boiler": _drawing(
        '<rect x="24" y="20" width="22" height="38" rx="5"/><path d="M27 58v4M43 58v4"/>'
        '<rect x="2" y="34" width="14" height="24" rx="2"/><path d="M9 55c-4-3-1-6 0-8 1 2 4 5 0 8zM9 34V6"/>'
        '<path d="M16 40h12c8 0 8 5 0 5s-8 5 0 5h-12"/>'
    ),
}

#: A tank, the valve on the cold pipe into its top, and the gas valve or the breaker at its side.
VALVES = _drawing(
    '<rect x="70" y="60" width="60" height="95" rx="10"/><path d="M85 60V12M115 60V12"/>'
    '<path d="M77 34l16 14M93 34l-16 14M85 34v-8M78 26h14" stroke-width="3.5"/>'
    '<text x="8" y="44" font-size="26" fill="#80766a" stroke="none" font-family="sans-serif">1</text>'
    '<path d="M28 40h40" stroke-dasharray="3 6"/>'
    '<path d="M130 138h34M146 130l16 16M162 130l-16 16M154 130v-10M147 120h14" stroke-width="3.5"/>'
    '<text x="178" y="148" font-size="26" fill="#80766a" stroke="none" font-family="sans-serif">2</text>'
    '<path d="M60 168c10-6 14 4 24 0s14-6 24 0 14 4 24 0" />'
    '<text x="30" y="178" font-size="26" fill="#80766a" stroke="none" font-family="sans-serif">3</text>',
    wide=200,
    high=184,
)
