"""Reading the kinds of bird, the lots there are, brooders and processing days."""

from __future__ import annotations

import datetime as dt
import math
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from pinfeather.errors import InputError
from pinfeather.flock.curves import Curve, Species, curve_from_rows, curve_names, reference_curve
from pinfeather.flock.dressing import dressing_kinds
from pinfeather.flock.forecast import UNWEIGHED_SD
from pinfeather.mapping import MappingReader
from pinfeather.season.asked import SPECIES, Brooder, Kind, ProcessingDay, Standing
from pinfeather.season.prices import dollars_cents
from pinfeather.season.read_dates import dates_in, days_in
from pinfeather.units import SECONDS_PER_DAY, to_si
from pinfeather.words import gettext as _

_DRESSING: Final = {
    "chicken": ("chicken",),
    "turkey": ("tom_turkey", "hen_turkey"),
    "duck": ("duck",),
}
_BROODER_D: Final = {"chicken": "21 d", "turkey": "35 d", "duck": "21 d"}
_PEN_FT2: Final = {"chicken": "2 ft2", "turkey": "8 ft2", "duck": "4 ft2"}
"""Chickens: Certified Naturally Grown, penned and moved daily. Turkeys and ducks: assumed."""
_LONGEST: Final = 5
_MOST_CHICKS: Final = 5000
_GROWTH_LEAST, _GROWTH_MOST = 0.4, 2.0
_UNSURE_MOST: Final = 0.4
_HOUR_MOST_S: Final = to_si(2, "h", "time")


def read_kind(read: MappingReader, *, first: dt.date, last: dt.date) -> Kind | None:
    """Read a kind of bird.

    Parameters
    ----------
    read : MappingReader
        One entry of ``kinds``.
    first, last : datetime.date
        The season.

    Returns
    -------
    Kind or None
        None where something was at fault.

    References
    ----------
    Decision record 0004: one mapping for file, form and store.
    """
    code = read_code(read)
    species: Species = read.choice("species", SPECIES, default="chicken")  # type: ignore[assignment]
    curve = _curve(read, species)
    dressing = read.words("dressing", dressing_kinds()) if read.has("dressing") else []
    ratio, sd = _growth(read, ratio="100 %", sd=f"{100 * UNWEIGHED_SD:g} %")
    hatch = dates_in(read.table("hatch"), first=first, last=last)
    step = read.integer("order_by", low=1, high=_MOST_CHICKS, default=1) or 1
    least = read.integer("order_least", low=1, high=_MOST_CHICKS, default=step) or step
    most = read.integer("order_most", low=1, high=_MOST_CHICKS, default=1000) or 1000
    if most < least:
        read.fault("order_most", most, _("The most is below the least."))
    from_d = days_in(read, "age_from", low=14, high=300)
    until_d = days_in(read, "age_until", low=14, high=300)
    if until_d < from_d:
        read.fault("age_until", read.raw("age_until"), _("The end is before the beginning."))
    found = Kind(
        code=code,
        name=read.text("name") or code,
        species=species,
        curve=curve or reference_curve("nrc_1984"),
        dressing=tuple(dressing) or _DRESSING[species],
        growth_ratio=ratio,
        growth_sd_frac=sd,
        share_male=read.quantity("males", "strength", low=0, high=1, default="50 %"),
        setting=read.choice("losses", ("usual", "pasture"), default="pasture"),  # type: ignore[arg-type]
        arrival_loss_frac=read.quantity(
            "lost_on_arrival", "strength", low=0, high=0.3, default="0 %"
        ),
        chick_cents=dollars_cents(read, "chick_price"),
        hatch_on=hatch,
        step=step,
        least=math.ceil(least / step) * step,
        most=most // step * step,
        ahead_d=days_in(read, "order_ahead", low=0, high=365, default="28 d"),
        travel_d=days_in(read, "travel", low=0, high=5, default="1 d"),
        brooder_d=days_in(read, "brooder_until", low=1, high=90, default=_BROODER_D[species]),
        from_d=from_d,
        until_d=until_d,
        pen_m2=read.quantity(
            "pen_floor", "area", low=0, high=to_si(1000, "ft2", "area"), default=_PEN_FT2[species]
        ),
        lot_cents=whole(dollars_cents(read, "lot_cost", default="$0")),
        bird_cents=whole(dollars_cents(read, "bird_cost", default="$0")),
    )
    return None if read.faults or curve is None else found


def read_code(read: MappingReader) -> str:
    """Read a short code of capital letters and digits.

    Parameters
    ----------
    read : MappingReader
        A table with ``code``.

    Returns
    -------
    str
        The code, or nothing after a fault.

    References
    ----------
    Decision record 0004.
    """
    code = read.text("code", longest=_LONGEST) or ""
    if code and not (code.isascii() and code.isalnum() and code == code.upper()):
        read.fault("code", code, _("A code is 1 to 5 capital letters and digits, such as B3."))
    return code


def whole(cents: Decimal) -> int:
    """Return a sum in whole cents.

    Parameters
    ----------
    cents : Decimal
        The sum.

    Returns
    -------
    int
        Halves away from zero.

    References
    ----------
    Derivation: rounding.
    """
    return int(cents.quantize(Decimal(1), rounding=ROUND_HALF_UP))


def _growth(read: MappingReader, *, ratio: str, sd: str) -> tuple[float, float]:
    return (
        read.quantity("growth", "strength", low=_GROWTH_LEAST, high=_GROWTH_MOST, default=ratio),
        read.quantity("growth_spread", "strength", low=0, high=_UNSURE_MOST, default=sd),
    )


def _curve(read: MappingReader, species: Species) -> Curve | None:
    rows = [
        (
            one.quantity("age", "time", low=0, high=to_si(300, "d", "time")) / SECONDS_PER_DAY,
            one.quantity("weight", "mass", low=0.02, high=40),
        )
        for one in read.tables("weights")
    ]
    if rows:
        read.may_have("curve")
        if read.faults_under("weights"):
            return None
        try:
            return curve_from_rows(read.text("name") or "", rows, species=species)
        except InputError as fault:
            read.fault("weights", len(rows), fault.problem)
            return None
    name = read.choice(
        "curve", curve_names(), default={"chicken": "nrc_1994"}.get(species, species)
    )
    curve = reference_curve(name)
    if curve.species != species:
        read.fault(
            "curve",
            name,
            _("The table “{name}” is of another species; name one that fits.").format(name=name),
        )
        return None
    return curve


def read_brooder(read: MappingReader) -> Brooder | None:
    """Read a brooder.

    Parameters
    ----------
    read : MappingReader
        One entry of ``brooders``.

    Returns
    -------
    Brooder or None
        None where something was at fault.

    References
    ----------
    Decision record 0004.
    """
    floor = read.optional_quantity("floor", "area", low=0.05, high=5000)
    chicks = read.integer("chicks", low=1, high=_MOST_CHICKS, default=0) or None
    if floor is None and chicks is None and not read.faults:
        read.fault("floor", None, _("Write the floor, or how many chicks it holds."))
    found = Brooder(
        read.text("name") or "",
        floor,
        chicks,
        days_in(read, "turn_round", low=0, high=60, default="7 d"),
    )
    return None if read.faults else found


def read_standing(read: MappingReader, kinds: tuple[Kind, ...]) -> Standing | None:
    """Read a lot that is already there.

    Parameters
    ----------
    read : MappingReader
        One entry of ``lots``.
    kinds : tuple of Kind
        Those read before.

    Returns
    -------
    Standing or None
        None where something was at fault.

    References
    ----------
    Decision record 0004.
    """
    code = read_code(read)
    name = read.text("kind") or ""
    kind = next((one for one in kinds if one.code == name), None)
    if kind is None and name:
        read.fault(
            "kind",
            name,
            _("“{value}” is not known here. Use one of: {options}.").format(
                value=name, options=", ".join(one.code for one in kinds)
            ),
        )
    ratio, sd = _growth(
        read,
        ratio=f"{100 * kind.growth_ratio!r} %" if kind else "100 %",
        sd=f"{100 * kind.growth_sd_frac!r} %" if kind else "12 %",
    )
    hatched = read.date("hatched")
    heads = read.integer("heads", low=0, high=_MOST_CHICKS)
    brooder = read.text("brooder", default="") or ""
    if read.faults or hatched is None:
        return None
    return Standing(code, name, hatched, heads or 0, ratio, sd, brooder)


def read_days(read: MappingReader, *, first: dt.date, last: dt.date) -> tuple[ProcessingDay, ...]:
    """Read the days on which birds can be processed.

    Parameters
    ----------
    read : MappingReader
        The table ``days``.
    first, last : datetime.date
        The season.

    Returns
    -------
    tuple of ProcessingDay
        Rising; entries of ``special`` replace or add to the usual ones.

    References
    ----------
    Decision record 0004.
    """
    most_s = to_si(400, "h", "time")
    crew = read.quantity("crew", "time", low=0, high=most_s)
    setup = read.quantity("setup", "time", low=0, high=most_s, default="0 h")
    most = read.integer("most_birds", low=1, high=_MOST_CHICKS, default=0) or None
    cost = whole(dollars_cents(read, "cost", default="$0"))
    usual = dates_in(read, first=first, last=last)
    found = {on: ProcessingDay(on, crew, setup, most, cost) for on in usual}
    for one in read.tables("special"):
        on = one.date("date")
        more = one.optional_quantity("crew", "time", low=0, high=most_s)
        birds = one.integer("most_birds", low=1, high=_MOST_CHICKS, default=0) or most
        dear = whole(dollars_cents(one, "cost", default=f"${cost / 100:.2f}"))
        if on is not None:
            found[on] = ProcessingDay(on, crew if more is None else more, setup, birds, dear)
    return tuple(found[on] for on in sorted(found) if first <= on <= last)
