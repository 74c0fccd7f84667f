"""Where the farm's records are kept."""

from __future__ import annotations

from pathlib import Path

import platformdirs


def data_folder(given: Path | None) -> Path:
    """Return the folder of the farm's records, made where it is missing."""
    folder = given or Path(platformdirs.user_data_dir("pinfeather", appauthor=False))
    folder.mkdir(parents=True, exist_ok=True)
    return folder
