"""Addresses of the pages about the season."""

from __future__ import annotations

from django.urls import path

from pinfeather.web.pages import season, season_documents

_ONE = "season/<int:season_id>/<int:number>"

urlpatterns = [
    path("season/", season.season, name="season"),
    path("season/write/", season.write, name="season_write"),
    path("season/file/", season.upload, name="season_upload"),
    path("season/<int:season_id>/replan/", season.replan, name="season_replan"),
    path("season/<int:season_id>/season.toml", season_documents.draft_toml, name="season_toml"),
    path(f"{_ONE}/", season.version, name="season_version"),
    path(f"{_ONE}/progress/", season.progress, name="season_progress"),
    path(f"{_ONE}/again/", season.again, name="season_again"),
    path(f"{_ONE}/take-lot/", season.take_lot, name="season_take_lot"),
    path(f"{_ONE}/ribbon/", season.ribbon_table, name="season_ribbon"),
    path(f"{_ONE}/plan.pdf", season_documents.plan, name="season_pdf"),
    path(f"{_ONE}/season.ics", season_documents.calendar, name="season_ics"),
    path(f"{_ONE}/ribbon.csv", season_documents.ribbon, name="season_ribbon_csv"),
    path(f"{_ONE}/purchases.csv", season_documents.purchases, name="season_purchases"),
    path(f"{_ONE}/season.toml", season_documents.toml, name="season_version_toml"),
]
