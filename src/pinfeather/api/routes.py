"""JSON that phones and the day's pages exchange with the farm computer."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.http import HttpRequest, HttpResponse
from ninja import NinjaAPI, Schema
from ninja.utils import check_csrf
from pydantic import AwareDatetime, Field

from pinfeather import __version__, clock
from pinfeather.actions import running, shopfloor
from pinfeather.errors import RecordNotFoundError, StoreError

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


class EntriesIn(Schema):
    """What a device sends in one go."""

    device: str = Field(max_length=40)
    sent_at: AwareDatetime
    station: str = Field("", max_length=20)
    entries: list[EntryIn] = Field(max_length=_MOST_AT_ONCE)


@api.post("/days/{int:day_id}/entries", auth=same_page)
def post_entries(request: HttpRequest, day_id: int, sent: EntriesIn) -> dict[str, Any]:
    """Write entries into the journal; sending one twice writes it once."""
    now = clock.now()
    received = running.receive(
        day_id,
        [entry.model_dump(mode="json") for entry in sent.entries],
        device=sent.device,
        sent_at=sent.sent_at.astimezone(dt.UTC),
        now=now,
    )
    return {
        "received": [
            {"id": r.id, "seq": r.seq, "known": r.known, "problem": r.problem} for r in received
        ],
        "state": shopfloor.state(day_id, station=sent.station, now=now),
    }


@api.get("/days/{int:day_id}/state")
def get_state(request: HttpRequest, day_id: int, station: str = "") -> dict[str, Any]:
    """Tell how the day stands, as one station needs it."""
    return shopfloor.state(day_id, station=station, now=clock.now())


@api.exception_handler(RecordNotFoundError)
def not_found(request: HttpRequest, error: RecordNotFoundError) -> HttpResponse:
    """Answer for a record that is not there."""
    return api.create_response(request, {"sentence": str(error)}, status=404)


@api.exception_handler(StoreError)
def store_trouble(request: HttpRequest, error: StoreError) -> HttpResponse:
    """Answer for a store that cannot be written; the device keeps its entries."""
    return api.create_response(request, {"sentence": str(error)}, status=503)
