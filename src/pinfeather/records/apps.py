"""The records application."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class RecordsConfig(AppConfig):
    """Names the application's tables ``records_…``."""

    name = "pinfeather.records"
    label = "records"

    def ready(self) -> None:
        """Have the store's guards put back after every change of the tables."""
        from pinfeather.records.guards import after_migrate

        post_migrate.connect(after_migrate, sender=self, dispatch_uid="records guards")
