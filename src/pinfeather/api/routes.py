"""JSON that phones and the day's pages exchange with the farm computer."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse
from ninja import NinjaAPI, Schema, Status
from ninja.utils import check_csrf
from pydantic import AwareDatetime, Field

from pinfeather import __version__, clock
from pinfeather.actions.day import running, shopfloor
from pinfeather.api.sender import device
from pinfeather.errors import RecordNotFoundError, StoreError
from pinfeather.words import gettext as _

_MOST_AT_ONCE = 500

api = NinjaAPI(title="Pinfeather", version=__version__, docs_url=None, urls_namespace="api")


def same_page(request: HttpRequest) -> bool:
    """Let in only requests that carry the token of one of our own pages."""
    return check_csrf(request) is None


class EntryIn(Schema):
    """One thing that happened, as the device wrote it down."""

    id: str = Field(max_length=40, pattern="^[0-9A-Za-z]+$")
    kind: str = Field(max_length=20)
    payload: dict[str, Any]
    who: str = Field("", max_length=40)
    at: AwareDatetime
    skew_s: float | None = Field(None, allow_inf_nan=False)
    """The farm computer's clock less the device's, as the device knew it when it wrote [s]."""


class EntriesIn(Schema):
    """What a device sends in one go."""

    device: str = Field(max_length=40)
    sent_at: AwareDatetime
    station: str = Field("", max_length=20)
    state: bool = True
    entries: list[EntryIn] = Field(max_length=_MOST_AT_ONCE)


@api.post("/days/{int:day_id}/entries", auth=same_page)
def post_entries(request: HttpRequest, day_id: int, sent: EntriesIn) -> dict[str, Any]:
    """Write entries into the journal; sending one twice writes it once."""
    now = clock.now()
    phone = device(request)
    received = running.receive(
        day_id,
        [entry.model_dump(mode="json") for entry in sent.entries],
        device=phone.name if phone else sent.device,
        sent_at=sent.sent_at.astimezone(dt.UTC),
        now=now,
    )
    answer: dict[str, Any] = {
        "now": clock.now().isoformat(),
        "received": [
            {"id": r.id, "seq": r.seq, "known": r.known, "problem": r.problem} for r in received
        ],
    }
    if sent.state:
        answer["state"] = shopfloor.state(day_id, station=sent.station, now=now)
    return answer


@api.get("/days/{int:day_id}/state", response={200: dict[str, Any], 204: None})
def get_state(  # noqa: PLR0917 - a query's names
    request: HttpRequest, day_id: int, station: str = "", mark: str = ""
) -> Status[Any]:
    """Tell how the day stands, as one station needs it; 204 where the mark says it is known."""
    now = clock.now()
    if mark and mark == shopfloor.mark(day_id, now=now):
        return Status(204, None)
    return Status(200, shopfloor.state(day_id, station=station, now=now))


@api.exception_handler(RecordNotFoundError)
def not_found(request: HttpRequest, error: RecordNotFoundError) -> HttpResponse:
    """Answer for a record that is not there."""
    return api.create_response(request, {"sentence": str(error)}, status=404)


@api.exception_handler(DatabaseError)
def store_unreadable(request: HttpRequest, error: DatabaseError) -> HttpResponse:
    """Answer for a store that cannot be read; the device keeps its entries."""
    told = _("The farm's records cannot be read just now ({why}).").format(why=str(error).strip())
    return api.create_response(request, {"sentence": told}, status=503)


@api.exception_handler(StoreError)
def store_trouble(request: HttpRequest, error: StoreError) -> HttpResponse:
    """Answer for a store that cannot be written; the device keeps its entries."""
    return api.create_response(request, {"sentence": str(error)}, status=503)
