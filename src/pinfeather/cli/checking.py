"""``pinfeather verify``: is the store whole, is the journal as it was written."""

from __future__ import annotations

import json
from pathlib import Path

from pinfeather.actions.store import check_store, open_store
from pinfeather.cli.folder import data_folder
from pinfeather.words import gettext as _


def verify_store(*, data_dir: Path | None, database: str = "", as_json: bool = False) -> int:
    """Check, print, and return the exit code: 1 where something is wrong.

    Raises
    ------
    StoreError
        If the store cannot be opened.
    """
    open_store(data_folder(data_dir), database=database)
    state = check_store()
    if as_json:
        print(
            json.dumps(
                {
                    "whole": state.whole,
                    "entries": state.entries,
                    "head": state.head,
                    "broken_at": state.broken_at,
                    "damage": list(state.damage),
                    "rows": dict(state.rows),
                },
                ensure_ascii=False,
            )
        )
        return 0 if state.whole else 1
    print(_("Journal: {n} entries, seal {seal}").format(n=state.entries, seal=state.head))
    counted = ", ".join(f"{t.removeprefix('records_')} {n}" for t, n in state.rows.items() if n)
    print(_("Rows by table: {counts}").format(counts=counted or _("none")))
    for line in state.damage:
        print(_("Damaged: {what}").format(what=line))
    if state.broken_at is not None:
        print(_("Entry {n} is not as it was written.").format(n=state.broken_at))
    if not state.whole:
        return 1
    from pinfeather.actions.stock.book import adrift

    if lost := adrift():
        print(_("Packages that do not stand as the journal says: {n}.").format(n=len(lost)))
        return 1
    print(_("Everything is as it was written."))
    return 0


def forget_owner_pin(*, data_dir: Path | None, database: str = "") -> None:
    """Take the owner's PIN off.

    Raises
    ------
    StoreError
        If the store cannot be opened.
    """
    open_store(data_folder(data_dir), database=database)
    from pinfeather.actions import owner

    owner.forget_pin()
    print(_("The owner's PIN is off."))
