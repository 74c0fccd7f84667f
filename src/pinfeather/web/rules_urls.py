"""Addresses of the pages about rules."""

from __future__ import annotations

from django.urls import path

from pinfeather.web.pages import rules, rules_change, rules_past, rules_tier

urlpatterns = [
    path("rules/", rules.home, name="rules"),
    path("rules/tier/", rules_tier.tier, name="rules_tier"),
    path("rules/change/", rules_change.change, name="rules_change"),
    path("rules/undo/", rules_change.undo, name="rules_undo"),
    path("rules/changes/", rules_past.changes, name="rules_changes"),
    path("rules/kept/<str:fingerprint>/", rules_past.kept, name="rules_kept"),
    path("rules/<str:profile_id>/", rules.profile, name="rules_profile"),
]
