"""The parts of a case that a contractor brings: offers with their lines, and whose name stands on a document."""

from __future__ import annotations

import re
from datetime import date
from typing import Any, Literal

from pydantic import Field, ValidationInfo, field_validator, model_validator

from advisor.case.base import Section, known
from advisor.core.errors import InputError

LineKind = Literal["equipment", "labor", "material", "permit", "tax", "discount", "rebate"]

_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
_MOST_USD = 200_000


def day(field: str, value: Any) -> Any:
    """A date, or a text that writes one; a bare number would be read as seconds since 1970."""
    if isinstance(value, int | float) or (isinstance(value, str) and not _DATE.fullmatch(value)):
        raise InputError(field, value, "this is not a date", "write it as 2026-11-25")
    return value


def _whole_cents(field: str, usd: float) -> float:
    if abs(usd * 100 - round(usd * 100)) > 1e-6:
        raise InputError(field, usd, "this has parts of a cent", "write dollars and cents")
    return usd


class OfferLine(Section):
    """One line of an offer, as it stands on the paper."""

    what: str = Field(description="The line's words", min_length=1, max_length=120)
    kind: LineKind = Field(description="What sort of line it is; a discount or a rebate takes off")
    usd: float = Field(description="Its amount to the cent, without a minus", ge=0, le=_MOST_USD)
    job: str | None = known("Job of the list of work that it is for; else read from its words", max_length=80)
    as_of: date | None = known("For a rebate that is expected: the day on which that was read")

    @field_validator("usd")
    @classmethod
    def _to_the_cent(cls, usd: float) -> float:
        return _whole_cents("usd", usd)

    @field_validator("as_of", mode="before")
    @classmethod
    def _date_is_no_number(cls, value: Any) -> Any:
        return day("as_of", value)


class Offer(Section):
    """What a firm offers for a heater, all work included; a price without lines is one too."""

    candidate: str = Field(description="The candidate's id", min_length=1, max_length=80)
    firm: str | None = known("Whose offer it is", max_length=80)
    total_usd: float | None = known(
        "Total as it stands on the offer, to the cent, before any rebate; the sum of the lines if left out",
        ge=0,
        le=_MOST_USD,
    )
    made_on: date | None = known("Day on which it was made")
    valid_until: date | None = known("Last day on which it holds")
    lines: tuple[OfferLine, ...] = Field(default=(), description="Its lines", max_length=40)

    @field_validator("total_usd")
    @classmethod
    def _to_the_cent(cls, usd: float | None) -> float | None:
        return None if usd is None else _whole_cents("total_usd", usd)

    @field_validator("made_on", "valid_until", mode="before")
    @classmethod
    def _date_is_no_number(cls, value: Any, info: ValidationInfo) -> Any:
        return day(str(info.field_name), value)

    @model_validator(mode="after")
    def _has_a_price(self) -> Offer:
        if self.total_usd is None and not self.lines:
            raise InputError("total_usd", None, "neither a total nor a line is given", "give one of them")
        if self.total_usd is None and self.sum_usd < 0:
            raise InputError("lines", None, "the discounts are larger than the rest", "correct the amounts")
        return self

    @property
    def sum_usd(self) -> float:
        """The lines added up, to the cent; a rebate that is only expected is no part of it. [$]"""
        sign = {"discount": -1, "rebate": 0}
        return sum(sign.get(line.kind, 1) * round(line.usd * 100) for line in self.lines) / 100

    @property
    def price_usd(self) -> float:
        """What the household would owe: the total as typed, else the sum of the lines. [$]"""
        return self.sum_usd if self.total_usd is None else self.total_usd

    @property
    def rebate_usd(self) -> float:
        """Rebates that the offer expects. [$]"""
        return sum(round(line.usd * 100) for line in self.lines if line.kind == "rebate") / 100


class Contractor(Section):
    """Whose name stands on the document, and nowhere else."""

    name: str | None = known("Name of the firm", max_length=80)
    licence: str | None = known("Number of its license", max_length=60)
    phone: str | None = known("Its telephone", max_length=40)
    logo: str | None = known("File of its logo beside the case, PNG or JPEG", max_length=120)
