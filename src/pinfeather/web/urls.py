"""Addresses of the pages."""

from __future__ import annotations

from django.urls import path
from django.views.generic import RedirectView

from pinfeather.api.devices import devices
from pinfeather.api.routes import api
from pinfeather.web import (
    binder_urls,
    desk_urls,
    duties_urls,
    first_urls,
    flock_urls,
    line_urls,
    lists_urls,
    money_urls,
    rules_urls,
    sanitary_urls,
    season_urls,
    stock_urls,
)
from pinfeather.web.pages import (
    calculators,
    closing,
    cold,
    days,
    documents,
    farm,
    logger,
    own_numbers,
    phones,
    safe,
    screen,
    station,
    thermometers,
    today,
)

urlpatterns = [
    path("api/devices/", devices.urls),
    path("api/", api.urls),
    path("", today.today, name="today"),
    *binder_urls.urlpatterns,
    *desk_urls.urlpatterns,
    *duties_urls.urlpatterns,
    *first_urls.urlpatterns,
    *line_urls.urlpatterns,
    *lists_urls.urlpatterns,
    *flock_urls.urlpatterns,
    *money_urls.urlpatterns,
    *rules_urls.urlpatterns,
    *sanitary_urls.urlpatterns,
    *stock_urls.urlpatterns,
    *season_urls.urlpatterns,
    path("favicon.ico", RedirectView.as_view(url="/static/pinfeather/icon.svg")),
    path("farm/", farm.farm, name="farm"),
    path("screen/", screen.screen, name="screen"),
    path("farm/numbers/", own_numbers.own_numbers, name="own_numbers"),
    path("farm/phones/", phones.phones_page, name="phones"),
    path("farm/phones/waiting/", phones.waiting, name="phones_waiting"),
    path("phones/ask/", phones.ask, name="ask"),
    path("farm/safe/", safe.safe, name="safe"),
    path("farm/safe/newest.sqlite3", safe.newest, name="safe_newest"),
    path("farm/safe/export.zip", safe.export, name="safe_export"),
    path("farm/safe/<str:name>/", safe.go_back, name="restore"),
    path("calculators/", calculators.calculators, name="calculators"),
    path("calculators/<str:name>/", calculators.calculator, name="calculator"),
    path("thermometers/", thermometers.thermometers, name="thermometers"),
    path("days/", days.days, name="days"),
    path("days/new/", days.new, name="new_day"),
    path("days/<int:day_id>/", days.day, name="day"),
    path("days/<int:day_id>/live/", days.live, name="day_live"),
    path("days/<int:day_id>/moved/", days.moved, name="day_moved"),
    path("days/<int:day_id>/change/", days.change, name="change_day"),
    path("days/<int:day_id>/numbers/", days.numbers, name="day_numbers"),
    path("days/<int:day_id>/strip/", days.strip_as_table, name="day_strip"),
    path("days/<int:day_id>/cold/", cold.cold, name="day_cold"),
    path("days/<int:day_id>/cold.csv", cold.cold_csv, name="cold_csv"),
    path("days/<int:day_id>/logger/", logger.logger, name="logger"),
    path("days/<int:day_id>/at/<str:code>/", station.station, name="station"),
    path("days/<int:day_id>/reading/", station.reading, name="reading"),
    path("days/<int:day_id>/explain/", station.explain, name="explain"),
    path("days/<int:day_id>/close/", closing.close, name="close_day"),
    path("days/<int:day_id>/correct/", closing.correct, name="correct"),
    path("days/<int:day_id>/plan.pdf", documents.plan, name="plan_pdf"),
    path("days/<int:day_id>/record.pdf", documents.record, name="record_pdf"),
    path("days/<int:day_id>/todo.ics", documents.todo, name="todo_ics"),
    path("days/<int:day_id>/strip.csv", documents.strip, name="strip_csv"),
    path("days/<int:day_id>/journal.csv", documents.journal, name="journal_csv"),
]
handler400 = "pinfeather.web.pages.trouble.not_understood"
handler404 = "pinfeather.web.pages.trouble.not_found"
handler500 = "pinfeather.web.pages.trouble.broken"
