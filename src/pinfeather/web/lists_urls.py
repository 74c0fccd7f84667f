"""Addresses of lists brought in from paper and tables."""

from __future__ import annotations

from django.urls import path

from pinfeather.web.pages import lists

urlpatterns = [
    path("import/", lists.lists, name="lists"),
    path("import/look/", lists.look, name="list_look"),
    path("import/<str:list_id>/", lists.brought, name="list_brought"),
]
