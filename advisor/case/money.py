"""The parts of a case that are about money: how it is weighed over the years, tariffs as on the bill, rebates."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from advisor.case.base import Section, assumed, known
from advisor.core.errors import InputError
from advisor.core.kinds import Fuel

Month = Literal[1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]


class Economics(Section):
    """How money is weighed over the years."""

    study_yr: int = assumed(15, "Years over which costs are added up", ge=1, le=40)
    discount_frac: float = assumed(
        0.03,
        "What later money is worth less each year, above inflation; a loan's or a card's rate if that pays for it",
        ge=-0.05,
        le=0.40,
    )
    price_course: Literal["outlook", "flat", "rise"] = assumed(
        "outlook",
        "How energy prices go on: the federal outlook, level with inflation, or 2 % a year above it",
    )
    is_looked_after: bool = assumed(
        True,
        "The heater is serviced as its maker asks",
    )
    heat_pump_timer_frac: float = assumed(
        0.0, "Share of a heat pump's dearest hours that a timer moves to cheap ones", ge=0, le=1
    )


class Bill(Section):
    """A bill for the failed heater's fuel; the gallons are set so that the heater comes to it."""

    used_therm: float | None = known("Natural gas used", gt=0, le=5_000)
    used_kwh: float | None = known("Electricity used", gt=0, le=100_000)
    used_gal: float | None = known("Propane or oil used", gt=0, le=5_000)
    period: Literal["summer_month", "year"] = assumed("summer_month", "What the bill covers")
    also_burns: tuple[Literal["cooking", "dryer"], ...] = assumed((), "What else used that fuel meanwhile")
    others_frac: float | None = known("Share of the bill that something else used", ge=0, le=0.95)


class TariffBlock(Section):
    """One block of a block rate."""

    price_usd_per_unit: float = Field(description="Price in the block, before tax", ge=0, le=30)
    up_to_units: float | None = known("Where the block ends, in units a month; the last block has no end", gt=0, le=1e6)


class TariffWindow(Section):
    """Hours of the day with a price of their own."""

    price_usd_per_unit: float = Field(description="Price in these hours, before tax", ge=0, le=30)
    start_h: int = Field(description="First clock hour, 0 to 23", ge=0, le=24)
    end_h: int = Field(description="Clock hour at which they end; 22 to 6 runs over midnight", ge=0, le=24)
    days: Literal["weekday", "weekend", "all"] = assumed("all", "On which days")


class TariffSeason(Section):
    """Months that share a rate."""

    months: tuple[Month, ...] = Field(description="Months, 1 to 12", min_length=1, max_length=12)
    price_usd_per_unit: float | None = known("Price, or price outside the windows, before tax", ge=0, le=30)
    blocks: tuple[TariffBlock, ...] = Field(default=(), description="Blocks by use", max_length=12)
    windows: tuple[TariffWindow, ...] = Field(default=(), description="Hours with other prices", max_length=12)


class FuelTariff(Section):
    """What the bill says for one fuel: one price, blocks, hours, or any of these by season."""

    fuel: Fuel = Field(description="Of which fuel")
    price_usd_per_unit: float | None = known(
        "Price per kWh, therm or gallon, before tax; with windows, the price outside them", ge=0, le=30
    )
    blocks: tuple[TariffBlock, ...] = Field(default=(), description="Blocks by use", max_length=12)
    is_per_day: bool = assumed(False, "Blocks end at units a day, not a month")
    other_units_per_mo: float | None = known("What the rest of the house uses a month; for blocks", ge=0, le=1e6)
    windows: tuple[TariffWindow, ...] = Field(default=(), description="Hours with other prices", max_length=12)
    seasons: tuple[TariffSeason, ...] = Field(default=(), description="Rates by season", max_length=12)
    fixed_usd_per_mo: float = assumed(0.0, "Account charge, or rent of a propane tank", ge=0, le=500)
    tax_frac: float = assumed(0.0, "Taxes and riders on the whole bill", ge=0, le=0.5)
    source: str | None = known("Where this was read: 'bill of March 2026'", max_length=120)


class Rebate(Section):
    """Money that the household has been promised in writing for a heater, taken off its price."""

    candidate: str = Field(
        description="The candidate's id, or a kind such as 'heat_pump_storage_240v'", min_length=1, max_length=80
    )
    rebate_usd: float = Field(description="What is taken off", ge=0, le=50_000)
    source: str | None = known("Who promised it", max_length=120)


class ListedPrice(Section):
    """The household's own price of a heater, a job or a repair, or a contractor's; it takes the place of ours."""

    id: str = Field(description="A heater, job or repair by its id, as 'advisor compare --json' has it", max_length=80)
    price_usd: float | None = known("One price: of a heater with a plain hook-up, or of a job's unit", ge=0, le=100_000)
    low_usd: float | None = known("Lowest likely price", ge=0, le=100_000)
    typical_usd: float | None = known("Usual price", ge=0, le=100_000)
    high_usd: float | None = known("Highest likely price", ge=0, le=100_000)
    chance_frac: float | None = known("Chance that the job is needed, where nobody has looked", ge=0, le=1)
    source: str | None = known("Whose price list", max_length=120)

    @model_validator(mode="after")
    def _one_price_or_three(self) -> ListedPrice:
        three = (self.low_usd, self.typical_usd, self.high_usd)
        given = [usd for usd in three if usd is not None]
        if self.price_usd is not None and given:
            raise InputError("price_usd", self.price_usd, "low, typical and high are given too", "give either")
        if given and len(given) < 3:
            raise InputError("typical_usd", self.typical_usd, "low, typical and high come together", "give all three")
        if given != sorted(given):
            raise InputError("typical_usd", self.typical_usd, "low, typical and high must rise", "put them in order")
        if self.price_usd is None and not given and self.chance_frac is None:
            raise InputError("price_usd", None, "neither a price nor a chance is given", "give one of them")
        return self

    @property
    def prices_usd(self) -> tuple[float, float, float] | None:
        """Low, typical and high of a unit; None where only the chance is given. [$]"""
        if self.price_usd is not None:
            return self.price_usd, self.price_usd, self.price_usd
        if self.low_usd is None or self.typical_usd is None or self.high_usd is None:
            return None
        return self.low_usd, self.typical_usd, self.high_usd
