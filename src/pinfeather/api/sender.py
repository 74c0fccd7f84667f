"""Which phone that was let in a request comes from; the door in front of the pages notes it."""

from __future__ import annotations

from django.http import HttpRequest

from pinfeather.actions.phones import DeviceView


def note(request: HttpRequest, device: DeviceView) -> None:
    """Note whose request this is."""
    request._device = device  # type: ignore[attr-defined]  # noqa: SLF001 - read below alone


def device(request: HttpRequest) -> DeviceView | None:
    """Return the phone that a request comes from, None at the farm computer."""
    found: DeviceView | None = getattr(request, "_device", None)
    return found
