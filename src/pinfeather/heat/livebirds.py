"""Heat on live birds before slaughter: when market broilers are in danger."""

from __future__ import annotations

from typing import Final

from pinfeather.errors import OutOfRangeError
from pinfeather.words import gettext as _

_SPEEDS_M_PER_S: Final = (0.2, 1.2)
_DRY_DEGC: Final = (35.0, 41.0)
_SLACK: Final = 1e-9


def heat_index_degC(dry_degC: float, wet_degC: float, *, air_m_per_s: float) -> float:
    """Return the temperature, humidity and air speed that a market broiler feels, as one number.

    Parameters
    ----------
    dry_degC : float
        Air temperature, 35 to 41 [degC].
    wet_degC : float
        Wet-bulb temperature [degC].
    air_m_per_s : float
        Air speed at the birds, 0.2 to 1.2 [m/s].

    Returns
    -------
    float
        Temperature-humidity-velocity index [degC].

    Raises
    ------
    OutOfRangeError
        Outside the air and speeds of the experiment.

    Notes
    -----
    For broilers of 2.8 kg, 46 days old.

    References
    ----------
    Tao and Xin (2003), Transactions of the ASAE 46, 491.

    Examples
    --------
    >>> round(heat_index_degC(35.0, 23.94, air_m_per_s=0.2), 1)
    36.6
    """
    if not _DRY_DEGC[0] - _SLACK <= dry_degC <= _DRY_DEGC[1] + _SLACK:
        raise OutOfRangeError(
            "dry_degC", dry_degC, _("Studied from 35 °C to 41 °C (95 °F to 106 °F) only.")
        )
    if not _SPEEDS_M_PER_S[0] - _SLACK <= air_m_per_s <= _SPEEDS_M_PER_S[1] + _SLACK:
        raise OutOfRangeError("air_m_per_s", air_m_per_s, _("Studied from 0.2 to 1.2 m/s only."))
    if not wet_degC <= dry_degC:
        raise OutOfRangeError("wet_degC", wet_degC, _("A wet bulb is never above the dry one."))
    return float((0.85 * dry_degC + 0.15 * wet_degC) * air_m_per_s**-0.058)
