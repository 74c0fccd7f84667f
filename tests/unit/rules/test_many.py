"""A year of birds at once gives what the rules say bird by bird."""

import dataclasses

import numpy as np
import pytest

from pinfeather.errors import InputError
from pinfeather.rules.chill import chill_findings, giblet_findings
from pinfeather.rules.cold import freeze_findings, hold_findings
from pinfeather.rules.many import BirdTable, judge_birds
from pinfeather.rules.profile import available, load
from pinfeather.rules.sale import sale_findings

LB, HOUR = 0.45359237, 3600.0


def table(rng, n):
    """Half of the numbers lie on a published limit itself."""

    def near(limits, low, high):
        return np.where(rng.random(n) < 0.5, rng.choice(limits, n), rng.uniform(low, high, n))

    return BirdTable(
        kind=rng.choice(["chicken", "turkey", "quail"], n),
        mass_kg=near([4 * LB, 8 * LB, 64 * LB / 16], 1.0, 5.0),
        carcass_degC=near([(40 - 32) / 1.8, (45 - 32) / 1.8], 1.0, 9.0),
        since_start_s=near([4 * HOUR, 6 * HOUR, 8 * HOUR], 0.0, 9 * HOUR),
        giblets_degC=near([(40 - 32) / 1.8], 1.0, 9.0),
        since_drawn_s=near([HOUR, 2 * HOUR], 0.0, 3 * HOUR),
        hold_degC=near([(36 - 32) / 1.8, (40 - 32) / 1.8], 0.0, 9.0),
        held_s=near([24 * HOUR, 48 * HOUR], 0.0, 80 * HOUR),
        centre_degC=near([-32 / 1.8], -25.0, -10.0),
        in_freezer_s=near([72 * HOUR], 0.0, 100 * HOUR),
        buyer=rng.choice(["household", "restaurant", "retail_store"], n),
        venue=rng.choice(["farm", "farmers_market", "shop"], n),
        form=rng.choice(["whole", "parts"], n),
        leaves_state=rng.random(n) < 0.2,
    )


def singly(profile, tier, birds, n):
    return {
        f.code
        for f in (
            *chill_findings(
                profile,
                mass_kg=float(birds.mass_kg[n]),
                temperature_degC=float(birds.carcass_degC[n]),
                since_start_s=float(birds.since_start_s[n]),
            ),
            *giblet_findings(
                profile,
                temperature_degC=float(birds.giblets_degC[n]),
                since_drawn_s=float(birds.since_drawn_s[n]),
            ),
            *hold_findings(
                profile,
                temperature_degC=float(birds.hold_degC[n]),
                held_s=float(birds.held_s[n]),
            ),
            *freeze_findings(
                profile,
                centre_degC=float(birds.centre_degC[n]),
                in_freezer_s=float(birds.in_freezer_s[n]),
            ),
            *sale_findings(
                profile,
                tier,
                buyer=str(birds.buyer[n]),
                venue=str(birds.venue[n]),
                form=str(birds.form[n]),
                leaves_state=bool(birds.leaves_state[n]),
            ),
        )
    }


@pytest.mark.parametrize("profile_id", [summary.profile_id for summary in available()])
def test_every_bird_gets_what_it_gets_alone(profile_id):
    birds, profile = table(np.random.default_rng(5), 150), load(profile_id)
    found = judge_birds(profile, "producer_1000", birds)
    for n in range(150):
        at_once = {code for code, flags in found.items() if flags[n] and code != "count.over_cap"}
        assert at_once == singly(profile, "producer_1000", birds, n), n


def test_the_cap_is_passed_at_the_bird_that_passes_it():
    few = table(np.random.default_rng(6), 1002)
    birds = dataclasses.replace(few, kind=np.full(1002, "chicken"))
    over = judge_birds(load("us-federal"), "producer_1000", birds)["count.over_cap"]
    assert (over.sum(), bool(over[999]), bool(over[1000])) == (2, False, True)
    quail = dataclasses.replace(few, kind=np.full(1002, "quail"))
    assert not judge_birds(load("us-federal"), "producer_1000", quail)["count.over_cap"].any()
    turkeys = dataclasses.replace(few, kind=np.full(1002, "turkey"))
    assert judge_birds(load("us-ny"), "producer_1000", turkeys)["count.over_cap"][250:].all()


@pytest.mark.parametrize(
    ("name", "value"), [("mass_kg", 0.0), ("held_s", -1.0), ("carcass_degC", np.nan)]
)
def test_numbers_that_mean_nothing_are_refused(name, value):
    few = table(np.random.default_rng(7), 3)
    with pytest.raises(InputError):
        judge_birds(
            load("us-federal"),
            "producer_1000",
            dataclasses.replace(few, **{name: np.full(3, value)}),
        )
    with pytest.raises(InputError, match="one entry"):
        judge_birds(
            load("us-federal"), "producer_1000", dataclasses.replace(few, **{name: np.ones(2)})
        )


def test_no_birds_have_no_findings():
    none = table(np.random.default_rng(8), 0)
    found = judge_birds(load("us-wa"), "producer_1000", none)
    assert not any(flags.any() for flags in found.values())
