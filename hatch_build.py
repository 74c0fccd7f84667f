"""What is made while the package is built: the catalogues of translations, compiled."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class CompiledCatalogues(BuildHookInterface[Any]):
    """Compiles each catalogue beside its source."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:  # noqa: ARG002
        """Write them, and have them packed though version control leaves them out."""
        root = Path(self.root)
        for source in sorted(root.glob("src/pinfeather/locale/*/LC_MESSAGES/*.po")):
            compiled = source.with_suffix(".mo")
            language = source.parent.parent.name
            with source.open("rb") as text, compiled.open("wb") as made:
                write_mo(made, read_po(text, locale=language))
            build_data["artifacts"].append(compiled.relative_to(root).as_posix())
