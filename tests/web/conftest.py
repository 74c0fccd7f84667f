"""Pages as a browser without script sees them: asked for, parsed, filled in and sent."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

import pytest
from django.test import Client

VOID = frozenset(
    [
        "area",
        "base",
        "br",
        "col",
        "embed",
        "hr",
        "img",
        "input",
        "link",
        "meta",
        "source",
        "track",
        "wbr",
        "circle",
        "ellipse",
        "line",
        "path",
        "polygon",
        "polyline",
        "rect",
        "stop",
        "use",
    ]
)


@dataclass
class Element:
    tag: str
    attrs: dict[str, str]
    inside: tuple[str, ...]
    text: str = ""


@dataclass
class Page:
    """Every element of a page with its attributes and the text right inside it."""

    elements: list[Element] = field(default_factory=list)

    def all(self, tag: str, **attrs: str) -> list[Element]:
        wanted = {name.rstrip("_"): value for name, value in attrs.items()}
        return [
            e
            for e in self.elements
            if e.tag == tag and all(e.attrs.get(n) == v for n, v in wanted.items())
        ]

    def one(self, tag: str, **attrs: str) -> Element:
        (found,) = self.all(tag, **attrs)
        return found

    def fields(self) -> dict[str, Any]:
        """What the page's forms would send, buttons left out; lists for ticked boxes."""
        sent: dict[str, Any] = {}
        for e in self.elements:
            name = e.attrs.get("name", "")
            if e.tag == "input" and e.attrs.get("type") == "checkbox":
                if "checked" in e.attrs:
                    sent.setdefault(name, []).append(e.attrs["value"])
            elif e.tag == "input" and name:
                sent[name] = e.attrs.get("value", "")
            elif e.tag == "textarea":
                sent[name] = e.text.removeprefix("\n")
            elif e.tag == "option" and ("selected" in e.attrs or e.inside[-1] not in sent):
                sent[e.inside[-1]] = e.attrs.get("value", e.text)
        sent.pop("csrfmiddlewaretoken", None)
        return sent

    def fault(self, name: str) -> str:
        """The sentence that stands beside a field, found as a screen reader finds it."""
        inputs = [e for e in self.elements if e.attrs.get("name") == name and "id" in e.attrs]
        described = inputs[0].attrs.get("aria-describedby", "") if inputs else ""
        return next((e.text.strip() for e in self.elements if e.attrs.get("id") == described), "")


class _Parser(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.page = Page()
        self._open: list[Element] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = {name: value or "" for name, value in attrs}
        path = tuple(e.attrs.get("name", e.tag) for e in self._open)
        element = Element(tag, named, path)
        self.page.elements.append(element)
        if tag not in VOID:
            self._open.append(element)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self._open.pop()

    def handle_endtag(self, tag: str) -> None:
        for place in range(len(self._open) - 1, -1, -1):
            if self._open[place].tag == tag:
                del self._open[place:]
                return

    def handle_data(self, data: str) -> None:
        for element in self._open:
            element.text += data


@pytest.fixture
def parse() -> Callable[[Any], Page]:
    """Parse a page."""

    def parsed(response: Any) -> Page:
        parser = _Parser()
        parser.feed(response.content.decode())
        parser.close()
        return parser.page

    return parsed


@pytest.fixture
def strict_client() -> Client:
    """A browser that is held to the forms' tokens."""
    return Client(enforce_csrf_checks=True)


@pytest.fixture(scope="session")
def _kept() -> dict[str, Any]:
    return {}


@pytest.fixture
def answers(demo_farm, client, pages, _kept) -> dict[str, Any]:
    """Every page of the demo farm by name, each asked for once in a run."""
    if not _kept:
        _kept.update({name: client.get(url) for name, url in pages(demo_farm).items()})
    return _kept


@pytest.fixture
def pages() -> Callable[[dict[str, int]], dict[str, str]]:
    """Name every page there is, for one day of each state."""

    def named(by_state: dict[str, int]) -> dict[str, str]:
        found = {
            "today": "/",
            "farm": "/farm/",
            "thermometers": "/thermometers/",
            "days": "/days/",
            "new": "/days/new/",
            "freezer": "/freezer/",
            "places": "/freezer/places/",
            "put away": "/freezer/put/",
            "count": "/freezer/count/",
            "count a place": "/freezer/count/?place=Porch%20freezer",
            "freezer temperatures": "/freezer/temperatures/",
            "power cut": "/freezer/power-cut/",
            "orders": "/orders/",
            "new order": "/orders/new/",
            "order": "/orders/1/",
            "change order": "/orders/1/change/",
            "give": "/orders/give/",
            "customers": "/orders/customers/",
            "store": "/store/",
            "hand over": "/store/?order=1",
            "sales": "/store/sales/",
            "sale": "/store/sales/demosale1/",
            "rules": "/rules/",
            "which exemption": "/rules/tier/",
            "every number": "/rules/us-federal/",
            "change a number": "/rules/change/?path=chill.target",
            "old verdicts": "/rules/changes/",
            "trace": "/trace/",
            "trace a flock": "/trace/?q=B2",
            "recall drill": "/trace/drill/",
            "binder": "/binder/",
            "duties": "/duties/",
            "duty": "/duties/water-test/",
            "new duty": "/duties/new/",
            "inspection": "/inspection/",
            "keeping": "/farm/keeping/",
            "remove a name": "/farm/keeping/remove/?who=c1",
            "lots": "/lots/",
            "lot": "/lots/B4/",
            "lot numbers": "/lots/numbers/",
            "cleaning": "/sanitary/",
            "cleaning days": "/sanitary/days/",
            "cleaning plan": "/sanitary/plan/",
            "cleaning set-up": "/sanitary/plan/set-up/",
            "cleaning step": "/sanitary/plan/step/picker/",
            "new cleaning step": "/sanitary/plan/new/",
        }
        for state, day_id in by_state.items():
            day = f"/days/{day_id}/"
            found |= {f"{state}": day}
            for part in (
                "numbers",
                "strip",
                "cold",
                "reading",
                "explain",
                "pack",
                "change",
                "close",
            ):
                found[f"{state} {part}"] = f"{day}{part}/"
            for code in ("catch", "kill", "pick", "draw", "chill"):
                found[f"{state} at {code}"] = f"{day}at/{code}/"
        return found

    return named


LAN = "192.0.2.20"
"""The farm computer's address on the tests' home network (set aside for documents, RFC 5737)."""


@pytest.fixture
def lan(settings) -> str:
    """Let the home network in."""
    settings.LAN_ADDRESSES = (LAN,)
    settings.LAN_URL = f"http://{LAN}:8470/"
    settings.ALLOWED_HOSTS = [*settings.ALLOWED_HOSTS, LAN]
    return f"{LAN}:8470"


@pytest.fixture
def at_the_lan(lan) -> Callable[..., Client]:
    """Make browsers on the home network, not let in yet."""

    def made(address: str = "192.0.2.55", *, host: str = lan, strict: bool = False) -> Client:
        door = {"pinfeather.door": "home network"}
        return Client(
            enforce_csrf_checks=strict, headers={"host": host}, REMOTE_ADDR=address, **door
        )

    return made


@pytest.fixture
def let_in(at_the_lan) -> Callable[..., Client]:
    """Make phones that were let in."""
    from pinfeather import clock
    from pinfeather.actions import phones

    def made(name: str = "Draw table", *, station: str = "", strict: bool = False) -> Client:
        phone = at_the_lan(f"192.0.2.{len(phones.let_in(kind='phone')) + 60}")
        assert phone.post("/phones/ask/").status_code == 302
        device = phones.waiting(now=clock.now())[-1]
        phones.approve(device.id, name=name, station=station, now=clock.now())
        phone.handler.enforce_csrf_checks = strict
        phone.device_id = device.id
        return phone

    return made
