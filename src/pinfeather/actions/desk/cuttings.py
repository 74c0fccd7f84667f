"""Birds cut into parts: where they came from, and what came off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from pinfeather import quantity
from pinfeather.actions.day import days, running
from pinfeather.day.events import Cutting, Package, Source
from pinfeather.day.progress import Progress
from pinfeather.errors import InputError, InputFaultsError, RecordNotFoundError
from pinfeather.estimate import Estimate
from pinfeather.packs.cutting import CuttingYield, cutting_yield
from pinfeather.packs.products import product
from pinfeather.packs.yields import cut_up, handbook_shares, own_shares
from pinfeather.records import models
from pinfeather.records.writing import writing
from pinfeather.units import KG_PER_LB
from pinfeather.words import gettext as _

_OWN_FROM: Final = 3
"""The farm's own shares are used from so many finished cuttings on."""
_DAYS_BACK: Final = 40
_TASK: Final = "cutting finished"


@dataclass(frozen=True, slots=True)
class CuttingView:
    """A cutting as its page shows it."""

    cutting: Cutting
    packages: tuple[Package, ...]
    found: CuttingYield
    expected: dict[str, Estimate]
    """Weight to expect of each part [kg]."""

    @property
    def lots(self) -> tuple[str, ...]:
        """The lots in it, each once."""
        return tuple(dict.fromkeys(source.lot for source in self.cutting.sources))


def start(day_id: int, sources: Sequence[Source], weight: str, *, who: str) -> str:
    """Write down which birds are cut up, and what they weigh together.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    faults: list[InputError] = []
    used = [source for source in sources if source.birds]
    if not used:
        faults.append(InputError("sources", sources, _("Say how many birds of which lot.")))
    try:
        quantity.parse(weight, "mass", name="written")
    except InputError as fault:
        faults.append(InputError("written", weight, fault.problem))
    if faults:
        raise InputFaultsError(faults)
    with writing():
        number = 1 + sum(1 for e in running.events(day_id) if e.kind == "cutting")
        try:
            return running.write(
                "cutting",
                {
                    "number": number,
                    "sources": [{"lot": s.lot, "tank": s.tank, "birds": s.birds} for s in used],
                    "written": weight,
                },
                day_id=day_id,
                who=who,
            )
        except InputError as fault:
            raise InputFaultsError([fault]) from fault


def finish(day_id: int, cutting_id: str, *, who: str) -> None:
    """Say that everything of a cutting is packed.

    Raises
    ------
    RecordNotFoundError
        If there is no such cutting.
    """
    if all(one.id != cutting_id for one in running.day_progress(day_id).cuttings):
        raise RecordNotFoundError(_("There is no such cutting."))
    running.write("done", {"task": _TASK, "place": cutting_id}, day_id=day_id, who=who)


def cuttings(day_id: int) -> tuple[CuttingView, ...]:
    """Return a day's cuttings with what came off, newest first."""
    done = running.day_progress(day_id)
    shares = expected_shares(before_day=day_id)
    return tuple(_viewed(one, done, shares) for one in reversed(done.cuttings))


def _viewed(one: Cutting, done: Progress, shares: dict[str, Estimate]) -> CuttingView:
    packages = tuple(p for p in done.packages if p.cutting == one.id)
    return CuttingView(
        cutting=one,
        packages=packages,
        found=cutting_yield(
            one.carcass_kg, _packed_kg(packages), shares=shares, finished=one.finished
        ),
        expected=dict(cut_up(one.carcass_kg, shares).parts_kg),
    )


def _packed_kg(packages: Sequence[Package]) -> dict[tuple[str, ...], float]:
    packed: dict[tuple[str, ...], float] = {}
    for package in packages:
        cut = product(package.product).cut
        packed[cut] = packed.get(cut, 0.0) + float(Decimal(package.net_lb)) * KG_PER_LB
    return packed


def expected_shares(*, before_day: int | None = None) -> dict[str, Estimate]:
    """Return the shares to expect: the farm's own where there are enough cuttings, else published.

    Own shares need cuttings that are finished and hold every part of the table.
    """
    handbook = handbook_shares()
    wanted = [part for part in handbook if part != "cutting loss"]
    rows: list[tuple[float, dict[str, float]]] = []
    recent = models.Entry.objects.filter(kind="cutting", day__isnull=False)
    if before_day is not None:
        recent = recent.exclude(day_id=before_day)
    for day_id in list(dict.fromkeys(recent.order_by("-seq").values_list("day_id", flat=True)))[
        :_DAYS_BACK
    ]:
        done = running.day_progress(int(day_id or 0))
        for one in done.cuttings:
            packed = _packed_kg([p for p in done.packages if p.cutting == one.id])
            parts = {cut[0]: mass for cut, mass in packed.items() if len(cut) == 1}
            whole = sum(parts.get(part, 0.0) for part in wanted) <= one.carcass_kg
            if one.finished and whole and all(part in parts for part in wanted):
                rows.append((one.carcass_kg, parts))
    if len(rows) < _OWN_FROM:
        return handbook
    return own_shares(
        {part: [parts[part] for _mass, parts in rows] for part in wanted},
        [mass for mass, _parts in rows],
    )


def open_cuttings(day: days.DayView) -> tuple[Cutting, ...]:
    """Return the cuttings whose parts are still being packed."""
    return tuple(one for one in running.day_progress(day.id).cuttings if not one.finished)
