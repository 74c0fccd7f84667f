"""The shop in a binder: its plan, thermometers and scales, water, chemicals."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from decimal import Decimal, InvalidOperation
from typing import Any

from pinfeather.actions.binder.source import Source
from pinfeather.actions.day.ice_history import unit_of
from pinfeather.actions.day.pictures import STATION_WORDS
from pinfeather.actions.desk import scales
from pinfeather.actions.duties.binder import DonePaper
from pinfeather.day.events import Event, IcePoint, scale_check
from pinfeather.errors import InputError
from pinfeather.heat.thermometer import WORST_ACCURACY_K, ice_point_offset_K
from pinfeather.line.stations import DIRTY_SIDE, STATION_CODES
from pinfeather.reports.binder import Block, Drawing, Section
from pinfeather.reports.shop_plan import ShopStation, shop_plan_sentence, shop_plan_svg
from pinfeather.reports.table_sheet import SheetTable
from pinfeather.units import from_si
from pinfeather.words import date_text
from pinfeather.words import gettext as _


def shop_stations(request: Mapping[str, Any]) -> tuple[ShopStation, ...]:
    """Return the stations in order, with what stands at each, from a day as it was asked for."""
    kit: Mapping[str, Any] = request.get("equipment", {})
    here: dict[str, tuple[str, ...]] = {
        "kill": (_("{n} cones").format(n=kit.get("cones", "")),),
        "scald": (
            _size(kit, "scalder"),
            _("{n} places").format(n=kit.get("scald_places", "")),
        ),
        "pick": (
            (_("by hand"),)
            if str(kit.get("drum_birds", "0")) in ("", "0")
            else (_("drum, {n} at once").format(n=kit["drum_birds"]),)
        ),
        "draw": (_("{n} places").format(n=kit.get("draw_places", "")),),
        "chill": tuple(
            line
            for one in kit.get("tanks", ())
            for line in (str(one.get("name", "")), _size(one, "volume"))
        ),
        "weigh": tuple(one.name for one in scales.scales()),
        "store": (
            _("refrigerator"),
            _size(kit, "refrigerator"),
            _("freezer"),
            _size(kit, "freezer"),
        ),
    }
    return tuple(
        ShopStation(
            _(STATION_WORDS[code]),
            "dirty" if code in DIRTY_SIDE else "clean",
            here.get(code, ()),
        )
        for code in STATION_CODES
    )


def _size(kit: Mapping[str, Any], name: str) -> str:
    return str(kit.get(name, "")).replace("ft3", "ft³").replace("m3", "m³")


def plan_section(source: Source) -> Section | None:
    """Return the plan of the shop as it stood on the last day of the period."""
    if not source.days:
        return None
    newest = source.days[-1]
    stations = shop_stations(newest.request)
    return Section(
        _("Plan of the shop"),
        _("Stations in the order of the birds, as on {date}; in order, not to scale.").format(
            date=date_text(newest.date)
        ),
        (Drawing(shop_plan_svg(stations), shop_plan_sentence(stations)),),
        fresh=False,
    )


def instruments_section(source: Source) -> Section:
    """Return every ice check and scale check of the period."""
    checks = [one for one in source.ice_points if source.period.holds(_day(source, one.at))]
    blocks: list[Block] = [
        SheetTable(
            _("Thermometers"),
            (_("Name"), _("Accuracy stated"), _("Ice checks in this period"), _("Last one")),
            tuple(
                (
                    one.name,
                    one.accuracy or _("not stated"),
                    str(sum(c.instrument == one.name for c in checks)),
                    _last(source, [c for c in checks if c.instrument == one.name]),
                )
                for one in source.instruments
                if one.kind == "thermometer"
            ),
            ("2", "auto", "auto", "auto"),
            (2,),
            note=_("How far off one may be here: ±{n:g} °F. Yardstick: common guidance.").format(
                n=from_si(WORST_ACCURACY_K, "F", "temperature difference")
            ),
        ),
        SheetTable(
            _("Checks in melting ice"),
            (_("Date"), _("Time"), _("Thermometer"), _("Showed"), _("Off by"), _("Who")),
            tuple(
                (
                    date_text(_day(source, one.at)),
                    f"{one.at.astimezone(source.zone):%H:%M}",
                    one.instrument,
                    one.written,
                    _off(one),
                    one.who,
                )
                for one in checks
            ),
            ("auto", "auto", "2", "auto", "auto", "1"),
            (1, 3, 4),
        ),
    ]
    weighed = source.of_kind("scale check")
    if weighed or scales.scales():
        blocks.append(_scale_table(source, weighed))
    return Section(
        _("Thermometers and scales"),
        _("A reading proves something only where its instrument was checked."),
        tuple(blocks),
    )


def _day(source: Source, at: dt.datetime) -> dt.date:
    return at.astimezone(source.zone).date()


def _last(source: Source, checks: Sequence[IcePoint]) -> str:
    newest = max((one.at for one in checks), default=None)
    return "–" if newest is None else date_text(_day(source, newest))


def _off(point: IcePoint) -> str:
    try:
        offset_K = ice_point_offset_K(point.reading_degC)
    except InputError:
        return _("not ice")
    unit = unit_of(point)
    return f"{from_si(offset_K, unit, 'temperature difference'):+.1f} °{unit}"


def _scale_table(source: Source, weighed: tuple[Event, ...]) -> SheetTable:
    rows = []
    for event in weighed:
        one = scale_check(event)
        rows.append(
            (
                date_text(_day(source, one.at)),
                one.scale,
                f"{one.test_lb} lb",
                f"{one.reading_lb} lb",
                _difference(one.test_lb, one.reading_lb),
                one.who,
            )
        )
    return SheetTable(
        _("Scales under their test weight"),
        (_("Date"), _("Scale"), _("Test weight"), _("Showed"), _("Off by"), _("Who")),
        tuple(rows),
        ("auto", "2", "auto", "auto", "auto", "1"),
        (2, 3, 4),
    )


def _difference(test_lb: str, reading_lb: str) -> str:
    try:
        return f"{Decimal(reading_lb) - Decimal(test_lb):+} lb"
    except InvalidOperation:
        return ""


def water_section(source: Source, tests: Sequence[DonePaper]) -> Section:
    """Return where the water comes from and its tests, those with papers first."""
    home = source.home
    limit = source.profile.sanitation.well_test_months
    where = _("a well of our own") if home.water_source == "well" else _("the town’s water")
    tested = home.water_test
    rows = [
        (
            date_text(one.on),
            one.note,
            ", ".join(f"{p.name} ({p.sha256[:12]})" for p in one.proofs),
            _("in this period"),
        )
        for one in tests
    ]
    if tested is not None and tested not in {one.on for one in tests}:
        inside = _("in this period") if source.period.holds(tested) else _("outside this period")
        rows.append((date_text(tested), _("from the farm’s page"), "", inside))
    return Section(
        _("Water"),
        _("Water for birds, ice and washing: {where}.").format(where=where),
        (
            SheetTable(
                _("Tests"),
                (_("Done"), _("Remark"), _("Papers"), _("When")),
                tuple(rows),
                ("auto", "2", "2", "auto"),
                empty=_("No test is on record."),
                note=_(
                    "Yardstick: {limit} ({citation}; how known: {status}). "
                    "Put the laboratory’s own report behind this page."
                ).format(limit=limit, citation=limit.citation, status=_(limit.status)),
            ),
        ),
        fresh=False,
    )


def chemicals_section(source: Source) -> Section:
    """Return which sanitiser was mixed from what, and every strip that was read."""
    mixes: dict[tuple[str, str, str], list[str]] = {}
    for day in source.days:
        asked: Mapping[str, Any] = day.request.get("sanitiser", {})
        key = tuple(str(asked.get(name, "")) for name in ("bleach", "target", "volume"))
        mixes.setdefault(key, []).append(date_text(day.date))  # type: ignore[arg-type]
    strips = [
        (
            date_text(day.date),
            f"{one.at.astimezone(source.zone):%H:%M}",
            one.written,
            one.who,
            one.note,
        )
        for day in source.days
        for one in day.done.readings
        if one.what == "strip"
    ]
    made = [
        (date_text(day.date), f"{one.at.astimezone(source.zone):%H:%M}", one.who, one.note)
        for day in source.days
        for one in day.done.done
        if one.task == "sanitiser"
    ]
    most = source.profile.sanitation.sanitisers["chlorine"].most
    return Section(
        _("Chemicals"),
        _("What is mixed in this shop. Safety data sheets: put them behind this page."),
        (
            SheetTable(
                _("Mixed from"),
                (_("Bleach"), _("Strength wanted"), _("Water"), _("Days"), _("Last")),
                tuple(
                    (
                        _("chlorine bleach, {n}").format(n=bleach),
                        target,
                        volume,
                        str(len(on)),
                        on[-1],
                    )
                    for (bleach, target, volume), on in mixes.items()
                ),
                ("2", "auto", "auto", "auto", "auto"),
                (1, 2, 3),
                note=_(
                    "Strongest without rinsing: {limit} ({citation}; how known: {status})."
                ).format(limit=most, citation=most.citation, status=_(most.status)),
            ),
            SheetTable(
                _("Mixed or renewed"),
                (_("Date"), _("Time"), _("Who"), _("Remark")),
                tuple(made),
                ("auto", "auto", "auto", "1"),
                (1,),
            ),
            SheetTable(
                _("Strips read"),
                (_("Date"), _("Time"), _("Read"), _("Who"), _("Remark")),
                tuple(strips),
                ("auto", "auto", "auto", "auto", "1"),
                (1, 2),
            ),
        ),
        fresh=False,
    )
