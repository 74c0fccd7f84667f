"""Addresses of the weighing desk: packages, labels, cuttings, water, scale."""

from __future__ import annotations

from django.urls import path

from pinfeather.web.pages import cuttings, desk, desk_setup, documents, packages, scale, water

urlpatterns = [
    path("days/<int:day_id>/pack/", desk.desk, name="desk"),
    path("days/<int:day_id>/pack/live/", desk.live, name="desk_live"),
    path("days/<int:day_id>/pack/labels/", packages.labels_page, name="labels_page"),
    path("days/<int:day_id>/pack/<int:number>/", packages.package, name="desk_package"),
    path("days/<int:day_id>/cuttings/", cuttings.cuttings, name="cuttings"),
    path("days/<int:day_id>/water/", water.water, name="water"),
    path("days/<int:day_id>/labels.pdf", documents.labels, name="labels"),
    path("days/<int:day_id>/label.png", documents.label_proof, name="label_proof"),
    path("days/<int:day_id>/box.pdf", documents.box_label, name="box_label"),
    path("scale/", scale.scale, name="scale"),
    path("farm/labels/", desk_setup.desk_setup, name="desk_setup"),
    path("farm/labels/test.pdf", documents.printer_test, name="printer_test"),
]
