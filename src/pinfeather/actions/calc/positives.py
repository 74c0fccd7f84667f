"""Test results for Salmonella and Campylobacter against the published standards."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pinfeather import clock
from pinfeather.actions.calc.model import Calculation, Given, Input, Json, Result, Row, Source
from pinfeather.actions.calc.wording import percent
from pinfeather.words import gettext as _

if TYPE_CHECKING:
    from pinfeather.hygiene.standards import Standard


def calculations() -> tuple[Calculation, ...]:
    """Return the calculator about pathogen tests."""
    return (_positives(),)


def _known() -> dict[str, Standard]:
    from pinfeather.hygiene.standards import standards

    return {f"{one.product.split()[-2]}-{one.organism}".lower(): one for one in standards()}


def _positives() -> Calculation:
    known = _known()
    return Calculation(
        name="positives",
        title=_("Salmonella and Campylobacter tests"),
        question=_("So many of my samples were positive: is that many?"),
        formula=_(
            "Positives against the most that a set may have. Chance to pass with a true share p of"
            " positive birds: Σ C(n, k) p^k (1 − p)^(n − k), k from 0 to the most allowed."
        ),
        valid_range=_(
            "A yardstick only for an exempt farm: the standards bind inspected plants, by whole"
            " sets of 51 or 56 carcasses. Sampled at random, one laboratory method. A short set"
            " says nothing until it is over."
        ),
        sources=(
            *dict.fromkeys(Source(one.citation, one.status) for one in known.values()),
            Source(_("Binomial distribution"), "derived"),
        ),
        inputs=(
            Input(
                "standard",
                _("Tested"),
                "choice",
                next(iter(known)),
                options=tuple(
                    (
                        code,
                        _("{organism} on a {product}").format(
                            organism=one.organism, product=_(one.product)
                        ),
                    )
                    for code, one in known.items()
                ),
            ),
            Input("positives", _("Positive samples"), "integer", "2"),
            Input(
                "samples",
                _("Samples taken"),
                "integer",
                hint=_("Empty: a whole set of 51 or 56."),
                optional=True,
            ),
            Input(
                "share",
                _("If this share of birds carries it"),
                "percent",
                "10 %",
                hint=_("For the chance to pass."),
            ),
        ),
        run=_run_positives,
        example='--standard chicken-salmonella --positives 2 --samples 51 --share "10 %"',
        cautions=(
            _("Raw birds may carry either: a set that passes makes no bird clean."),
            _("Cook it to 165 °F (74 °C) in the thickest part, by a thermometer."),
            _("Keep raw birds and their drip away from food that is eaten as it is."),
        ),
        aliases={"share_frac": "share"},
    )


def _run_positives(given: Given) -> Result:
    from pinfeather.hygiene.standards import framework_in_force, judge_positives, pass_chance

    standard = _known()[given.word("standard")]
    samples = given.maybe("samples")
    taken = standard.samples if samples is None else round(samples)
    finding = judge_positives(standard, positives=given.whole("positives"), samples=taken)
    chance = pass_chance(
        samples=standard.samples, accept=standard.accept, share_frac=given.number("share")
    )
    values: dict[str, Json] = {
        "positives": given.whole("positives"),
        "n": taken,
        "accept": standard.accept,
        "limit_frac": standard.share_frac,
        "share_frac": given.whole("positives") / taken if taken else None,
        "pass_chance_frac": chance,
        "binds_exempt_farm": False,
    }
    notes = [_("A yardstick: no pathogen standard binds an exempt farm.")]
    if not framework_in_force(clock.now().date()):
        notes.append(
            _(
                "The Salmonella framework proposed on 7 August 2024 was withdrawn on 25 April"
                " 2025; it is not law (90 FR 17344)."
            )
        )
    return Result(
        values,
        (
            Row(
                _("Positive"),
                _("{found} of {taken}").format(found=given.whole("positives"), taken=taken),
                _("at most {accept} of {n} in the standard").format(
                    accept=standard.accept, n=standard.samples
                ),
            ),
            Row(
                _("Chance to pass a set"),
                percent(chance),
                _("if {share} of the birds carry it").format(share=percent(given.number("share"))),
            ),
        ),
        (finding,),
        tuple(notes),
    )
