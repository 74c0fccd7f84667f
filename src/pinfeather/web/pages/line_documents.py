"""Crew cards and the wall sheet on paper."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse

from pinfeather import clock
from pinfeather.actions.line.documents import crew_pdf, wall_pdf
from pinfeather.reports.wall_strip import WallPaper


def _pdf(content: bytes, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type="application/pdf")
    response.headers["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response


def crew(request: HttpRequest, day_id: int) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Print a card for each person."""
    return _pdf(crew_pdf(day_id, printed_at=clock.now()), f"crew-{day_id}")


def wall(request: HttpRequest, day_id: int) -> HttpResponse:
    """Print the strip for the wall."""
    paper: WallPaper = "a3" if request.GET.get("paper") == "a3" else "us-tabloid"
    return _pdf(wall_pdf(day_id, printed_at=clock.now(), paper=paper), f"wall-{day_id}")
