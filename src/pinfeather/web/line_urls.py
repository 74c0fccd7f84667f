"""Addresses of the pages about the line: what-if, crew, part-days, own times."""

from __future__ import annotations

from django.urls import path

from pinfeather.web.pages import line_documents, line_numbers, moved_numbers, what_if, windows

urlpatterns = [
    path("days/windows/", windows.windows, name="windows"),
    path("days/<int:day_id>/what-if/", what_if.what_if, name="what_if"),
    path("days/<int:day_id>/crew/", what_if.crew, name="crew"),
    path("days/<int:day_id>/hindsight/", line_numbers.hindsight, name="hindsight"),
    path("days/<int:day_id>/crew.pdf", line_documents.crew, name="crew_pdf"),
    path("days/<int:day_id>/wall.pdf", line_documents.wall, name="wall_pdf"),
    path("farm/where-from/", moved_numbers.moved_numbers, name="moved_numbers"),
    path("farm/where-from.csv", moved_numbers.moved_numbers_csv, name="moved_numbers_csv"),
    path("farm/line-numbers/", line_numbers.line_numbers, name="line_numbers"),
]
