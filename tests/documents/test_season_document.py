"""The season on paper: what the plan says, on its side; same input, same bytes."""

from __future__ import annotations

import datetime as dt
import io
from dataclasses import replace

import pytest
from pypdf import PdfReader

from pinfeather.actions.season import documents as season_documents
from pinfeather.actions.season import season
from pinfeather.actions.season import work as season_work
from pinfeather.errors import InputError
from pinfeather.reports.season_plan import PaperTable, SeasonSheet, season_plan_pdf
from pinfeather.reports.season_ribbon import ribbon_of

TODAY = dt.date(2026, 6, 17)
NOW = dt.datetime(2026, 6, 17, 15, 40, tzinfo=dt.UTC)


@pytest.fixture
def planned(farm, frozen, monkeypatch, season_made):
    monkeypatch.setattr(season_work, "run", lambda job: job())
    monkeypatch.setattr(season_work, "solve", lambda found, before: season_made["plan"]())
    season_id, number = season.save_and_ask(
        season_made["mapping"](), season_id=None, today=TODAY, now=NOW
    )
    season.begin(season_id, number)
    return season_id


def pages(content: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(io.BytesIO(content)).pages]


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
def test_the_paper_says_what_the_plan_says_and_lies_on_its_side(planned, paper) -> None:
    made = season_documents.season_pdf(planned, 1, printed_at=NOW, paper=paper)
    text = "\n".join(pages(made))
    for said in (
        "2 lots to order, 4 processing days", "$1,860", "$1,200 to $2,400", "88", "Harvest supper",
        "93", "Cash falls below nothing in August.", "The season ribbon", "today, 17 June",
        "Order 75 broiler chicks", "Broiler chicks", "$187.50", "June 2026", "−$25.00",
        "below nothing", "The brooder is full from 15 July to 5 August.",
        "your last 2 lots", "Different from the plan before", "B5: order 75 Broiler",
    ):  # fmt: skip
        assert said in text, said
    for page in PdfReader(io.BytesIO(made)).pages:
        box = page.mediabox
        assert box.width > box.height


def test_the_same_plan_gives_the_same_bytes(planned) -> None:
    first = season_documents.season_pdf(planned, 1, printed_at=NOW)
    assert first == season_documents.season_pdf(planned, 1, printed_at=NOW)


def test_an_impossible_season_prints_what_would_help(planned, monkeypatch, season_made) -> None:
    monkeypatch.setattr(season_work, "solve", lambda found, before: season_made["impossible"]())
    number = season.replan(planned, today=TODAY, now=NOW)
    season.begin(planned, number)
    text = "\n".join(pages(season_documents.season_pdf(planned, number, printed_at=NOW)))
    assert "Not possible as it is written" in text
    assert "Room for 12 more chicks in Back room." in text
    assert "The season ribbon" not in text


def test_a_long_season_fits_its_ribbon_on_one_page(season_made) -> None:
    plan = season_made["plan"]()
    many = tuple(
        replace(lot, code=f"{lot.code}{n}", hatch_on=lot.hatch_on + dt.timedelta(days=3 * n))
        for n in range(8)
        for lot in plan.lots
    )
    ribbon = ribbon_of(replace(plan, lots=many), today=TODAY)
    made = season_plan_pdf(SeasonSheet("Farm", "Title", ribbon=ribbon), printed_at=NOW)
    assert len(pages(made)) <= 2
    assert "T17: order 15 Turkey" in "\n".join(pages(made))


def test_names_are_printed_and_never_run(season_made) -> None:
    rude = "#panic() $x$ *b* `c`"
    table = PaperTable("Orders", ("Order", "Wanted"), ((rude, "1"),), right=(1,))
    made = season_plan_pdf(SeasonSheet(rude, rude, tables=(table,)), printed_at=NOW)
    assert rude in "\n".join(pages(made))


def test_a_paper_that_is_not_known_is_refused() -> None:
    with pytest.raises(InputError):
        season_plan_pdf(SeasonSheet("Farm", "Title"), printed_at=NOW, paper="a5")
