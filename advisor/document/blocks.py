"""What a document is made of. Blocks hold plain text, whoever typed it; a writer alone knows its own signs."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Letterhead:
    """Who hands it over: a picture (PNG) with its size, and lines beside it."""

    lines: tuple[str, ...]
    logo_png: bytes | None = None
    logo_px: tuple[int, int] = (1, 1)


@dataclass(frozen=True)
class Heading:
    """A heading; level 1 is the title."""

    text: str
    level: int = 2


@dataclass(frozen=True)
class Paragraph:
    """A paragraph: plain, or small print."""

    text: str
    is_small: bool = False


@dataclass(frozen=True)
class Link:
    """What an address leads to, and the address: it breaks anywhere, as none of its letters may be added to."""

    text: str
    address: str


@dataclass(frozen=True)
class Bullets:
    """A list: plain, or small print."""

    items: tuple[str, ...]
    is_small: bool = False


@dataclass(frozen=True)
class Table:
    """A table: its heading line (empty cells allowed), its rows, how its width is shared out."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]


@dataclass(frozen=True)
class Picture:
    """A drawing as SVG, and what it shows in words."""

    svg: str
    alt: str


@dataclass(frozen=True)
class Blanks:
    """Lines to write on, each with what belongs there."""

    labels: tuple[str, ...]


@dataclass(frozen=True)
class NextPage:
    """What follows begins a page."""


Block = Letterhead | Heading | Paragraph | Link | Bullets | Table | Picture | Blanks | NextPage


@dataclass(frozen=True)
class Document:
    """A whole document.

    Parameters
    ----------
    title, language, foot : str
        Its name, its language's two letters, and what stands under every page.
    blocks : tuple of Block
        In the order of reading.
    scale : float
        How much larger its letters are set than those of a document of many pages. [-]
    """

    title: str
    language: str
    foot: str
    blocks: tuple[Block, ...]
    scale: float = 1.0
