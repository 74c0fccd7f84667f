"""Customers: who buys, and what kind of buyer they are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError, InputFaultsError, RecordNotFoundError
from pinfeather.records import models
from pinfeather.records.writing import writing
from pinfeather.rules.build import BUYERS
from pinfeather.words import gettext as _

_LONGEST: Final = {"name": 80, "address": 200, "phone": 40, "note": 200}


@dataclass(frozen=True, slots=True)
class CustomerView:
    """A customer as pages see one."""

    id: int
    name: str
    address: str
    phone: str
    kind: str
    note: str


def _view(row: models.Customer) -> CustomerView:
    return CustomerView(row.pk, row.name, row.address, row.phone, row.kind, row.note)


def customers() -> tuple[CustomerView, ...]:
    """Return everybody on the list, by name."""
    return tuple(_view(row) for row in models.Customer.objects.filter(active=True))


def customer(customer_id: int) -> CustomerView:
    """Return one customer.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    row = models.Customer.objects.filter(pk=customer_id).first()
    if row is None:
        raise RecordNotFoundError(_("There is no such customer."))
    return _view(row)


def save_customer(
    *,
    name: str,
    address: str = "",
    phone: str = "",
    kind: str = "household",
    note: str = "",
    customer_id: int | None = None,
) -> int:
    """Add a customer, or change one; return the number.

    Raises
    ------
    InputFaultsError
        With every fault.
    RecordNotFoundError
        If there is no such customer to change.
    """
    given = {"name": name, "address": address, "phone": phone, "note": note}
    values = {field: " ".join(text.split()) for field, text in given.items()}
    faults = [
        InputError(field, text, _("At most {n} letters.").format(n=_LONGEST[field]))
        for field, text in values.items()
        if len(text) > _LONGEST[field]
    ]
    if not values["name"]:
        faults.append(InputError("name", name, _("Write the name.")))
    if kind not in BUYERS:
        faults.append(InputError("kind", kind, _("Choose what kind of buyer this is.")))
    if faults:
        raise InputFaultsError(faults)
    with writing():
        if customer_id is None:
            return models.Customer.objects.create(kind=kind, **values).pk
        row = models.Customer.objects.filter(pk=customer_id).first()
        if row is None:
            raise RecordNotFoundError(_("There is no such customer."))
        for field, text in {**values, "kind": kind}.items():
            setattr(row, field, text)
        row.save()
    return row.pk
