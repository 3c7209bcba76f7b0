"""Texts that a screen would take for commands, and a house that holds one under every key that takes any text."""

from __future__ import annotations

from typing import Any, get_args
from urllib.parse import unquote

from advisor.case.base import Section
from advisor.case.record import Case

#: An image and a link to another host, HTML, a formula, an icon, a color, an address: short enough for every name.
TEXT = "![a](http://elsewhere.invalid)<i>$x$ *y* :red[z]"
ICON = ":material/home: :smile: `c` www.e.org a@e.org [d][e] # $2$"
#: None of it may come to a screen as it was typed.
RAW = (
    "![a](",
    "](http",
    "http://",
    "<i>",
    "$x$",
    " *y*",
    ":red[",
    ":material/",
    ":smile:",
    "`c`",
    "www.e",
    "a@e",
    "$2$",
)
#: Free texts that must be found in a table, so that a hostile one is refused: what is said then quotes it.
REFUSED = {
    "place.zip_code",
    "place.city",
    "place.state",
    "gas.segments.size_in",
    "gas.branch_size_in",
    "gas.trunk_size_in",
    "gas.meter_class",
    "offers.candidate",
    "price_list.id",
    "several.candidate",
    "readings.reading",
    "rebates.candidate",
}


def free_texts(model: type[Section] = Case, path: str = "") -> set[str]:
    """Every key of the case that may hold any text."""
    found = set()
    for name, field in model.model_fields.items():
        inner = _flat(field.annotation)
        sections = [one for one in inner if isinstance(one, type) and issubclass(one, Section)]
        if str in inner:
            found.add(f"{path}{name}")
        for section in sections:
            found |= free_texts(section, f"{path}{name}.")
    return found


def _flat(annotation: Any) -> list[Any]:
    parts = [one for one in get_args(annotation) if not isinstance(one, str)]
    return [annotation, *(inner for part in parts for inner in _flat(part))]


#: A house with a hostile text under every key that takes one; its trunk is too small, so that much is said of it.
HOUSE: dict[str, Any] = {
    "name": TEXT,
    "place": {"zip_code": "55811"},
    "household": {"people": 4},
    "failed": {"fuel": "natural_gas", "size_gal": 50},
    "house": {"fuels": ["natural_gas"], "heater_space": "basement"},
    "gas": {
        "segments": [
            {"name": f"t{TEXT}", "upstream": "source", "size_in": "1/2", "length_ft": 60},
            {"name": f"h{TEXT}", "upstream": f"t{TEXT}", "size_in": "1/2", "length_ft": 20},
            {"name": f"f{TEXT}", "upstream": f"t{TEXT}", "size_in": "1/2", "length_ft": 20},
        ],
        "outlets": [
            {"name": "water heater", "segment": f"h{TEXT}", "input_btuh": 40_000},
            {"name": f"o{TEXT}", "segment": f"f{TEXT}", "input_btuh": 80_000},
        ],
        "regulators": [{"segment": f"f{TEXT}", "outlet_inwc": 4}],
    },
    "vent": {"flue": "masonry", "tile_liner": "![a](h)<i>"},
    "uses": [
        {"name": TEXT, "mixed_gpm": 2.1, "duration_min": 20, "count": 3, "together": 2},
        {"name": ICON, "mixed_gpm": 0.3, "duration_min": 2},
    ],
    "heaters": [
        {
            "title": f"{TEXT} {ICON}"[:80],
            "technology": "gas_storage_atmospheric",
            "fuel": "natural_gas",
            "uef": 0.64,
            "rated_volume_gal": 48,
            "nominal_gal": 50,
            "fhr_gal": 80,
            "input_btuh": 40_000,
            "recovery_frac": 0.8,
            "installed_usd": 900,
        }
    ],
    "tariffs": [{"fuel": "natural_gas", "price_usd_per_unit": 1.1, "source": TEXT}],
    "price_list": [{"id": "gas-tank-50", "price_usd": 2500, "source": TEXT}],
    "offers": [
        {
            "candidate": "gas-tank-50",
            "firm": TEXT[:80],
            "lines": [{"what": f"liner {TEXT}"[:120], "kind": "material", "usd": 900, "job": TEXT[:80]}],
        }
    ],
    "contractor": {"name": TEXT[:80], "licence": TEXT[:60], "phone": TEXT[:40], "logo": TEXT[:120]},
    "readings": [{"reading": "relief", "value": TEXT, "by": TEXT, "candidate": TEXT}],
    "rebates": [{"candidate": "heat_pump_storage_240v", "rebate_usd": 100, "source": TEXT}],
}


def refused(path: str) -> dict[str, Any]:
    """The house with a hostile text where a table knows the choices."""
    section, _, key = path.partition(".")
    first, _, last = key.partition(".")
    if last:
        rows = [dict(row) for row in HOUSE[section][first]]
        rows[0][last] = TEXT[:10]
        return {**HOUSE, section: {**HOUSE[section], first: rows}}
    lists = {
        "offers": "total_usd",
        "rebates": "rebate_usd",
        "price_list": "price_usd",
        "several": "n_units",
        "readings": "value",
    }
    if section in lists:
        return {**HOUSE, section: [{key: TEXT, lists[section]: 2}]}
    held = {} if section == "gas" else dict(HOUSE.get(section, {}))
    held |= {"city": TEXT} if section == "place" else {}
    if path == "place.city":
        held.pop("zip_code")
    longest = 10 if section == "gas" else None
    return {**HOUSE, section: {**held, key: TEXT[:longest]}}


def decoded(value: str) -> str:
    """A value of a link, as the browser hands it over."""
    return unquote(value)
