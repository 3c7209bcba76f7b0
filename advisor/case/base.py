"""What every part of a case is made of: strict keys, units read by the suffix, defaults that say they are."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any, Literal, get_args

from pydantic import BaseModel, ConfigDict, Field, model_validator

from advisor.core.errors import InputError
from advisor.core.findings import Finding
from advisor.core.units import read_quantity, suffix_of

HeaterSpace = Literal["basement", "garage", "attic", "closet", "indoors", "outdoors", "crawl_space"]


# Text is shown in terminals and documents: no line breaks, no control characters, no change of writing direction.
_CONTROL = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")


#: Longer than any list of a case may be.
_LONGEST_LIST = 200


@dataclass(frozen=True)
class Assumption:
    """Something nobody told us.

    Parameters
    ----------
    field : str
        The key to set in the case to change it.
    value : object
        What is used instead, in the key's unit.
    reason : Finding
        Why this value, with its source and how far that was verified.
    """

    field: str
    value: Any
    reason: Finding


def known(meaning: str, **bounds: Any) -> Any:
    """An optional fact: not given means not known."""
    return Field(default=None, description=meaning, **bounds)


def assumed(value: Any, meaning: str, **bounds: Any) -> Any:
    """A fact with a default that is listed as assumed; why and whence stands in the catalogues (``reason_key``)."""
    return Field(default=value, description=meaning, json_schema_extra={"is_assumed": True}, **bounds)


def reason_key(section: str, name: str) -> str:
    """Key of the words that say why a default is what it is: ``assumed.gas_pipe.tees``."""
    return f"assumed.{re.sub('(?<=[a-z])(?=[A-Z])', '_', section).lower()}.{name}"


class Section(BaseModel):
    """A table of the case file: strict keys, units read by the suffix of the key."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)

    @model_validator(mode="before")
    @classmethod
    def _read_units(cls, values: Any) -> Any:
        if not isinstance(values, dict):
            return values
        read = dict(values)
        for name, value in values.items():
            field = cls.model_fields.get(name)
            if isinstance(value, list | tuple) and len(value) > _LONGEST_LIST:
                # Refused before each of its entries is read.
                raise InputError(name, f"{len(value):,} entries", "this list is too long", "shorten it")
            if field is not None and isinstance(value, str) and _CONTROL.search(value):
                raise InputError(name, value, "this text holds a line break or control character", "take it out")
            if field is not None and value is not None and _is_number(field.annotation):
                number = read_quantity(name, value, suffix_of(name) or "dimensionless")
                read[name] = int(number) if number.is_integer() and not isinstance(value, float) else number
        return read


def _is_number(annotation: Any) -> bool:
    return annotation in {float, int} or bool({float, int} & set(get_args(annotation)))
