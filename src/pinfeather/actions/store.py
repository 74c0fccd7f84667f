"""Opening the farm's store: the tables brought up to date."""

from __future__ import annotations

import os
from pathlib import Path


def open_store(data_dir: Path) -> None:
    """Make the store in a folder ready for this process.

    Raises
    ------
    StoreError
        If the folder or the store cannot be written, or comes from a newer version.
    """
    os.environ["PINFEATHER_DATA"] = str(data_dir)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "pinfeather.web.settings")
    import django
    from django.core.management import call_command

    from pinfeather.errors import StoreError
    from pinfeather.words import gettext as _

    try:
        django.setup()
        call_command("migrate", verbosity=0, interactive=False)
    except OSError as error:
        raise StoreError(
            _("The data folder {folder} cannot be written: {detail}.").format(
                folder=data_dir, detail=error.strerror
            )
        ) from error
