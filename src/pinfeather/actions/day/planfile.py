"""A plan from a file, without the farm's store."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from cattrs.preconf.json import make_converter

from pinfeather.day.plan import DayPlan
from pinfeather.day.planner import plan_day
from pinfeather.day.request import DayRequest, request_from
from pinfeather.finding import Severity

_CONVERTER: Final = make_converter()
_CONVERTER.register_unstructure_hook(Severity, lambda severity: severity.code)


def plan_from_mapping(
    mapping: Mapping[str, object], *, seed: int
) -> tuple[DayRequest, DayPlan, dict[str, Any]]:
    """Plan a day; return the request, the plan, and the plan as one JSON object.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    request = request_from(mapping, spelled=True)
    plan = plan_day(request, seed=seed)
    document = {
        "date": request.date.isoformat(),
        "start": request.start.isoformat(timespec="minutes"),
        "profile": request.profile,
        "tier": request.tier,
        **_CONVERTER.unstructure(plan),
    }
    return request, plan, document
