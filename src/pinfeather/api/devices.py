"""JSON for instruments that send by themselves: thermometer gateways and scales.

Its OpenAPI description is at ``/api/devices/openapi.json``. Each request carries the instrument's
token, which is made and ended on the farm computer's page *Phones*.
"""

from __future__ import annotations

import datetime as dt
from typing import Any, Literal

from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse
from ninja import NinjaAPI, Schema
from ninja.errors import AuthenticationError, HttpError, ValidationError
from ninja.security import HttpBearer
from pydantic import AwareDatetime, Field

from pinfeather import __version__, clock
from pinfeather.actions import phones
from pinfeather.actions.day import instruments
from pinfeather.errors import RecordConflictError, RecordNotFoundError, StoreError
from pinfeather.words import gettext as _

_MOST_AT_ONCE = 500
_LARGEST_DAY = 2**63 - 1

devices = NinjaAPI(
    title="Pinfeather: instruments that send by themselves",
    version=__version__,
    docs_url=None,
    urls_namespace="devices",
)


class Token(HttpBearer):
    """Lets in the tokens of instruments that were not ended."""

    def authenticate(
        self,
        request: HttpRequest,  # noqa: ARG002 - the parent's signature
        token: str,
    ) -> phones.DeviceView | None:
        """Return whose token it is."""
        found = phones.by_token(token, kind=phones.INSTRUMENT, now=clock.now())
        return found if found is not None and found.status == phones.LET_IN else None


class ReadingIn(Schema):
    """One reading, with the unit as the instrument writes it."""

    id: str = Field(
        min_length=1,
        max_length=24,
        pattern="^[0-9A-Za-z]+$",
        description="The instrument's own number for it; sent twice, it is written once.",
    )
    what: Literal["bath", "bird", "giblets", "scalder", "strip", "room", "refrigerator"]
    written: str = Field(max_length=40, description="Value and unit, such as 34.2 F.")
    place: str = Field("", max_length=40, description="A tank's name, where there are several.")
    instrument: str = Field("", max_length=40, description="Empty for the token's own name.")
    at: AwareDatetime | None = Field(None, description="Empty for now.")


class WeightIn(Schema):
    """One weight, with the unit as the scale writes it."""

    id: str = Field(
        min_length=1,
        max_length=24,
        pattern="^[0-9A-Za-z]+$",
        description="The scale's own number for it; sent twice, it is written once.",
    )
    written: str = Field(max_length=40, description="Value and unit, such as 4.52 lb.")
    instrument: str = Field("", max_length=40, description="Empty for the token's own name.")
    at: AwareDatetime | None = Field(None, description="Empty for now.")


class ReadingsIn(Schema):
    """What a thermometer gateway sends in one go."""

    day: int | None = Field(None, ge=1, le=_LARGEST_DAY, description="Empty: the running day.")
    sent_at: AwareDatetime | None = Field(None, description="Its clock, to measure its error.")
    readings: list[ReadingIn] = Field(min_length=1, max_length=_MOST_AT_ONCE)


class WeightsIn(Schema):
    """What a scale sends in one go."""

    day: int | None = Field(None, ge=1, le=_LARGEST_DAY, description="Empty: the running day.")
    sent_at: AwareDatetime | None = Field(None, description="Its clock, to measure its error.")
    weights: list[WeightIn] = Field(min_length=1, max_length=_MOST_AT_ONCE)


class ReceivedOut(Schema):
    """What became of one of them."""

    id: str
    seq: int
    known: bool
    problem: str


class AnswerOut(Schema):
    """The farm computer's clock, and what became of each."""

    now: dt.datetime
    received: list[ReceivedOut]


class TroubleOut(Schema):
    """Why nothing was taken."""

    sentence: str


_ANSWERS: dict[int, Any] = {
    200: AnswerOut,
    **dict.fromkeys((400, 401, 404, 409, 422, 503), TroubleOut),
}


@devices.post("/readings", auth=Token(), response=_ANSWERS)
def post_readings(request: HttpRequest, sent: ReadingsIn) -> dict[str, Any]:
    """Write readings into the running day's journal."""
    entries = [("reading", one.model_dump(mode="json")) for one in sent.readings]
    return _taken(request, sent, entries)


@devices.post("/weights", auth=Token(), response=_ANSWERS)
def post_weights(request: HttpRequest, sent: WeightsIn) -> dict[str, Any]:
    """Write weights into the running day's journal."""
    entries = [("weight", one.model_dump(mode="json")) for one in sent.weights]
    return _taken(request, sent, entries)


def _taken(
    request: HttpRequest, sent: ReadingsIn | WeightsIn, entries: list[tuple[str, dict[str, Any]]]
) -> dict[str, Any]:
    device: phones.DeviceView = request.auth  # type: ignore[attr-defined]
    now = clock.now()
    sent_at = None if sent.sent_at is None else sent.sent_at.astimezone(dt.UTC)
    received = instruments.receive(device, entries, day_id=sent.day, sent_at=sent_at, now=now)
    return {
        "now": now,
        "received": [
            {"id": r.id, "seq": r.seq, "known": r.known, "problem": r.problem} for r in received
        ],
    }


def _answer(request: HttpRequest, sentence: str, status: int) -> HttpResponse:
    return devices.create_response(request, {"sentence": sentence}, status=status)


@devices.exception_handler(AuthenticationError)
def not_let_in(request: HttpRequest, error: AuthenticationError) -> HttpResponse:
    """Answer for a token that is missing, wrong or ended."""
    answer = _answer(request, _("This token is not let in."), 401)
    answer.headers["WWW-Authenticate"] = "Bearer"
    return answer


@devices.exception_handler(ValidationError)
def not_understood(request: HttpRequest, error: ValidationError) -> HttpResponse:
    """Say which fields are not as the description has them."""
    fields = ", ".join(".".join(str(step) for step in one["loc"][1:]) for one in error.errors)
    return _answer(request, _("This was not understood: {fields}.").format(fields=fields), 422)


@devices.exception_handler(HttpError)
def no_request(request: HttpRequest, error: HttpError) -> HttpResponse:
    """Answer for what is no request at all, such as a body that is not JSON."""
    return _answer(request, str(error), error.status_code)


@devices.exception_handler(RecordNotFoundError)
def not_there(request: HttpRequest, error: RecordNotFoundError) -> HttpResponse:
    """Answer for a day that is not there."""
    return _answer(request, str(error), 404)


@devices.exception_handler(RecordConflictError)
def no_day_runs(request: HttpRequest, error: RecordConflictError) -> HttpResponse:
    """Answer where no day runs; the instrument keeps what it has."""
    return _answer(request, str(error), 409)


@devices.exception_handler(DatabaseError)
def store_unreadable(request: HttpRequest, error: DatabaseError) -> HttpResponse:
    """Answer for a store that cannot be read; the instrument keeps what it has."""
    told = _("The farm's records cannot be read just now ({why}).").format(why=str(error).strip())
    return _answer(request, told, 503)


@devices.exception_handler(StoreError)
def store_trouble(request: HttpRequest, error: StoreError) -> HttpResponse:
    """Answer for a store that cannot be written; the instrument keeps what it has."""
    return _answer(request, str(error), 503)
