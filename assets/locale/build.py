"""Compiles the message catalogues when the package is built, so that they travel in the wheel."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class CompileCatalogues(BuildHookInterface):
    """Writes a .mo beside every .po."""

    PLUGIN_NAME = "custom"

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        for source in sorted((Path(self.root) / "assets" / "locale").rglob("*.po")):
            with source.open("rb") as stream, source.with_suffix(".mo").open("wb") as compiled:
                write_mo(compiled, read_po(stream))
