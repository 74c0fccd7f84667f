"""How fast bacteria multiply at a temperature, as published, each in its own unit."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final, Literal, TypeAlias

import numpy as np
import numpy.typing as npt

from pinfeather.errors import InputError, OutOfRangeError
from pinfeather.hygiene.rates import FloatArray, GenerationRate, LnRate, Log10Rate
from pinfeather.hygiene.tables import table
from pinfeather.units import SECONDS_PER_HOUR
from pinfeather.words import gettext as _

Form: TypeAlias = Literal[
    "square root", "extended square root", "modified square root", "cardinal", "none"
]
# Typical of a carcass surface. Status: unverified.
CARCASS_PH: Final = 6.5
CARCASS_WATER_ACTIVITY: Final = 0.993
CARCASS_LACTATE_MM: Final = 51.7


@dataclass(frozen=True, slots=True)
class GrowthModel:
    """One published growth rate against temperature.

    Parameters
    ----------
    code : str
        Stable name.
    name : str
        The bacterium, in words.
    form : str
        Which formula.
    unit : str
        What the published rate counts per hour: ``"log10"``, ``"ln"`` or ``"generations"``.
    scale : float
        Slope of the root, or the rate at the optimum for the cardinal form [published unit].
    shape : float
        Curvature near the upper limit [1/K]; 0 where the form has none.
    min_degC : float
        No growth at or below [degC].
    max_degC : float
        No growth at or above [degC].
    opt_degC : float
        Fastest growth, cardinal form only, otherwise not a number [degC].
    fitted_degC : tuple of float
        Lowest and highest temperature the data reached [degC].
    h0 : float or None
        Work to be done before growth starts, rate x lag [ln units]; None where not known.
    citation : str
        Publication.
    status : str
        How the coefficients are known.
    note : str
        What to know before using it.
    """

    code: str
    name: str
    form: Form
    unit: Literal["log10", "ln", "generations"]
    scale: float
    shape: float
    min_degC: float
    max_degC: float
    opt_degC: float
    fitted_degC: tuple[float, float]
    h0: float | None
    citation: str
    status: str
    note: str

    def rate(self, temp_degC: npt.ArrayLike) -> Log10Rate:
        """Return the growth rate in tenfolds; zero at and beyond the growth limits.

        Parameters
        ----------
        temp_degC : array_like
            Temperatures, any shape [degC].

        Returns
        -------
        Log10Rate
            Same shape.
        """
        per_s = _published(self, np.asarray(temp_degC, dtype=np.float64)) / SECONDS_PER_HOUR
        if self.unit == "ln":
            return LnRate(per_s).as_log10()
        if self.unit == "generations":
            return GenerationRate(per_s).as_log10()
        return Log10Rate(per_s)


def growth_model(code: str) -> GrowthModel:
    """Return a published model by its name.

    Parameters
    ----------
    code : str
        One of :func:`model_codes`; ``"salmonella_oscar_2002"`` is the recommended one.

    Returns
    -------
    GrowthModel
        E. coli and Pseudomonas for a typical carcass surface; see :func:`ecoli_model` and
        :func:`pseudomonas_model` for other meat.

    Raises
    ------
    InputError
        If there is no such model.

    References
    ----------
    Each model carries its own.
    """
    if code == "ecoli_ross_2003":
        return ecoli_model()
    if code == "pseudomonas_neumeyer_1997":
        return pseudomonas_model()
    if code not in table("growth")["models"]:
        raise InputError("code", code, _("There is no growth model of that name."))
    return _as_published(code)


def model_codes() -> tuple[str, ...]:
    """List the models there are.

    Returns
    -------
    tuple of str
        Names for :func:`growth_model`.

    References
    ----------
    The packaged table ``growth``.
    """
    return tuple(table("growth")["models"])


def ecoli_model(
    *,
    ph: float = CARCASS_PH,
    water_activity: float = CARCASS_WATER_ACTIVITY,
    lactate_mM: float = CARCASS_LACTATE_MM,
) -> GrowthModel:
    """Return the E. coli model for meat of a given acidity, dryness and lactate.

    Parameters
    ----------
    ph : float
        pH of the surface [pH].
    water_activity : float
        Water activity of the surface [fraction].
    lactate_mM : float
        Lactate in the meat's water [millimole per litre].

    Returns
    -------
    GrowthModel
        In generations per hour.

    Raises
    ------
    OutOfRangeError
        If a value lies outside the data of the paper.

    Notes
    -----
    Fitted to 7.63 to 47.43 degC, water activity 0.951 to 0.999, pH 4.02 to 8.28 and lactate up to
    500 mM. The coefficients are **unverified**.

    References
    ----------
    Ross, Ratkowsky, Mellefont and McMeekin (2003), International Journal of Food Microbiology
    82:33-43, in the form of the published notes on the refrigeration index.
    """
    row = table("growth")["models"]["ecoli_ross_2003"]["carcass"]
    for name, value in (
        ("ph", ph),
        ("water_activity", water_activity),
        ("lactate_mM", lactate_mM),
    ):
        low, high = row[f"fitted_{name}"]
        if not low <= value <= high:
            raise OutOfRangeError(
                name,
                value,
                _("The E. coli model was fitted from {low:g} to {high:g} only.").format(
                    low=low, high=high
                ),
            )
    undissociated = lactate_mM / (row["undissociated_min_mM"] * (1 + 10 ** (ph - row["pKa"])))
    dissociated = lactate_mM / (row["dissociated_min_mM"] * (1 + 10 ** (row["pKa"] - ph)))
    factor = (
        (water_activity - row["water_activity_min"])
        * (1 - 10 ** (row["ph_min"] - ph))
        * (1 - 10 ** (ph - row["ph_max"]))
        * max(1 - undissociated, 0.0)
        * max(1 - dissociated, 0.0)
    )
    model = _as_published("ecoli_ross_2003")
    return replace(model, scale=model.scale * math.sqrt(factor))


def pseudomonas_model(*, water_activity: float = CARCASS_WATER_ACTIVITY) -> GrowthModel:
    """Return the spoilage Pseudomonas model for meat of a given dryness.

    Parameters
    ----------
    water_activity : float
        Water activity of the surface [fraction].

    Returns
    -------
    GrowthModel
        In generations per hour.

    Raises
    ------
    OutOfRangeError
        If the water activity is at or below the growth limit, or above 1.

    References
    ----------
    Neumeyer, Ross and McMeekin (1997), International Journal of Food Microbiology 38:45-54.
    """
    limit = table("growth")["models"]["pseudomonas_neumeyer_1997"]["water_activity_min"]
    if not limit < water_activity <= 1:
        raise OutOfRangeError(
            "water_activity",
            water_activity,
            _("The model needs a water activity above {limit:g} and at most 1.").format(
                limit=limit
            ),
        )
    model = _as_published("pseudomonas_neumeyer_1997")
    return replace(model, scale=model.scale * math.sqrt(water_activity - limit))


def cardinal_rate(
    temp_degC: FloatArray, *, best: float, min_degC: float, opt_degC: float, max_degC: float
) -> FloatArray:
    """Evaluate the cardinal temperature formula.

    Parameters
    ----------
    temp_degC : ndarray
        Temperatures, any shape [degC].
    best : float
        Rate at the optimum [any unit].
    min_degC, opt_degC, max_degC : float
        Lower limit, optimum and upper limit of growth [degC].

    Returns
    -------
    ndarray
        Rate [unit of ``best``]; zero at and outside the limits.

    References
    ----------
    Rosso L, Lobry JR, Flandrois JP (1993), Journal of Theoretical Biology 162:447-463.
    """
    t = np.clip(temp_degC, min_degC, max_degC)
    span = opt_degC - min_degC
    below = span * (span * (t - opt_degC) - (opt_degC - max_degC) * (opt_degC + min_degC - 2 * t))
    # clipping to the limits makes the numerator zero there; the denominator never is
    return np.asarray(best * (t - max_degC) * (t - min_degC) ** 2 / below, dtype=np.float64)


def _published(model: GrowthModel, temp_degC: FloatArray) -> FloatArray:
    """Rate in the published unit per hour."""
    if model.form == "none":
        return np.zeros_like(temp_degC)
    if model.form == "cardinal":
        return cardinal_rate(
            temp_degC,
            best=model.scale,
            min_degC=model.min_degC,
            opt_degC=model.opt_degC,
            max_degC=model.max_degC,
        )
    above_K = np.maximum(temp_degC - model.min_degC, 0.0)
    root = model.scale * above_K
    if model.form == "square root":
        return np.asarray(root * root, dtype=np.float64)
    slowing = -np.expm1(np.minimum(model.shape * (temp_degC - model.max_degC), 0.0))
    if model.form == "modified square root":
        return np.asarray(root * root * slowing, dtype=np.float64)
    root = root * slowing
    return np.asarray(root * root, dtype=np.float64)


def _as_published(code: str) -> GrowthModel:
    row: Mapping[str, Any] = table("growth")["models"][code]
    scale = math.sqrt(row["scale_squared"]) if "scale_squared" in row else row.get("scale", 0.0)
    low, high = row["fitted_degC"]
    return GrowthModel(
        code=code,
        name=row["name"],
        form=row["form"],
        unit=row["unit"],
        scale=scale,
        shape=row.get("shape", 0.0),
        min_degC=row["min_degC"],
        max_degC=row["max_degC"],
        opt_degC=row.get("opt_degC", math.nan),
        fitted_degC=(low, high),
        h0=row.get("h0"),
        citation=row["citation"],
        status=row["status"],
        note=row["note"],
    )
