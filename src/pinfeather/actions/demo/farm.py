"""A made-up farm to try things on: three finished days, one under way, one planned for today."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

import numpy as np

from pinfeather import clock
from pinfeather.actions import farm as farms
from pinfeather.actions.day import closing, days
from pinfeather.actions.demo import desk as demo_desk
from pinfeather.actions.demo import duties as demo_duties
from pinfeather.actions.demo import flock as demo_flock
from pinfeather.actions.demo import lists as demo_lists
from pinfeather.actions.demo import money as demo_money
from pinfeather.actions.demo import season as demo_season
from pinfeather.actions.demo import stock as demo_stock
from pinfeather.actions.sanitary import demo as demo_sanitary
from pinfeather.day.events import COUNTED
from pinfeather.packs.price import total_price
from pinfeather.records import journal, models
from pinfeather.records.writing import writing
from pinfeather.units import KG_PER_LB

ZONE: Final = "America/Chicago"
_FULL: Final = ["catch", "kill", "scald", "pick", "draw", "rinse", "bag", "weigh", "store"]
_CLEAN: Final = ["draw", "rinse", "bag", "weigh", "store"]
_DIRTY: Final = ["catch", "kill", "scald", "pick"]
_EQUIPMENT: Final[Mapping[str, Any]] = {
    "cones": "4",
    "scald_places": "2",
    "drum_birds": "2",
    "drum_cycle": "30 s",
    "draw_places": "2",
    "scalder": "30 gal",
    "burner": "60000 Btu/h",
    "tap": "57 F",
    "scald": "146 F",
    "ice": "260 lb",
    "refrigerator": "18 ft3",
    "freezer": "45 ft3",
    "tanks": [
        {"name": "Blue tank", "volume": "60 gal", "bath": "stirred", "walls": "insulated"},
        {"name": "Gray tank", "volume": "60 gal", "bath": "stirred", "walls": "insulated"},
    ],
}
_SANITISER: Final = {"bleach": "8.25 %", "target": "100 ppm", "volume": "5 gal"}


@dataclass(frozen=True, slots=True)
class _DemoDay:
    """One made-up day: how long ago, which birds, and how far it has come."""

    begins: dt.datetime
    lots: Sequence[Mapping[str, str]]
    until_s: float | None
    """Counted until so long after the first bird; None for the whole day."""
    story: str = ""


def make(*, now: dt.datetime) -> None:
    """Fill an empty store with the demo farm, in one go."""
    with writing():
        _make(now)


def _make(now: dt.datetime) -> None:
    here = now.astimezone(clock.zone(ZONE))
    _farm(here)
    demo_flock.make_lots(here=here, now=now)
    demo_sanitary.make_plan(now=now, on=here.date())
    half_way = (here - dt.timedelta(minutes=80)).replace(second=0, microsecond=0)
    half_way -= dt.timedelta(minutes=half_way.minute % 5)
    if half_way.date() < here.date():  # a day of work does not begin before midnight
        half_way = here.replace(hour=0, minute=0, second=0, microsecond=0, fold=0)
    gone_s = (now - half_way.astimezone(dt.UTC)).total_seconds()
    morning = half_way.replace(hour=8, minute=30)
    for one in (
        _DemoDay(
            morning - dt.timedelta(days=35), [_lot("T1", "turkey", "5", mean="13.5 lb")], None
        ),
        _DemoDay(
            morning - dt.timedelta(days=21),
            [_lot("R2", "chicken", "14", mean="3.7 lb", build="lean")],
            None,
            story="condemned",
        ),
        _DemoDay(
            morning - dt.timedelta(days=7),
            [_lot("B2", "chicken", "20", mean="4.4 lb")],
            None,
            story="slow probe",
        ),
        _DemoDay(
            half_way,
            [_lot("B3", "chicken", "36", mean="4.6 lb")],
            min(80 * 60.0, gone_s),
            story="two probes",
        ),
        _DemoDay(_later_today(here), [_lot("D1", "duck", "12", mean="4.9 lb", build="lean")], 0.0),
    ):
        _day(one, now=now)
    demo_stock.make(now=now, today=here.date())
    demo_season.make_season(today=here.date(), now=now)
    demo_money.make_money(today=here.date(), now=now)
    demo_lists.make_lists(today=here.date(), now=now)
    demo_duties.make_duties(today=here.date(), now=now)


def _later_today(here: dt.datetime) -> dt.datetime:
    evening = here.replace(hour=17, minute=0, second=0, microsecond=0)
    return evening if here < evening - dt.timedelta(hours=1) else evening + dt.timedelta(days=1)


def _lot(code: str, species: str, count: str, *, mean: str, build: str = "broad") -> dict[str, str]:
    pounds = float(mean.split(maxsplit=1)[0])
    return {
        "code": code,
        "species": species,
        "build": build,
        "count": count,
        "mean": mean,
        "spread": f"{pounds * 0.09:.1f} lb",
    }


def _farm(here: dt.datetime) -> None:
    models.Farm.objects.create(
        name="Juniper Hollow Farm",
        address="Ines Falk\n1180 Quarry Bend Road\nHollis Creek, MO 65000",
        phone="555-0142",
        zone=ZONE,
        altitude="900 ft",
        price_per_lb="5.25",
        water_source="well",
        water_test=here.date() - dt.timedelta(days=74),
        demo=True,
    )
    farms.save_person("Ines", _FULL)
    farms.save_person("Tobias", _CLEAN)
    farms.save_person("Mae", _CLEAN, pace=0.8)
    farms.save_instrument("Red probe", kind="thermometer", accuracy="1 F")
    farms.save_instrument("Barn dial", kind="thermometer", accuracy="2 F")
    demo_desk.set_up(here=here)


def _mapping(one: _DemoDay) -> dict[str, Any]:
    begin = one.begins

    def clock_words(hours: float) -> str:
        moment = begin + dt.timedelta(hours=hours)
        return "23:59" if moment.date() != begin.date() else f"{moment:%H:%M}"

    crew = [("Ines", _DIRTY, "1"), ("Tobias", _CLEAN, "1"), ("Mae", _CLEAN, "0.8")]
    return {
        "date": begin.date().isoformat(),
        "start": f"{begin:%H:%M}",
        "deadline": "",
        "air": "66 F",
        "altitude": "900 ft",
        "lots": list(one.lots),
        "people": [
            {
                "name": name,
                "from": clock_words(0),
                "to": clock_words(9),
                "stations": stations,
                "pace": pace,
            }
            for name, stations, pace in crew
        ],
        "equipment": dict(_EQUIPMENT),
        "sanitiser": dict(_SANITISER),
    }


def _day(one: _DemoDay, *, now: dt.datetime) -> None:
    ahead = one.until_s == 0  # what one more would save is only shown before a day begins
    day_id = days.save_plan(_mapping(one), days=24 if ahead else 6, change_days=4 if ahead else 0)
    if one.until_s == 0:
        return
    view = days.day(day_id)
    entries = _entries(view, one)
    end = max(entry.device_time for entry in entries)
    journal.append(entries, day_id=day_id, received_at=min(end, now))
    demo_sanitary.make_sheet(
        view, last=end, now=now, torn=one.story == "slow probe", whole=one.until_s is None
    )
    models.Day.objects.filter(pk=day_id).update(status=models.Day.Status.RUNNING)
    if one.until_s is None:
        closing_time = end + dt.timedelta(minutes=25)
        open_findings = closing.judge(day_id, now=closing_time).unanswered
        for number, finding in enumerate(open_findings):
            journal.append(
                [
                    journal.NewEntry(
                        client_id=f"demo{day_id}answer{number}",
                        kind="action",
                        payload={
                            "finding": finding.finding.code,
                            "where": finding.finding.where,
                            "text": "Looked at it together; kept in ice and probed again.",
                        },
                        who="Ines",
                        device="demo",
                        device_time=closing_time,
                    )
                ],
                day_id=day_id,
                received_at=closing_time,
            )
        closing.close(day_id, who="Ines", now=closing_time)


def _entries(view: days.DayView, one: _DemoDay) -> list[journal.NewEntry]:
    """Play the planned day with a little other luck and write down what would be tapped."""
    luck = np.random.default_rng(len(view.plan.threads))
    plan, until_s = view.plan, one.until_s if one.until_s is not None else float("inf")
    slower = 1.06
    made: list[tuple[float, str, dict[str, Any], str]] = [
        (-2600.0, "ice point", _reading("", "32.4 F", "Red probe", degC=0.2 / 0.9), "Ines"),
        (-2400.0, "done", {"task": "sanitiser", "place": "", "note": ""}, "Mae"),
        (-2300.0, "reading", _strip("100 ppm", 1e-4), "Mae"),
        (-300.0, "reading", _temp("scalder", "", 146.4, instrument="Red probe"), "Ines"),
    ]
    gone = {"pick": 1} if one.story == "condemned" else {}
    last_in: dict[str, float] = {}
    for station in COUNTED[:-1]:
        column = plan.stations.index(station)
        entering = station in ("kill", "chill")
        moments = sorted(
            (float(moment), number)
            for number, thread in enumerate(plan.threads)
            for moment in [(thread.start_s if entering else thread.finish_s)[column]]
            if moment is not None
        )
        skip = sum(n for after, n in gone.items() if COUNTED.index(after) < COUNTED.index(station))
        for at_s, number in moments[: len(moments) - skip]:
            thread = plan.threads[number]
            moment = at_s * slower + float(luck.normal(0, 6))
            if moment > until_s:
                break
            place = thread.tank if station == "chill" else ""
            who = "Ines" if station in ("catch", "kill", "pick") else "Tobias"
            made.append(
                (
                    moment,
                    "tally",
                    {"station": station, "birds": 1, "place": place, "lot": thread.lot},
                    who,
                )
            )
            if place:
                last_in[place] = max(moment, last_in.get(place, 0.0))
    made.extend(
        (at, "reading", _temp("scalder", "", degF, instrument="Red probe"), "Ines")
        for at, degF in ((1700.0, 145.2), (3450.0, 144.1), (5200.0, 145.9), (6900.0, 145.0))
        if at < min(until_s, view.plan.line_end_s)
    )
    if one.story == "condemned":
        made.append((3000.0, "explained", _condemned(), "Tobias"))
    made.extend(_cold(view, one, last_in=last_in, until_s=until_s))
    made.sort(key=lambda entry: entry[0])
    return [
        journal.NewEntry(
            client_id=f"demo{view.id}n{number}",
            kind=kind,
            payload=payload,
            who=who,
            device="demo",
            device_time=(view.start + dt.timedelta(seconds=at_s)).astimezone(dt.UTC),
        )
        for number, (at_s, kind, payload, who) in enumerate(made)
    ]


def _cold(
    view: days.DayView, one: _DemoDay, *, last_in: Mapping[str, float], until_s: float
) -> list[tuple[float, str, dict[str, Any], str]]:
    """Write tank readings, probes and packages."""
    made: list[tuple[float, str, dict[str, Any], str]] = []
    stays = {t.name: t.cold_s - t.last_in_s for t in view.plan.tank_times}
    first_in = {t.name: t.first_in_s for t in view.plan.tank_times}
    for tank, last in last_in.items():
        at = first_in[tank] + 1500.0
        while at < min(until_s, last + stays[tank]):
            made.append(
                (at, "reading", _temp("bath", tank, 33.6, instrument="Red probe"), "Tobias")
            )
            at += 1750.0
    if one.until_s is not None:
        tank = next(iter(last_in), view.request.equipment.tanks[0].name)
        made.append(
            (until_s - 420.0, "reading", _temp("bath", tank, 37.9, instrument="Barn dial"), "Mae")
        )
        made.append(
            (
                until_s - 380.0,
                "reading",
                _temp("bath", tank, 33.9, instrument="Red probe"),
                "Tobias",
            )
        )
        return made
    packed = 0
    for tank, last in last_in.items():
        slow = 1.25 if one.story == "slow probe" else 1.0
        probe = last + stays[tank] * 0.8
        made.append((probe, "reading", _temp("bird", tank, 43.5, instrument="Red probe"), "Tobias"))
        probe = last + stays[tank] * 1.1 * slow
        made.append((probe, "reading", _temp("bird", tank, 38.6, instrument="Red probe"), "Tobias"))
        birds = [t for t in view.plan.threads if t.tank == tank]
        if one.story == "condemned" and tank == next(iter(last_in)):
            birds = birds[:-1]
        for number, thread in enumerate(birds):
            packed += 1
            made.append(
                (probe + 300.0 + 75.0 * number, "package", _package(view, thread, packed), "Mae")
            )
    return made


def _package(view: days.DayView, thread: Any, number: int) -> dict[str, Any]:  # noqa: ANN401 - a plan's thread
    species = next(lot.species for lot in view.request.lots if lot.code == thread.lot)
    net = round(thread.mass_kg / KG_PER_LB * 1.02, 2)
    return {
        "number": number,
        "lot": thread.lot,
        "tank": thread.tank,
        "product": f"Whole {species}",
        "gross": f"{net + 0.03:.2f} lb",
        "tare": "0.03 lb",
        "net_lb": f"{net:.2f}",
        "price_per_lb": "5.25",
        "total": str(total_price(Decimal(f"{net:.2f}"), Decimal("5.25"))),
        "birds": 1,
    }


def _condemned() -> dict[str, Any]:
    return {
        "after": "pick",
        "cause": "condemned",
        "birds": 1,
        "note": "Large bruise and old abscess on the thigh; whole carcass discarded.",
    }


def _reading(place: str, written: str, instrument: str, *, degC: float) -> dict[str, Any]:
    return {
        "instrument": instrument,
        "place": place,
        "written": written,
        "unit": written.rsplit(maxsplit=1)[-1],
        "si": degC,
    }


def _temp(what: str, place: str, degF: float, *, instrument: str) -> dict[str, Any]:
    row = _reading(place, f"{degF} F", instrument, degC=(degF - 32.0) * 5 / 9)
    return {"what": what, "note": "", **row}


def _strip(written: str, strength: float) -> dict[str, Any]:
    return {
        "what": "strip",
        "place": "",
        "written": written,
        "unit": "ppm",
        "si": strength,
        "instrument": "",
        "note": "",
    }
