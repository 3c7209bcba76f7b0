"""What somebody read when the heater first ran, as it was typed on the commissioning sheet."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Mapping
from datetime import date
from functools import cache
from typing import Any

from pydantic import Field, field_validator, model_validator

from advisor.case.base import Section, known
from advisor.case.offer import day
from advisor.core.errors import InputError
from advisor.core.tables import load
from advisor.core.units import read_quantity

#: A unit follows a number of parts per million; it has no other unit.
_PPM = re.compile(r"\s*ppm\s*$", re.IGNORECASE)


@cache
def unit_of_reading() -> Mapping[str, str]:
    """The unit of every reading that a sheet may ask for, by its name; ``dimensionless`` where words may stand."""
    units = {row["id"]: row["unit"] for row in load("commissioning_readings").rows() if row["id"] != "draft"}
    return units | {f"draft_{step}": "dimensionless" for step in load("draft_test_steps")["step"]}


class TakenReading(Section):
    """One value on the commissioning sheet, with the day and who read it."""

    reading: str = Field(description="Its name on the sheet, such as 'dynamic_inwc'", min_length=1, max_length=40)
    value: str = Field(description="What was read: a number, with or without its unit, or words", max_length=80)
    read_on: date | None = known("Day on which it was read")
    by: str | None = known("Name or initials of who read it", max_length=60)
    candidate: str | None = known("The heater it was read at; whichever is looked at if not given", max_length=80)
    unit: int | None = known("Which of several side by side; the first if not given", ge=1, le=3)

    @model_validator(mode="before")
    @classmethod
    def _number_is_text(cls, values: Any) -> Any:
        value = values.get("value") if isinstance(values, dict) else None
        if isinstance(value, int | float) and not isinstance(value, bool):
            return {**values, "value": f"{value:.10g}"}
        return values

    @field_validator("reading")
    @classmethod
    def _is_on_the_sheet(cls, name: str) -> str:
        if name not in unit_of_reading():
            near = difflib.get_close_matches(name, unit_of_reading(), n=1)
            fix = "write '{near}' if that is meant" if near else "'advisor commission --json' lists their names"
            raise InputError("reading", name, "no sheet asks for such a reading", fix, near="".join(near))
        return name

    @field_validator("read_on", mode="before")
    @classmethod
    def _date_is_no_number(cls, value: Any) -> Any:
        return day("read_on", value)

    @model_validator(mode="after")
    def _can_be_read(self) -> TakenReading:
        if not self.value.strip():
            raise InputError("value", self.value, "this reading is empty", "write what was read")
        if unit_of_reading()[self.reading] != "dimensionless":
            self._number()
        return self

    @property
    def amount(self) -> float | None:
        """What was read in the reading's own unit; None where words stand."""
        try:
            return self._number()
        except InputError:
            return None

    def _number(self) -> float:
        text = _PPM.sub("", self.value) if self.reading.endswith("_ppm") else self.value
        number = read_quantity("value", text, unit_of_reading()[self.reading])
        if not math.isfinite(number) or abs(number) > 1e6:
            raise InputError("value", self.value, "no gauge shows that", "write what was read")
        return number
