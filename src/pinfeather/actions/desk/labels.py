"""Labels of packages and boxes: words, checks, printing, what still waits to be printed."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, replace
from decimal import Decimal
from typing import Any, Final

from pinfeather import clock, quantity
from pinfeather.actions.day import days, running
from pinfeather.actions.desk import packing, retained_water
from pinfeather.actions.desk import setup as desk_setup
from pinfeather.actions.farm import FarmView, farm, lots
from pinfeather.actions.rules import kept as rules_kept
from pinfeather.day.events import Package
from pinfeather.day.progress import Progress
from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.packs.bag_code import CodeContent, package_code
from pinfeather.packs.box import Boxed, box_content
from pinfeather.packs.claims import claim_findings
from pinfeather.packs.label import LabelContent, LabelFarm, LabelPackage, build_label, check_label
from pinfeather.packs.label_words import (
    age_days,
    class_choices,
    class_findings,
    cold_word_findings,
)
from pinfeather.packs.net_weight import in_pounds, standard_declaration
from pinfeather.packs.products import product
from pinfeather.records import journal
from pinfeather.reports.box_labels import BoxLabel, box_label_pdf, printer_test_pdf
from pinfeather.reports.labels import (
    ICONS,
    LabelSheetItem,
    LabelSize,
    SafeHandling,
    SafeHandlingLine,
    label_proofs,
    labels_pdf,
    letters,
    trace_text,
)
from pinfeather.rules.label import LabelRules, label_elements
from pinfeather.rules.model import Profile
from pinfeather.rules.profile import load
from pinfeather.units import KG_PER_LB
from pinfeather.words import gettext as _

LABEL_SIZES: Final = desk_setup.SIZES
_PRINTED: Final = "labels printed"
LABEL_VERDICT: Final = "label verdict"
_NET_WORDS: Final = "Net Wt. "


def class_options(day: days.DayView, lot: str, *, name: str = "") -> tuple[str, ...]:
    """Return the class names a lot's age leaves open, for packages that hold a whole bird."""
    if name and not product(name).whole:
        return ()
    asked = next((one for one in day.request.lots if one.code == lot), None)
    if asked is None:
        return ()
    return class_choices(asked.species, age_days=_age_days(day, lot))


def _age_days(day: days.DayView, lot: str) -> float | None:
    found = next((one for one in lots() if one.code == lot), None)
    return None if found is None else age_days(found.hatched, day.date)


@dataclass(frozen=True, slots=True)
class _Desk:
    """All that labels of one day share, asked once."""

    day: days.DayView
    home: FarmView
    settings: desk_setup.LabelSettings
    profile: Profile
    rules: LabelRules
    claims: tuple[desk_setup.ClaimView, ...]
    numbers: dict[str, desk_setup.ProductView]
    water: dict[str, str]
    """Sentence about retained water, by tank."""


def _desk(day: days.DayView, tanks: Iterable[str], *, home: FarmView | None = None) -> _Desk:
    profile = load(day.request.profile)
    rules = label_elements(profile, day.request.tier)
    asked = "retained_water" in (*rules.required, *rules.advised)
    return _Desk(
        day=day,
        home=home or farm(),
        settings=desk_setup.settings(),
        profile=profile,
        rules=rules,
        claims=desk_setup.claims(),
        numbers={one.name: one for one in desk_setup.product_numbers()},
        water={t: retained_water.statement(day.id, tank=t) if asked else "" for t in set(tanks)},
    )


def label_content(
    day: days.DayView, package: Package, *, home: FarmView, size: LabelSize | None = None
) -> LabelContent:
    """Return a package's label in words, with its letters' heights on a label of some size."""
    return _content(_desk(day, (package.tank,), home=home), package, size)


def _content(desk: _Desk, package: Package, size: LabelSize | None = None) -> LabelContent:
    tall = desk.rules.statement_height
    heights = letters(size or desk.settings.size, tall_height_m=None if tall is None else tall.si)
    content = build_label(
        desk.profile,
        desk.day.request.tier,
        LabelPackage(
            product_name=_name(package),
            net=_printed_lb(package),
            packed_on=desk.day.date,
            lot_code=packing.lot_code(desk.day, package),
            per_lb=Decimal(package.price_per_lb) if package.price_per_lb else None,
            frozen=package.frozen,
            # a promise is printed only where it holds for every lot in the package
            claims=tuple(
                one.claim.words for one in desk.claims if not one.lot or package.lots == (one.lot,)
            ),
        ),
        farm=LabelFarm(
            name=desk.home.label_name, person="", address=tuple(desk.home.address.splitlines())
        ),
    )
    if package.fixed:
        content = replace(
            content,
            net_weight=standard_declaration(desk.profile, _printed_lb(package)),
            price_per_lb="",
            random_weight=False,
        )
    return replace(
        content,
        retained_water=desk.water.get(package.tank, ""),
        heading_height_m=heights.heading_m,
        safe_handling_height_m=heights.safe_handling_m,
        net_weight_height_m=heights.net_weight_m,
        statement_height_m=heights.statement_m,
        panel_m2=heights.panel_m2,
    )


def _name(package: Package) -> str:
    return f"{package.product}, {package.class_name}" if package.class_name else package.product


def _printed_lb(package: Package) -> Decimal:
    if not package.fixed:
        return Decimal(package.net_lb)
    weight = quantity.parse(package.fixed, "mass", name="fixed")
    return in_pounds(weight, division=Decimal("0.0001")).normalize()


def coldest_degC(done: Progress, tank: str) -> float | None:
    """Return the coldest that birds of a tank were read; None without a reading [degC]."""
    read = [r.si for r in done.readings if r.what == "bird" and r.place in ("", tank)]
    return min(read, default=None)


def label_findings(
    day: days.DayView, package: Package, *, size: LabelSize | None = None
) -> tuple[Finding, ...]:
    """Judge a package's label before it is printed: what is missing, wrong, small or unproved."""
    desk = _desk(day, (package.tank,))
    content = _content(desk, package, size)
    species = next((one.species for one in day.request.lots if one.code == package.lot), "")
    found: list[Finding] = [
        *check_label(content, desk.profile, day.request.tier),
        *claim_findings(
            (package.product,),
            content.claims,
            [one.claim for one in desk.claims],
            on=day.date,
        ),
        *class_findings(
            package.class_name,
            species,
            age_days=_age_days(day, package.lot),
            mass_kg=float(Decimal(package.net_lb)) * KG_PER_LB,
        ),
        *cold_word_findings(
            desk.profile,
            " ".join((content.product_name, *content.claims)),
            coldest_degC=coldest_degC(running.day_progress(day.id), package.tank),
            frozen=package.frozen,
        ),
        *_short(package),
    ]
    return by_severity(found)


def _short(package: Package) -> list[Finding]:
    """Judge a package that declares a weight by what it holds."""
    if not package.fixed or Decimal(package.net_lb) >= _printed_lb(package):
        return []
    return [
        Finding(
            "label.short",
            Severity.STOP,
            _("It holds {net} lb and its label declares {fixed}.").format(
                net=package.net_lb, fixed=package.fixed
            ),
            _("Fill it up, or print its own weight."),
            "net_weight",
            citation="NIST Handbook 133 (2026), chapter 2",
            status="read",
        )
    ]


def labels(
    day_id: int,
    *,
    size: LabelSize | None = None,
    numbers: Sequence[int] = (),
    printed_at: dt.datetime | None = None,
) -> bytes:
    """Print the labels of a day's packages, of all or of some.

    Raises
    ------
    RecordNotFoundError
        If there is no such package.
    InputError
        If a text does not fit on the label.
    """
    used = desk_setup.settings()
    items = _items(days.day(day_id), packing.numbered(day_id, numbers))
    return labels_pdf(
        items,
        size or used.size,
        printed_at=printed_at or clock.now(),
        dots_per_inch=used.dots_per_inch,
    )


def specimen(day: days.DayView, package: Package, *, printed_at: dt.datetime) -> bytes:
    """Return one package's label as it prints, to be shown in another document.

    Raises
    ------
    InputError
        If a text does not fit on the label.
    """
    used = desk_setup.settings()
    size: LabelSize = "4x3" if used.size == "letter" else used.size
    return labels_pdf(
        _items(day, (package,)), size, printed_at=printed_at, dots_per_inch=used.dots_per_inch
    )


def proof(
    day_id: int, *, size: LabelSize | None, number: int, dots_per_inch: int, now: dt.datetime
) -> bytes:
    """Return a label as the printer's dots, as a picture.

    Raises
    ------
    RecordNotFoundError
        If there is no such package.
    InputError
        If a text does not fit on the label, or there is no such printer.
    """
    if dots_per_inch not in desk_setup.DOTS:
        raise InputError("dots", dots_per_inch, _("Choose the printer's dots."))
    items = _items(days.day(day_id), packing.numbered(day_id, (number,)))
    return label_proofs(
        items,
        size or desk_setup.settings().size,
        printed_at=now,
        dots_per_inch=dots_per_inch,
    )[0]


def printer_test(size: LabelSize | None, *, now: dt.datetime) -> bytes:
    """Return a sheet that shows whether the printer keeps the label's size."""
    used = desk_setup.settings()
    return printer_test_pdf(size or used.size, printed_at=now, dots_per_inch=used.dots_per_inch)


def box_label(
    day_id: int, *, numbers: Sequence[int], size: LabelSize | None, now: dt.datetime
) -> bytes:
    """Print the label of an outer box: count, sum of the printed weights, every lot.

    Raises
    ------
    RecordNotFoundError
        If there is no such package.
    """
    day, home = days.day(day_id), farm()
    packages = packing.numbered(day_id, numbers)
    rules = label_elements(load(day.request.profile), day.request.tier)
    boxed = [
        Boxed(
            product=_name(p),
            net_lb=_printed_lb(p),
            lots=tuple(str(code) for code in packing.lot_codes(day, p)),
            total=Decimal(p.total) if p.total else None,
        )
        for p in packages
    ]
    first = label_content(day, packages[0], home=home, size=size)
    return box_label_pdf(
        BoxLabel(
            content=box_content(boxed),
            packed_on=day.date,
            farm=home.label_name,
            address=tuple(home.address.splitlines()),
            handling=first.handling,
            statements=tuple(
                w.text
                for w in (rules.exempt_statement, rules.not_inspected_statement, *rules.statements)
                if w is not None
            ),
        ),
        size or desk_setup.settings().size,
        printed_at=now,
    )


def waiting(day_id: int) -> tuple[int, ...]:
    """Return the numbers of packages whose label was not printed since they were weighed."""
    events = running.events(day_id)
    printed: dict[int, int] = {}
    for event in events:
        if event.kind == "done" and event.payload.get("task") == _PRINTED:
            for number in str(event.payload.get("note", "")).split():
                printed[int(number)] = event.seq
    weighed = {e.client_id: e.seq for e in events if e.kind == "package"}
    return tuple(
        sorted(
            p.number
            for p in running.day_progress(day_id).packages
            if printed.get(p.number, 0) < weighed[p.id]
        )
    )


def mark_printed(day_id: int, numbers: Sequence[int], *, who: str) -> None:
    """Write down that labels were sent to the printer; printed again, they keep their numbers."""
    if numbers:
        note = " ".join(str(number) for number in numbers)
        running.write("done", {"task": _PRINTED, "note": note}, day_id=day_id, who=who)
        _keep_verdicts(day_id, numbers, who=who)


def _keep_verdicts(day_id: int, numbers: Sequence[int], *, who: str) -> None:
    """Keep how each kind of label was judged when it went to the printer: words, rules, verdict.

    Labels that differ in weight and number alone have one verdict; the first stands for them all.
    """
    day, now = days.day(day_id), clock.now()
    kinds: dict[tuple[object, ...], list[int]] = {}
    first: dict[tuple[object, ...], tuple[LabelContent, tuple[Finding, ...]]] = {}
    packages = packing.numbered(day_id, numbers)
    desk = _desk(day, (p.tank for p in packages))
    for package in packages:
        content = _content(desk, package)
        found = check_label(content, desk.profile, day.request.tier)
        kind = (content.product_name, content.claims, content.frozen, *(f.code for f in found))
        kinds.setdefault(kind, []).append(package.number)
        first.setdefault(kind, (content, found))
    verdicts = [
        {
            "numbers": kinds[kind],
            "content": asdict(content),
            "findings": {f.code: f.sentence for f in found},
        }
        for kind, (content, found) in first.items()
    ]
    rules = rules_kept.keep(day.request.profile, at=now, who=who)
    journal.append_from_page(
        LABEL_VERDICT,
        {"for_day": day_id, "tier": day.request.tier, "rules": rules, "verdicts": verdicts},
        client_id=uuid.uuid4().hex,
        who=who,
        at=now,
    )


def _items(day: days.DayView, packages: Sequence[Package]) -> list[LabelSheetItem]:
    desk = _desk(day, (p.tank for p in packages))
    block = desk.rules.safe_handling
    safe = SafeHandling(
        heading=block.heading.text,
        rationale=block.rationale.text,
        statements=tuple(
            SafeHandlingLine(icon, statement.text)
            for icon, statement in zip(ICONS, block.statements, strict=True)
        ),
    )
    return [_item(desk, package, safe=safe) for package in packages]


def _item(desk: _Desk, package: Package, *, safe: SafeHandling) -> LabelSheetItem:
    words, home = _content(desk, package), desk.home
    places = _places(desk, words)
    return LabelSheetItem(
        product=words.product_name,
        net_weight_lb=_printed_lb(package),
        packed_on=desk.day.date,
        lot=words.lot_code,
        price_per_lb=Decimal(package.price_per_lb) if words.price_per_lb else None,
        total=Decimal(package.total) if package.total else None,
        safe_handling=safe,
        trace=trace_text(
            lot=words.lot_code, packed_on=desk.day.date, farm=home.name, phone=home.phone
        ),
        claims=words.claims,
        declared=words.net_weight.removeprefix(_NET_WORDS) if package.fixed else "",
        code=_own_code(desk, package),
        **places,
    )


def _places(desk: _Desk, words: LabelContent) -> dict[str, Any]:
    """Say which words stand in tall letters and which among the rest."""
    tall, bound = desk.rules.statement_height, desk.rules.tall_elements
    address = tuple(desk.home.address.splitlines())
    said = {
        "exempt_statement": (words.exempt_statement,),
        "not_inspected_statement": (words.not_inspected_statement,),
        "statements": words.statements,
        "handling": (words.handling,),
        "name_and_address": (", ".join((desk.home.label_name, *address)),),
    }
    if tall is None:
        bound = ()
    plain = {name: lines for name, lines in said.items() if name not in bound}
    further = (
        *plain.get("not_inspected_statement", ()),
        *plain.get("statements", ()),
        words.retained_water,
    )
    return {
        "exempt_statement": "".join(plain.get("exempt_statement", ())),
        "handling": "".join(plain.get("handling", ())),
        "producer": desk.home.label_name if "name_and_address" in plain else "",
        "address": address if "name_and_address" in plain else (),
        "further": tuple(filter(None, further)),
        "tall": tuple(line for name in said if name in bound for line in said[name] if line),
        "tall_height_m": None if tall is None else tall.si,
        "tall_name": "product_name" in bound,
    }


def _own_code(desk: _Desk, package: Package) -> CodeContent | None:
    """Return the code of a package, or None where the farm prints none for it."""
    numbers = desk.numbers.get(package.product)
    return package_code(
        desk.settings.codes,
        item=None if numbers is None else numbers.item,
        base="" if numbers is None else numbers.base,
        net_lb=_printed_lb(package),
        total=Decimal(package.total) if package.total else None,
        packed_on=desk.day.date,
        lot=packing.lot_codes(desk.day, package)[0].compact,
        serial=package.number,
    )
