"""The farm's own rules, the interview, the watch, and old verdicts under today's rules."""

from __future__ import annotations

import datetime as dt

import pytest

from pinfeather.actions import farm as farms
from pinfeather.actions.day import days
from pinfeather.actions.desk import labels as package_labels
from pinfeather.actions.desk import packing
from pinfeather.actions.rules import changes as past
from pinfeather.actions.rules import choices as rulebook
from pinfeather.actions.rules import kept, own, tier_form, watch
from pinfeather.actions.stock import counter
from pinfeather.errors import InputFaultsError, RecordNotFoundError
from pinfeather.finding import Severity
from pinfeather.records import journal, models
from pinfeather.rules.profile import digest, load
from pinfeather.rules.which import FarmFacts

COLDER = {
    "path": "chill.target",
    "written": "30",
    "unit": "F",
    "why": "colder is safer here",
    "source": "letter of the county, May 2026",
    "status": "second hand",
    "in_force": "2026-05",
}


def test_a_change_holds_for_everything_that_judges_and_the_journal_keeps_it(farm, frozen) -> None:
    profile_id = own.change(COLDER, who="Odile")
    assert farms.farm().profile == profile_id
    assert str(load(profile_id).chill.target) == "30 °F"
    assert rulebook.profile_choices()[0][0] == profile_id
    entry = models.Entry.objects.get(kind=own.EDIT)
    assert entry.who == "Odile"
    assert entry.payload["written"] == "30"
    assert journal.broken_at() is None


def test_a_planned_day_is_planned_under_the_farms_own_rules(farm, frozen, day_mapping) -> None:
    profile_id = own.change(COLDER, who="Odile")
    day_id = days.save_plan(day_mapping(), days=2, change_days=0)
    assert days.day(day_id).request.profile == profile_id


def test_the_same_change_sent_twice_changes_once(farm, frozen) -> None:
    first = own.change(COLDER, who="Odile", client_id="abcdef0123456789")
    assert own.change(COLDER, who="Odile", client_id="abcdef0123456789") == first
    assert len(own.changes("us-federal")) == 1


def test_undo_is_a_new_entry_and_the_packaged_rules_are_back(farm, frozen) -> None:
    first = own.change(COLDER, who="Odile")
    second = own.change({**COLDER, "path": "chill.hold", "written": "39"}, who="Odile")
    (one, two) = own.changes("us-federal")
    own.undo(one.id, reason="misread the letter", who="Bram")
    now = farms.farm().profile
    assert now not in (first, second)
    assert str(load(now).chill.target) == "40 °F"
    assert str(load(now).chill.hold) == "39 °F"
    assert str(load(first).chill.target) == "30 °F"
    own.undo(two.id, reason="that one, too", who="Bram")
    assert farms.farm().profile == "us-federal"
    assert [bool(change.undone) for change in own.changes("us-federal")] == [True, True]
    assert models.Entry.objects.filter(kind=own.EDIT).count() == 2
    with pytest.raises(RecordNotFoundError):
        own.undo(two.id, reason="again", who="Bram")
    with pytest.raises(InputFaultsError) as caught:
        own.undo(one.id, reason=" ", who="")
    assert {fault.name for fault in caught.value.faults} == {"reason", "who"}


def test_a_wrong_change_is_not_kept(farm, frozen) -> None:
    with pytest.raises(InputFaultsError) as caught:
        own.change({"path": "chill.target", "written": "", "unit": "h"}, who="")
    assert {"written", "why", "source", "status", "in_force", "who"} <= {
        fault.name for fault in caught.value.faults
    }
    assert models.Entry.objects.count() == 0
    assert farms.farm().profile == "us-federal"


def test_other_rules_without_the_farms_exemption_put_their_first_in_its_place(farm) -> None:
    models.Farm.objects.update(tier="producer_20000")
    own.use("us-wi")
    assert farms.farm().tier == "producer_1000"


def test_the_text_of_the_rules_is_kept_once_by_its_fingerprint(farm, now) -> None:
    first = kept.keep("us-federal", at=now)
    assert kept.keep("us-federal", at=now) == first
    assert models.Entry.objects.filter(kind=kept.KIND).count() == 1
    again = kept.profile_of(first["digest"])
    assert again is not None
    assert again.chill == load("us-federal").chill
    assert kept.text_of("0" * 64) is None


# ------------------------------------------------------------------------------- the interview


def test_the_interview_begins_with_what_the_records_say(running_day, frozen, day_mapping) -> None:
    later = day_mapping(date="2026-09-12")
    days.save_plan(later, days=2, change_days=0)
    here = tier_form.told(dt.date(2026, 6, 17))
    assert (here.counted, here.planned) == ({"chicken": 6}, {"chicken": 6})
    assert tier_form.first_facts(here).year_birds["chicken"] == 12
    page = tier_form.answered(tier_form.first_facts(here), here)
    assert page.answer.tier == "producer_1000"
    assert page.answer.headroom.left_after == 988
    assert [day.room.left_after for day in page.ahead] == [988]


def test_one_bird_over_is_told_before_it_happens(farm, frozen, day_mapping) -> None:
    mapping = day_mapping(date="2026-09-12")
    mapping["lots"][0]["count"] = "60"
    days.save_plan(mapping, days=2, change_days=0)
    here = tier_form.told(dt.date(2026, 6, 17))
    near = tier_form.Told(2026, {"chicken": 941}, here.planned, here.ahead)
    page = tier_form.answered(FarmFacts({"chicken": 941}), near)
    (finding,) = page.ahead[0].room.findings
    assert finding.code == "count.passes_cap"
    assert "1,001" in finding.sentence
    assert finding.citation


def test_answers_are_kept_with_their_rules_and_can_set_the_exemption(farm, frozen) -> None:
    facts = FarmFacts({"chicken": 1001})
    tier_form.keep(facts, who="Odile", set_tier=True)
    assert farms.farm().tier == "producer_20000"
    before = tier_form.last()
    assert before.facts == facts
    assert before.tier == "producer_20000"
    assert before.rules.digest == digest("us-federal")
    with pytest.raises(InputFaultsError) as caught:
        tier_form.keep(FarmFacts({"chicken": 20_001}), who="", set_tier=True)
    assert {fault.name for fault in caught.value.faults} == {"who", "set"}


# ------------------------------------------------------------------------------------ the watch


def test_what_was_answered_against_the_exemption_is_a_stop_with_its_rule(farm, frozen) -> None:
    home, today = farms.farm(), dt.date(2026, 6, 17)
    assert watch.now_findings(home, today) == ()
    tier_form.keep(FarmFacts(other_products=True), who="Odile", set_tier=False)
    (finding,) = watch.now_findings(home, today)
    assert finding.code == "tier.other_trade"
    assert "381.10(c)" in finding.citation
    assert watch.now_findings(home, dt.date(2027, 1, 1)) == ()


def test_a_farm_whose_rules_lack_its_exemption_is_told(farm) -> None:
    models.Farm.objects.update(profile="us-wi", tier="small_enterprise")
    (finding,) = watch.now_findings(farms.farm(), dt.date(2026, 6, 17))
    assert (finding.code, finding.severity) == ("tier.closed", Severity.STOP)


def test_a_delivery_into_another_state_is_refused_with_its_citation(farm) -> None:
    away = counter.Buyer(None, "Ann", "3 Elm Street, Fort, KS 66000", "household")
    found = counter.basket([], buyer=away, venue="delivery").findings
    (stop,) = [one for one in found if one.code == "sale.interstate"]
    assert "453(a)" in stop.citation
    pickup = counter.basket([], buyer=away, venue="farm").findings
    assert [one.severity for one in pickup if one.code == "sale.state_line"] == [Severity.CHECK]


# ------------------------------------------------------------------------------------ old truth


def test_an_old_day_stays_as_judged_and_the_page_of_changes_names_it(demo_farm) -> None:
    before = models.Day.objects.get(pk=demo_farm["closed"]).record
    assert before["rules"]["digest"] == digest("us-federal")
    assert before["inputs"]["water_source"] == "well"
    same = past.look()
    assert same.looked_at >= 5
    assert same.differing == ()

    own.change(COLDER, who="Ines")

    found = past.look()
    days_now = [one for one in found.differing if one.kind == "day"]
    assert str(demo_farm["closed"]) in {one.id for one in days_now}
    assert all(one.now for one in days_now)
    assert models.Day.objects.get(pk=demo_farm["closed"]).record == before
    moved = past.moved(before["rules"]["digest"])
    assert [one.now.path for one in moved] == ["chill.target"]
    assert (moved[0].then.value, moved[0].now.value) == ("40 °F", "30 °F")
    assert journal.broken_at() is None
    assert journal.broken_seals() == ()


def test_a_sale_and_an_interview_are_judged_again_under_other_rules(demo_farm) -> None:
    tier_form.keep(FarmFacts({"chicken": 999}), who="Ines", set_tier=False)
    cap = {**COLDER, "path": "tiers.producer_1000.cap", "written": "500", "unit": "birds"}
    own.change(cap, who="Ines")
    tiers = [one for one in past.look().differing if one.kind == "tier"]
    assert [one.now for one in tiers] == [("Own birds, up to 20,000 a year",)]
    assert not [one for one in past.look("us-federal").differing if one.kind == "sale"]
    models.Entry.objects.count()


def test_a_label_and_a_sale_are_judged_again_under_a_states_rules(running_day, frozen) -> None:
    bird = packing.weigh(
        running_day, lot="K7", tank="North tank", product="Whole chicken", gross="4.50 lb",
        tare="0 lb", price_per_lb="5.00", birds=1, who="Bram",
    ).id  # fmt: skip
    package_labels.mark_printed(running_day, [1], who="Bram")
    (verdict,) = models.Entry.objects.filter(kind=package_labels.LABEL_VERDICT)
    assert verdict.payload["rules"]["digest"] == digest("us-federal")
    assert verdict.payload["verdicts"][0]["content"]["net_weight"]
    sold = {
        "paid_by": "cash",
        "venue": "farmers_market",
        "buyer_name": "Ann",
        "buyer_kind": "household",
    }
    sale = counter.sell([bird], sold, who="Bram", client_id="rulesale1")
    paper = models.Entry.objects.get(client_id=sale).payload
    assert paper["rules"]["digest"] == digest("us-federal")
    assert paper["stops"] == []
    assert past.look().differing == ()

    under = {one.kind: one for one in past.look("us-co").differing}
    assert any("exempt" in words for words in under["label"].now), under["label"].now
    refused = {one.kind: one for one in past.look("us-wa").differing}
    assert any("place of sale" in words for words in refused["sale"].now)
    assert models.Entry.objects.get(client_id=sale).payload == paper
