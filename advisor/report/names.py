"""What a heater is called: its own title in English, in another language a name put together from its kind."""

from __future__ import annotations

from advisor.heaters.catalogue import Heater
from advisor.report.words import kind_word, say

#: What an English ear takes for a vowel at the start of a title: 8, 11 and 18 are spoken so.
VOWELS = ("a", "e", "i", "o", "8", "11", "18")


def title(heater: Heater, language: str = "en") -> str:
    """A heater's name as a heading has it."""
    if language == "en" or heater.is_own:
        return _capital(heater.title)
    kind = _capital(kind_word(heater.technology, language))
    if heater.burns_fuel:
        kind = f"{kind}, {kind_word(heater.fuel, language)}"
    if heater.is_storage:
        name = say("heater.tank", language=language, kind=kind, size_gal=heater.nominal_gal)
    elif heater.burns_fuel:
        name = say("heater.burner", language=language, kind=kind, input_btuh=heater.power_btuh)
    else:
        name = say("heater.elements", language=language, kind=kind, input_kw=heater.input_kw)
    if heater.variant is not None:
        name = say(f"heater.variant.{heater.variant}", language=language, heater=name, input_btuh=heater.power_btuh)
    return name if heater.n_units == 1 else say("heater.several", language=language, n=heater.n_units, heater=name)


def short(heater: Heater, language: str = "en") -> str:
    """A name that has room in a chart."""
    if language != "en":
        return title(heater, language)
    name = title(heater).replace(", natural draft", "").replace("tankless heater", "tankless")
    return name.replace(",000 Btu/h", "k")


def spoken(heater: Heater, language: str = "en") -> str:
    """A name within a sentence."""
    name = title(heater, language)
    if language != "en":
        return name
    name = name.removeprefix(f"{heater.n_units} in parallel: ")
    several = say("heater.side_by_side", language=language, n=heater.n_units) if heater.n_units > 1 else ""
    return f"{name[:1].lower()}{name[1:]}{several}"


def a(heater: Heater, language: str = "en") -> str:
    """A name within a sentence, with its article where the language wants one."""
    name = spoken(heater, language)
    if language != "en":
        return name
    return f"{'an' if name.startswith(VOWELS) else 'a'} {name}"


def family(heater: Heater, language: str = "en") -> str:
    """A tank or a tankless heater, as what another is set against."""
    return say("family.tank" if heater.is_storage else "family.tankless", language=language)


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"
