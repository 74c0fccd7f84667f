"""The web application."""

from __future__ import annotations

from django.apps import AppConfig


class WebConfig(AppConfig):
    """Hands the domain's sentences to Django's translations, and the farm's own rules to it."""

    name = "pinfeather.web"
    label = "web"

    def ready(self) -> None:
        """Say who translates, and where a farm's own rules are found."""
        from django.utils.translation import gettext, ngettext

        from pinfeather import words
        from pinfeather.actions.rules import own
        from pinfeather.rules import profile

        words.use(gettext, ngettext)
        profile.also_from(own.find)
