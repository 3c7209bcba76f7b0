"""What turns the pick, as text and as data."""

from __future__ import annotations

import textwrap
from typing import Any

from advisor.comparison import Comparison
from advisor.report import names
from advisor.report.words import say
from advisor.turning import Turn

_WIDTH = 100


def turning_text(comparison: Comparison, found: list[Turn]) -> str:
    """The inputs that turn the pick, the unverified first, then those that do not."""
    pick = comparison.advice.pick
    title = say("turn.title", heater=say("conclusion.place.nobody") if pick is None else names.title(pick.heater))
    lines = [textwrap.fill(title, _WIDTH)]
    turning = [one for one in found if one.turns]
    lines += [_wrap(_line(one)) for one in turning] or [_wrap(say("turn.none"))]
    steady = [say(one.what) for one in found if not one.turns]
    if steady:
        lines.append(_wrap(say("turn.steady", inputs="; ".join(steady))))
    return "\n".join(lines)


def _line(one: Turn) -> str:
    ends = [say("turn.stays") if _same(end, one.now) else _name(end) for end in one.picks]
    return f"[{one.state}] {say('turn.line', what=one.what, low=ends[0], high=ends[1])}"


def _same(one: Any, other: Any) -> bool:
    return (one and one.heater.id) == (other and other.heater.id)


def _name(one: Any) -> str:
    return say("conclusion.place.nobody") if one is None else names.title(one.heater)


def _wrap(text: str) -> str:
    return textwrap.fill(text, _WIDTH, initial_indent="  ", subsequent_indent="    ")


def turning_dict(comparison: Comparison, found: list[Turn]) -> dict[str, Any]:
    """The same as data."""
    pick = comparison.advice.pick
    return {
        "pick": None if pick is None else pick.heater.id,
        "inputs": [
            {
                "name": say(one.what),
                "state": one.state,
                "is_verified": one.is_verified,
                "turns_the_pick": one.turns,
                "pick_at_low": None if one.picks[0] is None else one.picks[0].heater.id,
                "pick_at_high": None if one.picks[1] is None else one.picks[1].heater.id,
            }
            for one in found
        ],
    }
