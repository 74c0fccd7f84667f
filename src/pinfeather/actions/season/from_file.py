"""A season's plan from a file, without the farm's store."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from typing import Any, Final

from cattrs.preconf.json import make_converter

from pinfeather.errors import InputError
from pinfeather.finding import Severity
from pinfeather.season.asked import SeasonRequest
from pinfeather.season.luck import SEASONS
from pinfeather.season.plan import Decisions, SeasonPlan, decisions_of
from pinfeather.season.planner import plan_season
from pinfeather.season.replan import replan_season
from pinfeather.season.request import request_from
from pinfeather.words import gettext as _

_CONVERTER: Final = make_converter()
_CONVERTER.register_unstructure_hook(Severity, lambda severity: severity.code)
_CONVERTER.register_unstructure_hook(dt.date, lambda date: date.isoformat())
_CONVERTER.register_structure_hook(dt.date, lambda text, _kind: dt.date.fromisoformat(text))
KEPT: Final = "decisions"
"""Under this name the JSON holds what a later plan is kept to."""


def season_from_mapping(
    mapping: Mapping[str, object],
    *,
    seed: int,
    seasons: int = SEASONS,
    explain: bool = True,
    before: Mapping[str, object] | None = None,
) -> tuple[SeasonRequest, SeasonPlan, dict[str, Any]]:
    """Plan a season; return the request, the plan, and the plan as one JSON object.

    ``before`` is the JSON object of an earlier plan, to be kept to as far as can be.

    Raises
    ------
    InputFaultsError
        With every fault.
    InputError
        If ``before`` is not the JSON of a plan.
    """
    request = request_from(mapping, spelled=True)
    if before is None:
        plan = plan_season(request, seed=seed, seasons=seasons, explain=explain)
    else:
        plan = replan_season(request, _kept(before), seed=seed, seasons=seasons)
    document = {
        "name": request.name,
        "today": request.today.isoformat(),
        "from": request.from_on.isoformat(),
        "until": request.until_on.isoformat(),
        "aim": request.aim,
        "profile": request.profile,
        "tier": request.tier,
        KEPT: _CONVERTER.unstructure(decisions_of(plan)),
        **_finite(_CONVERTER.unstructure(plan)),
    }
    return request, plan, document


def _kept(before: Mapping[str, object]) -> Decisions:
    try:
        return _CONVERTER.structure(before[KEPT], Decisions)
    except Exception as error:
        raise InputError(
            "--keep", "", _("This is not a season's plan as “--json” prints it.")
        ) from error


def _finite(value: Any) -> Any:  # noqa: ANN401 - JSON
    """Replace infinity, which JSON does not know, by null: no limit."""
    if isinstance(value, dict):
        return {key: _finite(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(item) for item in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value
