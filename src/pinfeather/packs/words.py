"""Words on a label that follow from how cold the bird has been and how much water it took up."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from typing import Literal

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.rules.limit import Limit
from pinfeather.rules.model import Profile
from pinfeather.words import gettext as _

Word = Literal["fresh", "no word", "frozen"]


@dataclass(frozen=True, slots=True)
class TemperatureWord:
    """The word that fits the coldest the product has been.

    Parameters
    ----------
    word : str
        ``"fresh"`` (may be said), ``"no word"`` (none is due, and not "fresh") or ``"frozen"``
        (must be said, unless the handling statement says it).
    limit : Limit
        The limit that decided.
    """

    word: Word
    limit: Limit


def temperature_word(profile: Profile, coldest_degC: float) -> TemperatureWord:
    """Say whether a bird may be called fresh, must be called frozen, or neither.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    coldest_degC : float
        Coldest the inside has ever been [degC].

    Returns
    -------
    TemperatureWord
        The word and the limit behind it.

    Raises
    ------
    InputError
        If it is not a temperature.

    References
    ----------
    9 CFR 381.129(b)(6).
    """
    if not math.isfinite(coldest_degC):
        raise InputError("coldest_degC", coldest_degC, _("Give the coldest temperature."))
    rules = profile.freezing
    if coldest_degC <= rules.frozen_at.si:
        return TemperatureWord("frozen", rules.frozen_at)
    if coldest_degC < rules.fresh_above.si:
        return TemperatureWord("no word", rules.fresh_above)
    return TemperatureWord("fresh", rules.fresh_above)


def fresh_findings(
    profile: Profile, readings_degC: Sequence[float], *, in_official_plant: bool = False
) -> tuple[Finding, ...]:
    """Judge readings of packages that are called fresh.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    readings_degC : sequence of float
        Internal temperatures, one per package, shape (n,) [degC].
    in_official_plant : bool
        Whether they were read inside an inspected plant, where less is tolerated.

    Returns
    -------
    tuple of Finding
        Packages that are too cold, and an average that is.

    Raises
    ------
    InputError
        If there is no reading.

    Notes
    -----
    One reading is judged by the tolerance for a single package only; the average of two or more
    by the limit itself as well.

    References
    ----------
    9 CFR 381.129(b)(6)(i).
    """
    if not readings_degC or not all(math.isfinite(r) for r in readings_degC):
        raise InputError("readings_degC", tuple(readings_degC), _("Give at least one reading."))
    rules = profile.freezing
    single = (
        rules.fresh_single_reading_in_plant if in_official_plant else rules.fresh_single_reading
    )
    found = [
        _finding(
            "fresh.package",
            _("Package {number} is colder than {limit} and may not be called fresh.").format(
                number=i + 1, limit=single
            ),
            measured=reading,
            limit=single,
        )
        for i, reading in enumerate(readings_degC)
        if reading < single.si
    ]
    mean = math.fsum(readings_degC) / len(readings_degC)
    if len(readings_degC) > 1 and mean < rules.fresh_above.si:
        found.append(
            _finding(
                "fresh.lot",
                _("The lot averages below {limit} and may not be called fresh.").format(
                    limit=rules.fresh_above
                ),
                measured=mean,
                limit=rules.fresh_above,
            )
        )
    return tuple(found)


def _finding(code: str, sentence: str, *, measured: float, limit: Limit) -> Finding:
    return Finding(
        code=code,
        severity=Severity.STOP,
        sentence=sentence,
        reason=_("Take the word off the label."),
        where="label",
        measured=measured,
        limit=limit.si,
        unit="degC",
        citation=limit.citation,
        status=limit.status,
    )


def retained_water_percent(before_kg: float, packed_kg: float) -> float:
    """Return how much water a bird has taken up in chilling.

    Parameters
    ----------
    before_kg : float
        Weight before chilling [kg].
    packed_kg : float
        Weight as packed [kg].

    Returns
    -------
    float
        Share of the weight before chilling; negative for a loss [%].

    Raises
    ------
    InputError
        If a weight is not positive.

    References
    ----------
    9 CFR 441.10.

    Examples
    --------
    >>> round(retained_water_percent(4.00, 4.22), 2)
    5.5
    """
    for name, value in (("before_kg", before_kg), ("packed_kg", packed_kg)):
        if not (math.isfinite(value) and value > 0):
            raise InputError(name, value, _("A weight must be more than zero."))
    return (packed_kg / before_kg - 1.0) * 100.0


def retained_water_statement(percent: float) -> str:
    """Write the statement for retained water.

    Parameters
    ----------
    percent : float
        Largest share measured [%].

    Returns
    -------
    str
        With the next whole percent up, or that none was retained.

    Raises
    ------
    InputError
        If it is not a number.

    Notes
    -----
    Binds product in commerce and inspected plants; a fair seller measures it all the same, for
    water added as weight is adulteration.

    References
    ----------
    9 CFR 441.10(b); 21 U.S.C. 453(g)(8).

    Examples
    --------
    >>> retained_water_statement(5.5)
    'up to 6% retained water'
    """
    if not math.isfinite(percent):
        raise InputError("percent", percent, _("Give a percentage."))
    if percent <= 0:
        return "no water retained"
    # the ninth figure is the noise of the division, not water
    whole = Decimal(round(percent, 9)).to_integral_value(ROUND_CEILING)
    return f"up to {whole}% retained water"


def retained_water_findings(stated_percent: float, measured_percent: float) -> tuple[Finding, ...]:
    """Compare the statement on the label with what was measured.

    Parameters
    ----------
    stated_percent : float
        On the label [%].
    measured_percent : float
        Largest share measured [%].

    Returns
    -------
    tuple of Finding
        A stop when the label says too little.

    References
    ----------
    9 CFR 441.10(b).
    """
    if measured_percent <= stated_percent:
        return ()
    return (
        Finding(
            code="water.understated",
            severity=Severity.STOP,
            sentence=_(
                "The label says up to {stated:g} % water; {measured:.1f} % was measured."
            ).format(stated=stated_percent, measured=measured_percent),
            reason=_("Print the higher figure, or drain the birds longer."),
            where="label",
            measured=measured_percent,
            limit=stated_percent,
            unit="%",
            citation="9 CFR 441.10(b)",
            status="read",
        ),
    )
