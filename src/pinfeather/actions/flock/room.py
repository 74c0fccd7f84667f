"""Where a lot lives: floor, brooder heat and turn-round, ground on grass and what is left on it."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, cast

from pinfeather.actions.farm import LotView
from pinfeather.actions.flock.setup import PenView
from pinfeather.estimate import Basis
from pinfeather.flock.curves import Species
from pinfeather.flock.forecast import Seen
from pinfeather.flock.land import per_acre_lb
from pinfeather.flock.lot import Life, Moved
from pinfeather.flock.progress import manure_nitrogen_kg
from pinfeather.flock.room import BrooderHeat, brooder_heat, floor_basis, floor_m2, pasture
from pinfeather.flock.tables import table
from pinfeather.units import to_si

BROODER_D: Final = 24
"""Days of age on leaving the brooder; common practice, three to four weeks."""
TURN_ROUND_D: Final = 7
"""Days to clean the brooder out before the next chicks; common practice."""
_HEAT_UNTIL_D: Final = 42


@dataclass(frozen=True, slots=True)
class PenNow:
    """Birds in one pen, and the floor they have and need."""

    name: str
    kind: str
    heads: int
    have_m2: float | None
    need_m2: float | None

    @property
    def short(self) -> bool:
        """Whether the floor is too small."""
        return bool(self.have_m2 and self.need_m2 and self.have_m2 < self.need_m2 * 0.995)


@dataclass(frozen=True, slots=True)
class RoomNow:
    """Where a lot lives."""

    pens: tuple[PenNow, ...]
    floor_basis: Basis | None
    in_brooder: bool
    heat: BrooderHeat | None
    brooder_out_on: dt.date | None
    brooder_free_on: dt.date | None
    pasture_pens: int | None
    """Pens of the size used that this lot needs on grass."""


@dataclass(frozen=True, slots=True)
class Ground:
    """What a lot has left on grass so far."""

    since: dt.date
    moves: int
    area_m2: float
    nitrogen_kg: float

    @property
    def per_acre_lb(self) -> float:
        """Nitrogen on the ground covered [lb/acre]."""
        return per_acre_lb(self.nitrogen_kg / self.area_m2)


def _species(row: LotView) -> Species | None:
    return cast("Species", row.species) if row.species in {"chicken", "turkey", "duck"} else None


def room_now(
    row: LotView,
    heads: Sequence[tuple[str, int]],
    known: Sequence[PenView],
    *,
    age_d: int | None,
    hatched_on: dt.date,
) -> RoomNow:
    """Say what floor and heat a lot has and needs."""
    by_name = {pen.name: pen for pen in known}
    species = _species(row)
    rows = []
    for name, birds in heads:
        pen = by_name.get(name)
        need = None
        if species and age_d is not None and age_d >= 0 and birds > 0:
            need = floor_m2(birds, float(age_d), species)
            if pen and pen.kind == "pasture" and pen.move_d:
                need = birds * to_si(table("room")["pasture"]["penned_ft2"], "ft2", "area")
        rows.append(
            PenNow(name, pen.kind if pen else "", birds, pen.area_m2 if pen else None, need)
        )
    in_brooder = any(pen.kind == "brooder" for pen in rows)
    birds = sum(max(pen.heads, 0) for pen in rows)
    heat = None
    if species and age_d is not None and 0 <= age_d < _HEAT_UNTIL_D and birds and in_brooder:
        heat = brooder_heat(birds, float(age_d), species)
    out = hatched_on + dt.timedelta(days=BROODER_D) if in_brooder else None
    grass = [pen for pen in known if pen.kind == "pasture" and pen.move_d and pen.area_m2]
    pens_needed = None
    if grass and birds:
        pens_needed = pasture(birds, pen_m2=grass[0].area_m2 or 1.0, moves=1).pens
    return RoomNow(
        tuple(rows),
        floor_basis(species) if species else None,
        in_brooder,
        heat,
        out,
        out + dt.timedelta(days=TURN_ROUND_D) if out else None,
        pens_needed,
    )


def ground_now(
    life: Life, seen: Seen | None, known: Sequence[PenView], *, today: dt.date
) -> Ground | None:
    """Say how much nitrogen a lot has left on the grass it was moved over."""
    grass = {pen.name: pen for pen in known if pen.kind == "pasture" and pen.area_m2}
    came = [e for e in life.events if isinstance(e, Moved) and e.to in grass and e.on <= today]
    if seen is None or seen.curve is None or not came:
        return None
    since = min(e.on for e in came)
    days = (today - since).days
    if days < 1:
        return None
    area, moves = 0.0, 0
    for name in sorted({e.to for e in came}):
        first = min(e.on for e in came if e.to == name)
        pen = grass[name]
        times = math.ceil((today - first).days / pen.move_d) if pen.move_d else 1
        area += (pen.area_m2 or 0.0) * max(times, 1)
        moves = max(moves, times)
    from_d = (since - life.hatched_on).days
    nitrogen = manure_nitrogen_kg(life, seen, today, from_d=from_d, species=seen.curve.species)
    return Ground(since, moves, area, nitrogen) if area > 0 and nitrogen > 0 else None
