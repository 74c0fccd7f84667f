"""Addresses of the binder and of the recall drill."""

from __future__ import annotations

from django.urls import path

from pinfeather.web.pages import binder, drill

urlpatterns = [
    path("binder/", binder.binder, name="binder"),
    path("binder/progress/", binder.progress, name="binder_progress"),
    path("binder/binder.pdf", binder.binder_pdf, name="binder_pdf"),
    path("trace/drill/", drill.drill, name="drill"),
]
