"""From what was scanned or typed to the packages that are meant."""

from __future__ import annotations

import re
from typing import Final

from pinfeather.actions.stock import book as stock_book
from pinfeather.actions.stock.book import Pkg
from pinfeather.errors import InputError
from pinfeather.packs.elements import read_elements
from pinfeather.packs.link import read_link
from pinfeather.packs.lot_code import parse_lot_code
from pinfeather.packs.stock import IN_STOCK

_SHORT: Final = re.compile(r"(\d{1,7})-(\d{1,5})")
_BARE: Final = re.compile(r"#?(\d{1,5})")
_LOT: Final = re.compile(
    r"(\d{4}-\d{2}-\d{2} [A-Z0-9]{1,5} [A-Z0-9]{1,5}|\d{8}-[A-Z0-9]{1,5}-[A-Z0-9]{1,5})"
)
_NUMBER: Final = re.compile(r"(?:PACKAGE|NO\.?|NUMBER|#)\s*(\d{1,5})\b|^\s*(\d{1,5})\s*$")
_PRICE_CODE: Final = re.compile(r"[02]\d{11,12}")
_SCANNER_PREFIX: Final = re.compile(r"^\][A-Za-z]\d")


def find(text: str, *, only_stock: bool = False) -> tuple[Pkg, ...]:
    """Return the packages a scan or a few typed words can mean, the oldest first.

    Understood are a package's own id, its short code (``12-7``), its lot code with or without a
    number behind it, the text of a label's square code, an element string or link with lot and
    serial number, a shop's price code (by its price), and a bare number (of the newest day).
    """
    text = _SCANNER_PREFIX.sub("", text.strip())
    if not text:
        return ()
    found = _by_id(text) or _by_short(text) or _by_elements(text) or _by_lot(text)
    found = found or _by_price_code(text) or _by_number(text)
    return tuple(p for p in found if p.kept.in_stock) if only_stock else found


def _by_id(text: str) -> tuple[Pkg, ...]:
    return stock_book.where(pk=text) if text.isalnum() else ()


def _by_short(text: str) -> tuple[Pkg, ...]:
    match = _SHORT.fullmatch(text)
    return stock_book.where(day=int(match[1]), number=int(match[2])) if match else ()


def _by_lot(text: str) -> tuple[Pkg, ...]:
    upper = " ".join(text.upper().split())
    codes = [str(parse_lot_code(code)) for code in _LOT.findall(upper) if _is_lot(code)]
    if not codes:
        return ()
    rest = _LOT.sub("", upper)
    number = _NUMBER.search(rest)
    fields = {"number": int(number[1] or number[2])} if number else {}
    return tuple(
        one
        for one in stock_book.where(lot_code__contains=codes[0], **fields)
        if codes[0] in one.lot_code
    )


def _is_lot(code: str) -> bool:
    try:
        parse_lot_code(code)
    except InputError:
        return False
    return True


def _by_elements(text: str) -> tuple[Pkg, ...]:
    try:
        fields = read_link(text) if "://" in text else read_elements(text)
        code = str(parse_lot_code(fields["10"]))
        number = int(fields["21"])
    except (InputError, KeyError, ValueError):
        return ()
    return stock_book.where(lot_code__contains=code, number=number)


def _by_price_code(text: str) -> tuple[Pkg, ...]:
    """Narrow the choice by price: a shop's own code holds no package number."""
    if not _PRICE_CODE.fullmatch(text):
        return ()
    prices = {f"{int(digits) / 100:.2f}" for digits in (text[-5:-1], text[-6:-1])}
    return stock_book.where(state=IN_STOCK, total__in=prices)


def _by_number(text: str) -> tuple[Pkg, ...]:
    match = _BARE.fullmatch(text)
    if not match:
        return ()
    found = stock_book.where(number=int(match[1]), state=IN_STOCK)
    newest = max((one.packed_on for one in found), default=None)
    return tuple(one for one in found if one.packed_on == newest)
