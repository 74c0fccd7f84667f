"""The printed day plan: what it says, on which paper, and that it says it again alike."""

from __future__ import annotations

import dataclasses
import io

import pypdf
import pytest

from pinfeather.errors import InputError
from pinfeather.reports.day_plan import DayPlanSheet, PersonCard, Todo, day_plan_pdf

PAPERS = {"us-letter": (612, 792), "a4": (595.28, 841.89)}


def pages(pdf):
    return [" ".join(p.extract_text().split()) for p in pypdf.PdfReader(io.BytesIO(pdf)).pages]


@pytest.mark.parametrize("paper", list(PAPERS))
def test_it_is_two_or_three_pages_of_the_asked_paper(make_plan, printed, paper):
    pdf = day_plan_pdf(make_plan(), printed_at=printed, paper=paper)

    read = pypdf.PdfReader(io.BytesIO(pdf)).pages
    assert len(read) in {2, 3}
    for page in read:
        assert [float(n) for n in page.mediabox[2:]] == pytest.approx(PAPERS[paper], abs=0.1)


def test_the_answer_comes_first(make_plan, printed):
    first = pages(day_plan_pdf(make_plan(), printed_at=printed))[0]

    order = ["Saturday 12 September", "Done by", "12:08", "Cold by", "96 lb", "STOP", "CHECK",
             "NOTE", "The strip", "Take care"]  # fmt: skip
    found = [first.index(words) for words in order]
    assert found == sorted(found)


def test_everything_in_the_plan_is_on_the_paper(make_plan, printed):
    plan = make_plan()

    text = " ".join(pages(day_plan_pdf(plan, printed_at=printed)))

    said = [a.note for a in plan.answers] + [f.sentence for f in plan.findings]
    said += [f.reason for f in plan.findings] + [t.what for t in plan.todos]
    said += [t.detail for t in plan.todos] + [c.name for c in plan.people]
    said += [task for c in plan.people for task in c.tasks] + [s.what for s in plan.supplies]
    said += [s.amount for s in plan.supplies] + [s.per_bird for s in plan.stations]
    said += [n.basis for n in plan.numbers] + [n.value for n in plan.numbers]
    said += [*plan.cautions, "9 CFR 381.66 (2014)", "6:30 am", "12:08 pm"]
    assert [words for words in said if words not in text] == []


def test_the_list_is_in_order_of_time_however_it_was_given(make_plan, printed):
    plan = make_plan()
    shuffled = dataclasses.replace(plan, todos=plan.todos[::-1])

    assert day_plan_pdf(shuffled, printed_at=printed) == day_plan_pdf(plan, printed_at=printed)


def test_the_worst_finding_is_printed_first(make_plan, printed):
    text = pages(day_plan_pdf(make_plan(), printed_at=printed))[0]

    assert text.index("There are 60 lb of ice") < text.index("The drawing table is the slowest")


def test_pretend_birds_are_called_so_on_every_page(make_plan, printed):
    real = pages(day_plan_pdf(make_plan(), printed_at=printed))
    demo = pages(day_plan_pdf(make_plan(demo=True), printed_at=printed))

    assert all("DEMO – pretend birds" in text for text in demo)
    assert not any("DEMO" in text for text in real)


def test_every_page_says_whose_it_is_when_it_was_printed_and_which_page(make_plan, printed):
    read = pages(day_plan_pdf(make_plan(), printed_at=printed))

    for number, text in enumerate(read, start=1):
        assert "Juniper Hollow Farm" in text
        assert "printed 12 September 2026, 5:55 am" in text
        assert f"{number} / {len(read)}" in text


def test_the_same_plan_gives_the_same_bytes_and_another_moment_others(make_plan, printed):
    once = day_plan_pdf(make_plan(), printed_at=printed)

    assert day_plan_pdf(make_plan(), printed_at=printed) == once
    assert day_plan_pdf(make_plan(), printed_at=printed.replace(minute=56)) != once


def test_the_twenty_four_hour_clock_is_used_throughout(make_plan, printed):
    text = " ".join(pages(day_plan_pdf(make_plan(), printed_at=printed, clock="24h")))

    assert "16:10" in text
    assert "13:30" in text


def test_signs_of_the_typesetter_are_printed_as_written(printed):
    odd = r"#panic() *b* $x$ [a] @c \ <l> `d` // e"
    plan = DayPlanSheet(
        farm=odd,
        title=odd,
        todos=(Todo(printed, odd, odd, odd),),
        people=(PersonCard(odd, odd, (odd,)),),
        cautions=(odd,),
    )

    text = " ".join(pages(day_plan_pdf(plan, printed_at=printed)))

    assert text.count(odd) >= 9


def test_a_plan_with_nothing_in_it_is_one_quiet_page(printed):
    read = pages(day_plan_pdf(DayPlanSheet(farm="F", title="T"), printed_at=printed))

    assert len(read) == 1
    assert "The strip" not in read[0]


def test_a_plan_for_many_people_and_things_still_comes_out_whole(make_plan, printed):
    plan = make_plan()
    big = dataclasses.replace(plan, people=plan.people * 4, supplies=plan.supplies * 8,
                              todos=plan.todos * 4, findings=plan.findings * 6)  # fmt: skip

    text = " ".join(pages(day_plan_pdf(big, printed_at=printed)))

    assert text.count("Chlorine strips") == 8
    assert text.count("Light the scalder burner") == 4


def test_the_strip_is_drawn_with_the_typesetters_fonts_and_has_words_for_who_cannot_see(
    make_plan, printed
):
    pdf = day_plan_pdf(make_plan(), printed_at=printed)

    reader = pypdf.PdfReader(io.BytesIO(pdf))
    fonts = set()

    def gather(resources):
        for font in (resources.get("/Font") or {}).values():
            fonts.add(font.get_object()["/BaseFont"].split("+")[-1].split("-")[0])
        for thing in (resources.get("/XObject") or {}).values():
            if "/Resources" in thing.get_object():
                gather(thing.get_object()["/Resources"])

    for page in reader.pages:
        gather(page["/Resources"])
    assert fonts == {"LibertinusSerif"}
    assert b"42 birds planned." in pdf or "42 birds planned." in str(_alternatives(reader))
    assert "Crate" in pages(pdf)[0]


def _alternatives(reader):
    found, todo = [], [reader.trailer["/Root"]["/StructTreeRoot"]]
    while todo:
        node = todo.pop().get_object()
        if isinstance(node, pypdf.generic.ArrayObject):
            todo += [kid for kid in node if not isinstance(kid, pypdf.generic.NumberObject)]
        elif isinstance(node, pypdf.generic.DictionaryObject):
            if "/Alt" in node:
                found.append(str(node["/Alt"]))
            if "/K" in node and not isinstance(node["/K"], pypdf.generic.NumberObject):
                todo.append(node["/K"])
    return found


def test_unknown_paper_and_a_moment_without_a_zone_are_refused(make_plan, printed):
    with pytest.raises(InputError, match="paper"):
        day_plan_pdf(make_plan(), printed_at=printed, paper="napkin")
    with pytest.raises(InputError, match="printed_at"):
        day_plan_pdf(make_plan(), printed_at=printed.replace(tzinfo=None))
