"""The desk's set-up, cuttings, retained water, scale checks, labels in words."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from pinfeather.actions.day import days, running
from pinfeather.actions.desk import cuttings, packing, retained_water, scales
from pinfeather.actions.desk import labels as package_labels
from pinfeather.actions.desk import setup as desk_setup
from pinfeather.actions.farm import farm
from pinfeather.day.events import Source
from pinfeather.errors import InputFaultsError, RecordConflictError, RecordNotFoundError
from pinfeather.packs.codes import read_store_code
from pinfeather.packs.scale_reports import Shown
from pinfeather.records import models


def weigh(day_id: int, **changed) -> packing.Weighed:
    values = {
        "lot": "K7", "tank": "North tank", "product": "Whole chicken", "gross": "4.55 lb",
        "tare": "0.03 lb", "price_per_lb": "5.50", "birds": None, "who": "Bram",
    }  # fmt: skip
    return packing.weigh(day_id, **{**values, **changed})


def packages(day_id: int):
    return running.day_progress(day_id).packages


def codes(findings) -> set[str]:
    return {finding.code for finding in findings}


def test_a_product_says_itself_what_it_counts_as(running_day):
    for name in ("Whole chicken", "Half chicken", "Half chicken", "Half chicken", "Chicken feet"):
        weigh(running_day, product=name)

    assert [p.birds for p in packages(running_day)] == [1, 1, 0, 1, 0]
    assert running.day_progress(running_day).count("bag") == 3


def test_the_same_weight_sent_twice_is_one_package(running_day):
    more = packing.Particulars(client_id="a" * 32)

    first, second = weigh(running_day, more=more), weigh(running_day, gross="9 lb", more=more)

    assert first == second
    assert len(packages(running_day)) == 1


def test_a_number_is_never_given_twice_not_even_after_the_last_was_taken_back(running_day):
    weigh(running_day)
    last = weigh(running_day)
    packing.take_back(running_day, last.id, "bag tore", who="Bram")

    assert weigh(running_day).number == 3


def test_weighing_again_keeps_the_number_and_the_old_weight_stays_on_record(running_day):
    first = weigh(running_day)
    again = weigh(running_day, gross="4.60 lb", more=packing.Particulars(number=first.number))

    assert again.number == first.number
    (package,) = packages(running_day)
    assert package.net_lb == "4.57"
    (correction,) = running.day_progress(running_day).corrections
    assert correction.of == first.id
    with pytest.raises(RecordNotFoundError):
        weigh(running_day, more=packing.Particulars(number=99))


def test_a_bag_is_taken_for_two_only_when_it_comes_a_moment_later(running_day, monkeypatch):
    weigh(running_day)
    assert packing.just_weighed(running_day, gross="4.55 lb", product="Whole chicken")
    assert packing.just_weighed(running_day, gross="4.56 lb", product="Whole chicken") is None
    later = packages(running_day)[0].at + dt.timedelta(seconds=10)
    monkeypatch.setattr("pinfeather.clock.now", lambda: later)
    assert packing.just_weighed(running_day, gross="4.55 lb", product="Whole chicken") is None


def test_parts_of_a_cutting_carry_every_lot_and_add_no_bird(running_day):
    made = cuttings.start(
        running_day, [Source("K7", "North tank", 2), Source("R2", "North tank", 1)], "14 lb",
        who="Bram",
    )  # fmt: skip
    assert running.day_progress(running_day).count("bag") == 3

    weigh(running_day, lot=f"{packing.CUTTING_PREFIX}{made}", product="Chicken breasts")

    (package,) = packages(running_day)
    assert package.lots == ("K7", "R2")
    assert package.birds == 0
    day = days.day(running_day)
    assert packing.lot_code(day, package) == "2026-06-17 K7 T1, 2026-06-17 R2 T1"
    assert running.day_progress(running_day).count("bag") == 3


def test_a_finished_cutting_is_judged_and_takes_no_more(running_day):
    made = cuttings.start(running_day, [Source("K7", "North tank", 3)], "15 lb", who="Bram")
    weigh(running_day, lot=f"cutting:{made}", product="Chicken breasts", gross="3.03 lb")
    assert cuttings.cuttings(running_day)[0].found.findings == ()

    cuttings.finish(running_day, made, who="Bram")

    (view,) = cuttings.cuttings(running_day)
    assert codes(view.found.findings) == {"yield.off"}
    assert view.found.parts[0].share_frac == pytest.approx(3.0 / 15.0)
    with pytest.raises(InputFaultsError) as told:
        weigh(running_day, lot=f"cutting:{made}")
    assert told.value.faults[0].name == "lot"


@pytest.mark.parametrize(
    ("birds", "weight", "at_fault"),
    [(0, "14 lb", {"sources"}), (2, "", {"written"}), (0, "heavy", {"sources", "written"})],
)
def test_a_cutting_needs_birds_and_a_weight(running_day, birds, weight, at_fault):
    with pytest.raises(InputFaultsError) as told:
        cuttings.start(running_day, [Source("K7", "North tank", birds)], weight, who="")

    assert {fault.name for fault in told.value.faults} == at_fault


def test_the_farms_own_shares_take_over_after_three_cuttings(running_day, day_mapping):
    parts = {"Chicken breasts": "6.03", "Chicken thighs": "3.03", "Chicken drumsticks": "2.03",
             "Chicken wings": "1.53", "Chicken stock bones": "2.03"}  # fmt: skip
    for _ in range(3):
        made = cuttings.start(running_day, [Source("K7", "North tank", 1)], "15 lb", who="")
        for name, gross in parts.items():
            weigh(running_day, lot=f"cutting:{made}", product=name, gross=f"{gross} lb")
        cuttings.finish(running_day, made, who="")

    shares = cuttings.expected_shares()

    assert shares["breast"].value == pytest.approx(6.0 / 15.0)
    assert shares["breast"].basis.origin.value == "own"
    assert cuttings.expected_shares(before_day=running_day)["breast"].basis.origin == "handbook"


def test_retained_water_is_the_largest_share_rounded_up(running_day):
    assert retained_water.statement(running_day) == ""
    for mark, before, after in (("1", "4.00 lb", "4.12 lb"), ("2", "4.00 lb", "4.22 lb")):
        for stage, written in (("before", before), ("after", after)):
            retained_water.weigh(running_day, mark=mark, stage=stage, lot="K7", tank="North tank",
                                 written=written, who="")  # fmt: skip

    assert retained_water.most_percent(running_day) == pytest.approx(5.5)
    assert retained_water.statement(running_day) == "up to 6% retained water"
    weigh(running_day)
    day = days.day(running_day)
    content = package_labels.label_content(day, packages(running_day)[0], home=farm())
    assert content.retained_water == "up to 6% retained water"


def save_scale(**changed) -> None:
    scales.save_scale(**{
        "name": "Packing scale", "capacity": "30 lb", "division": "0.01 lb", "scale_class": "III",
        "test": "10 lb", "seal": "", **changed,
    })  # fmt: skip


def test_the_desk_asks_for_the_daily_check_and_stops_a_scale_that_is_off(farm, frozen):
    day = dt.date(2026, 6, 17)
    assert codes(scales.desk_findings(day, label_lb=None)) == {"scale.none"}
    save_scale()
    assert codes(scales.desk_findings(day, label_lb=None)) == {"scale.unchecked"}

    assert scales.check_today("Packing scale", "10.01", who="Bram") == ()
    assert scales.desk_findings(day, label_lb=Decimal("4.5")) == ()
    assert codes(scales.desk_findings(day, label_lb=Decimal("0.5"))) == {"scale.coarse"}
    assert codes(scales.desk_findings(dt.date(2026, 6, 18), label_lb=None)) == {"scale.unchecked"}

    (off,) = scales.check_today("Packing scale", "10.02 lb", who="Bram")
    assert off.severity.code == "stop"
    assert codes(scales.desk_findings(day, label_lb=None)) == {"scale.off"}
    assert [check.reading_lb for check in scales.checks()] == ["10.02", "10.01"]


@pytest.mark.parametrize(
    ("changed", "at_fault"),
    [
        ({"name": ""}, {"name"}),
        ({"capacity": "thirty"}, {"capacity"}),
        ({"division": "40 lb"}, {"division"}),
        ({"test": "31 lb"}, {"test"}),
        ({"scale_class": "V"}, {"scale_class"}),
        ({"name": "", "capacity": "", "division": "x"}, {"name", "capacity", "division"}),
    ],
)
def test_a_scale_is_written_down_whole_or_not_at_all(farm, changed, at_fault):
    with pytest.raises(InputFaultsError) as told:
        save_scale(**changed)

    assert {fault.name for fault in told.value.faults} == at_fault
    assert scales.scales() == ()


def test_the_scales_step_rules_the_net_weight(running_day):
    save_scale(division="0.02 lb")

    weighed = weigh(running_day, gross="4.56 lb", tare="0.03 lb")

    assert weighed.net_lb == "4.52"


def test_a_stable_weight_is_offered_once_and_makes_one_package(running_day, now):
    save_scale()
    moving, still = Shown("moving", Decimal("4.1"), "lb"), Shown("stable", Decimal("4.52"), "lb")
    scales.show("", moving, None, now=now)
    assert scales.live(running_day, now=now).shown == "4.1 lb"
    assert scales.live(running_day, now=now).stable_id == ""

    scales.show("Packing scale", still, still, now=now)
    live = scales.live(running_day, now=now)
    assert (live.stable, live.state) == ("4.52 lb", "stable")
    for _ in range(2):
        weigh(running_day, gross=live.stable, more=packing.Particulars(client_id=live.stable_id))

    assert len(packages(running_day)) == 1
    assert scales.live(running_day, now=now).stable_id == ""
    assert scales.live(running_day, now=now + dt.timedelta(minutes=1)).shown == ""
    with pytest.raises(RecordNotFoundError):
        scales.show("Kitchen scale", still, still, now=now)


def test_a_weight_that_an_instrument_sent_is_offered_too(running_day, now):
    sent = {"id": "i1x7", "kind": "weight", "payload": {"written": "5.1 lb", "instrument": "S"},
            "who": "", "at": now.isoformat()}  # fmt: skip
    running.receive(running_day, [sent], device="S", sent_at=now, now=now)

    live = scales.live(running_day, now=now)

    assert live.stable == "5.1 lb"
    weigh(running_day, gross="5.1 lb", more=packing.Particulars(client_id=live.stable_id))
    assert scales.live(running_day, now=now).stable_id == ""


@pytest.mark.parametrize(
    ("weighed", "tare"),
    [
        ("13 g; 13 g", "0.03"),  # two alike: that one
        ("14 g\n13 g\n14 g\n14 g\n13 g", "0.03"),  # mean of five, 13.6 g, rounded up
        ("0.04 lb\n0.05 lb\n0.05 lb\n0.05 lb\n0.05 lb", "0.05"),
    ],
)
def test_a_bags_tare_follows_the_rule_of_two_or_five(farm, weighed, tare):
    bag = desk_setup.save_bag("Large bag", weighed, division_lb=Decimal("0.01"))

    assert bag.tare_lb == tare
    assert desk_setup.usual_tare() == f"{tare} lb"


@pytest.mark.parametrize("weighed", ["13 g", "13 g; 14 g", "13 g; 14 g; 13 g", "a bag; 13 g", ""])
def test_two_that_differ_are_not_enough(farm, weighed):
    with pytest.raises(InputFaultsError) as told:
        desk_setup.save_bag("Large bag", weighed, division_lb=Decimal("0.01"))

    assert {fault.name for fault in told.value.faults} == {"weighed"}


def save_settings(**changed) -> None:
    desk_setup.save_settings(**{
        "size": "4x3", "dots_per_inch": "203", "carrier": "none", "pattern": "2IIIIIVPPPPC",
        "prefix": "", **changed,
    })  # fmt: skip


@pytest.mark.parametrize(
    ("changed", "at_fault"),
    [
        ({"size": "poster"}, {"size"}),
        ({"dots_per_inch": "72"}, {"dots_per_inch"}),
        ({"carrier": "gs1"}, {"prefix"}),
        ({"prefix": "12"}, {"prefix"}),
        ({"pattern": "2IIC"}, {"pattern"}),
        ({"pattern": "2IPPC"}, {"pattern"}),
        ({"carrier": "rune", "pattern": "X"}, {"carrier", "pattern"}),
    ],
)
def test_settings_that_make_no_sense_are_told_all_at_once(farm, changed, at_fault):
    with pytest.raises(InputFaultsError) as told:
        save_settings(**changed)

    assert {fault.name for fault in told.value.faults} == at_fault


def test_no_article_number_is_made_up(farm):
    with pytest.raises(InputFaultsError) as told:
        desk_setup.save_product(name="Whole chicken", item="", reference="78", price_per_lb="")
    assert "company prefix" in told.value.faults[0].problem

    save_settings(prefix="9520123456", carrier="gs1")
    with pytest.raises(InputFaultsError):
        desk_setup.save_product(name="Whole chicken", item="", reference="789", price_per_lb="")
    desk_setup.save_product(name="Whole chicken", item="", reference="78", price_per_lb="5.5")
    (product,) = desk_setup.product_numbers()
    assert (product.base, product.price_per_lb) == ("952012345678", "5.50")


@pytest.mark.parametrize("carrier", ["store", "gs1"])
def test_a_label_carries_the_farms_code_and_it_can_be_read(running_day, now, carrier):
    import pypdfium2
    import zxingcpp

    save_settings(prefix="9520123456", carrier=carrier)
    desk_setup.save_product(name="Whole chicken", item="123", reference="78", price_per_lb="")
    weigh(running_day)

    pdf = package_labels.labels(running_day, printed_at=now)

    image = pypdfium2.PdfDocument(pdf)[0].render(scale=203 / 72).to_pil()
    read = {code.text for code in zxingcpp.read_barcodes(image)}
    if carrier == "store":
        numbers = [text[-12:] for text in read if text.isdigit()]
        assert [read_store_code(n, pattern="2IIIIIVPPPPC") for n in numbers] == [
            (123, Decimal("24.86"))
        ]
    else:
        assert any(text.startswith("(01)99520123456781(3202)000452(13)260617") for text in read), (
            read
        )


def test_a_price_too_large_for_the_shops_layout_is_told_on_printing(running_day, now):
    from pinfeather.errors import InputError

    save_settings(carrier="store")
    desk_setup.save_product(name="Whole turkey", item="9", reference="", price_per_lb="")
    weigh(running_day, product="Whole turkey", gross="22.03 lb")

    with pytest.raises(InputError, match="does not fit"):
        package_labels.labels(running_day, printed_at=now)


def claim(**changed) -> None:
    desk_setup.save_claim(**{
        "words": "Pasture raised: on grass", "paper": "pen map", "on_file": dt.date(2026, 1, 1),
        "until": None, "lot": "", **changed,
    })  # fmt: skip


def test_only_promises_on_file_are_printed_and_only_where_they_hold(running_day):
    claim(lot="K7")
    claim(words="No antibiotics", lot="R2")
    weigh(running_day)
    day = days.day(running_day)
    (package,) = packages(running_day)

    content = package_labels.label_content(day, package, home=farm())

    assert content.claims == ("Pasture raised: on grass",)
    assert "label.claim_without_paper" not in codes(package_labels.label_findings(day, package))

    weigh(running_day, product="Organic chicken")
    found = package_labels.label_findings(day, packages(running_day)[-1])
    assert "label.claim_without_paper" in codes(found)


@pytest.mark.parametrize(
    ("changed", "at_fault"),
    [
        ({"words": "", "paper": ""}, {"words", "paper"}),
        ({"on_file": None}, {"on_file"}),
        ({"until": dt.date(2025, 1, 1)}, {"until"}),
    ],
)
def test_a_promise_needs_words_paper_and_date(farm, changed, at_fault):
    with pytest.raises(InputFaultsError) as told:
        claim(**changed)

    assert {fault.name for fault in told.value.faults} == at_fault


def test_what_is_out_of_use_stays_on_record(farm):
    claim()
    (view,) = desk_setup.claims()
    desk_setup.retire("claim", view.id)

    assert desk_setup.claims() == ()
    assert models.LabelClaim.objects.count() == 1
    with pytest.raises(RecordNotFoundError):
        desk_setup.retire("bag", 7)


def test_class_names_are_offered_by_the_lots_age_and_judged_by_the_weight(running_day):
    day = days.day(running_day)  # the lot is 58 days old
    assert set(package_labels.class_options(day, "K7")) == {"broiler", "fryer", "roaster"}
    assert package_labels.class_options(day, "K7", name="Chicken wings") == ()

    roaster = packing.Particulars(class_name="roaster")
    weigh(running_day, more=roaster)
    weigh(running_day, gross="6.03 lb", more=roaster)
    light, heavy = packages(running_day)
    assert "label.class" in codes(package_labels.label_findings(day, light))
    assert "label.class" not in codes(package_labels.label_findings(day, heavy))
    content = package_labels.label_content(day, heavy, home=farm())
    assert content.product_name == "Whole chicken, roaster"


def test_a_declared_weight_is_printed_as_declared_and_must_be_in_it(running_day):
    pack = {"product": "Chicken livers", "tare": "0 lb",
            "more": packing.Particulars(fixed="24 oz")}  # fmt: skip
    weigh(running_day, gross="1.52 lb", **pack)
    weigh(running_day, gross="1.48 lb", **pack)
    day, (full, short) = days.day(running_day), packages(running_day)

    content = package_labels.label_content(day, full, home=farm())
    assert content.net_weight == "Net Wt. 24 oz. (1 lb. 8 oz.)"
    assert content.random_weight is False
    assert full.total == "8.25"  # of the weight printed
    assert "label.short" not in codes(package_labels.label_findings(day, full))
    assert "label.short" in codes(package_labels.label_findings(day, short))


@pytest.mark.parametrize(
    ("size", "small"),
    [("4x3", {"label.small.statements"}), ("4x6", set()), ("4x8", set())],
)
def test_letters_too_small_for_the_state_are_told_before_printing(
    running_day, day_mapping, size, small
):
    models.Farm.objects.update(profile="us-or", tier="producer_1000")
    days.save_plan(day_mapping(), day_id=running_day, days=2, change_days=0)
    weigh(running_day)
    day, (package,) = days.day(running_day), packages(running_day)

    found = codes(package_labels.label_findings(day, package, size=size))

    assert {code for code in found if code.startswith("label.small")} == small


def test_labels_wait_until_they_are_printed_and_again_after_weighing_again(running_day):
    for _ in range(3):
        weigh(running_day)
    assert package_labels.waiting(running_day) == (1, 2, 3)

    package_labels.mark_printed(running_day, (1, 3), who="Bram")
    assert package_labels.waiting(running_day) == (2,)

    weigh(running_day, gross="4.70 lb", more=packing.Particulars(number=3))
    assert package_labels.waiting(running_day) == (2, 3)


def test_a_boxs_label_adds_up_what_its_packages_say(running_day, now):
    import io

    import pypdf

    for gross in ("4.03 lb", "5.03 lb", "6.03 lb"):
        weigh(running_day, gross=gross)

    pdf = package_labels.box_label(running_day, numbers=(1, 2), size="4x3", now=now)

    text = " ".join(pypdf.PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())
    assert "2 packages" in text
    assert "Net Wt. 9.00 lb in all" in text
    assert "2026-06-17 K7 T1" in text


def test_a_closed_day_takes_no_cutting_and_no_marked_bird(running_day):
    models.Day.objects.filter(pk=running_day).update(status="closed", seal="ab" * 32)

    with pytest.raises(RecordConflictError):
        cuttings.start(running_day, [Source("K7", "North tank", 1)], "4 lb", who="")
    with pytest.raises(RecordConflictError):
        retained_water.weigh(running_day, mark="1", stage="before", lot="", tank="",
                             written="4 lb", who="")  # fmt: skip
