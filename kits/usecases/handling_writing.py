"""What a dealer knows of shipping and fitting parts."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet

from catalog.usecases.refusals import Gathered
from kits.domain.packing import Goods, Nature, TransportClass
from kits.models import PartHandling
from kits.usecases.dealer_rows import Owner, Row, move_on, part_document, part_of, removed, told
from service.errors import Invalid, NotFound
from service.operations.models import Dealer


class UnknownHandling(NotFound):
    code = "unknown_handling"


def handling_of(dealer: Dealer) -> QuerySet[PartHandling]:
    return PartHandling.objects.visible_to(dealer).select_related("part__maker")


def one_handling(dealer: Dealer, number: int) -> PartHandling:
    """This dealer's. Raises UnknownHandling, for another dealer's too."""
    found = handling_of(dealer).filter(pk=number).first()
    if found is None:
        raise UnknownHandling("Nothing of yours is recorded under that id of how a part is handled.")
    return found


def add_handling(row: Row, owner: Owner) -> PartHandling:
    """Raises every problem of the body, Taken for a part of which it is recorded already."""
    handling, problems = PartHandling(dealer=owner.dealer), Gathered()
    with problems.each():
        handling.part = part_of(row["part"])
    _state(handling, row, problems)
    with told("handling.created", handling, owner, taken="It is recorded of that part already; change that."):
        handling.save(force_insert=True)
    return handling


def change_handling(handling: PartHandling, patch: Row, owner: Owner) -> PartHandling:
    """Raises every problem of the body, Stale where it has changed since it was read."""
    _state(handling, patch, Gathered())
    with told("handling.changed", handling, owner):
        move_on(handling)
        handling.save()
    return handling


def remove_handling(handling: PartHandling, owner: Owner) -> None:
    with told("handling.removed", handling, owner):
        removed(PartHandling(pk=handling.pk, version=handling.version), "Something rests on it.")


def goods_of(row: PartHandling) -> Goods:
    """As packing takes it: what needs a licence to fit is licensed, whatever else nobody has said of it."""
    nature = Nature(row.nature)
    if row.fitted_by_licence and nature is Nature.PLAIN:
        nature = Nature.LICENSED
    key = (row.part.maker.code, row.part.number)
    return Goods(key, TransportClass(row.transport), row.un_number or None, row.sheet_revision or None, nature)


def handling_document(row: PartHandling) -> dict[str, Any]:
    return {
        "id": row.pk,
        "part": part_document(row.part),
        "transport": row.transport,
        "un_number": row.un_number or None,
        "sheet_revision": row.sheet_revision or None,
        "nature": row.nature,
        "fitted_by_licence": row.fitted_by_licence,
    }


def _state(handling: PartHandling, row: Row, problems: Gathered) -> None:
    for name in ("transport", "un_number", "sheet_revision", "nature", "fitted_by_licence"):
        if name in row:
            setattr(handling, name, "" if row[name] is None and name != "fitted_by_licence" else row[name])
    with problems.each():
        try:
            Goods(("", ""), un_number=handling.un_number or None)
        except Invalid as error:
            raise Invalid(error.message, pointer="/un_number", code=error.code) from None
    with problems.each():
        if handling.nature == Nature.LICENSED.value and handling.fitted_by_licence is not True:
            words = "licensed is that a licence is needed to fit it; say so in fitted_by_licence too."
            raise Invalid(words, pointer="/fitted_by_licence", code="licence")
    problems.tell()
