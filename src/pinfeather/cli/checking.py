"""``pinfeather verify``: is the store whole, is the journal as it was written."""

from __future__ import annotations

from pathlib import Path

from pinfeather.actions.store import check_store, open_store
from pinfeather.cli.folder import data_folder
from pinfeather.words import gettext as _


def verify_store(*, data_dir: Path | None) -> int:
    """Check, print, and return the exit code: 1 where something is wrong.

    Raises
    ------
    StoreError
        If the store cannot be opened.
    """
    open_store(data_folder(data_dir))
    state = check_store()
    print(_("Journal: {n} entries, seal {seal}").format(n=state.entries, seal=state.head))
    for line in state.damage:
        print(_("Damaged: {what}").format(what=line))
    if state.broken_at is not None:
        print(_("Entry {n} is not as it was written.").format(n=state.broken_at))
    if state.damage or state.broken_at is not None:
        return 1
    print(_("Everything is as it was written."))
    return 0
