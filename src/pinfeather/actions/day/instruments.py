"""What instruments send by themselves, written into the running day's journal."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from pinfeather.actions.day import running
from pinfeather.actions.phones import DeviceView
from pinfeather.errors import RecordConflictError
from pinfeather.records import models
from pinfeather.words import gettext as _


def receive(
    device: DeviceView,
    sent: Sequence[tuple[str, Mapping[str, Any]]],
    *,
    day_id: int | None,
    sent_at: dt.datetime | None,
    now: dt.datetime,
) -> tuple[running.Received, ...]:
    """Write what an instrument sends; each thing once, under a number of its own.

    Parameters
    ----------
    device : DeviceView
        Whose token it was.
    sent : sequence of (kind, mapping)
        Each with the instrument's own ``id``, and with ``at`` where it was not just now.
    day_id : int or None
        The day, None for the one that runs.
    sent_at : datetime or None
        The instrument's clock when it sent, None where it has none.
    now : datetime
        The farm computer's clock.

    Raises
    ------
    RecordConflictError
        If no day runs.
    RecordNotFoundError
        If there is no such day.
    StoreError
        If the store cannot be written.
    """
    day_id = _running_day() if day_id is None else day_id
    mark = f"i{device.id}x"
    entries = [
        {
            "id": f"{mark}{one['id']}",
            "kind": kind,
            "payload": {**one, "instrument": one.get("instrument") or device.name},
            "who": "",
            "at": one.get("at") or (sent_at or now).isoformat(),
        }
        for kind, one in sent
    ]
    received = running.receive(day_id, entries, device=device.name, sent_at=sent_at or now, now=now)
    return tuple(
        running.Received(one.id.removeprefix(mark), one.seq, one.known, one.problem)
        for one in received
    )


def _running_day() -> int:
    found = (
        models.Day.objects.filter(status=models.Day.Status.RUNNING).values_list("id", flat=True)
    ).first()
    if found is None:
        raise RecordConflictError(_("No day runs. Start one, or name the day."))
    return int(found)
