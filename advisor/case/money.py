"""The parts of a case that are about money: how it is weighed over the years, tariffs as on the bill, rebates."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from advisor.case.base import Section, assumed, known
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
