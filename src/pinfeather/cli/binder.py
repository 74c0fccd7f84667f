"""``pinfeather binder``."""

from __future__ import annotations

from pathlib import Path

from pinfeather.words import gettext as _


def write_binder(
    first: str, last: str, *, out: Path | None, paper: str, data_dir: Path | None, database: str
) -> int:
    """Write the binder of a period and say what is missing; return the exit code.

    It is 1 where something missing is a stop.

    Raises
    ------
    InputFaultsError
        If the period cannot be read.
    StoreError
        If the store cannot be opened, or the file cannot be written.
    """
    from pinfeather.actions.binder.period import period_from

    period = period_from(first, last)
    from pinfeather.actions.store import open_store
    from pinfeather.cli.folder import data_folder

    open_store(data_folder(data_dir), database=database)
    from pinfeather import clock
    from pinfeather.actions.binder import gather
    from pinfeather.errors import StoreError
    from pinfeather.finding import Severity, worst
    from pinfeather.reports.typeset import page_count

    now = clock.now()
    found = gather.preview(period)
    made = gather.make(period, now=now, paper="a4" if paper == "a4" else "us-letter")
    file = out or Path(f"binder-{period.first}-{period.last}.pdf")
    try:
        file.write_bytes(made)
    except OSError as error:
        raise StoreError(
            _("{file} cannot be written: {why}.").format(file=file, why=error.strerror)
        ) from error
    print(
        _("{file}: {period}, {n} closed days, {pages} pages.").format(
            file=file, period=period.words, n=found.closed_days, pages=page_count(made)
        )
    )
    for one in found.missing:
        print(f"[{one.severity.code}] {one.sentence}")
    return 1 if worst(found.missing) is Severity.STOP else 0
