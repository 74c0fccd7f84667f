"""One way from a template and plain data to a PDF.

Whatever people wrote goes in as a data file that the template reads, never as markup, so that
``#``, ``*`` or ``$`` in a name are printed as they are. Only the fonts inside the typesetting
program are used, and the moment of printing is an argument: the same input gives the same bytes
on every machine.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import re
from collections.abc import Mapping
from decimal import Decimal
from enum import Enum, IntEnum
from importlib import resources
from typing import Literal

from pinfeather.errors import InputError
from pinfeather.reports.when import aware
from pinfeather.words import gettext as _

Paper = Literal["us-letter", "a4"]
Plain = str | int | float | bool | list["Plain"] | dict[str, "Plain"] | None

_PRINTABLE_FROM = " "
_PAGES = re.compile(rb"/Type ?/Pages ?/Count (\d+)")


def plain(value: object) -> Plain:
    """Turn a tree of results into what a data file can hold.

    Parameters
    ----------
    value : object
        Dataclasses, mappings, sequences, text, bytes, numbers, decimals, enumerations, moments
        or None.

    Returns
    -------
    str, int, float, bool, list, dict or None
        Dataclasses and named tuples become mappings, bytes numbers, decimals and moments text,
        an enumeration with numbers its name in small letters; control characters are left out.

    Raises
    ------
    InputError
        If something in the tree is none of these.

    References
    ----------
    Derivation: one case per type.
    """
    if isinstance(value, IntEnum):
        return value.name.lower()
    if isinstance(value, Enum):
        return plain(value.value)
    if value is None or isinstance(value, (bool, int, float)):
        return value
    if isinstance(value, str):
        return "".join(c for c in value if c >= _PRINTABLE_FROM or c in "\n\t")
    if isinstance(value, (dt.datetime, dt.date, dt.time, Decimal)):
        return str(value) if isinstance(value, Decimal) else value.isoformat()
    return _plain_tree(value)


def _plain_tree(value: object) -> Plain:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, tuple) and hasattr(value, "_asdict"):
        return {str(key): plain(item) for key, item in value._asdict().items()}
    if isinstance(value, (tuple, list, bytes)):
        return [plain(item) for item in value]
    raise InputError("data", value, _("This cannot be put into a document."))


def typeset(
    template: str,
    data: object,
    *,
    printed_at: dt.datetime,
    pictures: Mapping[str, str] | None = None,
) -> bytes:
    """Typeset one of the packaged templates.

    Parameters
    ----------
    template : str
        Name of a file in ``reports/templates``, without ``.typ``.
    data : object
        What :func:`plain` accepts; the template reads it from ``data.json``.
    printed_at : datetime
        The moment of printing, with its zone; it is also the document's creation date.
    pictures : mapping of str to str
        Further files the template may place: name and SVG text.

    Returns
    -------
    bytes
        The PDF.

    Raises
    ------
    InputError
        If the moment has no zone, the data hold something that cannot be written, a template
        refuses what does not fit, or a number is not finite.

    Notes
    -----
    The bytes depend on the version of the typesetting program.

    References
    ----------
    ISO 32000-2:2020, section 14.3, for the creation date.
    """
    made = _compiled(template, data, printed_at=printed_at, pictures=pictures, form="pdf")
    if not isinstance(made, bytes):  # pragma: no cover - PDF always comes as one file
        raise InputError(template, None, _("The typesetting program made no document."))
    return made


def proofs(
    template: str,
    data: object,
    *,
    printed_at: dt.datetime,
    pictures: Mapping[str, str] | None = None,
    dots_per_inch: int,
) -> tuple[bytes, ...]:
    """Draw one of the packaged templates dot by dot.

    Parameters
    ----------
    template, data, printed_at, pictures
        As for :func:`typeset`.
    dots_per_inch : int
        Of the printer.

    Returns
    -------
    tuple of bytes
        One PNG for each page.

    Raises
    ------
    InputError
        As :func:`typeset`.

    References
    ----------
    Derivation: the same page at another output.
    """
    made = _compiled(
        template,
        data,
        printed_at=printed_at,
        pictures=pictures,
        form="png",
        dots_per_inch=dots_per_inch,
    )
    return (made,) if isinstance(made, bytes) else tuple(made)


def _compiled(
    template: str,
    data: object,
    *,
    printed_at: dt.datetime,
    pictures: Mapping[str, str] | None,
    form: Literal["pdf", "png"],
    dots_per_inch: int | None = None,
) -> bytes | list[bytes]:
    import typst

    aware("printed_at", printed_at)
    try:
        written = json.dumps(plain(data), ensure_ascii=False, allow_nan=False, sort_keys=True)
    except ValueError as error:
        raise InputError("data", None, _("A number in this document is not finite.")) from error
    files = {
        "main.typ": _packaged(f"{template}.typ"),
        "house.typ": _packaged("house.typ"),
        "data.json": written.encode(),
        **{name: svg.encode() for name, svg in (pictures or {}).items()},
    }
    try:
        made: bytes | list[bytes] = typst.compile(  # type: ignore[call-overload] # its stubs leave out mappings
            files,
            format=form,
            ignore_system_fonts=True,
            timestamp=int(printed_at.timestamp()),
            ppi=dots_per_inch,
        )
    except RuntimeError as error:  # TypstError, and faults it does not wrap
        raise InputError(
            template, None, _("The document could not be set: {why}").format(why=str(error))
        ) from error
    return made


def page_count(pdf: bytes) -> int:
    """Count the pages of a PDF that :func:`typeset` made.

    Parameters
    ----------
    pdf : bytes
        The document.

    Returns
    -------
    int
        What the root of its page tree says; nought where it has none.

    References
    ----------
    ISO 32000-2:2020, section 7.7.3.2, entry Count of a page tree node.
    """
    return max((int(n) for n in _PAGES.findall(pdf)), default=0)


def packaged_picture(name: str) -> str:
    """Return one of the small pictures that come with the templates.

    Parameters
    ----------
    name : str
        Name of a file in ``reports/templates/icons``, without ``.svg``.

    Returns
    -------
    str
        Its SVG text.

    References
    ----------
    Drawn for this project.
    """
    return _packaged(f"icons/{name}.svg").decode()


def _packaged(name: str) -> bytes:
    file = resources.files("pinfeather.reports") / "templates"
    for part in name.split("/"):
        file /= part
    return file.read_bytes()
