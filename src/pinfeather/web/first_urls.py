"""Addresses of the first hour."""

from __future__ import annotations

from django.urls import path

from pinfeather.web.pages import first

urlpatterns = [
    path("start/", first.start, name="start"),
    path("start/day/", first.first_day_page, name="first_day"),
    path("pretend/", first.pretend_birds, name="pretend"),
]
