"""The demo farm's weighing desk: scale, bags, prices, a promise with its paper."""

from __future__ import annotations

import datetime as dt

from pinfeather.actions.desk import scales
from pinfeather.actions.desk import setup as desk_setup

_PRICES = (
    ("Whole chicken", "5.25"),
    ("Half chicken", "5.75"),
    ("Chicken breasts", "9.50"),
    ("Chicken legs", "4.95"),
    ("Chicken wings", "4.50"),
    ("Chicken stock bones", "1.75"),
    ("Chicken livers", "4.00"),
    ("Whole turkey", "4.75"),
    ("Whole duck", "7.50"),
)


def set_up(*, here: dt.datetime) -> None:
    """Write down what the demo farm weighs and labels with."""
    scales.save_scale(
        name="Packing scale",
        capacity="30 lb",
        division="0.01 lb",
        scale_class="III",
        test="5 lb",
        seal="State seal, until May.",
    )
    division_lb = scales.desk_division_lb()
    desk_setup.save_bag("Shrink bag, clip and label", "13 g; 13 g", division_lb=division_lb)
    desk_setup.save_bag("Turkey bag and clip", "20 g; 22 g; 21 g; 21 g; 20 g",
                        division_lb=division_lb)  # fmt: skip
    for number, (name, price) in enumerate(_PRICES, start=101):
        desk_setup.save_product(name=name, item=str(number), reference="", price_per_lb=price)
    desk_setup.save_claim(
        words="Pasture raised: on grass from three weeks",
        paper="Description of pens and pasture",
        on_file=here.date() - dt.timedelta(days=120),
        until=None,
        lot="B3",
    )
