"""How one candidate compares with another: to install, to run, to look after, and whether the dearer pays back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from advisor.candidate import Candidate
from advisor.money.life_cycle import Payback

#: Installed prices closer than this are the same. [$]
_SAME_PRICE_USD = 50.0
#: A year's energy that differs by less than this is the same. [$/yr]
_SAME_ENERGY_USD_PER_YR = 5.0
#: Upkeep that differs by this much is worth a word. [$/yr]
_TELLING_UPKEEP_USD_PER_YR = 15.0
#: How one amount compares with another.
Compared = Literal["less", "same", "more"]


@dataclass(frozen=True)
class Against:
    """What another candidate would do instead of the one that is advised.

    Parameters
    ----------
    extra_usd : float
        What it costs more to install, rebates taken off. [$]
    saving_usd_per_yr : float
        What it saves on energy in a year. [$/yr]
    extra_upkeep_usd_per_yr : float
        What it costs more for upkeep in a year. [$/yr]
    back : Payback
        When the dearer of the two has earned its extra price.
    """

    extra_usd: float
    saving_usd_per_yr: float
    extra_upkeep_usd_per_yr: float
    back: Payback

    @property
    def runs(self) -> Compared:
        """How its energy compares."""
        return _compared(-self.saving_usd_per_yr, _SAME_ENERGY_USD_PER_YR)

    @property
    def installs(self) -> Compared:
        """How its installed price compares."""
        return _compared(self.extra_usd, _SAME_PRICE_USD)

    @property
    def upkeep(self) -> Compared:
        """How its upkeep compares: without it the payback beside a saving would be a riddle."""
        return _compared(self.extra_upkeep_usd_per_yr, _TELLING_UPKEEP_USD_PER_YR)

    @property
    def is_a_trade_off(self) -> bool:
        """Whether one of the two speaks for it, and one against it."""
        return self.installs == ("more" if self.saving_usd_per_yr > 0 else "less")


def against(first: Candidate, other: Candidate) -> Against:
    """How another candidate compares with the first."""
    extra_usd = other.money.installed_usd.point - first.money.installed_usd.point
    saving = first.running_cost.usd_per_yr - other.running_cost.usd_per_yr
    upkeep = other.money.upkeep_usd_per_yr - first.money.upkeep_usd_per_yr
    dearer, cheaper = (other, first) if extra_usd > 0 else (first, other)
    return Against(extra_usd, saving, upkeep, dearer.money.payback_against(cheaper.money))


def _compared(more_usd: float, telling_usd: float) -> Compared:
    if more_usd >= telling_usd:
        return "more"
    return "less" if more_usd <= -telling_usd else "same"
