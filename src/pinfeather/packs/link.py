"""The same code as a web address, for a QR code a phone can open."""

from __future__ import annotations

from typing import Final
from urllib.parse import quote, unquote, urlsplit

from pinfeather.errors import InputError
from pinfeather.packs.elements import Bag, check_fields, fields_of
from pinfeather.words import gettext as _

_IN_PATH: Final = ("22", "10", "21")
_QUERY: Final = ("11", "13", "15", "16", "17", "30")


def digital_link(bag: Bag, *, base: str) -> str:
    """Write a bag's code as a web address.

    Parameters
    ----------
    bag : Bag
        What it says.
    base : str
        Start of the address (``"https://example.com"``).

    Returns
    -------
    str
        Article number, lot and serial in the path, the rest behind the question mark.

    Raises
    ------
    InputError
        If the base is not a web address or a field does not fit.

    References
    ----------
    GS1 Digital Link Standard: URI syntax, release 1.4, section 4.
    """
    if urlsplit(base).scheme not in ("http", "https"):
        raise InputError("base", base, _("Give an address that begins with https://."))
    fields = fields_of(bag)
    keys = [ai for ai in ("01", *_IN_PATH) if ai in fields]
    path = "".join(f"/{ai}/{quote(fields[ai], safe='')}" for ai in keys)
    query = "&".join(
        f"{ai}={quote(value, safe='')}" for ai, value in fields.items() if ai not in keys
    )
    return base.rstrip("/") + path + (f"?{query}" if query else "")


def read_link(address: str) -> dict[str, str]:
    """Read the fields out of such a web address.

    Parameters
    ----------
    address : str
        The address.

    Returns
    -------
    dict of str to str
        Application identifier to value.

    Raises
    ------
    InputError
        If there is no 14-digit article number in the path, or a field does not fit.

    Notes
    -----
    Unknown words behind the question mark, and what follows a ``#``, are ignored.

    References
    ----------
    GS1 Digital Link Standard: URI syntax, release 1.4, section 4.
    """
    parts = urlsplit(address)
    steps = parts.path.split("/")
    if "01" not in steps:
        raise InputError("address", address, _("The address has no article number in it."))
    keys = steps[steps.index("01") :]
    if len(keys) % 2:
        raise InputError("address", address, _("The path of the address is cut off."))
    fields = {ai: unquote(value) for ai, value in zip(keys[::2], keys[1::2], strict=True)}
    order = [ai for ai in _IN_PATH if ai in fields]
    if list(fields) != ["01", *order]:
        raise InputError("address", address, _("The path of the address is out of order."))
    fields.pop("22", None)
    for pair in filter(None, parts.query.replace(";", "&").split("&")):
        ai, _equals, value = pair.partition("=")
        if ai in _QUERY or (ai[:3] in ("310", "320", "330", "340", "392", "393") and len(ai) == 4):  # noqa: PLR2004 - identifier with decimals
            fields[ai] = unquote(value)
    check_fields(fields)
    return fields
