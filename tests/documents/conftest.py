"""An invented farm, Juniper Hollow, whose sheets and pictures the tests look at."""

# ruff: noqa: E501 - a sheet's sentences stand on one line each

from __future__ import annotations

import datetime as dt
import math
import random
from collections.abc import Callable
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from pinfeather.finding import Finding, Severity
from pinfeather.reports.cold_curve_data import BandPoint, ColdCurve, MetTime, ProbeReading
from pinfeather.reports.day_plan import (
    DayPlanSheet,
    NumberRow,
    PersonCard,
    StationRow,
    Supply,
    Todo,
)
from pinfeather.reports.day_record import (
    ActedFinding,
    ComparedRow,
    CountRow,
    DayRecordSheet,
    PackageRow,
    ReadingRow,
    Signature,
    Verdict,
)
from pinfeather.reports.labels import (
    LabelSheetItem,
    SafeHandling,
    SafeHandlingLine,
    trace_text,
)
from pinfeather.reports.sheet_parts import Answer
from pinfeather.reports.strip import Strip, StripPoint, StripThread

ZONE = ZoneInfo("America/New_York")
START = dt.datetime(2026, 9, 12, 9, 0, tzinfo=ZONE)
STATIONS = ("Crate", "Bleed", "Scald", "Pick", "Draw", "Rinse", "Chill")
SERVERS = (1, 4, 1, 1, 2, 1, 10_000)
WORK_S = (40.0, 190.0, 75.0, 40.0, 330.0, 60.0, 14_000.0)
MOVE_S = 12.0


def walk(
    birds: int,
    *,
    seed: int | None = None,
    servers: tuple[int, ...] = SERVERS,
    pace: float = 1.0,
    takt_s: float = 178.0,
) -> list[list[StripPoint]]:
    """First come, first served through the stations; times wobble where a seed is given."""
    rng = random.Random(seed)
    free = [[0.0] * n for n in servers]
    out = []
    for bird in range(birds):
        ready, points = bird * takt_s, []
        size = 1.8 if bird % 14 == 13 else 1.3 if bird % 7 == 6 else 1.0
        for station, work_s in enumerate(WORK_S):
            slot = min(range(len(free[station])), key=free[station].__getitem__)
            start = max(ready, free[station][slot])
            wobble = 1.0 if seed is None else rng.lognormvariate(0.0, 0.22)
            drawing = station == STATIONS.index("Draw")
            finish = start + work_s * (pace if drawing else 1.0) * size * wobble
            free[station][slot] = finish
            points.append(StripPoint(station, ready, start, finish, finish))
            ready = finish + MOVE_S
        out.append(points)
    return out


def seen(points: list[StripPoint], now_s: float) -> tuple[StripPoint, ...]:
    """What somebody could know at a moment."""

    def known(time: float | None) -> float | None:
        return None if time is None or time > now_s else time

    return tuple(
        StripPoint(p.station, *(known(time) for time in p[1:]))
        for p in points
        if p.arrive_s is not None and p.arrive_s <= now_s
    )


def build_strip(
    birds: int = 42,
    *,
    now_min: float | None = 74.0,
    until_min: float = 210.0,
    late: tuple[int, ...] = (17, 19),
    planned: bool = True,
    counts_only: bool = False,
    actual_until_min: float | None = None,
) -> Strip:
    plan = walk(birds) if planned else []
    real = walk(birds, seed=5, pace=1.15, takt_s=171.0)
    actual = []
    known_min = now_min if now_min is not None else actual_until_min
    if known_min is not None:
        for number, points in enumerate(real):
            known = seen(points, known_min * 60)
            if counts_only:
                known = tuple(
                    StripPoint(p.station, None, None, p.finish_s, None)
                    for p in known
                    if p.finish_s is not None
                )
            if known:
                actual.append(StripThread(str(number + 1), known, late=number + 1 in late))
    return Strip(
        stations=STATIONS,
        planned=tuple(StripThread(str(n + 1), tuple(p)) for n, p in enumerate(plan)),
        actual=tuple(actual),
        start=START,
        now=None if now_min is None else START + dt.timedelta(minutes=now_min),
        until=START + dt.timedelta(minutes=until_min),
        deadline=START + dt.timedelta(minutes=180),
        chill_station=6,
        deadline_words="last bird in the tank by",
    )


def at(hour: int, minute: int = 0) -> dt.datetime:
    return dt.datetime(2026, 9, 12, hour, minute, tzinfo=ZONE)


FINDINGS = (
    Finding(
        "line.crowded",
        Severity.CHECK,
        "The drawing table is the slowest station: busy 97 % of the time.",
        "A bird that takes longer there delays every bird behind it.",
    ),
    Finding(
        "chill.ice_short",
        Severity.STOP,
        "There are 60 lb of ice and the two tanks need 96 lb.",
        "Buy 40 lb more, or start the last eleven birds in the second tank with fresh ice.",
        citation="9 CFR 381.66 (2014)",
        status="read",
    ),
    Finding("people.break", Severity.NOTE, "Nobody has a break between 9:00 am and 12:10 pm."),
)


def build_plan(*, demo: bool = False, farm: str = "Juniper Hollow Farm") -> DayPlanSheet:
    return DayPlanSheet(
        farm=farm,
        title="Saturday 12 September: 42 birds, three people",
        subtitle="Lot B3: 34 broilers at 8 weeks, 5 ducks, 3 young turkeys. First bird at 9:00 am.",
        answers=(
            Answer("Done by", "12:08", "pm", "between 11:51 am and 12:34 pm, eight times in ten"),
            Answer("Cold by", "4:10", "pm", "40 °F in the largest turkey"),
            Answer("Ice", "96", "lb", "34 lb before 10:40 am for the second tank"),
            Answer("Cones", "4", "", "a fifth would save nothing"),
        ),
        findings=FINDINGS,
        strip=build_strip(now_min=None, late=()),
        todos=(
            Todo(at(6, 30), "Light the scalder burner", "Tobias", "From 58 °F to 147 °F it takes about 1 h 50 min; gas bottle outside, hose checked with soapy water."),
            Todo(at(7, 15), "Check both thermometers in ice water", "Ines", "They should read 32 °F; write down what they read."),
            Todo(at(7, 45), "Fill both chill tanks, add half the ice", "Mae"),
            Todo(at(8, 15), "Mix sanitiser, test with a strip", "Ines", "100 ppm for the tables; never with any other cleaner."),
            Todo(at(8, 40), "Set out knives, cones, bags, tags"),
            Todo(at(9, 0), "First bird", "Tobias"),
            Todo(at(10, 30), "Change table sanitiser and rinse water", "Mae"),
            Todo(at(10, 40), "34 lb of ice into the second tank", "Mae"),
            Todo(at(12, 8), "Last bird in the tank", "", "Then wash down from the clean end."),
            Todo(at(13, 30), "Probe the largest broiler", "Ines", "Deep breast, not touching bone; 40 °F or colder."),
            Todo(at(16, 10), "Probe the largest turkey", "Ines"),
        ),
        people=(
            PersonCard("Tobias", "Crate, cones, scald, pick", ("Keep no more than two birds waiting for the scald", "Top up the scalder every 15 birds", "Call when a bird is set aside")),
            PersonCard("Ines", "Drawing table", ("Look at every liver; set aside what looks wrong", "Readings at 9:30, 10:30, 11:30 am")),
            PersonCard("Mae", "Drawing table, rinse, chill", ("Count into the tank", "Stir and ice the tanks", "Give back the tally sheet")),
        ),
        supplies=(
            Supply("Ice", "96 lb", "60 lb in the tanks at the start, the rest at 10:40 am"),
            Supply("Propane", "11 lb", "one full 20 lb bottle is enough, keep the spare outside"),
            Supply("Potable water", "340 gal", "scald 40, rinse 180, chill 120"),
            Supply("Bags, 10 × 16 in", "40", "two spare"),
            Supply("Bags, 18 × 28 in", "4", "turkeys"),
            Supply("Chlorine strips", "8", "one before each mix"),
        ),
        stations=(
            StationRow("Bleed", "Tobias, 4 cones", "3 min 10 s", "71 %", "0", "9:01 am", "11:27 am"),
            StationRow("Scald", "Tobias", "1 min 15 s", "42 %", "1", "9:04 am", "11:29 am"),
            StationRow("Pick", "Tobias", "40 s", "22 %", "1", "9:06 am", "11:30 am"),
            StationRow("Draw", "Ines, Mae", "5 min 30 s", "97 %", "3", "9:07 am", "11:58 am"),
            StationRow("Rinse", "Mae", "1 min", "35 %", "2", "9:12 am", "12:04 pm"),
        ),
        numbers=(
            NumberRow("Drawing a broiler", "5 min 30 s", "4 min 40 s to 6 min 50 s", "your last 4 days, 63 birds", "measured"),
            NumberRow("Drawing a turkey", "10 min", "7 min to 15 min", "your last 2 days, 5 birds", "measured"),
            NumberRow("Bleeding", "3 min 10 s", "2 min to 4 min", "handbook", "common practice"),
            NumberRow("Heat taken up by one pound of bird", "0.80 Btu/°F", "0.76 to 0.84 Btu/°F", "food properties from composition", "read"),
            NumberRow("Live weight, broilers", "6.4 lb", "5.7 to 7.1 lb", "12 birds weighed on 5 September", "measured"),
        ),
        cautions=(
            "Scald water at 147 °F burns in seconds: lid, dry floor, long sleeves, nobody small nearby.",
            "Propane: outdoors or under an open roof only; never leave the burner alone; follow the local fire code.",
            "Chlorine: add it to water, never to acid, vinegar, ammonia or another cleaner. Gloves and goggles.",
            "Knives: cut away from yourself; nobody reaches across the table. Wash a cut at once and stop handling birds.",
            "A sick-looking flock is not processed: call your veterinarian first.",
        ),
        demo=demo,
    )  # fmt: skip


def build_curve(name: str = "Tank 1", *, slow: float = 1.0, readings: int = 4) -> ColdCurve:
    def temp(minute: int, tau_min: float) -> float:
        return 1.0 + 38.5 * min(1.0, 1.2 * math.exp(-minute / tau_min))

    band = tuple(
        BandPoint(m * 60.0, temp(m, 62 * slow), temp(m, 74 * slow), temp(m, 88 * slow))
        for m in range(0, 361, 15)
    )
    met = MetTime(*(tau * math.log(1.2 * 38.5 / 3.444) * 60 * slow for tau in (62.0, 74.0, 88.0)))
    every = (
        ProbeReading(45 * 60.0, temp(45, 70 * slow), "Red probe"),
        ProbeReading(105 * 60.0, temp(105, 78 * slow), "Red probe"),
        ProbeReading(165 * 60.0, temp(165, 72 * slow), "Blue probe"),
        ProbeReading(215 * 60.0, temp(215, 70 * slow), "Red probe"),
    )
    return ColdCurve(
        batch=name,
        place="deep breast, largest bird",
        start=at(10, 10),
        length_s=6 * 3600.0,
        limit=40.0,
        limit_unit="F",
        expected=band,
        readings=every[:readings],
        clock_limit_s=4 * 3600.0,
        met=met,
    )


def build_record(*, demo: bool = False, farm: str = "Juniper Hollow Farm") -> DayRecordSheet:
    return DayRecordSheet(
        farm=farm,
        title="Saturday 12 September 2026: record of the day",
        subtitle="Lot B3, 42 birds; Ines, Tobias, Mae; records kept under the 1,000-bird exemption.",
        answers=(
            Answer("Birds in", "42"),
            Answer("Packed", "40", "", "one condemned, one found dead in the crate"),
            Answer("Done at", "12:21", "pm", "13 min after the plan"),
            Answer("Cold at", "2:31", "pm", "largest bird of tank 1, 40 °F"),
        ),
        compared=(
            ComparedRow("Last bird in the tank", "12:08 pm", "12:21 pm", "+13 min", "two birds waited at the table"),
            ComparedRow("Drawing, broiler", "5 min 30 s", "6 min 2 s", "+32 s", "one sharp knife for two people until 9:40 am"),
            ComparedRow("Ice", "96 lb", "104 lb", "+8 lb"),
            ComparedRow("Propane", "11 lb", "10.2 lb", "−0.8 lb"),
        ),
        strip=build_strip(now_min=None, actual_until_min=230.0),
        counts=(
            CountRow("Crate", "42", "1", "9:00 am", "11:24 am", "one dead on arrival"),
            CountRow("Bleed", "41", "", "9:01 am", "11:31 am"),
            CountRow("Pick", "41", "", "9:06 am", "11:39 am"),
            CountRow("Draw", "40", "1", "9:12 am", "12:13 pm", "one condemned: swollen liver"),
            CountRow("Chill", "40", "", "9:16 am", "12:21 pm", "the count balances"),
        ),
        curves=(build_curve(), build_curve("Tank 2", slow=1.12, readings=3)),
        verdicts=(
            Verdict("Chilled in time", "Tank 1, broilers of 4 to 8 lb", "met", "40 °F after 3 h 9 min", "40 °F in 6 h", "9 CFR 381.66(b)(2), before 2014", "unverified"),
            Verdict("Chilled in time", "Tank 2, turkeys", "not met", "44 °F after 8 h", "40 °F in 8 h", "9 CFR 381.66(b)(2), before 2014", "unverified"),
            Verdict("Table sanitiser", "8:15 am mix", "met", "100 ppm", "50 to 200 ppm", "21 CFR 178.1010", "read"),
            Verdict("Table sanitiser", "10:30 am mix", "not known", "no strip", "50 to 200 ppm", "21 CFR 178.1010", "read"),
            Verdict("Water", "well, sampled 3 August", "met", "no coliforms", "none in 100 mL", "40 CFR 141.63", "second hand"),
            Verdict("Thermometer", "Red probe", "met", "32.2 °F in ice", "32 °F within 1.8 °F", "maker's accuracy", "measured"),
        ),
        findings=(
            ActedFinding(FINDINGS[0]),
            ActedFinding(
                Finding("chill.late", Severity.STOP, "The largest turkey was at 44 °F after eight hours.", "Birds above 40 °F at the time limit are not sold until somebody who may decide has decided.", citation="9 CFR 381.66(b)(2), before 2014", status="unverified"),
                "Moved to fresh ice at 5:12 pm, 39.4 °F at 6:05 pm. Kept for our own table, tagged, not sold. Ines",
            ),
        ),
        readings=(
            ReadingRow(at(9, 30), "Scald water", "147 °F", "146.8 °F", "Red probe", "Tobias"),
            ReadingRow(at(10, 30), "Scald water", "145.5 °F", "145.3 °F", "Red probe", "Tobias"),
            ReadingRow(at(10, 55), "Tank 1, largest broiler", "88 °F", "87.8 °F", "Red probe", "Mae"),
            ReadingRow(at(12, 55), "Tank 1, largest broiler", "11.5 °C", "52.9 °F", "Blue probe", "Mae"),
            ReadingRow(at(13, 45), "Tank 1, largest broiler", "42.0 °F", "41.8 °F", "Red probe", "Mae"),
            ReadingRow(at(14, 31), "Tank 1, largest broiler", "40.1 °F", "39.9 °F", "Red probe", "Ines"),
        ),
        packages=(
            PackageRow("Young chicken, whole", "31", "138.42 lb", "3.61 to 5.88 lb", "$899.73"),
            PackageRow("Duck, whole", "5", "22.15 lb", "4.02 to 4.90 lb", "$188.28"),
            PackageRow("Young turkey, whole", "2", "31.08 lb", "14.90 to 16.18 lb", "$155.40"),
        ),
        seal="9f2c41d07be8a35562f0c1d894e7ab10336e5fd2c87b9a04e1f6d2583c70b91e",
        seal_entries=318,
        signatures=(Signature("Ines", "in charge of the day"), Signature("Tobias"), Signature("Mae")),
        demo=demo,
    )  # fmt: skip


PRINTED = at(5, 55)


SAFE_HANDLING = SafeHandling(
    heading="Safe Handling Instructions",
    rationale="Some food products may contain bacteria that could cause illness if the product is mishandled or cooked improperly. For your protection, follow these safe handling instructions.",
    statements=(
        SafeHandlingLine("refrigerator", "Keep refrigerated or frozen. Thaw in refrigerator or microwave."),
        SafeHandlingLine("hands", "Keep raw meat and poultry separate from other foods. Wash working surfaces (including cutting boards), utensils, and hands after touching raw meat or poultry."),
        SafeHandlingLine("skillet", "Cook thoroughly."),
        SafeHandlingLine("thermometer", "Keep hot foods hot. Refrigerate leftovers immediately or discard."),
    ),
)  # fmt: skip
"""9 CFR 381.125(b), wording for product that is exempt from inspection."""


def build_label(**changes: Any) -> LabelSheetItem:
    day = dt.date(2026, 9, 12)
    fields: dict[str, Any] = {
        "product": "Young chicken, whole",
        "net_weight_lb": Decimal("4.37"),
        "packed_on": day,
        "lot": "2026-09-12 B3 T1",
        "producer": "Juniper Hollow Farm",
        "address": ("418 Cold Spring Lane", "Millbrook Falls, VT 05999"),
        "handling": "Keep Refrigerated",
        "price_per_lb": Decimal("6.50"),
        "total": Decimal("28.41"),
        "safe_handling": SAFE_HANDLING,
        "exempt_statement": "Exempted—P.L. 90-492",
        "trace": trace_text(
            lot="2026-09-12 B3 T1", packed_on=day, farm="Juniper Hollow Farm", phone="555 0142"
        ),
    }
    return LabelSheetItem(**{**fields, **changes})


@pytest.fixture
def make_label() -> Callable[..., LabelSheetItem]:
    return build_label


@pytest.fixture
def make_plan() -> Callable[..., DayPlanSheet]:
    return build_plan


@pytest.fixture
def make_record() -> Callable[..., DayRecordSheet]:
    return build_record


@pytest.fixture
def make_curve() -> Callable[..., ColdCurve]:
    return build_curve


@pytest.fixture
def printed() -> dt.datetime:
    return PRINTED


@pytest.fixture
def make_strip() -> Callable[..., Strip]:
    return build_strip
