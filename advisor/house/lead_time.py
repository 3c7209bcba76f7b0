"""No hot water today: how soon each candidate could run, what can wait, and what helps meanwhile."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.core.findings import Finding, note
from advisor.core.kinds import Fuel
from advisor.core.tables import load
from advisor.heaters.catalogue import Heater
from advisor.house.work import HouseCheck

#: Every further heater side by side is a day's work more; our own choice. [day]
_FURTHER_HEATER_DAYS = 1.0


@dataclass(frozen=True)
class LeadTime:
    """When a candidate could give hot water.

    Parameters
    ----------
    days : float
        Working days, waiting included; an estimate. [day]
    held_up_by : Finding
        The job or the delivery that takes longest.
    can_wait : tuple of Finding
        Jobs that may follow later, by their names.
    """

    days: float
    held_up_by: Finding
    can_wait: tuple[Finding, ...]

    @property
    def when(self) -> Finding:
        """Today, tomorrow, in some days or in some weeks."""
        if self.days < 1:
            return note("soon.today")
        if self.days < 2:
            return note("soon.tomorrow")
        if self.days <= 5:
            return note("soon.days", n=round(self.days))
        weeks = round(self.days / 5)
        return note("soon.week") if weeks <= 1 else note("soon.weeks", n=weeks)


def lead_time_of(heater: Heater, house: HouseCheck) -> LeadTime:
    """Days until a candidate could run: the slowest of the delivery and the jobs that cannot wait, then the work."""
    delivery = load("heater_availability").find(heater.technology.id)["lead_day"]
    days, held_up_by = delivery, note("work.held_up.delivery" if delivery else "work.held_up.nothing")
    for job in house.work:
        if not job.can_wait and job.lead_day > days:
            days, held_up_by = job.lead_day, job.what
    days += _FURTHER_HEATER_DAYS * (heater.n_units - 1)
    return LeadTime(days, held_up_by, tuple(job.what for job in house.work if job.can_wait))


def stopgaps(fuel: Fuel, kind: str) -> tuple[Finding, ...]:
    """What may give some hot water today, for the fuel and kind of heater that failed."""
    return tuple(
        note(f"stopgap.{row['hint']}")
        for row in load("stopgaps").rows()
        if row["fuel"] in {fuel.id, "any"} and row["kind"] in {kind, "any"}
    )
