"""The schema of the case with the words that go with its defaults."""

from __future__ import annotations

from typing import Any

from advisor.case.base import reason_key
from advisor.case.file import case_schema
from advisor.report.words import say


def schema_in_words() -> dict[str, Any]:
    """JSON Schema of the case; a key with a default says in ``assumed_because`` why that is assumed."""
    schema = case_schema()
    for section, part in schema["$defs"].items():
        for name, key in part.get("properties", {}).items():
            if key.pop("is_assumed", False):
                key["assumed_because"] = say(reason_key(section, name))
    return schema
