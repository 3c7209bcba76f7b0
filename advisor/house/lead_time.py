"""No hot water today: how soon each candidate could run, what can wait, and what helps meanwhile."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from advisor.core.kinds import Fuel
from advisor.core.tables import load
from advisor.heaters.catalogue import Heater
from advisor.house.work import HouseCheck


@dataclass(frozen=True)
class HowSoon:
    """When a candidate could give hot water.

    Parameters
    ----------
    days : float
        Working days, waiting included; an estimate. [day]
    held_up_by : str
        The job or the delivery that takes longest.
    can_wait : tuple of str
        Jobs that may follow later, by their descriptions.
    """

    days: float
    held_up_by: str
    can_wait: tuple[str, ...]

    @property
    def when(self) -> tuple[str, int]:
        """``today``, ``tomorrow``, ``days``, ``week`` or ``weeks``, and how many of them."""
        if self.days < 1:
            return "today", 0
        if self.days < 2:
            return "tomorrow", 1
        if self.days <= 5:
            return "days", round(self.days)
        weeks = round(self.days / 5)
        return ("week", 1) if weeks <= 1 else ("weeks", weeks)

    @property
    def in_words(self) -> str:
        """``today``, ``tomorrow``, ``in about a week``."""
        unit, count = self.when
        return {"days": f"in about {count} days", "week": "in about a week", "weeks": f"in about {count} weeks"}.get(
            unit, unit
        )


@cache
def _lead() -> dict[str, tuple[float, bool]]:
    return {row["job"]: (row["lead_day"], row["can_wait"] == "yes") for row in load("work_jobs").rows()}


def how_soon(heater: Heater, house: HouseCheck) -> HowSoon:
    """Days until a candidate could run: the slowest of the delivery and the jobs that cannot wait.

    A permit is asked for on the day and does not hold up an emergency replacement in most towns; common
    practice, no published source.
    """
    delivery = load("heater_availability").find(heater.technology.id)["lead_day"]
    days, held_up_by = delivery, "getting the heater" if delivery else "nothing"
    later = []
    for job in house.work:
        lead, may_wait = _lead()[job.job]
        if may_wait:
            later.append(job.what)
        elif lead > days and not job.job.startswith("permit"):
            days, held_up_by = lead, job.what
    return HowSoon(days, held_up_by, tuple(later))


def stopgaps(fuel: Fuel, kind: str, language: str = "en") -> tuple[str, ...]:
    """What may give some hot water today, for the fuel and kind of heater that failed; ``en`` or ``es``."""
    column = "text_es" if language == "es" else "text"
    return tuple(
        row[column]
        for row in load("stopgaps").rows()
        if row["fuel"] in {fuel.id, "any"} and row["kind"] in {kind, "any"}
    )
