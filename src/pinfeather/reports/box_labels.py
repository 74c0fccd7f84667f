"""The label of an outer box, and a test sheet for the label printer."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Final

from pinfeather.packs.box import BoxContent
from pinfeather.reports.labels import DOTS_PER_INCH, LabelSize
from pinfeather.reports.typeset import typeset
from pinfeather.words import date_text, ngettext
from pinfeather.words import gettext as _

SAFE_EDGE_PT: Final = 8.0
"""Nothing is printed closer to a label's edge, since printers differ [pt]."""


@dataclass(frozen=True, slots=True)
class BoxLabel:
    """A box's label.

    Parameters
    ----------
    content : BoxContent
        What is in it.
    packed_on : datetime.date
        Day of packing.
    farm : str
        Producer, or processor where the rules ask for it.
    address : tuple of str
        Lines of the address.
    handling : str
        The handling statement.
    statements : tuple of str
        What the rules want on the box, such as the statement that it is exempt.
    """

    content: BoxContent
    packed_on: dt.date
    farm: str
    address: tuple[str, ...]
    handling: str
    statements: tuple[str, ...] = ()


def box_label_pdf(box: BoxLabel, size: LabelSize, *, printed_at: dt.datetime) -> bytes:
    """Set a box's label.

    Parameters
    ----------
    box : BoxLabel
        What it says.
    size : {"4x3", "4x6", "4x8", "letter"}
        As for packages; a letter sheet takes the large one.
    printed_at : datetime
        The moment of printing, with its zone.

    Returns
    -------
    bytes
        The PDF.

    Raises
    ------
    InputError
        If the lots do not fit even in small type.

    References
    ----------
    9 CFR 381.10(a)(3) and (4) for the statement on a shipping container.
    """
    said = box.content
    data = {
        "title": _("Label for a box"),
        "size": "4x3" if size == "4x3" else "4x6",
        "count": ngettext("{n} package", "{n} packages", said.packages).format(n=said.packages),
        "weighs": _("Net Wt. {net} lb in all").format(net=said.net_lb),
        "total": None if said.total is None else f"${said.total:.2f}",
        "products": [f"{count} × {name}" for name, count in said.products],
        "lots_words": _("Lot") if len(said.lots) == 1 else _("Lots"),
        "lots": list(said.lots),
        "packed_words": _("Packing date"),
        "packed": date_text(box.packed_on),
        "handling": box.handling,
        "farm": box.farm,
        "address": list(box.address),
        "statements": list(box.statements),
    }
    return typeset("box_label", data, printed_at=printed_at)


def printer_test_pdf(
    size: LabelSize, *, printed_at: dt.datetime, dots_per_inch: int = DOTS_PER_INCH
) -> bytes:
    """Set a sheet that shows whether the printer keeps the label's size.

    Parameters
    ----------
    size : {"4x3", "4x6", "4x8", "letter"}
        Size of the label.
    printed_at : datetime
        The moment of printing, with its zone.
    dots_per_inch : int
        Of the printer.

    Returns
    -------
    bytes
        The PDF, with the frame nothing is printed outside of and a ruler of two inches.

    References
    ----------
    Derivation: lengths at their own size.
    """
    data = {
        "title": _("Test label"),
        "size": "4x3" if size in ("4x3", "letter") else size,
        "edge_pt": SAFE_EDGE_PT,
        "dots": dots_per_inch,
        "lines": [
            _("The frame must be whole on every side. If it is cut, move the label in the driver."),
            _("Print at actual size: no “fit to page”."),
        ],
        "ruler": _("This line is 2 inches long. Measure it."),
    }
    return typeset("label_test", data, printed_at=printed_at)
