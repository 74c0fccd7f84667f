"""What the family says about a processing day, as plain checked values.

The same nested mapping comes from a TOML file, from the page's form, and from the store; every
quantity is text with its unit, as it was written. All faults are gathered and told at once.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from statistics import NormalDist
from typing import Final, Literal, get_args

from pinfeather.mapping import MappingReader
from pinfeather.units import to_si
from pinfeather.words import gettext as _

Species = Literal["chicken", "turkey", "duck", "goose"]
Build = Literal["lean", "broad"]
Chemical = Literal["chlorine"]

STATIONS: Final = (
    "catch", "kill", "scald", "pick", "draw", "rinse", "chill", "bag", "weigh", "store",
)  # fmt: skip
"""Codes of the stations, in the order a bird meets them."""

PEOPLE_STATIONS: Final = tuple(code for code in STATIONS if code != "chill")
"""The stations that need a person."""

MASS_MIN_KG: Final = 0.1
MASS_MAX_KG: Final = 25.0
BIRDS_MAX: Final = 2000
_AIR_MIN_DEGC: Final = to_si(20, "F", "temperature")
_AIR_MAX_DEGC: Final = to_si(115, "F", "temperature")
"""The air over the scalder that its heat loss is known for [degC]."""
_PACE_MIN: Final = 0.2
_PACE_MAX: Final = 3.0
_ALLOWANCE_MAX: Final = 0.5
"""The largest rest allowance taken; the table of the International Labour Office ends near it."""


@dataclass(frozen=True, slots=True)
class LotRequest:
    """Birds of one lot to be processed on the day."""

    code: str
    species: Species
    build: Build
    masses_kg: tuple[float, ...]
    weighed: bool
    """True where the masses were listed, false where they follow from mean and spread."""
    hatched: dt.date | None = None

    @property
    def count(self) -> int:
        """How many birds."""
        return len(self.masses_kg)


@dataclass(frozen=True, slots=True)
class PersonRequest:
    """One person's hours and the stations they can do."""

    name: str
    begins: dt.time
    ends: dt.time
    stations: frozenset[str]
    pace: float = 1.0
    breaks: tuple[tuple[dt.time, dt.time], ...] = ()
    allowance_frac: float = 0.0
    """Rest taken with the work, as a share of it, besides the breaks [1]."""

    @property
    def speed(self) -> float:
        """How fast work gets done, rest included [1]."""
        return self.pace / (1 + self.allowance_frac)


@dataclass(frozen=True, slots=True)
class TankRequest:
    """A chill tank."""

    name: str
    volume_m3: float
    stirred: bool
    insulated: bool


@dataclass(frozen=True, slots=True)
class EquipmentRequest:
    """The shop's equipment as it stands that day."""

    cones: int
    scalder_m3: float
    scald_places: int
    burner_W: float
    tap_degC: float
    drum_birds: int
    """Birds in the drum at once; 0 means picking by hand."""
    drum_cycle_s: float
    draw_places: int
    tanks: tuple[TankRequest, ...]
    ice_kg: float
    refrigerator_m3: float
    freezer_m3: float
    scald_degC: float | None = None


@dataclass(frozen=True, slots=True)
class SanitiserRequest:
    """The bleach at hand and what is to be mixed from it."""

    bleach_frac: float
    target_frac: float
    volume_m3: float


@dataclass(frozen=True, slots=True)
class DayRequest:
    """One processing day as asked for."""

    date: dt.date
    start: dt.time
    deadline: dt.time | None
    deadline_reason: str
    lots: tuple[LotRequest, ...]
    people: tuple[PersonRequest, ...]
    equipment: EquipmentRequest
    sanitiser: SanitiserRequest
    altitude_m: float
    air_degC: float
    profile: str
    tier: str
    counted: Mapping[str, int] = field(default_factory=dict)
    """Head already slaughtered this calendar year, by species."""

    @property
    def birds(self) -> int:
        """How many birds in all lots."""
        return sum(lot.count for lot in self.lots)


def request_from(mapping: Mapping[str, object], *, spelled: bool = False) -> DayRequest:
    """Check what somebody wrote about a day and turn it into plain values.

    Parameters
    ----------
    mapping : mapping
        Nested text as in the guide's ``plan-day`` example; quantities carry their unit.
    spelled : bool
        Whether a name that means nothing here is a fault, as in a file somebody typed.

    Returns
    -------
    DayRequest
        In SI units.

    Raises
    ------
    InputFaultsError
        With every fault found, each named by its path (``lots[0].mean``).

    References
    ----------
    Decision record 0004: one mapping for file, form and store.
    """
    read = MappingReader(mapping)
    date = read.date("date")
    start = read.time("start")
    deadline = read.time("deadline", required=False)
    if start and deadline and deadline <= start:
        read.fault("deadline", deadline, _("The day must be done after it starts."))
    lots = tuple(filter(None, (_lot(entry) for entry in read.tables("lots"))))
    if not lots and not read.faults_under("lots"):
        read.fault("lots", None, _("Add at least one lot of birds."))
    _told_apart(read, "lots", key="code", problem=_("Two lots have this code; give each its own."))
    if sum(lot.count for lot in lots) > BIRDS_MAX:
        read.fault(
            "lots", None, _("A day of more than {n} birds is beyond this plan.").format(n=BIRDS_MAX)
        )
    people = tuple(filter(None, (_person(entry) for entry in read.tables("people"))))
    _check_crew(read, people)
    equipment = _equipment(read.table("equipment"))
    request = DayRequest(
        date=date or dt.date.min,
        start=start or dt.time.min,
        deadline=deadline,
        deadline_reason=read.text("deadline_reason", default="") or "",
        lots=lots,
        people=people,
        equipment=equipment,
        sanitiser=_sanitiser(read.table("sanitiser")),
        altitude_m=read.quantity("altitude", "length", low=-500, high=4500, default="0 ft"),
        air_degC=read.quantity(
            "air", "temperature", low=_AIR_MIN_DEGC, high=_AIR_MAX_DEGC, default="68 F"
        ),
        profile=read.text("profile", default="us-federal") or "",
        tier=read.text("tier", default="producer_1000") or "",
        counted={
            species: count
            for species in get_args(Species)
            if (count := read.table("counted").integer(species, low=0, high=10**6, default=0))
        },
    )
    if spelled:
        read.refuse_unknown()
    read.raise_faults()
    return request


def _told_apart(read: MappingReader, tables: str, *, key: str, problem: str) -> None:
    """Note a fault for each entry of a list whose name another one has already."""
    if read.faults_under(tables):
        return
    seen = set()
    for index, entry in enumerate(read.tables(tables)):
        name = entry.text(key)
        if name in seen:
            read.fault(f"{tables}[{index}].{key}", name, problem)
        seen.add(name)


def _lot(read: MappingReader) -> LotRequest | None:
    code = read.text("code", longest=5)
    if code and not (code.isascii() and code.isalnum() and code == code.upper()):
        read.fault(
            "code", code, _("A lot's code is 1 to 5 capital letters and digits, such as B3.")
        )
    species = read.choice("species", get_args(Species), default="chicken")
    build = read.choice("build", get_args(Build), default="broad")
    hatched = read.date("hatched", required=False)
    masses: Sequence[float]
    if read.has("weights"):
        read.may_have("count", "mean", "spread")
        masses = read.quantities("weights", "mass", low=MASS_MIN_KG, high=MASS_MAX_KG)
        weighed = True
        if not masses and not read.faults_under("weights"):
            read.fault("weights", None, _("List at least one weight, or give count and mean."))
    else:
        weighed = False
        count = read.integer("count", low=1, high=BIRDS_MAX)
        mean = read.quantity("mean", "mass", low=MASS_MIN_KG, high=MASS_MAX_KG)
        spread = read.quantity("spread", "mass", low=0, high=MASS_MAX_KG / 3, default="0 lb")
        if mean and spread > mean / 3:
            read.fault(
                "spread",
                read.raw("spread"),
                _("The spread is more than a third of the mean; one of the two must be wrong."),
            )
        masses = spread_masses_kg(count or 0, mean, spread_kg=spread)
    if read.faults:
        return None
    return LotRequest(
        code=code or "",
        species=species,  # type: ignore[arg-type]
        build=build,  # type: ignore[arg-type]
        masses_kg=tuple(masses),
        weighed=weighed,
        hatched=hatched,
    )


def spread_masses_kg(count: int, mean_kg: float, *, spread_kg: float) -> tuple[float, ...]:
    """Stand-in masses of a lot known only by its mean and standard deviation.

    Parameters
    ----------
    count : int
        Number of birds, >= 0.
    mean_kg : float
        Mean dressed mass [kg].
    spread_kg : float
        Standard deviation [kg].

    Returns
    -------
    tuple of float
        ``count`` masses in a mixed, fixed order, symmetric about the mean [kg].

    References
    ----------
    Derivation: normal quantiles at (i + 1/2)/n; the order strides through them by a step prime to
    n, so that light and heavy birds alternate.
    """
    if count <= 0:
        return ()
    if spread_kg <= 0:
        return (mean_kg,) * count
    normal = NormalDist(mean_kg, spread_kg)
    quantiles = [
        min(max(normal.inv_cdf((i + 0.5) / count), MASS_MIN_KG), MASS_MAX_KG) for i in range(count)
    ]
    step = next(s for s in range(max(1, round(count * 0.382)), count + 2) if _coprime(s, count))
    return tuple(quantiles[(i * step) % count] for i in range(count))


def _coprime(a: int, b: int) -> bool:
    while b:
        a, b = b, a % b
    return a == 1


def _person(read: MappingReader) -> PersonRequest | None:
    name = read.text("name")
    begins = read.time("from")
    ends = read.time("to")
    if begins and ends and ends <= begins:
        read.fault("to", read.raw("to"), _("The end must be later than the beginning."))
    stations = read.words("stations", PEOPLE_STATIONS)
    pace = read.number("pace", low=_PACE_MIN, high=_PACE_MAX, default=1.0)
    allowance_frac = read.quantity(
        "allowance", "strength", low=0, high=_ALLOWANCE_MAX, default="0 %"
    )
    breaks = read.spans("breaks")
    if read.faults or begins is None or ends is None:
        return None
    return PersonRequest(
        name or "", begins, ends, frozenset(stations), pace, tuple(breaks), allowance_frac
    )


def _check_crew(read: MappingReader, people: tuple[PersonRequest, ...]) -> None:
    if not people:
        if not read.faults_under("people"):
            read.fault("people", None, _("Add at least one person."))
        return
    if read.faults_under("people"):
        return
    missing = [
        code for code in PEOPLE_STATIONS if not any(code in person.stations for person in people)
    ]
    if missing:
        read.fault(
            "people",
            None,
            _("Nobody can do: {stations}. Add the station to somebody.").format(
                stations=", ".join(missing)
            ),
        )


def _equipment(read: MappingReader) -> EquipmentRequest:
    tanks = tuple(filter(None, (_tank(entry) for entry in read.tables("tanks"))))
    if not tanks and not read.faults_under("tanks"):
        read.fault("tanks", None, _("Add at least one chill tank."))
    _told_apart(
        read, "tanks", key="name", problem=_("Two tanks have this name; give each its own.")
    )
    return EquipmentRequest(
        cones=read.integer("cones", low=1, high=100) or 1,
        scalder_m3=read.quantity("scalder", "volume", low=0.005, high=2.0),
        scald_places=read.integer("scald_places", low=1, high=50, default=1) or 1,
        burner_W=read.quantity("burner", "power", low=500, high=500_000),
        tap_degC=read.quantity("tap", "temperature", low=0, high=80),
        scald_degC=read.optional_quantity("scald", "temperature", low=40, high=90),
        drum_birds=read.integer("drum_birds", low=0, high=50, default=0) or 0,
        drum_cycle_s=read.quantity("drum_cycle", "time", low=1, high=1800, default="30 s"),
        draw_places=read.integer("draw_places", low=1, high=50) or 1,
        tanks=tanks,
        ice_kg=read.quantity("ice", "mass", low=0, high=20_000, default="0 lb"),
        refrigerator_m3=read.quantity("refrigerator", "volume", low=0, high=200, default="0 ft3"),
        freezer_m3=read.quantity("freezer", "volume", low=0, high=200, default="0 ft3"),
    )


def _tank(read: MappingReader) -> TankRequest | None:
    tank = TankRequest(
        name=read.text("name") or "",
        volume_m3=read.quantity("volume", "volume", low=0.01, high=20),
        stirred=read.choice("bath", ("still", "stirred"), default="still") == "stirred",
        insulated=read.choice("walls", ("bare", "insulated"), default="bare") == "insulated",
    )
    return None if read.faults else tank


def _sanitiser(read: MappingReader) -> SanitiserRequest:
    return SanitiserRequest(
        bleach_frac=read.quantity("bleach", "strength", low=0.005, high=0.2, default="8.25 %"),
        target_frac=read.quantity("target", "strength", low=1e-5, high=1e-3, default="100 ppm"),
        volume_m3=read.quantity("volume", "volume", low=0.0005, high=1, default="5 gal"),
    )
