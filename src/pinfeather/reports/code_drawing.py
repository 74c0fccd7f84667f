"""Codes for a label as small drawings whose bars and squares are whole printer dots."""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import Final

import numpy as np

from pinfeather.errors import InputError
from pinfeather.packs.bag_code import CodeContent
from pinfeather.words import gettext as _

POINTS_PER_INCH: Final = 72
_QR_QUIET: Final = 4  # ISO/IEC 18004:2015, section 9.1
_LEAST_DOTS: Final = 3
_BAR_IN: Final = 0.0130
"""Nominal width of a bar of a retail code: GS1 General Specifications, section 5.2 (unverified)."""
_QUIET_BARS: Final = {"upc": (9, 9), "ean": (11, 7)}
_BARS_HIGH_PT: Final = 30.0
_SQUARE_IN: Final = 0.0165
"""Wanted width of a square of a data matrix (unverified)."""
_SQUARE_QUIET: Final = 2


@dataclass(frozen=True, slots=True)
class Drawn:
    """A code ready to be placed.

    Parameters
    ----------
    svg : str
        The drawing.
    wide_pt, high_pt : float
        Its size, quiet zone included [pt].
    digits : str
        What stands under it for people; empty for none.
    """

    svg: str
    wide_pt: float
    high_pt: float
    digits: str = ""


def square_code(text: str, room_pt: float, *, where: str, dots_per_inch: int) -> Drawn:
    """Draw a QR code with plain text.

    Parameters
    ----------
    text : str
        What a phone reads.
    room_pt : float
        Side of the place it has [pt].
    where : str
        Name of the input, for a fault.
    dots_per_inch : int
        Of the printer.

    Returns
    -------
    Drawn
        With a quiet zone of four modules.

    Raises
    ------
    InputError
        If the text is too long for the place.

    References
    ----------
    ISO/IEC 18004:2015, section 9.1.
    """
    import segno

    try:
        code = segno.make(text, error="m", micro=False)
    except segno.DataOverflowError as error:
        raise InputError(where, text, _("The text of the square code is too long.")) from error
    modules = code.symbol_size(border=_QR_QUIET)[0]
    dots = int(room_pt / POINTS_PER_INCH * dots_per_inch / modules)
    if dots < _LEAST_DOTS:
        raise InputError(
            where, text, _("The text of the square code is too long for this label; shorten it.")
        )
    out = io.BytesIO()
    code.save(
        out, kind="svg", border=_QR_QUIET, xmldecl=False, svgclass=None, lineclass=None,
        omitsize=False,
    )  # fmt: skip
    side_pt = modules * dots * POINTS_PER_INCH / dots_per_inch
    return Drawn(out.getvalue().decode(), side_pt, side_pt)


def package_code_drawing(content: CodeContent, *, dots_per_inch: int) -> Drawn:
    """Draw a package's own code.

    Parameters
    ----------
    content : CodeContent
        What it says.
    dots_per_inch : int
        Of the printer.

    Returns
    -------
    Drawn
        Bars with their quiet zones, or a data matrix.

    Raises
    ------
    InputError
        If it cannot be drawn.

    References
    ----------
    GS1 General Specifications, section 5; ISO/IEC 16022 for the data matrix.
    """
    import zxingcpp

    kinds = {
        "upc": zxingcpp.BarcodeFormat.UPCA,
        "ean": zxingcpp.BarcodeFormat.EAN13,
        "datamatrix": zxingcpp.BarcodeFormat.DataMatrix,
    }
    matrix = content.symbol == "datamatrix"
    options = {"gs1": True, "forceSquare": True} if matrix else {}
    try:
        code = zxingcpp.create_barcode(content.bracketed, kinds[content.symbol], **options)
    except ValueError as error:
        raise InputError(
            "code", content.bracketed, _("The code cannot be drawn: {why}").format(why=error)
        ) from error
    dark = np.asarray(code.to_image(scale=1, add_quiet_zones=False)) == 0
    if matrix:
        quiet = (_SQUARE_QUIET, _SQUARE_QUIET)
        dots = max(_LEAST_DOTS, round(_SQUARE_IN * dots_per_inch))
        path = "".join(
            f"M{x + quiet[0]} {y + quiet[0]}h1v1h-1z" for y, x in np.argwhere(dark).tolist()
        )
        wide = dark.shape[1] + sum(quiet)
        high = float(dark.shape[0] + sum(quiet))
    else:
        quiet = _QUIET_BARS[content.symbol]
        dots = max(_LEAST_DOTS, round(_BAR_IN * dots_per_inch))
        wide = dark.shape[1] + sum(quiet)
        high = _BARS_HIGH_PT / POINTS_PER_INCH * dots_per_inch / dots
        path = "".join(
            f"M{x + quiet[0]} 0h1v{high:.3f}h-1z" for x in np.flatnonzero(dark[0]).tolist()
        )
    scale_pt = dots * POINTS_PER_INCH / dots_per_inch
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}" height="{high:.3f}" '
        f'viewBox="0 0 {wide} {high:.3f}" shape-rendering="crispEdges"><path d="{path}"/></svg>'
    )
    return Drawn(svg, wide * scale_pt, high * scale_pt, "" if matrix else content.data)
