"""A dealer's suppliers and what they ask for parts."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db.models import QuerySet

from catalog.usecases.refusals import Gathered
from kits.models import Supplier, SupplierPrice
from kits.usecases.calendar_writing import calendar_of
from kits.usecases.dealer_rows import (
    Owner,
    Row,
    content_document,
    content_of,
    currency_of,
    money_document,
    move_on,
    part_document,
    part_of,
    removed,
    span_document,
    span_of,
    ticks_of,
    told,
)
from service.errors import Invalid, NotFound
from service.operations.models import Dealer
from service.operations.zones import validate_zone

CHARGES = ("order_charge", "minimum_value")


class UnknownSupplier(NotFound):
    code = "unknown_supplier"


class UnknownPrice(NotFound):
    code = "unknown_price"


def supplier_of(dealer: Dealer, number: UUID) -> Supplier:
    """This dealer's supplier. Raises UnknownSupplier, for another dealer's too."""
    found = Supplier.objects.visible_to(dealer).filter(pk=number).first()
    if found is None:
        raise UnknownSupplier("There is no such supplier of yours.")
    return found


def add_supplier(row: Row, owner: Owner) -> Supplier:
    """Raises every problem of the body, Taken for a code this dealer has already."""
    supplier = Supplier(dealer=owner.dealer)
    _state_supplier(supplier, row)
    with told("supplier.created", supplier, owner, taken=_taken(supplier)):
        supplier.save(force_insert=True)
    return supplier


def change_supplier(supplier: Supplier, patch: Row, owner: Owner) -> Supplier:
    """Raises every problem of the body, Stale where it has changed since it was read, Taken as above."""
    _state_supplier(supplier, patch)
    with told("supplier.changed", supplier, owner, taken=_taken(supplier)):
        move_on(supplier)
        supplier.save()
    return supplier


def supplier_document(row: Supplier) -> dict[str, Any]:
    return {
        "id": str(row.pk),
        "code": row.code,
        "name": row.name,
        "zone": row.zone,
        "cut_off": None if row.cut_off is None else row.cut_off.isoformat("minutes"),
        "currency": row.currency,
        "order_charge": money_document(row.order_charge, row.currency),
        "minimum_value": money_document(row.minimum_value, row.currency),
        "calendar": None if row.calendar_id is None else str(row.calendar_id),
        "status": row.status,
    }


def _taken(supplier: Supplier) -> str:
    return f"There is a supplier {supplier.code!r} of yours already."


def _state_supplier(supplier: Supplier, row: Row) -> None:
    problems, before = Gathered(), supplier.currency
    for name in ("code", "name", "zone", "cut_off", "status"):
        if name in row:
            setattr(supplier, name, row[name])
    with problems.each():
        supplier.currency = currency_of(row.get("currency", supplier.currency))
    with problems.each():
        _refuse_zone(supplier.zone)
    with problems.each():
        if "calendar" in row:
            known = row["calendar"]
            supplier.calendar = None if known is None else calendar_of(supplier.dealer, known, "/calendar")
    for name in CHARGES:
        with problems.each():
            _state_charge(supplier, name, row, before)
    problems.tell()


def _state_charge(supplier: Supplier, name: str, row: Row, before: str) -> None:
    pointer = f"/{name}"
    if name in row:
        ticks, currency = ticks_of(row[name], pointer, paid=True)
        if ticks is not None and currency != supplier.currency:
            words = (
                f"The supplier asks in {supplier.currency} and {currency} was given; give it in {supplier.currency}."
            )
            raise Invalid(words, pointer=f"{pointer}/currency", code="other_currency")
        setattr(supplier, name, ticks)
    elif getattr(supplier, name) is not None and supplier.currency != before:
        words = f"{name} is on record in {before}; give it in {supplier.currency} too, or null."
        raise Invalid(words, pointer=pointer, code="other_currency")


def _refuse_zone(zone: str) -> None:
    try:
        validate_zone(zone)
    except ValidationError as error:
        raise Invalid(error.messages[0], pointer="/zone", code="zone") from None


def prices_of(dealer: Dealer) -> QuerySet[SupplierPrice]:
    return SupplierPrice.objects.visible_to(dealer).select_related("part__maker", "supplier")


def price_of(dealer: Dealer, number: int) -> SupplierPrice:
    """This dealer's price. Raises UnknownPrice, for another dealer's too."""
    found = prices_of(dealer).filter(pk=number).first()
    if found is None:
        raise UnknownPrice("There is no such price of yours.")
    return found


def add_price(row: Row, owner: Owner) -> SupplierPrice:
    """Raises every problem of the body, Taken for a part and size that this supplier has a price for already."""
    price = SupplierPrice()
    problems = Gathered()
    with problems.each():
        price.supplier = supplier_named(owner.dealer, row["supplier"])
    with problems.each():
        price.part = part_of(row["part"])
    with problems.each():
        price.content = content_of(row.get("content"))
    _state_price(price, row, problems)
    words = "This supplier has a price for that part and size already; change that one."
    with told("supplier_price.created", price, owner, taken=words):
        price.save(force_insert=True)
    return price


def change_price(price: SupplierPrice, patch: Row, owner: Owner) -> SupplierPrice:
    """Raises every problem of the body, Stale where it has changed since it was read."""
    _state_price(price, patch, Gathered())
    with told("supplier_price.changed", price, owner):
        move_on(price)
        price.save()
    return price


def remove_price(price: SupplierPrice, owner: Owner) -> None:
    with told("supplier_price.removed", price, owner):
        removed(SupplierPrice(pk=price.pk, version=price.version), "Something rests on this price.")


def price_document(row: SupplierPrice) -> dict[str, Any]:
    return {
        "id": row.pk,
        "supplier": row.supplier.code,
        "part": part_document(row.part),
        "content": content_document(row.content),
        "supplier_number": row.number_text,
        "price": money_document(row.price, row.currency),
        "price_for": row.price_for,
        "pack": row.pack,
        "minimum": row.minimum,
        "lead_days": row.lead_days,
        "promised": span_document(row.promised_earliest, row.promised_latest),
        "core_charge": money_document(row.core_charge, row.currency),
        "returnable": row.returnable,
        "import": None if row.stock_import_id is None else str(row.stock_import_id),
    }


def supplier_named(dealer: Dealer, code: str) -> Supplier:
    """This dealer's supplier of that code. Raises UnknownSupplier."""
    found = Supplier.objects.visible_to(dealer).filter(code=code).first()
    if found is None:
        raise UnknownSupplier(f"There is no supplier {code[:60]!r} of yours.", pointer="/supplier")
    return found


def _state_price(price: SupplierPrice, row: Row, problems: Gathered) -> None:
    """Put what a body states onto the row, unsaved. Raises every problem, those found before too."""
    for name in ("price_for", "pack", "minimum", "lead_days", "returnable"):
        if name in row:
            setattr(price, name, row[name])
    price.number_text = row.get("supplier_number", price.number_text)
    before = price.currency
    with problems.each():
        if "price" in row:
            ticks, price.currency = ticks_of(row["price"], "/price")
            if not ticks:
                raise Invalid("A price is above zero.", pointer="/price/amount", code="price_of_nothing")
            price.price = ticks
    with problems.each():
        _state_core(price, row, before)
    with problems.each():
        if "promised" in row:
            price.promised_earliest, price.promised_latest = span_of(row["promised"])
    problems.tell()


def _state_core(price: SupplierPrice, row: Row, before: str) -> None:
    if "core_charge" not in row:
        if price.core_charge is not None and price.currency != before:
            words = f"The core charge is on record in {before}; give it in {price.currency} too, or null."
            raise Invalid(words, pointer="/core_charge", code="other_currency")
        return
    ticks, currency = ticks_of(row["core_charge"], "/core_charge", paid=True)
    if ticks is not None and currency != price.currency:
        words = f"The price is in {price.currency} and the core charge in {currency}; give both in one currency."
        raise Invalid(words, pointer="/core_charge/currency", code="other_currency")
    price.core_charge = ticks
