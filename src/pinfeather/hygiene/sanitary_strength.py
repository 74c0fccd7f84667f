"""The strength a shop's sanitiser is mixed to, from the rules in force and the product at hand."""

from __future__ import annotations

from dataclasses import dataclass

from pinfeather.errors import InputError, InputFaultsError
from pinfeather.hygiene.dilution import Dilution, dilute
from pinfeather.quantity import show
from pinfeather.rules.limit import Limit
from pinfeather.rules.model import Profile, Sanitiser, StrengthBand
from pinfeather.rules.sanitiser import Surface
from pinfeather.units import to_si
from pinfeather.words import gettext as _

STOCK_DOSED = ("chlorine",)
"""Chemicals whose label strength is a plain percentage that a dose can be worked out from."""


@dataclass(frozen=True, slots=True)
class Mix:
    """What a shop mixes, and how much of it at once.

    Parameters
    ----------
    chemical : str
        Code of a sanitiser of the rules in force.
    stock_frac : float or None
        Strength on the product's label; None where the label gives the dose itself [fraction].
    target_frac : float
        Strength wanted [fraction, 1e-6 = 1 ppm].
    volume_m3 : float
        One mix [m3].
    volume_text : str
        The same as it was written; empty where it was not.
    """

    chemical: str
    stock_frac: float | None
    target_frac: float
    volume_m3: float
    volume_text: str = ""


@dataclass(frozen=True, slots=True)
class WorkingStrength:
    """The strength for one sort of surface.

    Parameters
    ----------
    chemical : Sanitiser
        Its limits.
    surface : str
        ``"dipped"`` or ``"fixed"``.
    least_frac, target_frac, most_frac : float
        Weakest that serves, what is mixed, strongest without a rinse [fraction].
    band : StrengthBand
        The row of the table of least strength that is kept to.
    dose : Dilution or None
        What to measure; None where the product's label gives the dose.
    volume_text : str
        How much is mixed at once, for people.
    citation, status : str
        Source of the least strength.
    """

    chemical: Sanitiser
    surface: Surface
    least_frac: float
    target_frac: float
    most_frac: float
    band: StrengthBand
    dose: Dilution | None
    volume_text: str
    citation: str
    status: str

    @property
    def contact(self) -> Limit | None:
        """How long it stays wet; None where only the label says."""
        return self.band.contact

    @property
    def text(self) -> str:
        """Strength, dose, contact and warmth in one sentence for a step."""
        parts = [
            _("{target} of {chemical}").format(
                target=_ppm(self.target_frac), chemical=self.chemical.name
            )
        ]
        if self.dose is not None:
            parts.append(
                _("{ml} ({spoons}) in {volume}").format(
                    ml=self.dose.measures[0],
                    spoons=self.dose.measures[1],
                    volume=self.volume_text,
                )
            )
        else:
            parts.append(_("measured as the product’s label says"))
        parts.append(
            _("wet for at least {time}").format(time=self.contact)
            if self.contact
            else _("wet as long as the label says")
        )
        if self.band.min_temperature is not None:
            parts.append(_("water at least {warm}").format(warm=self.band.min_temperature))
        parts.append(
            _("strip between {least} and {most}").format(
                least=_ppm(self.least_frac), most=_ppm(self.most_frac)
            )
        )
        return "; ".join(parts)


def working_strength(profile: Profile, mix: Mix, surface: Surface) -> WorkingStrength:
    """Say what strength a surface needs and how to mix it.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    mix : Mix
        The product at hand and the strength wanted.
    surface : str
        ``"dipped"``, or ``"fixed"`` for equipment that is rinsed, sprayed or swabbed.

    Returns
    -------
    WorkingStrength
        For fixed equipment the target is raised to what such equipment needs, never past the
        strongest that may stay without a rinse.

    Raises
    ------
    InputFaultsError
        If the chemical is unknown, or a strength lies outside what the rules allow.

    Notes
    -----
    The product's label comes before every number here.

    References
    ----------
    9 CFR 381.10(e)(3)(i)(E); 40 CFR 180.940; FDA Food Code 4-501.114; each number in the profile
    carries its own.
    """
    found = profile.sanitation.sanitisers.get(mix.chemical)
    if found is None:
        known = ", ".join(one.name for one in profile.sanitation.sanitisers.values())
        raise InputFaultsError(
            [InputError("chemical", mix.chemical, _("Choose one of: {known}.").format(known=known))]
        )
    code = profile.sanitation.yardstick
    table = found.yardsticks.get(code) or next(iter(found.yardsticks.values()), None)
    if table is None:
        raise InputFaultsError(
            [InputError("chemical", mix.chemical, _("These rules give no strength for it."))]
        )
    factor = table.fixed_factor.si if surface == "fixed" and table.fixed_factor else 1.0
    reached = [b for b in table.bands if b.strength.si <= mix.target_frac] or list(table.bands[:1])
    band = max(reached, key=lambda b: (b.strength.si, -_warmth(b)))
    least_frac = min(b.strength.si for b in table.bands) * factor
    most_frac = found.most.si
    faults = []
    if not min(b.strength.si for b in table.bands) <= mix.target_frac <= most_frac:
        faults.append(
            InputError(
                "target",
                mix.target_frac,
                _("{chemical}: write a strength from {least} to {most}.").format(
                    chemical=found.name, least=table.bands[0].strength, most=found.most
                ),
            )
        )
    if mix.stock_frac is not None and not mix.target_frac < mix.stock_frac < 1:
        faults.append(
            InputError(
                "product", mix.stock_frac, _("The product is stronger than the mix made from it.")
            )
        )
    if not mix.volume_m3 > 0:
        faults.append(InputError("volume", mix.volume_m3, _("Say how much is mixed at once.")))
    if faults:
        raise InputFaultsError(faults)
    target_frac = min(max(mix.target_frac, least_frac), most_frac)
    dose = None
    if mix.stock_frac is not None and mix.chemical in STOCK_DOSED:
        dose = dilute(
            stock_frac=mix.stock_frac,
            target_frac=target_frac,
            volume_m3=mix.volume_m3,
            max_frac=most_frac,
        )
    return WorkingStrength(
        chemical=found,
        surface=surface,
        least_frac=least_frac,
        target_frac=target_frac,
        most_frac=most_frac,
        band=band,
        dose=dose,
        volume_text=mix.volume_text or show(mix.volume_m3, "gal", "volume", decimals=1),
        citation=band.strength.citation,
        status=band.strength.status,
    )


def _warmth(band: StrengthBand) -> float:
    return band.min_temperature.si if band.min_temperature else 0.0


def _ppm(strength_frac: float) -> str:
    return f"{round(strength_frac / to_si(1, 'ppm', 'strength'), 6):g}\u202fppm"
