"""A job, its price and its reason; and what one trade found out about a candidate and the house."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, NamedTuple, Self

from advisor.case.base import Assumption
from advisor.core.findings import Finding, note
from advisor.core.tables import load
from advisor.core.verdicts import FITS, NEEDS_WORK, HouseVerdict, verdict_of
from advisor.heaters.catalogue import Heater, by_id, catalogue

#: Low, typical and high.
Usd = tuple[float, float, float]
#: Chance of a job that may be spared and whose chance nobody has put down: as likely as not. Assumed.
_EVEN_FRAC = 0.5


class WorkItem(NamedTuple):
    """One job; a tuple, because a comparison makes some hundreds of them.

    Parameters
    ----------
    job, what : str, Finding
        Id in the table of jobs, and its name.
    quantity, unit : float, str
        How much of it: each, ft or set.
    low_usd, typical_usd, high_usd : float
        Price of the whole quantity if it is needed. [$]
    why : Finding
        The number or fact behind it.
    who : str
        Who usually may do it, a key of the message catalogues.
    needs_permit, is_electrical : bool
        A permit is usual; it is an electrical one.
    is_assumed : bool
        Rests on something the case does not say.
    lead_day, can_wait : float, bool
        Working days until it can be done; hot water can run before that. [day]
    is_usual, comes_again : bool
        Comes with any replacement of its kind; comes again with every later heater.
    state : str
        How far the price was checked.
    wage, labour_frac : str, float
        Whose wage moves the price, and the share of it that does. [-]
    chance_frac : float
        That it turns out to be needed; 1 where somebody has looked. [-]
    asks_first : bool
        Nobody can price it before the utility has answered: it counts nothing and is no promise.
    """

    job: str
    what: Finding
    quantity: float
    unit: str
    low_usd: float
    typical_usd: float
    high_usd: float
    why: Finding
    who: str
    needs_permit: bool
    is_electrical: bool
    is_assumed: bool
    lead_day: float
    can_wait: bool
    is_usual: bool
    comes_again: bool
    state: str
    wage: str = "none"
    labour_frac: float = 0.0
    chance_frac: float = 1.0
    asks_first: bool = False

    @property
    def counted_usd(self) -> Usd:
        """What goes into the expected cost: a job that nobody has looked at with its chance, perhaps nothing. [$]"""
        chance = self.chance_frac
        return self.low_usd if chance == 1 else 0.0, chance * self.typical_usd, self.high_usd if chance else 0.0


@dataclass(frozen=True)
class OtherWay:
    """Another way to solve the same problem, with its price.

    Parameters
    ----------
    title, kind : Finding, str
        What to do, and the sort of way.
    low_usd, typical_usd, high_usd : float
        Its price. [$]
    notes : tuple of Finding
        What speaks against it, or must be asked first.
    instead_of : tuple of str
        Jobs of the list that it takes the place of.
    """

    title: Finding
    low_usd: float
    typical_usd: float
    high_usd: float
    notes: tuple[Finding, ...]
    kind: str
    instead_of: tuple[str, ...] = ()


class HasPrices:
    """A check whose own ways out bear prices, besides those of the list."""

    def moved(self, factor: float) -> Self:
        """The same with every price multiplied."""
        raise NotImplementedError


@dataclass(frozen=True)
class TradeCheck:
    """What one trade found for one candidate.

    Parameters
    ----------
    trade : str
        ``gas``, ``vent``, ``air``, ``drain``, ``power``, ``water`` or ``room``.
    findings : tuple of Finding
        What was found, the gravest of every check among them.
    items : tuple of WorkItem
        The jobs that follow.
    cautions : tuple of str
        Ids in the table of cautions.
    assumed : tuple of Assumption
        What was taken for granted, each with the key of the case that changes it.
    ways_out : tuple of OtherWay
        Other ways than the one that is priced.
    detail : object
        The check itself, for pictures and for the curious; None where the trade cannot follow.
    """

    trade: str
    findings: tuple[Finding, ...]
    items: tuple[WorkItem, ...] = ()
    cautions: tuple[str, ...] = ()
    assumed: tuple[Assumption, ...] = ()
    ways_out: tuple[OtherWay, ...] = ()
    detail: Any = None

    def __post_init__(self) -> None:
        # Several checks of a trade raise the same caution.
        object.__setattr__(self, "cautions", tuple(dict.fromkeys(self.cautions)))

    @property
    def verdict(self) -> HouseVerdict:
        """What findings and jobs add up to: a doubt in any of them, or a job beyond a plain swap, is work."""
        has_work = any(not job.is_usual for job in self.items)
        return max(verdict_of(*self.findings), NEEDS_WORK if has_work else FITS, key=lambda one: one.severity)


def _usd_per_unit(row: Mapping[str, Any]) -> Usd:
    return row["low_usd_per_unit"], row["typical_usd_per_unit"], row["high_usd_per_unit"]


def price(job: str) -> Usd:
    """Low, typical and high price of one unit of a job. [$]"""
    return _usd_per_unit(load("jobs").find(job))


def item(
    job: str,
    why: Finding,
    *,
    quantity: float = 1.0,
    assumed: bool = False,
    may_be_spared: bool = False,
    what: Finding | None = None,
    usd: Usd | None = None,
) -> WorkItem:
    """A job of the table, with the reason for it.

    Parameters
    ----------
    job, why : str, Finding
        Row of the table of jobs, and the reason.
    quantity : float
        In the row's unit.
    assumed : bool
        Rests on something the case does not say: it counts with its chance.
    may_be_spared : bool
        Perhaps nothing is needed once a professional has looked.
    what, usd : Finding, tuple of float
        Its name and the price of the whole quantity, where they follow from a check; else the table's. [$]
    """
    one = _of_table(job)
    asks_first = one.asks_first and usd is None
    return one._replace(
        what=what or one.what,
        quantity=quantity,
        low_usd=one.low_usd * quantity if usd is None else usd[0],
        typical_usd=one.typical_usd * quantity if usd is None else usd[1],
        high_usd=one.high_usd * quantity if usd is None else usd[2],
        why=why,
        is_assumed=assumed or may_be_spared,
        asks_first=asks_first,
        chance_frac=1.0 if asks_first else _chance_frac(job, assumed=assumed, may_be_spared=may_be_spared),
    )


@cache
def _of_table(job: str) -> WorkItem:
    """One unit of a job as the table has it, its reason left out; it counts nothing where the table has no price."""
    row = load("jobs").find(job)
    asks_first = row["typical_usd_per_unit"] is None
    low, typical, high = (0.0, 0.0, 0.0) if asks_first else price(job)
    wage, labour_frac = labour_of(row["who"])
    return WorkItem(
        job=job,
        what=note(f"job.{job}"),
        quantity=1.0,
        unit=row["unit"],
        low_usd=low,
        typical_usd=typical,
        high_usd=high,
        why=note(""),
        who=f"who.{row['who']}",
        needs_permit=row["needs_permit"],
        is_electrical=row["is_electrical"],
        is_assumed=False,
        lead_day=row["lead_day"],
        can_wait=row["can_wait"],
        is_usual=row["is_usual"],
        comes_again=row["comes_again"],
        state=row["state"],
        wage=wage,
        labour_frac=labour_frac,
        asks_first=asks_first,
    )


def _chance_frac(job: str, *, assumed: bool, may_be_spared: bool) -> float:
    if not (assumed or may_be_spared):
        return 1.0
    row = load("work_chances").get(job)
    return float(row["chance_frac"]) if row else _EVEN_FRAC if may_be_spared else 1.0


def labour_of(who: str) -> tuple[str, float]:
    """Whose wage moves a job's price, and the share that is labor."""
    row = load("trade_labour").find(who)
    return str(row["wage"]), float(row["labour_frac"])


def base_job(heater_id: str) -> str:
    """The job of putting a heater of the catalogue in."""
    return f"base-{heater_id}"


def base_item(heater: Heater) -> WorkItem:
    """Heater and plain installation; for a typed-in label, the nearest catalogue heater's price."""
    priced = by_id(heater.id.removesuffix(f"-x{heater.n_units}"))
    if priced is None:
        same = [row for row in catalogue() if row.technology == heater.technology]
        same = [row for row in same if row.fuel == heater.fuel] or same
        priced = min(same, key=lambda row: abs(row.power_btuh - heater.power_btuh))
    row = load("installed_costs").find(priced.id)
    low, typical, high = (usd * heater.n_units for usd in _usd_per_unit(row))
    return WorkItem(
        base_job(priced.id),
        note("job.base", heater=priced.title),
        heater.n_units,
        "each",
        low,
        typical,
        high,
        note("work.why.base"),
        "who.plumber",
        needs_permit=True,
        is_electrical=False,
        is_assumed=False,
        lead_day=0.0,
        can_wait=False,
        is_usual=True,
        comes_again=True,
        state=row["state"],
        wage="plumber",
        labour_frac=row["labour_frac"],
    )
