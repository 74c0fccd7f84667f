"""Addresses of the pages about stock: freezer, packages, orders, store, trace."""

from __future__ import annotations

from django.urls import path

from pinfeather.web.pages import counter, freezer, orders, trace

urlpatterns = [
    path("freezer/", freezer.freezer, name="freezer"),
    path("freezer/places/", freezer.places, name="places"),
    path("freezer/put/", freezer.put, name="put"),
    path("freezer/count/", freezer.count, name="count"),
    path("freezer/temperatures/", freezer.temperatures, name="temperatures"),
    path("freezer/power-cut/", freezer.power_cut, name="power_cut"),
    path("packages/<str:ident>/", freezer.package, name="package"),
    path("orders/", orders.orders, name="orders"),
    path("orders/new/", orders.new, name="new_order"),
    path("orders/give/", orders.give, name="give"),
    path("orders/customers/", orders.customers, name="customers"),
    path("orders/pick-list.pdf", orders.pick_list, name="pick_list"),
    path("orders/pickups.pdf", orders.pickup_sheet, name="pickup_sheet"),
    path("orders/<int:order_id>/", orders.order, name="order"),
    path("orders/<int:order_id>/change/", orders.change, name="change_order"),
    path("orders/<int:order_id>/cards.pdf", orders.cards, name="order_cards"),
    path("store/", counter.counter, name="store"),
    path("store/sales/", counter.sales, name="sales"),
    path("store/sales/list.csv", counter.sales_csv, name="sales_csv"),
    path("store/sales/<str:sale_id>/", counter.sale, name="sale"),
    path("store/sales/<str:sale_id>/receipt.pdf", counter.receipt, name="receipt"),
    path("store/sales/<str:sale_id>/cards.pdf", counter.sale_cards, name="sale_cards"),
    path("trace/", trace.trace, name="trace"),
    path("trace/trace.pdf", trace.trace_pdf, name="trace_pdf"),
]
