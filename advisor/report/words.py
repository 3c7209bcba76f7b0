"""Every sentence that a person reads: findings and keys worded in English or Spanish.

The texts are gettext catalogues, ``assets/locale/<language>/LC_MESSAGES/<room>.po``, found by key and not by English
text, so that a wording can change without touching the other language. A blank names its number and how it is written:

====================  ==================================================================
``{limit_ft:.0f}``     a number by Python's own format, with the language's separators
``{limit_ft:u1}``   with its unit, one decimal; in SI where the reader asked for SI, to three digits
``{hot_gal:w0}``    the same, the unit spelled out
``{least_gpm:n1}``  the same, the unit left out where the sentence has said it
``{price_usd:usd}`` whole dollars; ``{price_usd:usd100}`` to the nearest hundred
``{price_usd:cents}``   to the cent: what somebody typed is never rounded
``{jobs}``          a text, another finding in the same language, or a list of them
``{found:text}``    a list of findings, a sentence after another
``{found:phrase}``  another finding within a sentence: without its full stop
====================  ==================================================================

A number called ``n`` chooses between singular and plural.

Refusals are the one exception: their key is their English text (``core.errors``), and only other languages have a
catalogue of them, ``refusals.po``.
"""

from __future__ import annotations

import gettext
import io
import re
import string
from collections.abc import Callable, Iterable, Mapping
from functools import cache, lru_cache
from typing import Any

from advisor.core import paths
from advisor.core.errors import AdvisorError
from advisor.core.findings import Finding
from advisor.core.kinds import Kind
from advisor.core.units import UNITS, show, suffix_of

#: Languages and the region whose way of writing numbers and dates they take.
LOCALES = {"en": "en_US", "es": "es_US"}
_LOCALE = paths.ASSETS / "locale"
_KEY = re.compile(r"[\w-]+(\.[\w-]+)+")


def say(
    message: Finding | str,
    *,
    language: str = "en",
    si: bool = False,
    put: Callable[[str], str] = str,
    **values: Any,
) -> str:
    """A finding or a key as a sentence.

    Parameters
    ----------
    message : Finding or str
        What to say; a key may be filled with ``values``.
    language : str
        ``en`` or ``es``.
    si : bool
        Amounts with units in SI.
    put : callable
        How the medium takes a text that somebody may have typed: a whole finding, or one that fills a blank.

    Raises
    ------
    LookupError
        The catalogue has no such key, or a blank has no value.
    """
    code = message.code if isinstance(message, Finding) else message
    filled = {**dict(message.numbers), **values} if isinstance(message, Finding) else values
    if "title" in filled and not has(code, language):
        # A row that came into a table of kinds brings its own title.
        return str(filled["title"])
    text = template(code, language, filled.get("n"))
    if isinstance(message, Finding):
        return put(_one_stop(_Blanks(language, si).vformat(text, (), filled)))
    return _one_stop(_Blanks(language, si, put).vformat(text, (), filled))


def _one_stop(text: str) -> str:
    """A sentence that ends in an inch ends in one stop."""
    return text.replace(" pulg..", " pulg.").replace(" in..", " in.")


def refused(error: AdvisorError, language: str = "en") -> str:
    """Why something was refused; in English where the language lacks the words."""
    return say(error.finding, language=language)


def kind_word(kind: Kind, language: str = "en") -> str:
    """What a class or a fuel is called."""
    return say(kind.word, language=language)


def clause(message: Finding | str, *, language: str = "en", si: bool = False) -> str:
    """A finding as a part of a longer sentence: without its full stop."""
    return say(message, language=language, si=si).removesuffix(".")


def sentences(messages: Iterable[Finding], *, language: str = "en", si: bool = False) -> str:
    """Several findings, a sentence after another."""
    said = (say(message, language=language, si=si) for message in messages)
    return " ".join(f"{sentence[:1].upper()}{sentence[1:]}" for sentence in said)


def has(code: str, language: str = "en") -> bool:
    """Whether a language has a text for a key."""
    return code in keys(language)


@cache
def keys(language: str) -> frozenset[str]:
    """Every key that a language has a text for."""
    found: set[str] = set()
    part: Any = catalogue(language)
    while part is not None:
        found.update(key if isinstance(key, str) else key[0] for key in part._catalog if key)
        part = part._fallback
    return frozenset(found)


@lru_cache(maxsize=8192)  # all keys in two languages, and the counts last asked for
def template(code: str, language: str, n: float | None = None) -> str:
    """The text of a key, its blanks unfilled; English words in which something is refused are their own text."""
    texts = catalogue(language)
    text = code if n is None else texts.ngettext(code, code, int(n))
    text = text if text != code else texts.gettext(code)
    if text == code and _KEY.fullmatch(code):
        raise LookupError(f"the message catalogue {language!r} has no text for {code!r}")
    return text


@cache
def catalogue(language: str) -> gettext.GNUTranslations:
    """Every room's texts of a language, chained."""
    whole: gettext.GNUTranslations | None = None
    for path in sorted({path.with_suffix("") for path in (_LOCALE / language / "LC_MESSAGES").glob("*.[mp]o")}):
        part = _part(path.with_suffix(".po"), path.with_suffix(".mo"))
        if whole is not None:
            part.add_fallback(whole)
        whole = part
    if whole is None:
        raise LookupError(f"there is no message catalogue for {language!r}")
    return whole


def _part(source: Any, compiled: Any) -> gettext.GNUTranslations:
    """The compiled file; from the source where somebody has edited that since, or nothing is compiled yet."""
    if compiled.exists() and not (source.exists() and source.stat().st_mtime > compiled.stat().st_mtime):
        return gettext.GNUTranslations(io.BytesIO(compiled.read_bytes()))
    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po

    made = io.BytesIO()
    write_mo(made, read_po(io.BytesIO(source.read_bytes())))
    made.seek(0)
    return gettext.GNUTranslations(made)


class _Blanks(string.Formatter):
    """Fills the blanks of a text in one language."""

    def __init__(self, language: str, si: bool, put: Callable[[str], str] = str) -> None:
        self.language, self.si, self.put = language, si, put

    def get_value(self, key: int | str, args: Any, kwargs: Mapping[str, Any]) -> Any:
        # The name goes along: it says the unit.
        return str(key), kwargs[str(key)]

    def convert_field(self, value: Any, conversion: str | None) -> Any:
        return value

    def format_field(self, value: Any, format_spec: str) -> str:
        name, amount = value
        if isinstance(amount, Finding):
            worded = clause if format_spec == "phrase" else say
            return self.put(worded(amount, language=self.language, si=self.si))
        if isinstance(amount, tuple):
            parts = [
                self.put(item) if isinstance(item, str) else self.format_field((name, item), format_spec)
                for item in amount
            ]
            return " ".join(parts) if format_spec == "text" else join(parts, self.language)
        if isinstance(amount, str):
            return amount
        if format_spec == "cents":
            return cents(amount, self.language)
        if format_spec.startswith("usd"):
            return usd(amount, float(format_spec[3:] or 1), self.language)
        if format_spec[:1] in {"u", "w", "n"}:
            digits = int(format_spec[1:]) if format_spec[1:] else None
            return self.with_unit(amount, suffix_of(name) or "dimensionless", format_spec[0], digits)
        return localised(format(amount, format_spec), self.language)

    def with_unit(self, amount: float, suffix: str, how: str, digits: int | None) -> str:
        """An amount in the reader's units: its unit short (``u``), spelled out (``w``) or left out (``n``)."""
        if self.si and suffix != "f" and UNITS[suffix].si_label != UNITS[suffix].label:
            # Decimals are chosen for the US unit; another one but a degree takes three significant digits. What is
            # told as about so many degrees is told as coarsely in kelvin.
            digits = digits if suffix == "df" else None
        shown = show(amount, suffix, si=self.si, digits=digits)
        if how == "u":
            return shown
        number, _, _ = shown.partition(" ")
        unit = f"unit.{suffix}.si" if self.si else f"unit.{suffix}"
        return number if how == "n" else f"{number} {template(unit, self.language)}"


@cache
def _symbols(locale: str) -> tuple[str, str]:
    from babel import numbers

    return numbers.get_group_symbol(locale), numbers.get_decimal_symbol(locale)


def localised(text: str, language: str) -> str:
    """A number as Python writes it, with the language's own separators."""
    group, point = _symbols(LOCALES[language])
    return text.translate({ord(","): group, ord("."): point})


def usd(amount: float, step: float = 1.0, language: str = "en") -> str:
    """Dollars, rounded to a step."""
    from babel.numbers import format_currency

    # Adding nothing turns a minus zero into a zero.
    rounded = round(amount / step) * step + 0.0
    return str(format_currency(rounded, "USD", "¤#,##0;-¤#,##0", locale=LOCALES[language], currency_digits=False))


def cents(amount: float, language: str = "en") -> str:
    """Dollars and cents, as they stand on an offer."""
    from babel.numbers import format_currency

    written = format_currency(amount, "USD", "¤#,##0.00;-¤#,##0.00", locale=LOCALES[language], currency_digits=False)
    return str(written)


def join(parts: list[str], language: str = "en") -> str:
    """A list as it is spoken: ``a, b and c``."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {template('list.and', language)} {parts[-1]}"
