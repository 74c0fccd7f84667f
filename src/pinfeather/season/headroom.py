"""What is used of each room, week by week, for the season ribbon."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Sequence

from pinfeather.season.asked import SeasonRequest
from pinfeather.season.parts import chicks_held, deliveries
from pinfeather.season.plan import RoomCode, RoomSeries, SeasonPlan
from pinfeather.season.usage import Usage, weeks_of
from pinfeather.season.yields import Tables
from pinfeather.words import gettext as _

_DAYS = tuple(dt.timedelta(days=i) for i in range(7))


def headroom_of(request: SeasonRequest, tables: Tables, plan: SeasonPlan) -> tuple[RoomSeries, ...]:
    """Return the use of every room, week by week.

    Parameters
    ----------
    request : SeasonRequest
        The limits.
    tables : Tables
        What lots give.
    plan : SeasonPlan
        Finished.

    Returns
    -------
    tuple of RoomSeries
        Brooders, pens, feed store, hands, chill, refrigerator, freezer and, where there is one, the
        yearly cap.

    Notes
    -----
    The most of the seven days; brooders as a share of all their room, empty ones under cleaning
    not counted; feed of the whole stretch between two deliveries; hands on that week's processing
    days; the cap from the first of January on.

    References
    ----------
    Derivation: reckoned from the plan, see :mod:`pinfeather.season.usage`.
    """
    usage, weeks = Usage(request, tables, plan), weeks_of(request)
    cold = request.cold

    def most(of: Callable[[dt.date], float]) -> tuple[float, ...]:
        return tuple(max(of(week + day) for day in _DAYS) for week in weeks)

    def series(
        code: RoomCode, name: str, unit: str, *, used: tuple[float, ...], limit: float
    ) -> RoomSeries:
        return RoomSeries(code, name, unit, tuple(weeks), used, (limit,) * len(weeks))

    def frozen(on: dt.date) -> float:
        return usage.kept_kg(on, fresh=False) + usage.shop_kg(on)

    found = [
        series("brooder", _("Brooders"), "1", used=most(lambda on: _brooder(usage, on)), limit=1.0),
        series("pens", _("Pens"), "m2", used=most(usage.on_pasture_m2), limit=request.pens_m2),
        series(
            "feed",
            _("Feed store"),
            "kg",
            used=_feed(usage, weeks),
            limit=request.feed.store_kg,
        ),
        _crew(usage, weeks),
        series(
            "chill",
            _("Chilling"),
            "kg",
            used=most(lambda on: sum(d.dressed_kg for d in plan.days if d.on == on)),
            limit=cold.chill_kg,
        ),
        series(
            "refrigerator",
            _("Refrigerator"),
            "kg",
            used=most(lambda on: usage.kept_kg(on, fresh=True)),
            limit=cold.refrigerator_kg,
        ),
        series("freezer", _("Freezer"), "kg", used=most(frozen), limit=cold.freezer_kg),
    ]
    if request.cap.most is not None:
        found.append(
            series(
                "cap",
                _("Birds this year"),
                "birds",
                used=_count(usage, weeks),
                limit=float(request.cap.most),
            )
        )
    return tuple(found)


def _brooder(usage: Usage, on: dt.date) -> float:
    """Share of all brooder room that holds chicks."""
    if not usage.request.brooders:
        return 0.0
    share = 0.0
    for lot in usage.brooding(on):
        kind = usage.source(lot).kind
        room = sum(chicks_held(b, kind) for b in usage.request.brooders)
        share += lot.heads / room
    return share


def _feed(usage: Usage, weeks: Sequence[dt.date]) -> tuple[float, ...]:
    """Feed of the stretch between deliveries that a week falls into."""
    stretches = [(a, z, usage.feed_kg(a, z)) for a, z in deliveries(usage.request)]
    return tuple(
        max((kg for a, z, kg in stretches if a <= week + _DAYS[-1] and z > week), default=0.0)
        for week in weeks
    )


def _crew(usage: Usage, weeks: Sequence[dt.date]) -> RoomSeries:
    used, limit = [], []
    for week in weeks:
        within = {week + day for day in _DAYS}
        used.append(math.fsum(d.work_s for d in usage.plan.days if d.on in within))
        limit.append(math.fsum(d.crew_s for d in usage.tables.days if d.on in within))
    return RoomSeries("crew", _("Hands"), "s", tuple(weeks), tuple(used), tuple(limit))


def _count(usage: Usage, weeks: Sequence[dt.date]) -> tuple[float, ...]:
    """Birds counted so far in the calendar year that a week ends in."""
    request, found = usage.request, []
    for week in weeks:
        end = week + _DAYS[-1]
        before = request.cap.counted if end.year == request.today.year else 0
        found.append(
            before
            + math.fsum(
                batch.expected * request.cap.weights.get(lot.species, 0)
                for lot in usage.plan.lots
                for batch in lot.batches
                if batch.on.year == end.year and batch.on <= end
            )
        )
    return tuple(found)
