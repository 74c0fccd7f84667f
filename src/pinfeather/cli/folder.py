"""Where the farm's records are kept."""

from __future__ import annotations

from pathlib import Path

import platformdirs

from pinfeather.errors import StoreError
from pinfeather.words import gettext as _


def data_folder(given: Path | None) -> Path:
    """Return the folder of the farm's records, made where it is missing.

    Raises
    ------
    StoreError
        If it cannot be made.
    """
    folder = given or Path(platformdirs.user_data_dir("pinfeather", appauthor=False))
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError as error:
        raise StoreError(
            _("The data folder {folder} cannot be made: {why}.").format(
                folder=folder, why=error.strerror
            )
        ) from error
    return folder
