"""Addresses of the pages about lots."""

from __future__ import annotations

from django.urls import path

from pinfeather.web.pages import lot_documents, lot_forms, lot_setup, lots

urlpatterns = [
    path("lots/", lots.lots, name="lots"),
    path("lots/new/", lot_setup.new, name="new_lot"),
    path("lots/numbers/", lots.numbers, name="lot_numbers"),
    path("lots/pens/", lot_setup.pens, name="pens"),
    path("lots/curves/", lot_setup.curves, name="curves"),
    path("lots/<path:code>/change/", lot_setup.change, name="change_lot"),
    path("lots/<path:code>/write/", lot_forms.write, name="lot_write"),
    path("lots/<path:code>/weigh/", lot_forms.weigh, name="lot_weigh"),
    path("lots/<path:code>/when/", lots.when, name="lot_when"),
    path("lots/<path:code>/strike/<str:entry_id>/", lot_forms.strike, name="lot_strike"),
    path("lots/<path:code>/lot.pdf", lot_documents.sheet, name="lot_pdf"),
    path("lots/<path:code>/card.pdf", lot_documents.card, name="lot_card"),
    path("lots/<path:code>/dates.ics", lot_documents.dates, name="lot_ics"),
    path("lots/<path:code>/", lots.lot, name="lot"),
]
