"""Which address of this computer the phones of the house can reach."""

from __future__ import annotations

import ipaddress
import socket
import struct

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

_PROBES = ("192.0.2.1", "10.255.255.255", "192.168.255.255", "172.31.255.255")
"""Asked only which way a packet would go; nothing is sent. The first is set aside for documents."""
_LINUX_ADDRESS_OF = 0x8915  # SIOCGIFADDR


def own_address(given: str = "") -> str:
    """Return this computer's address on the home network, or check the one that was named.

    Raises
    ------
    InputError
        If there is none, or it is not an address of a home network.
    """
    if given:
        return _checked(given)
    found = [*_by_route(), *_by_name(), *_by_interface()]
    for address in found:
        if _fits(address):
            return address
    raise InputError(
        "address",
        "",
        _("No home network was found. Connect this computer to it, or give its --address."),
    )


def _checked(text: str) -> str:
    try:
        address = ipaddress.IPv4Address(text)
    except ValueError as error:
        raise InputError(
            "address", text, _("“{text}” is not an address such as 192.168.1.20.").format(text=text)
        ) from error
    if not _fits(str(address)):
        raise InputError(
            "address",
            text,
            _(
                "{text} is not an address of a home network; the farm is never opened to the world."
            ).format(text=text),
        )
    return str(address)


def _fits(text: str) -> bool:
    address = ipaddress.IPv4Address(text)
    return address.is_private and not (
        address.is_loopback or address.is_link_local or address.is_unspecified
    )


def _by_route() -> list[str]:
    found = []
    for probe in _PROBES:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as one:
            try:
                one.connect((probe, 9))
            except OSError:
                continue
            found.append(str(one.getsockname()[0]))
    return found


def _by_name() -> list[str]:
    try:
        listed = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
    except OSError:
        return []
    return [str(entry[4][0]) for entry in listed]


def _by_interface() -> list[str]:
    """Ask each interface, where the system lets one: a network without a way out has no route."""
    try:
        import fcntl
    except ImportError:
        return []
    found = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as one:
        for _number, name in socket.if_nameindex():
            request = struct.pack("256s", name.encode()[:15])
            try:
                answer = fcntl.ioctl(one.fileno(), _LINUX_ADDRESS_OF, request)
            except OSError:
                continue
            found.append(socket.inet_ntoa(answer[20:24]))
    return found
