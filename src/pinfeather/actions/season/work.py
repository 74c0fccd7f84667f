"""Working a season out: one at a time, in a thread of its own, the result kept in the store.

A page never waits for it. What was asked for is written down before the work begins, so that a
reload, another phone or a restart finds it. A row that says "working" and names an earlier run of
the program was cut off: it will never be finished, and the page says so.
"""

from __future__ import annotations

import datetime as dt
import logging
import secrets
import threading
from collections.abc import Callable, Mapping
from typing import Any, Final

from pinfeather import __version__, clock
from pinfeather.actions.farm import farm
from pinfeather.actions.season.store import (
    CONVERTER,
    DONE,
    FAILED,
    WAITING,
    WORKING,
    VersionView,
    season,
    version,
)
from pinfeather.errors import InputFaultsError, PinfeatherError, RecordConflictError
from pinfeather.records import models
from pinfeather.records.writing import writing
from pinfeather.season.plan import SeasonPlan
from pinfeather.season.request import request_from
from pinfeather.words import gettext as _

THIS_RUN: Final = secrets.token_hex(8)
"""Names this run of the program."""
_RUNNING: Final[set[tuple[int, int]]] = set()
"""What this run is at: season and version."""
_GATE: Final = threading.Lock()
_LOG: Final = logging.getLogger("pinfeather.season")


def ask(
    season_id: int, *, today: dt.date, now: dt.datetime, replans: int | None = None
) -> VersionView:
    """Write down that a season is to be worked out as it stands; :func:`begin` starts it.

    Raises
    ------
    InputFaultsError
        With every fault in what was written.
    RecordConflictError
        If one is being worked out at this moment.
    RecordNotFoundError
        If there is no such season, or no such version to be held to.
    """
    held = version(season_id, replans) if replans is not None else None
    found = season(season_id)
    mapping = as_planned(found.mapping, today=today)
    request_from(mapping)
    with writing():
        rows = models.SeasonVersion.objects.filter(status=WORKING)
        if any(is_alive(row.season_id, row.number) for row in rows):
            raise RecordConflictError(
                _("A season is being worked out at this moment. Wait until it is done.")
            )
        newest = models.SeasonVersion.objects.filter(season_id=season_id).first()
        row = models.SeasonVersion.objects.create(
            season_id=season_id,
            number=(newest.number if newest else 0) + 1,
            status=WAITING,
            asked_on=today,
            request=mapping,
            replans=held.number if held else None,
            worker=THIS_RUN,
            program=__version__,
            asked_at=now,
        )
    return version(season_id, row.number)


def as_planned(mapping: Mapping[str, Any], *, today: dt.date) -> dict[str, Any]:
    """Add what the farm knows and nobody types: today, and the rules that hold here."""
    home = farm()
    return {**mapping, "today": today.isoformat(), "profile": home.profile, "tier": home.tier}


def is_alive(season_id: int, number: int) -> bool:
    """Tell whether a version is being worked out at this moment."""
    return (season_id, number) in _RUNNING


def begin(season_id: int, number: int) -> None:
    """Start the work in a thread of its own, unless it runs already."""
    with writing():
        rows = models.SeasonVersion.objects.filter(season_id=season_id, number=number)
        if not rows.filter(status=WAITING).update(
            status=WORKING, worker=THIS_RUN, asked_at=clock.now()
        ):
            return
    _RUNNING.add((season_id, number))
    run(lambda: work(season_id, number))


def run(job: Callable[[], None]) -> None:
    """Run a job beside the pages."""
    threading.Thread(target=_alone, args=(job,), name="season", daemon=True).start()


def _alone(job: Callable[[], None]) -> None:
    from django.db import connection

    try:
        job()
    finally:
        connection.close()


def work(season_id: int, number: int) -> None:
    """Work one version out and keep what came of it."""
    try:
        with _GATE:
            _work(version(season_id, number))
    finally:
        _RUNNING.discard((season_id, number))


def _work(found: VersionView) -> None:
    rows = models.SeasonVersion.objects.filter(season_id=found.season.id, number=found.number)
    kept: dict[str, Any]
    try:
        before = version(found.season.id, found.replans).plan if found.replans else None
        plan = solve(found, before)
        kept = {"status": DONE, "plan": CONVERTER.dumps(plan)}
    except (PinfeatherError, InputFaultsError) as error:
        kept = {"status": FAILED, "trouble": str(error)}
    except Exception:  # noqa: BLE001 - a fault of the program must reach the page as a sentence
        _LOG.exception("season %s version %s", found.season.id, found.number)
        sentence = _("The program itself failed; the log says how. What was written is kept.")
        kept = {"status": FAILED, "trouble": sentence}
    with writing():
        rows.update(**kept, finished_at=clock.now())


def solve(found: VersionView, before: SeasonPlan | None) -> SeasonPlan:
    """Work a season out; one that replans is held to what was decided before."""
    from pinfeather.season.plan import decisions_of

    metric = farm().units == "metric"
    if before is None or not before.found:
        from pinfeather.season.planner import plan_season

        return plan_season(found.request, mass_unit="kg" if metric else "lb")
    from pinfeather.season.replan import replan_season

    return replan_season(found.request, decisions_of(before), mass_unit="kg" if metric else "lb")
