"""What stands on a package, and whether it may."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from pinfeather.finding import Finding, Severity
from pinfeather.packs.net_weight import declaration, type_height
from pinfeather.packs.price import dollars, total_price
from pinfeather.rules.label import LabelRules, label_elements
from pinfeather.rules.limit import Limit, Wording
from pinfeather.rules.model import Profile
from pinfeather.words import gettext as _

_MONTHS: Final = (
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
)  # fmt: skip
_LENGTH_DECIMALS: Final = 9
_YEAR: Final = re.compile(r"\b\d{4}\b")


@dataclass(frozen=True, slots=True)
class LabelFarm:
    """Who stands behind the package.

    Parameters
    ----------
    name : str
        Farm's name.
    person : str
        Producer's name; may be empty where the farm's name is the legal one.
    address : tuple of str
        Lines, with the postal code.
    """

    name: str
    person: str
    address: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LabelPackage:
    """One package.

    Parameters
    ----------
    product_name : str
        Kind with class or part (``"Chicken broiler, whole"``).
    net : Decimal
        Net weight as printed [lb].
    packed_on : datetime.date
        Day of packing.
    lot_code : str
        As printed; several codes joined by commas for mixed parts.
    per_lb : Decimal or None
        Price per pound; None where it is not sold by the pound [USD/lb].
    frozen : bool
        Whether it is kept frozen.
    claims : tuple of str
        Other words (``"pasture raised: …"``).
    """

    product_name: str
    net: Decimal
    packed_on: dt.date
    lot_code: str
    per_lb: Decimal | None = None
    frozen: bool = False
    claims: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LabelContent:
    """All words of one label, and the heights it will be set in.

    Parameters
    ----------
    product_name, net_weight, price_per_lb, total, pack_date, lot_code : str
        One line each; empty where it does not stand on the label.
    producer : tuple of str
        Names and address.
    safe_handling : tuple of str
        Heading, rationale and statements, verbatim.
    exempt_statement, not_inspected_statement, handling, retained_water : str
        One line each; may be empty.
    statements : tuple of str
        Other sentences the rule asks for, verbatim.
    claims : tuple of str
        Other words.
    frozen : bool
        Whether the product is kept frozen.
    random_weight : bool
        Whether each package has its own weight.
    heading_height_m, safe_handling_height_m : float or None
        Letter heights of the block; None where not yet known [m].
    net_weight_height_m, statement_height_m : float or None
        Letter heights; None where not yet known [m].
    panel_m2 : float or None
        Area of the main panel; None where not yet known [m2].
    """

    product_name: str = ""
    net_weight: str = ""
    price_per_lb: str = ""
    total: str = ""
    pack_date: str = ""
    lot_code: str = ""
    producer: tuple[str, ...] = ()
    safe_handling: tuple[str, ...] = ()
    exempt_statement: str = ""
    not_inspected_statement: str = ""
    handling: str = ""
    statements: tuple[str, ...] = ()
    retained_water: str = ""
    claims: tuple[str, ...] = ()
    frozen: bool = False
    random_weight: bool = True
    heading_height_m: float | None = None
    safe_handling_height_m: float | None = None
    net_weight_height_m: float | None = None
    statement_height_m: float | None = None
    panel_m2: float | None = None

    @property
    def lines(self) -> tuple[str, ...]:
        """Every line, from top to bottom."""
        all_lines = (
            self.product_name, self.net_weight, self.price_per_lb, self.total, self.handling,
            *self.claims, self.pack_date, self.lot_code, *self.producer, self.exempt_statement,
            self.not_inspected_statement, *self.statements, self.retained_water,
            *self.safe_handling,
        )  # fmt: skip
        return tuple(line for line in all_lines if line)


def pack_date_phrase(date: dt.date, *, phrase: str = "Packing date") -> str:
    """Write a calendar date the way a label must.

    Parameters
    ----------
    date : datetime.date
        The date.
    phrase : str
        What the date means.

    Returns
    -------
    str
        Phrase, month, day and year.

    References
    ----------
    9 CFR 381.129(c): month and day, and the year for frozen product; the phrase beside it.

    Examples
    --------
    >>> pack_date_phrase(dt.date(2025, 3, 4))
    'Packing date Mar 4 2025'
    """
    return f"{phrase} {_MONTHS[date.month - 1]} {date.day} {date.year}"


def build_label(
    profile: Profile, tier_code: str, package: LabelPackage, *, farm: LabelFarm
) -> LabelContent:
    """Put together the fullest label for a package.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    tier_code : str
        The farm's tier.
    package : LabelPackage
        What is in the bag.
    farm : LabelFarm
        Whose it is.

    Returns
    -------
    LabelContent
        Everything the tier asks for and everything that costs nothing to add.

    Raises
    ------
    InputError
        If the tier is not open, or a weight or price is not one.

    Notes
    -----
    Heights are left open; the one who sets the label fills them in before
    :func:`check_label` is asked again.

    References
    ----------
    9 CFR 381.10, 381.121, 381.125, 381.129, and the state's words in the profile.
    """
    rules = label_elements(profile, tier_code)
    per_lb = total = ""
    if package.per_lb is not None:
        per_lb = _("{price} per lb").format(price=dollars(package.per_lb))
        total = dollars(total_price(package.net, package.per_lb))
    wanted = "Keep Frozen" if package.frozen else "Keep Refrigerated"
    allowed = [wording.text for wording in rules.handling]
    exempt, uninspected = rules.exempt_statement, rules.not_inspected_statement
    return LabelContent(
        product_name=package.product_name,
        net_weight=declaration(package.net),
        price_per_lb=per_lb,
        total=total,
        pack_date=pack_date_phrase(package.packed_on),
        lot_code=package.lot_code,
        producer=tuple(line for line in (farm.name, farm.person, *farm.address) if line),
        safe_handling=rules.safe_handling.lines,
        exempt_statement="" if exempt is None else exempt.text,
        not_inspected_statement="" if uninspected is None else uninspected.text,
        handling=wanted if wanted in allowed else (allowed[0] if allowed else ""),
        statements=tuple(wording.text for wording in rules.statements),
        claims=package.claims,
        frozen=package.frozen,
    )


def check_label(content: LabelContent, profile: Profile, tier_code: str) -> tuple[Finding, ...]:
    """Judge the words and heights of a label.

    Parameters
    ----------
    content : LabelContent
        The label.
    profile : Profile
        The rules in force.
    tier_code : str
        The farm's tier.

    Returns
    -------
    tuple of Finding
        Missing, altered, forbidden and too small things; empty when the label may go on.

    Raises
    ------
    InputError
        If the tier is not open under these rules.

    Notes
    -----
    Heights that are not yet known are not judged.

    References
    ----------
    9 CFR 381.10, 381.121, 381.125, 381.129; 21 U.S.C. 458; the state's words in the profile.
    """
    rules = label_elements(profile, tier_code)
    return (
        *_missing(content, rules),
        *_unpriced(content, rules),
        *_altered(content, rules),
        *_forbidden(content, rules),
        *_dates(content, rules),
        *_too_small(content, rules, profile),
    )


def _present(content: LabelContent) -> dict[str, bool]:
    return {
        "product_name": bool(content.product_name),
        "net_weight": bool(content.net_weight),
        "name_and_address": len(content.producer) > 1,
        "exempt_statement": bool(content.exempt_statement),
        "not_inspected_statement": bool(content.not_inspected_statement),
        "statements": bool(content.statements),
        "safe_handling": bool(content.safe_handling),
        "handling": bool(content.handling),
        "pack_date": bool(content.pack_date),
        "lot_code": bool(content.lot_code),
        "price": bool(content.total and (content.price_per_lb or not content.random_weight)),
        "retained_water": bool(content.retained_water),
    }


def element_name(element: str) -> str:
    """Return what an element of a label is called.

    Parameters
    ----------
    element : str
        As profiles name it (``"net_weight"``).

    Returns
    -------
    str
        In words.

    References
    ----------
    Derivation: the elements a profile can name.
    """
    return {
        "product_name": _("the name of the product"),
        "net_weight": _("the net weight"),
        "name_and_address": _("name and address"),
        "exempt_statement": _("the statement that it is exempt"),
        "not_inspected_statement": _("the statement that it was not inspected"),
        "statements": _("a sentence these rules ask for"),
        "safe_handling": _("the safe handling instructions"),
        "handling": _("how to keep it cold"),
        "pack_date": _("the packing date"),
        "lot_code": _("the lot code"),
        "price": _("price per pound and total price"),
        "retained_water": _("how much water it has taken up"),
    }[element]


def _missing(content: LabelContent, rules: LabelRules) -> list[Finding]:
    present = _present(content)
    return [
        Finding(
            code=f"label.missing.{element}",
            severity=Severity.STOP,
            sentence=_("The label lacks {what}.").format(what=element_name(element)),
            where=element,
            citation=rules.citation,
            status=rules.status,
        )
        for element in rules.required
        if not present[element]
    ]


def _unpriced(content: LabelContent, rules: LabelRules) -> list[Finding]:
    duty = rules.random_weight_price
    priced = content.net_weight and content.price_per_lb and content.total
    if duty is None or not content.random_weight or priced or "price" in rules.required:
        return []
    return [
        Finding(
            code="label.unpriced",
            severity=Severity.CHECK,
            sentence=_("The label lacks {what}.").format(what=element_name("price")),
            reason=duty.text,
            where="price",
            citation=duty.citation,
            status=duty.status,
        )
    ]


def _same(left: str, right: str) -> bool:
    """Compare words, taking every kind of dash and space as one."""
    return _loose(left) == _loose(right)


def _loose(text: str) -> str:
    return re.sub(r"\s*(?:-+|[–—])\s*", "-", " ".join(text.split()))


def _altered(content: LabelContent, rules: LabelRules) -> list[Finding]:
    found = []
    for element, written, wording in (
        ("exempt_statement", content.exempt_statement, rules.exempt_statement),
        ("not_inspected_statement", content.not_inspected_statement, rules.not_inspected_statement),
    ):
        if written and wording is not None and not _same(written, wording.text):
            found.append(_wrong_words(element, wording))
    found += [
        _wrong_words("statements", wording)
        for wording in rules.statements
        if content.statements and not any(_same(w, wording.text) for w in content.statements)
    ]
    block = rules.safe_handling
    if content.safe_handling and content.safe_handling != block.lines:
        expected = next(
            (e for e, w in zip(block.lines, content.safe_handling, strict=False) if e != w),
            block.lines[-1],
        )
        found.append(_wrong_words("safe_handling", replace(block.heading, text=expected)))
    if content.handling and not any(_same(content.handling, w.text) for w in rules.handling):
        found.append(_wrong_words("handling", rules.handling[0]))
    return found


def _wrong_words(element: str, wording: Wording) -> Finding:
    return Finding(
        code=f"label.altered.{element}",
        severity=Severity.STOP,
        sentence=_("The words of {what} are not the ones the rule gives.").format(
            what=element_name(element)
        ),
        reason=_("They read: “{expected}”").format(expected=wording.text),
        where=element,
        citation=wording.citation,
        status=wording.status,
    )


def _forbidden(content: LabelContent, rules: LabelRules) -> list[Finding]:
    text = " ".join(" ".join(content.lines).split()).casefold()
    return [
        Finding(
            code="label.forbidden",
            severity=Severity.STOP,
            sentence=_("“{words}” must not stand on an exempt product.").format(words=wording.text),
            reason=_("It says the birds were inspected when they were not."),
            where="label",
            citation=wording.citation,
            status=wording.status,
        )
        for wording in rules.forbidden
        if wording.text.casefold() in text
    ]


def _dates(content: LabelContent, rules: LabelRules) -> list[Finding]:
    if not content.pack_date:
        return []
    first = rules.date_phrases[0]
    folded = content.pack_date.casefold()
    found = []
    if not any(folded.startswith(phrase.text.casefold()) for phrase in rules.date_phrases):
        found.append((_("Say what the date on the label means."), "label.date_phrase"))
    if content.frozen and not _YEAR.search(content.pack_date):
        found.append((_("A date on frozen product needs the year."), "label.date_year"))
    return [
        Finding(
            code=code,
            severity=Severity.STOP,
            sentence=sentence,
            reason=_("For instance: {example}.").format(example="Packing date Mar 4 2025"),
            where="pack_date",
            citation=first.citation,
            status=first.status,
        )
        for sentence, code in found
    ]


def _too_small(content: LabelContent, rules: LabelRules, profile: Profile) -> list[Finding]:
    block = rules.safe_handling
    pairs: list[tuple[str, float | None, Limit | None]] = [
        ("safe_handling", content.safe_handling_height_m, block.height),
        *(
            (element, content.statement_height_m, rules.statement_height)
            for element in rules.tall_elements
            if _present(content)[element]
        ),
    ]
    if content.panel_m2 is not None and not content.random_weight:
        height = type_height(profile, content.panel_m2)
        pairs.append(("net_weight", content.net_weight_height_m, height))
    found = [
        _small(element, height, limit)
        for element, height, limit in pairs
        if height is not None
        and limit is not None
        and round(height, _LENGTH_DECIMALS) < round(limit.si, _LENGTH_DECIMALS)
    ]
    heading, body = content.heading_height_m, content.safe_handling_height_m
    if heading is not None and body is not None and heading <= body:
        found.append(
            Finding(
                code="label.heading_not_larger",
                severity=Severity.STOP,
                sentence=_("The heading of the safe handling block must be larger than the rest."),
                where="safe_handling",
                measured=heading,
                limit=body,
                unit="m",
                citation=block.height.citation,
                status=block.height.status,
            )
        )
    return found


def _small(element: str, height_m: float, limit: Limit) -> Finding:
    return Finding(
        code=f"label.small.{element}",
        severity=Severity.STOP,
        sentence=_("The letters of {what} are too small: at least {limit}.").format(
            what=element_name(element), limit=limit
        ),
        where=element,
        measured=height_m,
        limit=limit.si,
        unit="m",
        citation=limit.citation,
        status=limit.status,
    )
