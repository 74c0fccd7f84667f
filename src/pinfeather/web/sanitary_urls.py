"""Addresses of the cleaning plan and its sheets."""

from __future__ import annotations

from django.urls import path

from pinfeather.web.pages import sanitary, sanitary_documents, sanitary_lines, sanitary_plan

urlpatterns = [
    path("sanitary/", sanitary.today, name="sanitary"),
    path("sanitary/days/", sanitary.earlier, name="sanitary_days"),
    path("sanitary/day/<str:on>/", sanitary.day, name="sanitary_day"),
    path("sanitary/not-right/<str:ident>/", sanitary_lines.not_right, name="sanitary_fix"),
    path("sanitary/line/<str:ident>/", sanitary_lines.wrong_line, name="sanitary_line"),
    path("sanitary/plan/", sanitary_plan.plan, name="sanitary_plan"),
    path("sanitary/plan/set-up/", sanitary_plan.set_up, name="sanitary_setup"),
    path("sanitary/plan/new/", sanitary_plan.new_step, name="sanitary_new"),
    path("sanitary/plan/step/<str:code>/", sanitary_plan.step, name="sanitary_step"),
    path("sanitary/paper/<str:name>.pdf", sanitary_documents.paper, name="sanitary_paper"),
    path("sanitary/sheet/<str:on>.pdf", sanitary_documents.sheet, name="sanitary_sheet_pdf"),
    path("sanitary/action/<str:ident>.pdf", sanitary_documents.action, name="sanitary_fix_pdf"),
]
