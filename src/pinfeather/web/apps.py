"""The web application."""

from __future__ import annotations

from django.apps import AppConfig


class WebConfig(AppConfig):
    """Hands the domain's sentences to Django's translations."""

    name = "pinfeather.web"
    label = "web"

    def ready(self) -> None:
        """Say who translates."""
        from django.utils.translation import gettext, ngettext

        from pinfeather import words

        words.use(gettext, ngettext)
