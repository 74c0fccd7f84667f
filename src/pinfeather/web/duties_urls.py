"""Addresses of duties, proofs, the inspection, the visitor's pages and keeping records."""

from __future__ import annotations

from django.urls import path

from pinfeather.web.pages import duties, inspection, keeping, proofs, visit

urlpatterns = [
    path("duties/", duties.duties, name="duties"),
    path("duties/duties.ics", duties.ics, name="duties_ics"),
    path("duties/new/", duties.new, name="new_duty"),
    path("duties/<slug:code>/", duties.duty, name="duty"),
    path("proofs/<str:digest>", proofs.proof, name="proof"),
    path("inspection/", inspection.inspection, name="inspection"),
    path("farm/keeping/", keeping.keeping, name="keeping"),
    path("farm/keeping/remove/", keeping.remove, name="remove_name"),
    path("visit/", visit.visit, name="visit"),
    path("visit/days/<int:day_id>/record.pdf", visit.record, name="visit_record"),
    path("visit/proofs/<str:digest>", visit.proof, name="visit_proof"),
]
