"""Documents and files of a season."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse

from pinfeather import clock
from pinfeather.actions.season import documents as season_documents
from pinfeather.actions.season import files as season_files
from pinfeather.actions.season import store as season_store
from pinfeather.reports.typeset import Paper


def _file(content: bytes, kind: str, name: str, *, inline: bool = False) -> HttpResponse:
    response = HttpResponse(content, content_type=kind)
    how = "inline" if inline else "attachment"
    response.headers["Content-Disposition"] = f'{how}; filename="{name}"'
    return response


def plan(request: HttpRequest, season_id: int, number: int) -> HttpResponse:
    """Print the plan."""
    paper: Paper = "a4" if request.GET.get("paper") == "a4" else "us-letter"
    content = season_documents.season_pdf(season_id, number, printed_at=clock.now(), paper=paper)
    return _file(content, "application/pdf", f"season-{season_id}-{number}.pdf", inline=True)


def calendar(request: HttpRequest, season_id: int, number: int) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Give the dates to a calendar."""
    content = season_documents.calendar_file(season_id, number, stamp=clock.now())
    return _file(content, "text/calendar; charset=utf-8", f"season-{season_id}.ics")


def purchases(request: HttpRequest, season_id: int, number: int) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Give what is to be bought as a table."""
    content = season_documents.purchases_csv(season_id, number)
    return _file(content, "text/csv; charset=utf-8", f"purchases-{season_id}-{number}.csv")


def ribbon(request: HttpRequest, season_id: int, number: int) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Give the points of the ribbon as a table."""
    content = season_documents.ribbon_csv(season_id, number)
    return _file(content, "text/csv; charset=utf-8", f"season-{season_id}-{number}.csv")


def toml(request: HttpRequest, season_id: int, number: int) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Give what a plan was asked with, as the file the command line reads."""
    view = season_store.version(season_id, number)
    return _toml(season_files.toml_text(view.mapping), f"season-{season_id}-{number}.toml")


def draft_toml(request: HttpRequest, season_id: int) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Give what is written, whether it was worked out or not."""
    found = season_store.season(season_id)
    return _toml(season_files.toml_text(found.mapping), f"season-{season_id}.toml")


def _toml(text: str, name: str) -> HttpResponse:
    return _file(text.encode(), "application/toml; charset=utf-8", name)
