"""Whether cutting birds up pays for its labour, and what the parts must bring for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from pinfeather.errors import InputError, InputFaultsError
from pinfeather.money.cents import Exact, half_up
from pinfeather.money.price import rounded_up
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class Part:
    """A part cut from a bird.

    Parameters
    ----------
    name : str
        What it is called.
    share_frac : Decimal
        Its share of the dressed bird [1].
    price_cents_per_lb : int
        What a pound of it brings; zero for what is thrown away [cents/lb].
    """

    name: str
    share_frac: Exact
    price_cents_per_lb: int


@dataclass(frozen=True, slots=True)
class CutUp:
    """Whether cutting a bird up pays for its labour.

    Parameters
    ----------
    whole_cents : int
        What the whole bird brings [cents].
    parts_cents : int
        What its parts bring [cents].
    work_cents : int
        Labour and bags for cutting up [cents].
    gain_cents : int
        Parts less whole less work; above zero it pays [cents].
    pay_cents_per_h : int or None
        What the hours of cutting earn [cents/h].
    needed_cents : tuple of (str, int)
        What each part would have to bring a pound, all raised alike, for it to pay [cents].
    left_frac : Fraction
        Share of the bird that is in none of the parts [1].
    """

    whole_cents: int
    parts_cents: int
    work_cents: int
    gain_cents: int
    pay_cents_per_h: int | None
    needed_cents: tuple[tuple[str, int], ...]
    left_frac: Fraction


def cut_up(
    parts: Sequence[Part],
    *,
    bird_lb: Exact,
    whole_cents_per_lb: int,
    hours: Exact,
    pay_cents_per_h: int,
    bags_cents: int = 0,
    step_cents: int = 5,
) -> CutUp:
    """Say whether cutting birds up pays for its labour, and what the parts must bring for it.

    Parameters
    ----------
    parts : sequence of Part
        Shares add up to no more than one.
    bird_lb : Decimal
        A dressed bird [lb].
    whole_cents_per_lb : int
        What a pound of whole bird brings [cents/lb].
    hours : Decimal
        Time to cut up and pack one bird [h].
    pay_cents_per_h : int
        Pay for it [cents/h].
    bags_cents : int
        Bags and labels more than for a whole bird [cents].
    step_cents : int
        Prices end on a multiple of this [cents].

    Returns
    -------
    CutUp
        The joint cost of the bird does not enter: it is spent either way.

    Raises
    ------
    InputFaultsError
        If a number is below zero, or shares add up to more than the bird.

    References
    ----------
    Horngren, Datar and Rajan, *Cost Accounting* (14th ed., 2012), chapter 16: sell-or-process-
    further decisions (unverified).
    """
    faults = []
    whole_share = sum((Fraction(one.share_frac) for one in parts), Fraction(0))
    if whole_share > 1:
        faults.append(InputError("parts", None, _("The parts are more than the bird.")))
    if not parts or any(one.share_frac <= 0 or one.price_cents_per_lb < 0 for one in parts):
        faults.append(InputError("parts", None, _("Each part has a share and a price.")))
    if bird_lb <= 0:
        faults.append(InputError("bird_lb", bird_lb, _("A bird weighs something.")))
    if min(hours, whole_cents_per_lb, pay_cents_per_h, bags_cents) < 0:
        faults.append(InputError("hours", hours, _("Hours, prices and bags are zero or more.")))
    if faults:
        raise InputFaultsError(faults)
    bird = Fraction(bird_lb)
    whole = bird * whole_cents_per_lb
    brings = sum(
        (Fraction(one.share_frac) * bird * one.price_cents_per_lb for one in parts), Fraction(0)
    )
    work = Fraction(hours) * pay_cents_per_h + bags_cents
    raise_by = (whole + work) / brings if brings else Fraction(0)
    needed = tuple(
        (one.name, rounded_up(one.price_cents_per_lb * raise_by, step_cents)) for one in parts
    )
    pay = (brings - whole - bags_cents) / Fraction(hours) if hours else None
    return CutUp(
        half_up(whole),
        half_up(brings),
        half_up(work),
        half_up(brings - whole - work),
        None if pay is None else half_up(pay),
        needed,
        1 - whole_share,
    )
