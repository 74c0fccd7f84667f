"""Package labels as a PDF whose pages are exactly the size of the label."""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, Literal

from pinfeather.errors import InputError
from pinfeather.reports.typeset import packaged_picture, typeset
from pinfeather.reports.when import date_text
from pinfeather.words import gettext as _

Icon = Literal["refrigerator", "hands", "skillet", "thermometer"]
LabelSize = Literal["4x3", "4x6", "letter"]

ICONS: Final[tuple[Icon, ...]] = ("refrigerator", "hands", "skillet", "thermometer")
DOTS_PER_INCH: Final = 203  # the usual thermal label printer, 8 dots per millimetre
"""A module of the square code is a whole number of dots of such a printer."""

_POINTS_PER_INCH: Final = 72
_QUIET_MODULES: Final = 4  # ISO/IEC 18004:2015, section 9.1
_LEAST_DOTS: Final = 3
_QR_ROOM_PT: Final[Mapping[LabelSize, float]] = {"4x3": 62.0, "4x6": 92.0, "letter": 62.0}

_BLOCK_PT: Final[Mapping[LabelSize, float]] = {"4x3": 272.0, "4x6": 264.0, "letter": 272.0}

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
    labels: Sequence[LabelSheetItem], size: LabelSize, *, printed_at: dt.datetime
) -> bytes:
    """Set labels for printing.

    Parameters
    ----------
    labels : sequence of LabelSheetItem
        At least one.
    size : {"4x3", "4x6", "letter"}
        Width and height of a label in inches, one on a page; or six labels of 4 by 3 inches on
        each page of US Letter.
    printed_at : datetime
        The moment of printing, with its zone.

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
    if not labels:
        raise InputError("labels", labels, _("There is no label to print."))
    if size not in _QR_ROOM_PT:
        raise InputError("size", size, _("Label sizes are 4x3, 4x6 and letter."))
    pictures: dict[str, str] = {}
    codes: dict[str, dict[str, object]] = {}
    blocks: dict[SafeHandling, dict[str, object]] = {}
    facts: list[dict[str, object]] = []
    items = []
    for number, label in enumerate(labels):
        if label.trace and label.trace not in codes:
            svg, side_pt = _square_code(label.trace, _QR_ROOM_PT[size], where=f"labels[{number}]")
            pictures[f"qr-{len(codes)}.svg"] = svg
            codes[label.trace] = {"number": len(codes), "side_pt": side_pt}
        block = label.safe_handling
        if block is not None and block not in blocks:
            words = " ".join((block.heading, block.rationale, *(s.text for s in block.statements)))
            blocks[block] = {
                "number": len(blocks),
                "pdf": _safe_handling(block, size, printed_at=printed_at),
                "text": words,
            }
        said = _facts(label)
        if said not in facts:
            facts.append(said)
        items.append(
            {
                **_item(label),
                "facts": facts.index(said),
                "qr": codes.get(label.trace),
                "safe_handling": None if block is None else blocks[block]["number"],
            }
        )
    data = {
        "title": _("Labels for lot {lot}").format(lot=labels[0].lot),
        "author": labels[0].producer,
        "size": size,
        "block_pt": _BLOCK_PT[size],
        "blocks": list(blocks.values()),
        "facts": facts,
        "items": items,
    }
    return typeset("labels", data, printed_at=printed_at, pictures=pictures)


def _safe_handling(block: SafeHandling, size: LabelSize, *, printed_at: dt.datetime) -> bytes:
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
            "roomy": size == "4x6",
        },
        printed_at=printed_at,
        pictures={f"icon-{name}.svg": packaged_picture(name) for name in ICONS},
    )


def _item(label: LabelSheetItem) -> dict[str, object]:
    if not label.net_weight_lb.is_finite() or label.net_weight_lb <= 0:
        raise InputError("net_weight_lb", label.net_weight_lb, _("A package weighs something."))
    return {
        "product": label.product,
        "net_words": _("Net Wt."),
        "net_weight": f"{label.net_weight_lb:f}\u00a0lb",
        "price_per_lb": _dollars(label.price_per_lb),
        "total": _dollars(label.total),
        "price_words": _("per lb"),
        "total_words": _("total"),
        "trace": label.trace,
    }


def _facts(label: LabelSheetItem) -> dict[str, object]:
    return {
        "packed_words": _("Packed"),
        "packed": date_text(label.packed_on),
        "lot_words": _("Lot"),
        "lot": label.lot,
        "producer": label.producer,
        "address": list(label.address),
        "handling": label.handling,
        "exempt_statement": label.exempt_statement,
        "further": list(label.further),
    }


def _dollars(amount: Decimal | None) -> str | None:
    if amount is None:
        return None
    if not amount.is_finite() or amount < 0:
        raise InputError("price", amount, _("A price is nought or more."))
    return f"${amount:.2f}" if amount == round(amount, 2) else f"${amount:f}"


def _square_code(text: str, room_pt: float, *, where: str) -> tuple[str, float]:
    """Draw a QR code with modules of whole printer dots; return its SVG and its side [pt]."""
    import segno

    try:
        code = segno.make(text, error="m", micro=False)
    except segno.DataOverflowError as error:
        raise InputError(where, text, _("The text of the square code is too long.")) from error
    modules = code.symbol_size(border=_QUIET_MODULES)[0]
    dots = int(room_pt / _POINTS_PER_INCH * DOTS_PER_INCH / modules)
    if dots < _LEAST_DOTS:
        raise InputError(
            where, text, _("The text of the square code is too long for this label; shorten it.")
        )
    out = io.BytesIO()
    code.save(
        out, kind="svg", border=_QUIET_MODULES, xmldecl=False, svgclass=None, lineclass=None,
        omitsize=False,
    )  # fmt: skip
    return out.getvalue().decode(), modules * dots * _POINTS_PER_INCH / DOTS_PER_INCH
