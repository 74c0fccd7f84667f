"""The records application."""

from django.apps import AppConfig


class RecordsConfig(AppConfig):
    """Names the application's tables ``records_…``."""

    name = "pinfeather.records"
    label = "records"
