"""Net weight: from the scale to the words on the label."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_HALF_EVEN, Decimal
from typing import Final

from pinfeather.errors import InputError
from pinfeather.quantity import Quantity
from pinfeather.rules.limit import Limit
from pinfeather.rules.model import Profile
from pinfeather.units import KG_PER_LB
from pinfeather.words import gettext as _

DIVISION_LB: Final = Decimal("0.01")
"""Division of a common shop scale of 30 lb; say your own where it differs."""

_KG_PER_LB: Final = Decimal(repr(KG_PER_LB))
_LB_PER_UNIT: Final = {
    "lb": Decimal(1),
    "oz": Decimal(1) / Decimal(16),
    "kg": Decimal(1) / _KG_PER_LB,
    "g": Decimal("0.001") / _KG_PER_LB,
}
"""Exact by definition (NIST Special Publication 811, Appendix B)."""

_OZ_PER_LB: Final = 16
_AREA_DECIMALS: Final = 12


def round_tare(tare: Decimal, *, division: Decimal = DIVISION_LB) -> Decimal:
    """Round the weight of bag, label and pad up to the scale's division.

    Parameters
    ----------
    tare : Decimal
        Weight of everything that is not product, unused and dry [lb].
    division : Decimal
        Smallest step of the scale [lb].

    Returns
    -------
    Decimal
        Tare to take off [lb].

    Raises
    ------
    InputError
        If the tare is negative or the division is not positive.

    Notes
    -----
    Rule: always up, so that the buyer never pays for the bag. Our reading of a rule that asks
    for the weight without packaging; a tare read from the same scale stays as it is.

    References
    ----------
    9 CFR 442.2(b) (dry tare); the profile's ``weights.tare_rounding``.

    Examples
    --------
    A bag and label of 14 g.

    >>> round_tare(Decimal("0.0309"))
    Decimal('0.04')
    """
    _check_division(division)
    if not tare.is_finite() or tare < 0:
        raise InputError("tare", tare, _("A tare is zero or more."))
    return (tare / division).to_integral_value(ROUND_CEILING) * division


def net_weight(gross: Decimal, tare: Decimal, *, division: Decimal = DIVISION_LB) -> Decimal:
    """Return the net weight of a package as it will be printed.

    Parameters
    ----------
    gross : Decimal
        As the scale shows it [lb].
    tare : Decimal
        Bag, label, pad; rounded up to the division here [lb].
    division : Decimal
        Smallest step of the scale [lb].

    Returns
    -------
    Decimal
        Net weight [lb].

    Raises
    ------
    InputError
        If the gross is not a step of the scale, or nothing is left after tare.

    Notes
    -----
    Rule: gross as shown, less tare rounded up to the division. No other rounding takes place.

    References
    ----------
    NIST Handbook 133 (2026), chapter 2: net is gross less tare; 9 CFR 442.2.

    Examples
    --------
    >>> net_weight(Decimal("5.43"), Decimal("0.0309"))
    Decimal('5.39')
    """
    _check_division(division)
    if not gross.is_finite() or gross % division != 0:
        raise InputError(
            "gross",
            gross,
            _("{gross} lb is not a step of a scale that shows every {division} lb.").format(
                gross=gross, division=division
            ),
        )
    net = gross - round_tare(tare, division=division)
    if net <= 0:
        raise InputError("gross", gross, _("Nothing is left after taking off the tare."))
    return net.quantize(division)


def in_pounds(weight: Quantity, *, division: Decimal = DIVISION_LB) -> Decimal:
    """Return a weight somebody wrote, in decimal pounds to the division.

    Parameters
    ----------
    weight : Quantity
        As written (``"4 lb 3 oz"``, ``"1.9 kg"``).
    division : Decimal
        Step to round to [lb].

    Returns
    -------
    Decimal
        Pounds [lb].

    Raises
    ------
    InputError
        If it is not a positive weight.

    Notes
    -----
    Rule: to the nearest division, halves to the even figure.

    References
    ----------
    NIST Handbook 44, Appendix A, for the rounding of measurements (unverified); the profile's
    ``weights.rounding``.

    Examples
    --------
    >>> from pinfeather.quantity import parse
    >>> in_pounds(parse("4 lb 3 oz", "mass"))
    Decimal('4.19')
    """
    _check_division(division)
    if weight.unit not in _LB_PER_UNIT or not weight.si > 0:
        raise InputError("weight", weight.written, _("Write a weight, such as “4 lb 3 oz”."))
    pounds = Decimal(repr(weight.value)) * _LB_PER_UNIT[weight.unit]
    return ((pounds / division).to_integral_value(ROUND_HALF_EVEN) * division).quantize(division)


def declaration(net: Decimal) -> str:
    """Write the net weight of a package that has its own weight.

    Parameters
    ----------
    net : Decimal
        Net weight at the scale's division [lb].

    Returns
    -------
    str
        Decimal pounds, as for every random-weight pack.

    Raises
    ------
    InputError
        If it is not more than zero.

    References
    ----------
    9 CFR 381.121(c)(5) and (9).

    Examples
    --------
    >>> declaration(Decimal("4.37"))
    'Net Wt. 4.37 lb'
    """
    if not net.is_finite() or net <= 0:
        raise InputError("net", net, _("A net weight is more than zero."))
    return f"Net Wt. {net} lb"


def standard_declaration(profile: Profile, net: Decimal) -> str:
    """Write the net weight of a fixed-weight pack.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    net : Decimal
        Label weight, the same on every pack [lb].

    Returns
    -------
    str
        Small packs in ounces, middle ones in ounces and pounds, large ones in pounds.

    Raises
    ------
    InputError
        If it is not more than zero.

    References
    ----------
    9 CFR 381.121(c)(5).

    Examples
    --------
    >>> from pinfeather.rules.profile import load
    >>> standard_declaration(load("us-federal"), Decimal("1.5"))
    'Net Wt. 24 oz. (1 lb. 8 oz.)'
    """
    if not net.is_finite() or net <= 0:
        raise InputError("net", net, _("A net weight is more than zero."))
    ounces, rules = net * _OZ_PER_LB, profile.label
    if net < _in_lb(rules.ounces_only_below):
        return f"Net Wt. {_plain(ounces)} oz."
    if net < _in_lb(rules.dual_below):
        pounds, rest = divmod(ounces, _OZ_PER_LB)
        second = f"{pounds} lb." if rest == 0 else f"{pounds} lb. {_plain(rest)} oz."
        return f"Net Wt. {_plain(ounces)} oz. ({second})"
    return f"Net Wt. {_plain(net)} lb."


def type_height(profile: Profile, panel_m2: float) -> Limit:
    """Say how tall the letters of the net weight must be.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    panel_m2 : float
        Area of the main panel [m2].

    Returns
    -------
    Limit
        Smallest height.

    Raises
    ------
    InputError
        If the area is not positive.

    Notes
    -----
    Random-weight packs sold at retail are spared the height if the weight is plain to see.

    References
    ----------
    9 CFR 381.121(c)(3).
    """
    if not panel_m2 > 0:
        raise InputError("panel_m2", panel_m2, _("Give the area of the label's main panel."))
    area = round(panel_m2, _AREA_DECIMALS)
    for row in profile.label.net_weight_heights:
        if row.up_to is None or area <= round(row.up_to.si, _AREA_DECIMALS):
            return row.height
    raise InputError("panel_m2", panel_m2, _("These rules have no letter height for this panel."))


def _in_lb(limit: Limit) -> Decimal:
    return Decimal(repr(limit.value)) * _LB_PER_UNIT[limit.unit]


def _plain(number: Decimal) -> str:
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _check_division(division: Decimal) -> None:
    if not division.is_finite() or division <= 0:
        raise InputError("division", division, _("The division of a scale is more than zero."))
