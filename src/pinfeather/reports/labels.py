"""Package labels as a PDF whose pages are exactly the size of the label."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, Literal

from pinfeather.errors import InputError
from pinfeather.packs.bag_code import CodeContent
from pinfeather.reports.code_drawing import Drawn, package_code_drawing, square_code
from pinfeather.reports.typeset import packaged_picture, proofs, typeset
from pinfeather.words import date_text
from pinfeather.words import gettext as _

Icon = Literal["refrigerator", "hands", "skillet", "thermometer"]
LabelSize = Literal["4x3", "4x6", "4x8", "letter"]

ICONS: Final[tuple[Icon, ...]] = ("refrigerator", "hands", "skillet", "thermometer")
DOTS_PER_INCH: Final = 203  # the usual thermal label printer, 8 dots per millimetre
"""A module of the square code is a whole number of dots of such a printer."""

_QR_ROOM_PT: Final[Mapping[LabelSize, float]] = {
    "4x3": 62.0,
    "4x6": 92.0,
    "4x8": 92.0,
    "letter": 62.0,
}

_BLOCK_PT: Final[Mapping[LabelSize, float]] = {
    "4x3": 272.0,
    "4x6": 264.0,
    "4x8": 264.0,
    "letter": 272.0,
}

_LARGE: Final = ("4x6", "4x8")
_POINTS_PER_METRE: Final = 72 / 0.0254
_METRES_PER_INCH: Final = 0.0254
_CAPITAL: Final = 0.615
"""Height of the lowest capital or figure of the typeface [em]."""
_SMALL: Final = 0.43
"""Height of a small letter without a stroke up [em]."""
_LEAST_WEIGHT_PT: Final[Mapping[LabelSize, float]] = {
    "4x3": 15.0,
    "4x6": 16.0,
    "4x8": 22.5,
    "letter": 15.0,
}
_BLOCK_LETTER_PT: Final = 10.6
_HEADING_LETTER_PT: Final = 13.0
_BLOCK_HIGH_PT: Final = 118.0  # leaves a label 3 inches high room for name and weight


@dataclass(frozen=True, slots=True)
class SafeHandlingLine:
    """One statement of the safe handling instructions.

    Parameters
    ----------
    icon : {"refrigerator", "hands", "skillet", "thermometer"}
        The picture beside it.
    text : str
        The statement, verbatim.
    """

    icon: Icon
    text: str


@dataclass(frozen=True, slots=True)
class SafeHandling:
    """The safe handling instructions, verbatim, as the farm's rules give them.

    Parameters
    ----------
    heading : str
        Set in larger type than the rest.
    rationale : str
        Set right under the heading.
    statements : tuple of SafeHandlingLine
        In order.
    """

    heading: str
    rationale: str
    statements: tuple[SafeHandlingLine, ...]


@dataclass(frozen=True, slots=True)
class LabelSheetItem:
    """One package's label.

    Parameters
    ----------
    product : str
        Name of the product.
    net_weight_lb : Decimal
        Net weight, printed with the digits it has [lb].
    packed_on : date
        Day of packing.
    lot : str
        Lot code.
    producer : str
        Name of the producer or, where the rules ask for it, of the processor.
    address : tuple of str
        The lines of the address.
    handling : str
        The handling statement, for instance ``"Keep Refrigerated"``.
    price_per_lb : Decimal or None
        Price of a pound [USD/lb].
    total : Decimal or None
        Price of the package [USD].
    safe_handling : SafeHandling or None
        The block of instructions.
    exempt_statement : str
        What the farm's tier prints on the product; may be empty.
    further : tuple of str
        Further statements, each on a line of its own.
    trace : str
        Plain text of the square code; empty for none.
    claims : tuple of str
        Promises with a paper on file, printed under the name.
    declared : str
        Net weight in words where every package declares the same; empty takes the weight itself.
    tall : tuple of str
        Statements set in tall capitals.
    tall_height_m : float or None
        How tall; None where the rules name no height [m].
    tall_name : bool
        Whether the product's name must be as tall.
    code : CodeContent or None
        The package's own code.
    """

    product: str
    net_weight_lb: Decimal
    packed_on: dt.date
    lot: str
    producer: str
    address: tuple[str, ...]
    handling: str
    price_per_lb: Decimal | None = None
    total: Decimal | None = None
    safe_handling: SafeHandling | None = None
    exempt_statement: str = ""
    further: tuple[str, ...] = ()
    trace: str = ""
    claims: tuple[str, ...] = ()
    declared: str = ""
    tall: tuple[str, ...] = ()
    tall_height_m: float | None = None
    tall_name: bool = False
    code: CodeContent | None = None


@dataclass(frozen=True, slots=True)
class Letters:
    """How small letters can get on a label of some size, whatever stands on it.

    Parameters
    ----------
    net_weight_m, safe_handling_m, heading_m, statement_m : float
        Heights of the smallest letter or figure of each [m].
    panel_m2 : float
        Area of the label [m2].
    """

    net_weight_m: float
    safe_handling_m: float
    heading_m: float
    statement_m: float
    panel_m2: float


def letters(size: LabelSize, *, tall_height_m: float | None = None) -> Letters:
    """Return how small letters can get on a label.

    Parameters
    ----------
    size : {"4x3", "4x6", "4x8", "letter"}
        Size of the label.
    tall_height_m : float or None
        Height the rules ask statements to have; only the large label has room for it [m].

    Returns
    -------
    Letters
        Guaranteed heights.

    References
    ----------
    Derivation: smallest sizes of the template times the typeface's own heights; the tests measure
    the printed letters.
    """
    large = size in _LARGE
    least_pt = 6.0 * _CAPITAL
    statement_m = least_pt / _POINTS_PER_METRE
    if large and tall_height_m is not None:
        statement_m = max(statement_m, tall_height_m)
    inches = {"4x6": (4, 6), "4x8": (4, 8)}.get(size, (4, 3))
    return Letters(
        net_weight_m=_LEAST_WEIGHT_PT[size] * _CAPITAL / _POINTS_PER_METRE,
        safe_handling_m=_BLOCK_LETTER_PT * _SMALL / _POINTS_PER_METRE,
        heading_m=_HEADING_LETTER_PT * _SMALL / _POINTS_PER_METRE,
        statement_m=statement_m,
        panel_m2=inches[0] * inches[1] * _METRES_PER_INCH**2,
    )


def trace_text(*, lot: str, packed_on: dt.date, farm: str, phone: str = "") -> str:
    """Write the plain text of a square code that leads back to the lot.

    Parameters
    ----------
    lot : str
        Lot code.
    packed_on : date
        Day of packing.
    farm : str
        Who packed it.
    phone : str
        Whom to call; may be empty.

    Returns
    -------
    str
        Readable by any phone, without a network.

    References
    ----------
    Derivation: the label's own words, joined.
    """
    parts = [
        _("Lot {lot}").format(lot=lot),
        _("packed {date}").format(date=packed_on.isoformat()),
        _("farm {farm}").format(farm=farm),
    ]
    if phone:
        parts.append(_("phone {phone}").format(phone=phone))
    return "; ".join(parts)


def labels_pdf(
    labels: Sequence[LabelSheetItem],
    size: LabelSize,
    *,
    printed_at: dt.datetime,
    dots_per_inch: int = DOTS_PER_INCH,
) -> bytes:
    """Set labels for printing.

    Parameters
    ----------
    labels : sequence of LabelSheetItem
        At least one.
    size : {"4x3", "4x6", "4x8", "letter"}
        Width and height of a label in inches, one on a page; or six labels of 4 by 3 inches on
        each page of US Letter.
    printed_at : datetime
        The moment of printing, with its zone.
    dots_per_inch : int
        Of the printer, so that codes fall on whole dots.

    Returns
    -------
    bytes
        The PDF; the same labels give the same bytes.

    Raises
    ------
    InputError
        If there is no label, a text does not fit even in the smallest type, an icon is unknown,
        or the square code's text is too long for its place.

    Notes
    -----
    Long texts are set smaller, then wrapped; nothing is ever cut. Every letter of the safe
    handling block, small ones included, is at least 1/16 inch high.

    References
    ----------
    9 CFR 381.121 (net weight), 381.125 (handling statement; safe handling block: lettering of
    1/16 inch, heading larger, border).
    """
    data, pictures = _laid_out(labels, size, printed_at=printed_at, dots_per_inch=dots_per_inch)
    return typeset("labels", data, printed_at=printed_at, pictures=pictures)


def label_proofs(
    labels: Sequence[LabelSheetItem],
    size: LabelSize,
    *,
    printed_at: dt.datetime,
    dots_per_inch: int = DOTS_PER_INCH,
) -> tuple[bytes, ...]:
    """Return pictures of the pages as a printer with so many dots would put them down.

    Parameters
    ----------
    labels, size, printed_at, dots_per_inch
        As for :func:`labels_pdf`.

    Returns
    -------
    tuple of bytes
        One PNG for each page.

    Raises
    ------
    InputError
        As :func:`labels_pdf`.

    References
    ----------
    Derivation: the same page, drawn dot by dot.
    """
    data, pictures = _laid_out(labels, size, printed_at=printed_at, dots_per_inch=dots_per_inch)
    return proofs(
        "labels", data, printed_at=printed_at, pictures=pictures, dots_per_inch=dots_per_inch
    )


def _laid_out(
    labels: Sequence[LabelSheetItem],
    size: LabelSize,
    *,
    printed_at: dt.datetime,
    dots_per_inch: int,
) -> tuple[dict[str, object], dict[str, str]]:
    if not labels:
        raise InputError("labels", labels, _("There is no label to print."))
    if size not in _QR_ROOM_PT:
        raise InputError("size", size, _("Label sizes are 4x3, 4x6, 4x8 and letter."))
    pictures: dict[str, str] = {}
    codes: dict[tuple[str, object], dict[str, object]] = {}
    blocks: dict[tuple[SafeHandling, bool], dict[str, object]] = {}
    facts: dict[int, int] = {}
    told: list[dict[str, object]] = []
    items = []

    def placed(key: tuple[str, object], drawn: Drawn) -> dict[str, object]:
        name = f"{key[0]}-{len(codes)}.svg"
        pictures[name] = drawn.svg
        return {
            "picture": name,
            "wide_pt": drawn.wide_pt,
            "high_pt": drawn.high_pt,
            "digits": drawn.digits,
        }

    for number, label in enumerate(labels):
        qr, bars = ("qr", label.trace), ("code", label.code)
        if label.trace and qr not in codes:
            codes[qr] = placed(
                qr,
                square_code(
                    label.trace,
                    _QR_ROOM_PT[size],
                    where=f"labels[{number}]",
                    dots_per_inch=dots_per_inch,
                ),
            )
        if label.code is not None and bars not in codes:
            codes[bars] = placed(
                bars, package_code_drawing(label.code, dots_per_inch=dots_per_inch)
            )
        block, roomy = label.safe_handling, _roomy(label, size)
        if block is not None and (block, roomy) not in blocks:
            words = " ".join((block.heading, block.rationale, *(s.text for s in block.statements)))
            blocks[block, roomy] = {
                "number": len(blocks),
                "pdf": _safe_handling(block, size, roomy=roomy, printed_at=printed_at),
                "text": words,
            }
        said = _facts(label)
        key = hash(json.dumps(said, sort_keys=True, default=str))
        if key not in facts:
            facts[key] = len(told)
            told.append(said)
        items.append(
            {
                **_item(label),
                "facts": facts[key],
                "qr": codes.get(qr),
                "code": codes.get(bars),
                "safe_handling": None if block is None else blocks[block, roomy]["number"],
            }
        )
    return {
        "title": _("Labels for lot {lot}").format(lot=labels[0].lot),
        "author": labels[0].producer,
        "size": size,
        "block_pt": _BLOCK_PT[size],
        "blocks": list(blocks.values()),
        "facts": told,
        "items": items,
    }, pictures


def _roomy(label: LabelSheetItem, size: LabelSize) -> bool:
    """Say whether the safe handling block may take half the large label."""
    return size in _LARGE and label.code is None and not label.tall


def _safe_handling(
    block: SafeHandling, size: LabelSize, *, roomy: bool, printed_at: dt.datetime
) -> bytes:
    """Set the safe handling block once; every label carries the same."""
    for line in block.statements:
        if line.icon not in ICONS:
            raise InputError("icon", line.icon, _("There is no such picture."))
    return typeset(
        "safe_handling",
        {
            "block": block,
            "block_pt": _BLOCK_PT[size],
            "most_high_pt": _BLOCK_HIGH_PT,
            "roomy": roomy,
        },
        printed_at=printed_at,
        pictures={f"icon-{name}.svg": packaged_picture(name) for name in ICONS},
    )


def _item(label: LabelSheetItem) -> dict[str, object]:
    if not label.net_weight_lb.is_finite() or label.net_weight_lb <= 0:
        raise InputError("net_weight_lb", label.net_weight_lb, _("A package weighs something."))
    return {
        "product": label.product.upper() if label.tall_name else label.product,
        "net_words": "" if label.declared else _("Net Wt."),
        "net_weight": _weight_lines(label),
        "tall": [words.upper() for words in label.tall],
        "tall_pt": _tall_pt(label),
        "name_least_pt": _tall_pt(label) if label.tall_name else 0.0,
        "price_per_lb": _dollars(label.price_per_lb),
        "total": _dollars(label.total),
        "price_words": _("per lb"),
        "total_words": _("total"),
        "trace": label.trace,
    }


def _tall_pt(label: LabelSheetItem) -> float:
    """Return the type size whose capitals are as tall as the rules want [pt]."""
    return (label.tall_height_m or 0.0) * _POINTS_PER_METRE / _CAPITAL


def _weight_lines(label: LabelSheetItem) -> list[str]:
    """Return the weight; one that is law to its size has its words in the same letters."""
    if not label.declared:
        return [f"{label.net_weight_lb:f}\u00a0lb"]
    first, _space, second = label.declared.partition(" (")
    lines = [f"{_('Net Wt.')} {first}", f"({second}" if second else ""]
    return [line.replace(" ", "\u00a0") for line in lines if line]


def _facts(label: LabelSheetItem) -> dict[str, object]:
    return {
        "packed_words": _("Packing date"),
        "packed": date_text(label.packed_on),
        "lot_words": _("Lot"),
        "lot": label.lot,
        "producer": label.producer,
        "address": list(label.address),
        "handling": label.handling,
        "exempt_statement": label.exempt_statement,
        "further": list(label.further),
        "claims": list(label.claims),
    }


def _dollars(amount: Decimal | None) -> str | None:
    if amount is None:
        return None
    if not amount.is_finite() or amount < 0:
        raise InputError("price", amount, _("A price is nought or more."))
    return f"${amount:.2f}" if amount == round(amount, 2) else f"${amount:f}"
