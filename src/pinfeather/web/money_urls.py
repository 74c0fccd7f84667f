"""Addresses of the pages about money."""

from __future__ import annotations

from django.urls import path

from pinfeather.web.pages import money, money_documents, money_forms, money_what_if

urlpatterns = [
    path("money/", money.money, name="money"),
    path("money/write/", money_forms.write, name="money_write"),
    path("money/lines/", money_forms.lines, name="money_lines"),
    path("money/lines/<str:ident>/", money_forms.correct, name="money_correct"),
    path("money/equipment/", money_forms.equipment, name="money_equipment"),
    path("money/what-if/", money_what_if.what_if, name="money_what_if"),
    path("money/compare/", money_what_if.compare, name="money_compare"),
    path("money/year/", money.year, name="money_year"),
    path("money/birds/<str:by>/<str:name>/", money.birds, name="money_birds"),
    path("money/<int:year>/report.pdf", money_documents.report, name="money_pdf"),
    path("money/<int:year>/pound.csv", money.pound_csv, name="pound_csv"),
    path("money/<int:year>/ledger.csv", money_documents.ledger, name="money_csv"),
    path("money/<int:year>/ledger.txt", money_documents.plain, name="money_text"),
]
