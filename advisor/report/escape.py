"""What somebody typed, as text and nothing else: the door to every medium that reads some signs as commands."""

from __future__ import annotations

import html
import re

#: Joins two letters without being seen: what stands on both sides of it makes no command.
_JOINER = "\u2060"
#: Signs of Markdown, of formulas and of HTML, wherever they stand; an underscore within a word is only a letter.
_SIGNS = re.compile(r"[\\`*\[\]<>$~]|(?<![^\W_])_|_(?![^\W_])|&(?=#?\w+;)")
#: What the browser would make an icon, an emoji, a color or an address of even where its signs are escaped.
_COMMANDS = re.compile(r"(:)(?!\s|$|\d\d(?![\w:]))|(@)(?=\S)|(www)(?=\.)", re.IGNORECASE)
#: What would begin a heading, a list, a rule or a quotation at the beginning of a line.
_BEGINNING = re.compile(r"\s*(?:([#+=|-])|(\d{1,9})([.)])(?=\s|$))")


def on_screen(text: str) -> str:
    """A text for a page of the app: Markdown and charts show it letter by letter.

    Both read character references; a chart's text is HTML of a kind. The names of icons and addresses are looked for
    after that, so that an unseen joiner has to part them.
    """
    text = " ".join(text.splitlines())
    text = _COMMANDS.sub(lambda found: f"{found[0]}{_JOINER}", text)
    text = _SIGNS.sub(lambda found: _reference(found[0]), text)
    start = _BEGINNING.match(text)
    if start is None:
        return text.lstrip() if text.startswith("    ") else text
    return f"{start[2] or ''}{_reference(start[3] or start[1])}{text[start.end() :]}"


def in_html(text: str) -> str:
    """A text for a page of HTML of our own, within an element or a quoted attribute.

    What typst sets needs no door: its template takes every text as data.
    """
    return html.escape(text, quote=True)


def as_typed(text: str) -> str:
    """Back again, for what shows plain text: a choice in a list, a description read aloud, a file."""
    return html.unescape(text).replace(_JOINER, "")


def _reference(sign: str) -> str:
    return f"&#{ord(sign)};"
