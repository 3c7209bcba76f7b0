"""What a job costs here: the household's own price list before ours, and ours moved by the wages of the state."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from advisor.case.money import ListedPrice
from advisor.core import tables
from advisor.core.errors import InputError
from advisor.house.items import HasPrices, OtherWay, TradeCheck, Usd, WorkItem, base_job, labour_of

#: State of a price that the household or its contractor wrote down.
LISTED = "your own price list"
#: Of whom another way out is asked: it is priced as a whole, so the trade's usual hand stands in.
_WAYS_BY = {"power": "electrician"}


@dataclass(frozen=True)
class LocalPrices:
    """Prices of one household.

    Parameters
    ----------
    listed : dict
        Its own price list, by job or repair.
    wages : dict
        Wage of the state over that of the country, by trade. [-]
    """

    listed: Mapping[str, ListedPrice]
    wages: Mapping[str, float]

    def wage_factor(self, wage: str, labour_frac: float) -> float:
        """What a price is multiplied by: labor follows the wage, materials cost the same everywhere. [-]"""
        return 1.0 + labour_frac * (self.wages.get(wage, 1.0) - 1.0)

    def of_job(self, job: WorkItem) -> WorkItem:
        """The job at its price here."""
        own = self.listed.get(job.job)
        chance_frac = job.chance_frac if own is None or own.chance_frac is None else own.chance_frac
        prices = None if own is None else own.prices_usd
        if prices is None:
            factor = self.wage_factor(job.wage, job.labour_frac)
            prices, state = (job.low_usd, job.typical_usd, job.high_usd), job.state
        else:
            factor, state = job.quantity, LISTED
        low, typical, high = (usd * factor for usd in prices)
        return job._replace(
            low_usd=low,
            typical_usd=typical,
            high_usd=high,
            state=state,
            chance_frac=chance_frac,
            asks_first=job.asks_first and state != LISTED,
        )

    def of_repair(self, repair_id: str, usd: Usd, state: str) -> tuple[Usd, str]:
        """Low, typical and high of a repair here, and how far they were checked."""
        own = self.listed.get(repair_id)
        if own is not None and own.prices_usd is not None:
            return own.prices_usd, LISTED
        low, typical, high = (one * self.wage_factor(*labour_of("plumber")) for one in usd)
        return (low, typical, high), state

    def of_trade(self, check: TradeCheck) -> TradeCheck:
        """A trade's jobs and other ways at their prices here."""
        if not (check.items or check.ways_out):
            return check
        wage, labour_frac = labour_of(_WAYS_BY.get(check.trade, "plumber"))
        factor = self.wage_factor(wage, labour_frac)
        return replace(
            check,
            items=tuple(self.of_job(job) for job in check.items),
            ways_out=tuple(_moved(way, factor) for way in check.ways_out),
            detail=check.detail.moved(factor) if isinstance(check.detail, HasPrices) else check.detail,
        )


def _moved(way: OtherWay, factor: float) -> OtherWay:
    return replace(
        way, low_usd=way.low_usd * factor, typical_usd=way.typical_usd * factor, high_usd=way.high_usd * factor
    )


@lru_cache(maxsize=256)
def local_prices(price_list: tuple[ListedPrice, ...], us_state: str) -> LocalPrices:
    """The prices of a household.

    Parameters
    ----------
    price_list : tuple of ListedPrice
        From the case.
    us_state : str
        Two-letter code; where no wages are held the country's stand in.

    Raises
    ------
    InputError
        A row of the price list that names neither a heater nor a job nor a repair.
    """
    heaters, jobs, repairs = (set(tables.load(name)["id"]) for name in ("heaters", "jobs", "repairs"))
    known = heaters | jobs | repairs
    listed = {}
    for number, row in enumerate(price_list, start=1):
        if row.id not in known:
            near = difflib.get_close_matches(row.id, known, n=1)
            reason = "there is no such heater, job or repair"
            fix = "write '{near}' if that is meant" if near else "'advisor compare --json' lists heaters and jobs"
            raise InputError(f"price_list.{number}.id", row.id, reason, fix, near="".join(near))
        listed[base_job(row.id) if row.id in heaters else row.id] = row
    table = tables.load("trade_wages")
    wages = table.get(us_state) or table.find("US")
    return LocalPrices(listed, {"plumber": wages["plumber_frac"], "electrician": wages["electrician_frac"]})
