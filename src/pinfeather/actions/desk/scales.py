"""The shop's scales: what they are, the daily check, and what they show now."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import dataclass, replace
from decimal import Decimal, InvalidOperation
from typing import Final, cast

from pinfeather import clock, quantity
from pinfeather.actions.day import running
from pinfeather.actions.farm import farm
from pinfeather.day.events import Event, ScaleCheck, scale_check
from pinfeather.errors import InputError, InputFaultsError, RecordNotFoundError
from pinfeather.finding import Finding, Severity
from pinfeather.packs.net_weight import DIVISION_LB, in_pounds
from pinfeather.packs.scale import CheckLoads, check_loads, daily_check, scale_findings
from pinfeather.packs.scale_reports import Shown
from pinfeather.packs.weigh_tables import Class, tolerance_lb
from pinfeather.records import models
from pinfeather.records.writing import writing
from pinfeather.words import gettext as _

CLASSES: Final[tuple[Class, ...]] = ("III", "II")
_FRESH: Final = dt.timedelta(seconds=5)
"""A live weight older than this is not shown as live."""
_TAKEABLE: Final = dt.timedelta(minutes=2)
"""A stable weight older than this is not offered any more."""
PACKAGE_PREFIX: Final = "p"
"""Before a weight's id, in the id of the package made of it: one weight, one package."""


@dataclass(frozen=True, slots=True)
class ScaleView:
    """A scale of the shop."""

    id: int
    name: str
    capacity_lb: Decimal
    division_lb: Decimal
    scale_class: Class
    test_lb: Decimal | None
    seal: str

    @property
    def loads(self) -> CheckLoads:
        """Weights for the full test, up to the capacity."""
        return check_loads(self.capacity_lb / Decimal("1.1"))

    @property
    def tolerance_lb(self) -> Decimal | None:
        """How far off the scale may be under its test weight [lb]."""
        if self.test_lb is None:
            return None
        return tolerance_lb(self.test_lb, self.division_lb, scale_class=self.scale_class)


@dataclass(frozen=True, slots=True)
class Live:
    """What a scale shows, as the desk needs it."""

    shown: str = ""
    state: str = ""
    stable: str = ""
    stable_id: str = ""
    """Id for the package made of the stable weight; empty when it was taken already."""


def scales() -> tuple[ScaleView, ...]:
    """Return the scales in use."""
    return tuple(_view(row) for row in models.ShopScale.objects.filter(active=True))


def _view(row: models.ShopScale) -> ScaleView:
    return ScaleView(
        row.pk,
        row.name,
        Decimal(row.capacity_lb),
        Decimal(row.division_lb),
        cast("Class", row.scale_class),
        Decimal(row.test_lb) if row.test_lb else None,
        row.seal,
    )


def desk_scale() -> ScaleView | None:
    """Return the scale the desk weighs on: the first in use."""
    row = models.ShopScale.objects.filter(active=True).first()
    return None if row is None else _view(row)


def desk_division_lb() -> Decimal:
    """Return the step of the desk's scale [lb]."""
    found = desk_scale()
    return DIVISION_LB if found is None else found.division_lb


def save_scale(
    *, name: str, capacity: str, division: str, scale_class: str, test: str, seal: str
) -> None:
    """Add a scale, or change what is written about it.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    faults: list[InputError] = []

    def pounds(field: str, text: str) -> Decimal:
        try:
            weight = quantity.parse(text, "mass", name=field)
            return in_pounds(weight, division=Decimal("0.00001")).normalize()
        except InputError as fault:
            faults.append(InputError(field, text, fault.problem))
            return Decimal(1)

    if not name.strip():
        faults.append(InputError("name", name, _("Give the scale a name.")))
    capacity_lb, division_lb = pounds("capacity", capacity), pounds("division", division)
    test_lb = pounds("test", test) if test.strip() else None
    if not faults and division_lb >= capacity_lb:
        faults.append(InputError("division", division, _("The step is smaller than the capacity.")))
    if not faults and test_lb is not None and test_lb > capacity_lb:
        faults.append(InputError("test", test, _("The test weight is more than the scale takes.")))
    if scale_class not in CLASSES:
        faults.append(InputError("scale_class", scale_class, _("Choose the class on its plate.")))
    if faults:
        raise InputFaultsError(faults)
    with writing():
        models.ShopScale.objects.update_or_create(
            name=name.strip(),
            defaults={
                "capacity_lb": f"{capacity_lb:f}",
                "division_lb": f"{division_lb:f}",
                "scale_class": scale_class,
                "test_lb": "" if test_lb is None else f"{test_lb:f}",
                "seal": seal.strip(),
                "active": True,
            },
        )


def retire(scale_id: int) -> None:
    """Take a scale out of use; its checks stay on record.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    with writing():
        found = models.ShopScale.objects.filter(pk=scale_id).update(active=False)
    if not found:
        raise RecordNotFoundError(_("There is no such scale."))


def check_today(scale: str, reading: str, *, who: str) -> tuple[Finding, ...]:
    """Write down what the scale shows under its test weight, and judge it.

    Raises
    ------
    InputFaultsError
        If the reading is no number, or the scale has no test weight.
    """
    found = next((one for one in scales() if one.name == scale), None)
    if found is None or found.test_lb is None:
        raise InputFaultsError(
            [InputError("scale", scale, _("Write the scale's test weight down first."))]
        )
    text = reading.strip()
    try:
        if text.replace(".", "", 1).isdecimal():
            reading_lb = Decimal(text)
        else:
            weight = quantity.parse(text, "mass", name="reading")
            reading_lb = in_pounds(weight, division=found.division_lb)
    except (InputError, InvalidOperation) as fault:
        sentence = fault.problem if isinstance(fault, InputError) else _("Write a weight.")
        raise InputFaultsError([InputError("reading", reading, sentence)]) from fault
    running.write(
        "scale check",
        {"scale": scale, "test_lb": f"{found.test_lb:f}", "reading_lb": f"{reading_lb:f}"},
        day_id=None,
        who=who,
    )
    return daily_check(
        reading_lb, found.test_lb, division=found.division_lb, scale_class=found.scale_class
    )


def checks(scale: str = "", *, most: int = 30) -> tuple[ScaleCheck, ...]:
    """Return the newest checks, of one scale or all; what was taken back is left out."""
    rows = models.Entry.objects.filter(kind="scale check").order_by("-seq")[: most * 4]
    taken_back = {
        str(payload.get("of"))
        for payload in models.Entry.objects.filter(kind="correction", day__isnull=True).values_list(
            "payload", flat=True
        )
    }
    found = (
        scale_check(
            Event(
                row.seq,
                row.client_id,
                row.kind,
                row.payload,
                row.who,
                row.device_time + dt.timedelta(seconds=row.skew_s),
            )
        )
        for row in rows
        if row.client_id not in taken_back
    )
    return tuple(one for one in found if not scale or one.scale == scale)[:most]


def check_findings(one: ScaleCheck) -> tuple[Finding, ...]:
    """Judge a check on record."""
    for scale in scales():
        if scale.name == one.scale:
            return daily_check(
                Decimal(one.reading_lb),
                Decimal(one.test_lb),
                division=scale.division_lb,
                scale_class=scale.scale_class,
            )
    return ()


def desk_findings(date: dt.date, *, label_lb: Decimal | None) -> tuple[Finding, ...]:
    """Say what is wrong with the desk's scale on a day: not checked, off, or too coarse."""
    scale = desk_scale()
    if scale is None:
        return (
            Finding(
                "scale.none",
                Severity.NOTE,
                _("No scale is on record; a step of {division} lb is assumed.").format(
                    division=DIVISION_LB
                ),
                _("Write its capacity, step and test weight down on the scale's page."),
                "scale",
            ),
        )
    zone = clock.zone(farm().zone)
    today = [c for c in checks(scale.name) if c.at.astimezone(zone).date() == date]
    found: tuple[Finding, ...] = ()
    if not today:
        found = (
            Finding(
                "scale.unchecked",
                Severity.CHECK,
                _("“{scale}” has not been checked on this day.").format(scale=scale.name),
                _("Put the test weight on before the day's first package."),
                "scale",
                citation="NIST Handbook 133 (2026), chapter 2",
                status="read",
            ),
        )
    else:
        found = check_findings(today[0])
    if label_lb is not None:
        found += tuple(
            replace(f, severity=Severity.CHECK)
            for f in scale_findings(
                capacity_lb=scale.capacity_lb, division=scale.division_lb, label_lb=label_lb
            )
        )
    return found


def show(name: str, shown: Shown, stable: Shown | None, *, now: dt.datetime) -> str:
    """Keep what a scale shows; a new stable weight gets an id of its own, which is returned.

    Raises
    ------
    RecordNotFoundError
        If there is no such scale.
    """
    fields: dict[str, object] = {"shown": shown.written, "state": shown.state, "shown_at": now}
    stable_id = ""
    if stable is not None:
        stable_id = uuid.uuid4().hex
        fields |= {"stable": stable.written, "stable_id": stable_id}
    elif shown.state == "zero":
        fields |= {"stable": "", "stable_id": ""}
    with writing():
        rows = models.ShopScale.objects.filter(active=True)
        found = (rows.filter(name=name) if name else rows.filter(pk=_first_id())).update(**fields)
    if not found:
        raise RecordNotFoundError(
            _("There is no such scale. Write it down on the scale's page first.")
        )
    return stable_id


def _first_id() -> int:
    return models.ShopScale.objects.filter(active=True).values_list("pk", flat=True).first() or 0


def live(day_id: int, *, now: dt.datetime) -> Live:
    """Return what the desk's scale shows, and a stable weight that no package has yet."""
    row = models.ShopScale.objects.filter(active=True).first()
    shown = state = ""
    if row is not None and row.shown_at is not None and now - row.shown_at < _FRESH:
        shown, state = row.shown, row.state
    written, weight_id = "", ""
    if row is not None and row.stable_id and row.shown_at and now - row.shown_at < _TAKEABLE:
        written, weight_id = row.stable, row.stable_id
    events = running.events(day_id)
    sent = next((e for e in reversed(events) if e.kind == "weight"), None)
    if not weight_id and sent is not None and now - sent.at < _TAKEABLE:
        written, weight_id = str(sent.payload["written"]), sent.client_id
    package_id = PACKAGE_PREFIX + weight_id
    if not weight_id or any(e.client_id == package_id for e in events):
        return Live(shown, state)
    return Live(shown, state, written, package_id)
