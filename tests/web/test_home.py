"""The first page: what is due, what needs a decision, what is at risk, and nothing else."""

from __future__ import annotations

import datetime as dt
import re

import pytest

from pinfeather.actions import home as homes
from pinfeather.actions.day.days import days
from pinfeather.actions.stock import orders


def _words(client) -> str:
    return re.sub(r"<[^>]+>", " ", client.get("/").content.decode())


def test_each_line_leads_to_the_page_where_it_is_dealt_with(demo_farm, client, parse, frozen):
    found = homes.home(now=frozen)
    assert found.due
    assert found.risk
    page = parse(client.get("/"))
    shown = {link.attrs["href"] for link in page.all("a") if "href" in link.attrs}
    for url in shown:
        assert client.get(url).status_code == 200, url


def test_the_next_day_stands_under_due_until_it_was_never_begun(planned_day, client, monkeypatch):
    (line,) = days()
    start = dt.datetime.combine(line.date, dt.time(15), dt.UTC)
    before = homes.home(now=start - dt.timedelta(days=2))
    assert [(one.page, one.args) for one in before.due if one.page == "day"] == [
        ("day", (planned_day,))
    ]
    after = homes.home(now=start + dt.timedelta(days=2))
    assert not [one for one in after.due if one.page == "day"]
    (decision,) = [one for one in after.decide if one.page == "day"]
    assert decision.late


def test_an_order_due_tomorrow_is_due_and_what_it_lacks_is_to_decide(demo_farm, frozen):
    waiting = [one for one in orders.orders() if one.lacks]
    if not waiting:
        pytest.fail("the demo has an order without a package")
    one = waiting[0]
    at = dt.datetime.combine(one.pickup_on - dt.timedelta(days=1), dt.time(16), dt.UTC)
    found = homes.home(now=at)
    assert any(line.page == "order" and line.args == (one.id,) for line in found.due)
    assert any(line.page == "order" and line.args == (one.id,) for line in found.decide)


def test_a_quiet_farm_says_so(farm, client, monkeypatch):
    quiet = homes.Home((), (), ())
    monkeypatch.setattr(homes, "home", lambda **_: quiet)
    monkeypatch.setattr("pinfeather.web.pages.today._steps", lambda *_a, **_k: [])
    assert "Nothing is due" in _words(client)
