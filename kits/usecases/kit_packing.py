"""The boxes of a kit, and the safety sheets that go with them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from catalog import loading as catalogue
from catalog.domain.parts import SuppliedAs
from catalog.domain.rules import Rulebook
from catalog.models import Part
from kits.domain.packing import Goods, Packed, Packing, TransportClass, pack
from kits.domain.transport_classes import unless_recorded
from kits.loading.kit_supply import handling_of, sheets_sent
from kits.models import Kit, KitUse, PartHandling
from kits.usecases.kit_asking import nature_of

NOBODY = ""  # of a machine without a customer no sheet is known to have gone out


def packing_of(
    kit: Kit,
    uses: Iterable[tuple[KitUse, int]],
    handling: Mapping[int, PartHandling] | None = None,
    rulebook: Rulebook | None = None,
) -> Packing:
    """Uses with the pieces to be packed of each, in three statements at the most.

    One less where what is recorded of handling is given, one less where the kit's rulebook is.
    """
    found = tuple(uses)
    ids = {use.part_id for use, _ in found}
    handling = handling_of(kit.dealer, ids) if handling is None else handling
    customer = kit.machine.customer
    rulebook = catalogue.load_rulebook_numbered(kit.rulebook_id) if rulebook is None else rulebook
    categories = frozenset(rulebook.categories)
    lines = tuple(
        Packed(_goods(use.part, handling.get(use.part_id), categories), pieces) for use, pieces in found if pieces
    )
    with_sheets = {part for part in ids if part in handling and handling[part].sheet_revision}
    return pack(lines, NOBODY if customer is None else str(customer.pk), sheets_sent(customer, with_sheets))


def _goods(part: Part, handling: PartHandling | None, categories: frozenset[str]) -> Goods:
    key = (part.maker.code, part.number)
    if handling is None:
        supplied = None if part.supplied_as is None else SuppliedAs(part.supplied_as)
        return Goods(key, unless_recorded(part.category, supplied, categories))
    return Goods(
        key, TransportClass(handling.transport), handling.un_number or None, handling.sheet_revision or None,
        nature_of(handling),
    )  # fmt: skip


def packing_document(packing: Packing) -> dict[str, Any]:
    return {
        "packages": [
            {
                "un_number": package.un_number,
                "dangerous": package.un_number is not None,
                "lines": [_packed(line) for line in package.lines],
            }
            for package in packing.packages
        ],
        "sheets": [{"part": _name(sheet.part), "revision": sheet.revision} for sheet in packing.sheets],
        "held_back": [_packed(line) for line in packing.held_back],
        "questions": list(packing.questions),
    }


def _packed(line: Packed) -> Mapping[str, Any]:
    return {"part": _name(line.goods.part), "quantity": line.quantity}


def _name(part: tuple[str, str]) -> dict[str, str]:
    return {"maker": part[0], "number": part[1]}
