"""Cleaning: today's sheet, what was not right, the plan, the papers."""

from __future__ import annotations

import datetime as dt
import io
import re

import pypdf
import pytest

from pinfeather import clock
from pinfeather.actions import farm as farms
from pinfeather.actions.day import closing, days, running, shopfloor
from pinfeather.actions.demo import farm as demo
from pinfeather.actions.sanitary import entries, for_binder
from pinfeather.actions.sanitary import plan as plans
from pinfeather.actions.sanitary import sheet as sheets
from pinfeather.errors import InputError, InputFaultsError, RecordConflictError
from pinfeather.finding import Severity
from pinfeather.records import journal, models

MARKUP = (
    '#panic("x")', '#read("/etc/passwd")', "*#sys.version*", "$ x^2 $", "`#{}`", "<b>a</b>",
    '#include "secret-key"', "= Heading", "@cite", "</script><script>alert(1)</script>",
)  # fmt: skip


@pytest.fixture
def today(farm, frozen) -> dt.date:
    return frozen.astimezone(clock.zone(farm.zone)).date()


def text(answer) -> str:
    pages = pypdf.PdfReader(io.BytesIO(answer.content)).pages
    return " ".join("".join(page.extract_text() for page in pages).split())


def tap(client, code, *, how="done", who="Ines", once="a1"):
    return client.post("/sanitary/", {how: code, "who": who, "id": once})


def only(act, on):
    (line,) = entries.lines(on=on, acts=(act,))
    return line


FIX = {
    "note": "Fingers torn.",
    "put_right": "Changed them.",
    "cause": "Old rubber.",
    "control": "Looked again.",
    "recurrence": "Spare ones.",
    "product": "No bird touched.",
    "who": "Ines",
}


# ---------------------------------------------------------------------------------------- tapping


def test_done_is_kept_with_who_and_when(today, client, frozen) -> None:
    answer = tap(client, "picker")

    assert answer.status_code == 302
    assert answer.headers["Location"].endswith("#picker")
    line = only("check", today)
    assert (line.text("step"), line.text("result"), line.who) == ("picker", "done", "Ines")
    assert line.at == frozen
    assert "✓ Done" in client.get("/sanitary/").content.decode()


def test_a_tap_sent_twice_is_written_once(today, client) -> None:
    tap(client, "water", once="same")
    tap(client, "water", once="same")
    tap(client, "water", once="other")

    assert len(entries.lines(on=today, acts=("check",))) == 2


def test_nobody_at_the_phone_writes_nothing_and_is_told(today, client, parse) -> None:
    answer = tap(client, "water", who="")

    assert answer.status_code == 422
    assert "Choose who you are" in answer.content.decode()
    assert entries.lines(on=today) == ()


def test_a_step_that_is_not_in_the_plan_is_refused(today, client) -> None:
    assert tap(client, "nonsense").status_code == 422
    assert client.post("/sanitary/", {"who": "Ines"}).status_code == 422
    assert entries.lines(on=today) == ()


def test_the_headline_counts_what_is_left_before_the_first_bird(today, client) -> None:
    before = [s.code for s in plans.plan().active if s.when == "before"]
    assert f"{len(before)} cleaning checks" in client.get("/sanitary/").content.decode()
    for number, code in enumerate(before[:-1]):
        tap(client, code, once=f"n{number}")
    assert "1 cleaning check before" in client.get("/sanitary/").content.decode()
    tap(client, before[-1], once="last")
    page = client.get("/sanitary/").content.decode()
    assert "Clean again by" in page
    assert "The room was not read" in page


def test_signing_keeps_the_name(today, client) -> None:
    client.post("/sanitary/", {"act": "sign", "who": "Tobias", "id": "s1"})

    assert only("sign", today).who == "Tobias"
    assert "Signed by Tobias" in client.get("/sanitary/").content.decode()


# -------------------------------------------------------------------------------- strip and room


def test_a_bare_number_is_in_the_unit_beside_its_field(today, client) -> None:
    client.post(
        "/sanitary/", {"act": "measure", "strip": "100", "room": "66", "who": "Mae", "id": "m"}
    )

    assert only("strip", today).text("written") == "100 ppm"
    assert only("room", today).text("written") == "66 F"


def test_faults_of_both_fields_are_told_at_once_and_what_was_typed_stays(today, client) -> None:
    answer = client.post(
        "/sanitary/", {"act": "measure", "strip": "strong", "room": "900 F", "who": "Mae"}
    )
    page = answer.content.decode()

    assert answer.status_code == 422
    assert page.count('class="fault"') == 2
    assert 'value="strong"' in page
    assert 'value="900 F"' in page
    assert entries.lines(on=today) == ()


def test_one_wrong_field_writes_neither(today, client) -> None:
    client.post("/sanitary/", {"act": "measure", "strip": "100", "room": "x", "who": "Mae"})
    assert entries.lines(on=today) == ()


def test_an_empty_measure_is_asked_for(today, client) -> None:
    assert client.post("/sanitary/", {"act": "measure", "who": "Mae"}).status_code == 422


@pytest.mark.parametrize(
    ("ppm", "code"),
    [(49, "sanitiser.weak"), (50, ""), (200, ""), (201, "sanitiser.strong")],
)
def test_a_strip_is_held_to_its_band(today, frozen, ppm, code) -> None:
    entries.write(
        "strip", {"strip": f"{ppm} ppm", "chemical": "chlorine"}, on=today, who="Mae", now=frozen
    )

    assert [f.code for f in sheets.sheet(today, now=frozen).findings] == ([code] if code else [])


def test_a_strip_put_right_by_the_next_is_only_noted(today, frozen) -> None:
    for number, ppm in enumerate((20, 100)):
        entries.write(
            "strip",
            {"strip": f"{ppm} ppm", "chemical": "chlorine"},
            on=today,
            who="Mae",
            now=frozen + dt.timedelta(minutes=number),
        )
    (finding,) = sheets.sheet(today, now=frozen).findings

    assert finding.severity is Severity.NOTE
    assert "100 ppm" in finding.reason


# ------------------------------------------------------------------------------------- not right


def not_right(client, today) -> entries.Line:
    answer = tap(client, "picker", how="wrong", once="w1")
    line = only("check", today)
    assert answer.headers["Location"] == f"/sanitary/not-right/{line.id}/"
    return line


def test_not_right_is_kept_at_once_and_asks_for_four_parts(today, client, parse) -> None:
    line = not_right(client, today)
    page = parse(client.get(f"/sanitary/not-right/{line.id}/"))

    assert {"cause", "control", "recurrence", "product"} <= page.fields().keys()
    assert [f.code for f in sheets.sheet(today, now=clock.now()).findings] == ["sanitary.not_right"]


@pytest.mark.parametrize("missing", ["note", "cause", "control", "recurrence", "product"])
def test_a_missing_part_is_told_and_the_rest_is_kept(today, client, parse, missing) -> None:
    url = f"/sanitary/not-right/{not_right(client, today).id}/"
    answer = client.post(url, {**FIX, missing: " "})
    page = parse(answer)

    assert answer.status_code == 422
    assert page.fault(missing)
    sent = page.fields()
    assert {n: sent[n] for n in FIX if n not in {missing, "who"}} == {
        n: v for n, v in FIX.items() if n not in {missing, "who"}
    }
    assert entries.lines(on=today, acts=("fix",)) == ()


def test_a_filled_form_answers_the_finding_and_can_be_printed(today, client) -> None:
    line = not_right(client, today)
    assert client.post(f"/sanitary/not-right/{line.id}/", FIX).status_code == 302
    found = sheets.sheet(today, now=clock.now())

    assert [f.code for f in found.findings] == []
    (row,) = (r for r in found.rows if r.step.code == "picker")
    assert row.state == "put right"
    printed = text(client.get(f"/sanitary/action/{found.fixes[0].id}.pdf"))
    assert "Old rubber." in printed
    assert "9 CFR 417.3(a)(4)" in printed
    assert "yardstick" in printed


def test_a_form_is_put_right_with_a_reason_and_both_stay(today, client) -> None:
    line = not_right(client, today)
    url = f"/sanitary/not-right/{line.id}/"
    client.post(url, FIX)
    assert client.post(url, {**FIX, "cause": "A stone."}).status_code == 422
    assert client.post(url, {**FIX, "cause": "A stone.", "reason": "Seen now."}).status_code == 302
    old, new = entries.lines(on=today, acts=("fix",))

    assert (old.struck, old.struck_by, old.instead) == ("Seen now.", "Ines", new.id)
    assert new.text("cause") == "A stone."
    assert journal.broken_at() is None


def test_only_what_was_not_right_has_a_form(today, client) -> None:
    tap(client, "water")
    assert client.get(f"/sanitary/not-right/{only('check', today).id}/").status_code == 404
    assert client.get("/sanitary/not-right/nothing/").status_code == 404


# ------------------------------------------------------------------------------------ corrections


def test_a_wrong_line_is_struck_out_with_reason_and_person(today, client) -> None:
    tap(client, "water")
    ident = only("check", today).id
    url = f"/sanitary/line/{ident}/"
    client.session.flush()

    assert client.post(url, {"reason": "", "who": "Ines"}).status_code == 422
    assert client.post(url, {"reason": "Wrong row.", "who": "Ines"}).status_code == 302
    line = only("check", today)
    assert (line.struck, line.struck_by) == ("Wrong row.", "Ines")
    assert all(row.state == "open" for row in sheets.sheet(today, now=clock.now()).rows)
    with pytest.raises(RecordConflictError):
        entries.strike_out(ident, reason="again", who="Ines")


def test_a_correction_needs_somebody(today) -> None:
    entries.write("sign", {}, on=today, who="Ines")
    with pytest.raises(InputFaultsError) as error:
        entries.strike_out(only("sign", today).id, reason="", who="")
    assert {f.name for f in error.value.faults} == {"reason", "who"}


def test_no_sheet_is_written_for_tomorrow(today) -> None:
    with pytest.raises(InputFaultsError):
        entries.write("sign", {}, on=today + dt.timedelta(days=1), who="Ines")


# -------------------------------------------------------------------------------- processing days


def sheet_before(day_id, *, at=None) -> None:
    day = days.day(day_id)
    at = at or day.start - dt.timedelta(minutes=30)
    for step in plans.plan().active:
        if step.when == "before":
            entries.write(
                "check",
                {"step": step.code, "what": step.what, "result": "done"},
                on=day.date,
                who="Ines",
                now=at,
            )


def cleaning(day_id, now):
    day = days.day(day_id)
    floor = shopfloor.floor(day_id, now=now)
    return sheets.day_findings(day, floor.done, floor.profile, now=now)


def test_a_farm_that_keeps_no_sheet_is_not_asked_for_one(running_day, now) -> None:
    assert cleaning(running_day, now) == ()
    assert not [
        one for one in closing.judge(running_day, now=now).findings
        if one.finding.code.startswith("sanitary")
    ]  # fmt: skip


def test_checks_done_before_the_first_bird_leave_nothing_to_say(running_day, now) -> None:
    sheet_before(running_day)
    assert cleaning(running_day, now) == ()


@pytest.mark.parametrize(("late_s", "said"), [(0, False), (1, True)])
def test_a_check_at_the_first_bird_is_in_time_and_a_second_later_is_not(
    running_day, now, late_s, said
) -> None:
    first = min(t.at for t in running.day_progress(running_day).tallies)
    sheet_before(running_day, at=first + dt.timedelta(seconds=late_s))
    codes = [f.code for f in cleaning(running_day, now)]

    assert codes == (["sanitary.not_before"] if said else [])


def test_the_day_and_its_closing_lead_to_the_sheet(running_day, client, now, frozen) -> None:
    on = days.day(running_day).date
    entries.write("room", {"room": "66 F"}, on=on, who="Mae", now=days.day(running_day).start)

    assert (
        "were not done before the first bird"
        in client.get(f"/days/{running_day}/").content.decode()
    )
    page = client.get(f"/days/{running_day}/close/").content.decode()
    assert f"/sanitary/day/{on.isoformat()}/" in page


@pytest.mark.parametrize(("after_s", "late"), [(4 * 3600, False), (4 * 3600 + 1, True)])
def test_a_running_day_says_when_cleaning_is_overdue(running_day, after_s, late) -> None:
    day = days.day(running_day)
    sheet_before(running_day, at=day.start)
    entries.write("room", {"room": "66 F"}, on=day.date, who="Mae", now=day.start)
    moment = day.start + dt.timedelta(seconds=after_s)
    floor = shopfloor.floor(running_day, now=moment)
    found = sheets.running_findings(day, floor.done, floor.profile, now=moment)

    assert ("sanitary.cleaning_overdue" in [f.code for f in found]) is late


def test_a_cleaning_on_the_sheet_counts_at_closing(running_day) -> None:
    day = days.day(running_day)
    at = day.start + dt.timedelta(hours=1)
    entries.write(
        "check", {"step": "clean", "what": "Surfaces", "result": "done"}, on=day.date, who="Mae",
        now=at,
    )  # fmt: skip
    done = sheets.with_cleanings(running.day_progress(running_day), day)

    assert [d.at for d in done.done if d.task == "sanitiser"] == [at]


def test_a_strip_at_the_line_stands_on_the_sheet(running_day) -> None:
    day = days.day(running_day)
    running.write(
        "reading",
        {"what": "strip", "written": "100 ppm", "place": "", "instrument": ""},
        day_id=running_day,
        who="Mae",
    )
    found = sheets.sheet(day.date, now=day.start)

    assert [s.written for s in found.strips] == ["100 ppm"]
    assert next(r for r in found.rows if r.step.code == "strip").state == "done"


# ------------------------------------------------------------------------------------------- plan


def test_a_step_in_own_words_stands_in_plan_and_paper(today, client) -> None:
    url = "/sanitary/plan/step/waste/"
    answer = client.post(
        url, {"what": "Waste gone", "how": "Compost bay.", "who_does": "Mae", "often": "Evening",
              "who": "Ines"},
    )  # fmt: skip

    assert answer.status_code == 302
    step = plans.step("waste")
    assert (step.what, step.how, step.own) == ("Waste gone", "Compost bay.", True)
    assert "Compost bay." in text(client.get("/sanitary/paper/procedures.pdf"))


def test_a_form_sent_unchanged_keeps_no_words(today, client, parse) -> None:
    sent = parse(client.get("/sanitary/plan/step/clean/")).fields()
    client.post("/sanitary/plan/step/clean/", {**sent, "who": "Ines"})

    assert not plans.step("clean").own
    client.post("/sanitary/plan/set-up/", {"chemical": "chlorine", "product": "8.25 %",
                "target": "100 ppm", "volume": "5 gal", "room": "40 F", "who": "Ines"})  # fmt: skip
    assert "24 h" in plans.step("clean").often


def test_a_step_is_left_out_only_with_a_reason_and_can_come_back(today, client) -> None:
    url = "/sanitary/plan/step/picker/"
    base = {"what": "", "how": "", "who_does": "", "often": "", "who": "Ines"}

    assert client.post(url, {**base, "leave": "on", "left_out": ""}).status_code == 422
    client.post(url, {**base, "leave": "on", "left_out": "Picked by hand."})
    assert "picker" not in [r.step.code for r in sheets.sheet(today, now=clock.now()).rows]
    assert "Picked by hand." in text(client.get("/sanitary/paper/procedures.pdf"))
    client.post(url, {**base, "left_out": "Picked by hand."})
    assert "picker" in [r.step.code for r in sheets.sheet(today, now=clock.now()).rows]


def test_a_step_is_added_and_tapped(today, client) -> None:
    answer = client.post(
        "/sanitary/plan/new/",
        {"when": "before", "what": "Dog is in", "how": "Look.", "often": "Mornings", "who": "Ines"},
    )
    assert answer.status_code == 302
    assert tap(client, "own 1").status_code == 302
    assert only("check", today).text("what") == "Dog is in"


def test_a_new_step_says_all_it_lacks_at_once(today, client, parse) -> None:
    answer = client.post("/sanitary/plan/new/", {"when": "before", "who": "Ines"})

    assert answer.status_code == 422
    page = parse(answer)
    assert all(page.fault(name) for name in ("what", "how", "often"))


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"target": "20 ppm"}, "target"),
        ({"target": "300 ppm"}, "target"),
        ({"target": "100"}, "target"),
        ({"product": "90 ppm"}, "product"),
        ({"volume": "much"}, "volume"),
        ({"room": "warm"}, "room"),
        ({"chemical": "soap"}, "chemical"),
    ],
)
def test_a_set_up_that_the_rules_do_not_allow_is_refused_at_its_field(
    today, client, change, fault
) -> None:
    typed = {"chemical": "chlorine", "product": "8.25 %", "target": "100 ppm", "volume": "5 gal",
             "room": "66 F", "who": "Ines", **change}  # fmt: skip
    answer = client.post("/sanitary/plan/set-up/", typed)

    assert answer.status_code == 422
    assert 'class="fault"' in answer.content.decode()
    assert entries.lines(acts=("setup",)) == ()


# ----------------------------------------------------------------------------------------- papers


def test_papers_say_what_they_are(today, client) -> None:
    procedures = text(client.get("/sanitary/paper/procedures.pdf"))
    blank = text(client.get("/sanitary/paper/sheet.pdf"))
    hazards = text(client.get("/sanitary/paper/hazards.pdf"))
    form = text(client.get("/sanitary/paper/corrective-action.pdf"))

    assert "100 ppm of chlorine (bleach)" in procedures
    assert "up to 41 °F" in procedures
    assert "ammonia" in procedures
    assert "Pull the plug" in blank
    assert "unverified" in hazards
    assert "40 °F within" in hazards
    assert all(f"417.3(a)({n})" in form for n in (1, 2, 3, 4))


@pytest.mark.parametrize("name", ["procedures", "sheet", "hazards", "corrective-action"])
def test_a_paper_is_the_same_bytes_each_time(today, client, name) -> None:
    first, second = (client.get(f"/sanitary/paper/{name}.pdf").content for _n in range(2))
    assert first == second


@pytest.mark.parametrize(
    "url",
    ["/sanitary/paper/nothing.pdf", "/sanitary/sheet/2026-01-01.pdf", "/sanitary/sheet/x.pdf",
     "/sanitary/action/x.pdf", "/sanitary/day/x/", "/sanitary/day/2020-01-01/",
     "/sanitary/plan/step/nothing/", "/sanitary/line/x/"],
)  # fmt: skip
def test_what_is_not_there_is_not_found(today, client, url) -> None:
    assert client.get(url).status_code == 404


@pytest.mark.parametrize("markup", MARKUP)
def test_markup_is_printed_and_shown_as_it_was_typed(today, client, markup) -> None:
    """Free text goes into papers as data and onto pages as text."""
    line = not_right(client, today)
    said = {**FIX, **{name: markup for name in FIX if name != "who"}, "unforeseen": markup}
    client.post(f"/sanitary/not-right/{line.id}/", said)
    client.post("/sanitary/plan/new/", {"when": "after", "what": markup, "how": markup,
                "often": markup, "who_does": markup, "who": markup[:40]})  # fmt: skip
    client.post("/sanitary/plan/step/offal/", {"what": markup, "how": markup, "who_does": markup,
                "often": markup, "leave": "on", "left_out": markup, "who": "Ines"})  # fmt: skip
    fix = only("fix", today)
    wanted = re.sub(r"\s+", "", markup)
    for url in (
        f"/sanitary/action/{fix.id}.pdf",
        f"/sanitary/sheet/{today.isoformat()}.pdf",
        "/sanitary/paper/procedures.pdf",
    ):
        answer = client.get(url)
        assert answer.status_code == 200, url
        printed = re.sub(r"\s+", "", text(answer))
        assert wanted in printed, url
        assert "root:" not in printed
    for url in ("/sanitary/", "/sanitary/plan/", f"/sanitary/not-right/{line.id}/"):
        page = client.get(url).content.decode()
        assert "<script>alert" not in page
        assert "<b>a</b>" not in page


# ----------------------------------------------------------------------------- demo and the binder


def test_the_demo_has_a_sheet_for_each_day_and_one_corrective_action(demo_farm) -> None:
    kept = sheets.sheet_days()

    assert len(kept) == 4
    assert sum(fixes for _on, _lines, fixes in kept) == 1
    for on, _lines, _fixes in kept:
        assert [f for f in sheets.sheet(on, now=clock.now()).findings if f.severity > 1] == []
    assert journal.broken_at() is None


def test_the_binder_gets_plain_text_of_its_days(demo_farm, frozen) -> None:
    kept = [on for on, _lines, _fixes in sheets.sheet_days()]
    found = for_binder(min(kept), max(kept))

    assert [sheet.on for sheet in found.sheets] == sorted(kept)
    assert len(found.corrective_actions) == 1
    assert len(found.corrective_actions[0].parts) == 6
    assert found.days_without_sheet == ()
    assert {p.when for p in found.procedures} == {
        "Before the first bird", "While working", "After the last bird"
    }  # fmt: skip
    assert found.hazards
    assert all(row.source for row in found.hazards)
    assert for_binder(max(kept), max(kept)).corrective_actions == ()
    with pytest.raises(InputError):
        for_binder(max(kept), min(kept))


def test_a_closed_day_without_a_sheet_is_named_to_the_binder(demo_farm) -> None:
    days_ = sorted(d.date for d in models.Day.objects.filter(status="closed"))
    for row in list(entries.lines(on=days_[0])):
        entries.strike_out(row.id, reason="Not ours.", who="Ines")

    assert for_binder(days_[0], days_[-1]).days_without_sheet == (days_[0],)


def test_the_demos_running_day_had_its_checks_before_the_first_bird(demo_farm) -> None:
    view = days.day(demo_farm["running"])
    first = min(t.at for t in running.day_progress(view.id).tallies)
    done = {line.text("step") for line in entries.lines(on=view.date, acts=("check",))
            if line.at <= first}  # fmt: skip

    assert done >= {s.code for s in plans.plan().active if s.when == "before"}


@pytest.mark.parametrize("hour", [5, 6, 12])
def test_a_demo_begun_at_any_hour_keeps_its_sheet_on_its_day(new_store, hour) -> None:
    """At five in the morning, UTC, the farm's day is an hour old or less."""
    moment = dt.datetime(2026, 6, 17, hour, 20, tzinfo=dt.UTC)
    with new_store():
        demo.make(now=moment)
        here = moment.astimezone(clock.zone(farms.farm().zone)).date()
        written = entries.lines(on=here)

        assert written
        assert all(line.at <= moment for line in written)
        assert {line.at.astimezone(clock.zone(farms.farm().zone)).date() for line in written} == {
            here
        }
