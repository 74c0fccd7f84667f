import dataclasses

import pytest

from pinfeather.day import plan as plans
from pinfeather.day.plan import DayPlan, Number, Stretch, Thread
from pinfeather.estimate import Basis, Origin

PARTS = [
    getattr(plans, name)
    for name in (
        "Thread",
        "SizeClassPlan",
        "StationPlan",
        "Stretch",
        "PersonPlan",
        "Number",
        "SanitiserPlan",
        "DayPlan",
    )
]


def test_a_plan_cannot_be_changed_once_it_is_made(day_plan):
    with pytest.raises(dataclasses.FrozenInstanceError):
        day_plan.birds = 7
    with pytest.raises(dataclasses.FrozenInstanceError):
        day_plan.threads[0].lot = "X"


@pytest.mark.parametrize("part", PARTS, ids=lambda part: part.__name__)
def test_every_part_of_a_plan_is_a_plain_value_that_explains_its_fields(part):
    assert dataclasses.is_dataclass(part)
    for field in dataclasses.fields(part):
        assert field.name in (part.__doc__ or "")


def test_equal_parts_are_equal():
    basis = Basis(Origin.TYPED, "typed")
    assert Number("a", "1", "", basis) == Number("a", "1", "", basis)
    assert Stretch(("draw",), 0.0, 1.0) != Stretch(("draw",), 0.0, 2.0)
    never = (None,)
    assert Thread("A7", "East tank", 2.0, never, never, never, never).start_s == (None,)


def test_a_plan_of_the_example_day_fills_every_field_but_the_farms_own_times(day_plan):
    for field in dataclasses.fields(DayPlan):
        if field.name not in {"own_times", "practised"}:
            assert getattr(day_plan, field.name) not in (None, (), {}, ""), field.name
