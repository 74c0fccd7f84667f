"""Addresses of the pages."""

from __future__ import annotations

from django.urls import path
from django.views.generic import RedirectView

from pinfeather.api.routes import api
from pinfeather.web import line_urls
from pinfeather.web.pages import (
    calculators,
    closing,
    cold,
    days,
    desk,
    documents,
    farm,
    logger,
    own_numbers,
    station,
    thermometers,
    today,
)

urlpatterns = [
    path("api/", api.urls),
    path("", today.today, name="today"),
    *line_urls.urlpatterns,
    path("favicon.ico", RedirectView.as_view(url="/static/pinfeather/icon.svg")),
    path("farm/", farm.farm, name="farm"),
    path("farm/numbers/", own_numbers.own_numbers, name="own_numbers"),
    path("calculators/", calculators.calculators, name="calculators"),
    path("calculators/<str:name>/", calculators.calculator, name="calculator"),
    path("thermometers/", thermometers.thermometers, name="thermometers"),
    path("days/", days.days, name="days"),
    path("days/new/", days.new, name="new_day"),
    path("days/<int:day_id>/", days.day, name="day"),
    path("days/<int:day_id>/live/", days.live, name="day_live"),
    path("days/<int:day_id>/change/", days.change, name="change_day"),
    path("days/<int:day_id>/numbers/", days.numbers, name="day_numbers"),
    path("days/<int:day_id>/strip/", days.strip_as_table, name="day_strip"),
    path("days/<int:day_id>/cold/", cold.cold, name="day_cold"),
    path("days/<int:day_id>/logger/", logger.logger, name="logger"),
    path("days/<int:day_id>/at/<str:code>/", station.station, name="station"),
    path("days/<int:day_id>/reading/", station.reading, name="reading"),
    path("days/<int:day_id>/explain/", station.explain, name="explain"),
    path("days/<int:day_id>/pack/", desk.desk, name="desk"),
    path("days/<int:day_id>/close/", closing.close, name="close_day"),
    path("days/<int:day_id>/correct/", closing.correct, name="correct"),
    path("days/<int:day_id>/labels.pdf", documents.labels, name="labels"),
    path("days/<int:day_id>/plan.pdf", documents.plan, name="plan_pdf"),
    path("days/<int:day_id>/record.pdf", documents.record, name="record_pdf"),
    path("days/<int:day_id>/todo.ics", documents.todo, name="todo_ics"),
    path("days/<int:day_id>/strip.csv", documents.strip, name="strip_csv"),
    path("days/<int:day_id>/journal.csv", documents.journal, name="journal_csv"),
]
handler400 = "pinfeather.web.pages.trouble.not_understood"
handler404 = "pinfeather.web.pages.trouble.not_found"
handler500 = "pinfeather.web.pages.trouble.broken"
