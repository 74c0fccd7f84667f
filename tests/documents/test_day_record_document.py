"""The day record: every reading, verdict, action, package and the seal are on the paper."""

from __future__ import annotations

import dataclasses
import io

import pypdf
import pytest

from pinfeather.reports.day_record import DayRecordSheet, ReadingRow, Verdict, day_record_pdf


def pages(pdf):
    return [" ".join(p.extract_text().split()) for p in pypdf.PdfReader(io.BytesIO(pdf)).pages]


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
def test_it_is_two_to_four_pages(make_record, printed, paper):
    assert len(pages(day_record_pdf(make_record(), printed_at=printed, paper=paper))) in {2, 3, 4}


def test_everything_in_the_record_is_on_the_paper(make_record, printed):
    record = make_record()

    text = " ".join(pages(day_record_pdf(record, printed_at=printed)))

    said = [row.why for row in record.compared] + [row.note for row in record.counts]
    said += [part for v in record.verdicts for part in (v.measured, v.limit, v.where, v.status)]
    said += [part for r in record.readings for part in (r.written, r.corrected, r.instrument)]
    said += [part for p in record.packages for part in (p.product, p.net_weight, p.amount)]
    said += [acted.action for acted in record.findings] + ["Tank 1: deep breast, largest bird"]
    said += [acted.finding.sentence for acted in record.findings] + ["318 entries"]
    said += [s.name for s in record.signatures] + ["met", "not met", "not known", "9 CFR 381.66"]
    assert [words for words in said if words not in text] == []


def test_a_reading_stands_as_it_was_written_with_its_correction_beside_it(make_record, printed):
    text = " ".join(pages(day_record_pdf(make_record(), printed_at=printed)))

    assert "12:55 pm Tank 1, largest broiler 11.5 °C 52.9 °F Blue probe Mae" in text


def test_readings_are_in_order_of_time(make_record, printed):
    record = make_record()
    shuffled = dataclasses.replace(record, readings=record.readings[::-1])

    assert day_record_pdf(shuffled, printed_at=printed) == day_record_pdf(
        record, printed_at=printed
    )


def test_the_seal_is_whole_when_the_spaces_are_taken_out(make_record, printed):
    record = make_record()

    text = "".join(pages(day_record_pdf(record, printed_at=printed))[-1].split())

    assert record.seal in text


def test_a_record_without_a_seal_says_so(printed):
    text = pages(day_record_pdf(DayRecordSheet(farm="F", title="T"), printed_at=printed))[0]

    assert "without a seal" in text


def test_a_finding_on_which_nobody_wrote_anything_says_so(make_record, printed):
    text = " ".join(pages(day_record_pdf(make_record(), printed_at=printed)))

    assert text.count("Done: nothing was written down") == 1
    assert "Done: Moved to fresh ice at 5:12 pm" in text


def test_one_curve_takes_the_page_and_two_share_it(make_record, make_curve, printed):
    record = make_record()
    one = dataclasses.replace(record, curves=(make_curve(),))

    for sheet in (one, record):
        text = " ".join(pages(day_record_pdf(sheet, printed_at=printed)))
        assert text.count("must be cold by 2:10 pm") == len(sheet.curves)


def test_curves_are_in_the_asked_unit(make_record, printed):
    text = " ".join(pages(day_record_pdf(make_record(), printed_at=printed, unit="C")))

    assert "30 °C" in text.replace("\u202f", " ")


def test_pretend_birds_are_called_so_on_every_page(make_record, printed):
    read = pages(day_record_pdf(make_record(demo=True), printed_at=printed))

    assert all("DEMO – pretend birds" in text for text in read)


def test_the_same_record_gives_the_same_bytes(make_record, printed):
    once = day_record_pdf(make_record(), printed_at=printed)

    assert day_record_pdf(make_record(), printed_at=printed) == once


def test_signs_of_the_typesetter_are_printed_as_written(printed):
    odd = r"#panic() *b* $x$ [a] @c \ <l>"
    record = DayRecordSheet(
        farm="F",
        title="T",
        readings=(ReadingRow(printed, odd, odd, odd, odd, odd),),
        verdicts=(Verdict(odd, odd, "not known", odd, odd, odd, odd),),
        notes=(odd,),
    )

    text = "".join("".join(pages(day_record_pdf(record, printed_at=printed))).split())

    assert text.count("".join(odd.split())) >= 6


def test_a_long_day_runs_over_as_many_pages_as_it_needs(make_record, printed):
    record = make_record()
    long = dataclasses.replace(record, readings=record.readings * 30)

    text = " ".join(pages(day_record_pdf(long, printed_at=printed)))

    assert text.count("145.5 °F") == 30
