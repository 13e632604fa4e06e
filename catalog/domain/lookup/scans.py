"""What a text is as a barcode: with the scanner's own mark in front or without, as element string, or bare digits.

The marks are the symbology identifiers of ISO/IEC 15424; which of them carry element strings is said by the GS1 General
Specifications, and where an address of the web names an item by the GS1 Digital Link standard (from memory, checked
against biip). Labels of several fields are those of ISO/IEC 15434, whose data identifiers are of ANSI MH10.8.2 (both
from memory).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from catalog.domain import gtin
from catalog.domain.lookup.elements import CONTENT, SEPARATOR, Elements, ReadElement, elements_of
from service.errors import Invalid

_MARK = re.compile(r"\](?P<symbology>[A-Za-z][0-9A-Za-z])(?P<data>.*)", re.ASCII | re.DOTALL)
_ELEMENT_STRINGS = frozenset({"C1", "e0", "e1", "e2", "d2", "Q3", "J1"})
_ITEM_ONLY = frozenset({"E0", "E3", "E4"})  # the symbols of shops: EAN-13, UPC-A and UPC-E, with an add-on, EAN-8
_ITEM_AND_ADD_ON = re.compile(r"(\d{13})(?:\d{2}|\d{5})", re.ASCII)
_TYPED = re.compile(r"\(\d{2,4}\)", re.ASCII)
_TYPED_ITEM = re.compile(r"\(0[12]\)\s*(?P<value>[^()]*)", re.ASCII)
_UNMARKED_ITEM = re.compile(r"0[12](?P<item>\d{14})(?P<rest>.*)", re.ASCII | re.DOTALL)
# Digits as they are printed under the bars of UPC-A, EAN-13 and ITF-14.
_PRINTED = re.compile(r"\d \d{5} \d{5} \d|\d \d{6} \d{6}|\d \d\d \d{5} \d{5} \d|\d{8}|\d{12,14}", re.ASCII)
_SHOWN = 40
_LINK = re.compile(r"https?://[^/?#\s]+(?:/[^?#\s]*)?/01/(?P<item>\d{8,14})(?:[/?#]\S*)?", re.ASCII | re.IGNORECASE)
ENVELOPE, RECORD, END = "[)>", "\x1e", "\x04"
_FIELDS_OF_IDENTIFIERS, _FIELDS_OF_ELEMENTS = "06", "05"
# Whose number of the part it is, the one to look for first.
_PART_NUMBERS = {"1P": "the supplier's part number", "P": "the customer's part number"}
_FIELD = re.compile(r"(?P<identifier>\d{0,3}[A-Z])(?P<value>.+)", re.ASCII | re.DOTALL)


@dataclass(frozen=True, slots=True)
class Scan:
    """`data` is the text without the scanner's mark.

    `item` is a trade item number in fourteen digits whose check digit is right. `wrong` are digits that would be one,
    had they the right check digit. `only_barcode` says that the text can be nothing else.
    """

    data: str
    item: str | None = None
    wrong: str | None = None
    only_barcode: bool = False
    notes: tuple[str, ...] = ()


def scan_of(text: str, read_element: ReadElement) -> Scan:
    """Read the text as a barcode. Raises Invalid where it is one for certain and holds no item number that checks.

    Bare digits of the right length and an element string without any mark may be a part number as well, and most
    part numbers of eight digits have no right check digit: those are given out as `wrong`, and are refused only where
    no part has this very number.
    """
    stripped = text.strip()
    marked = _MARK.fullmatch(stripped)
    symbology, data = ("", stripped) if marked is None else (marked["symbology"], marked["data"].strip())
    if data.startswith(ENVELOPE):
        return _label(data, read_element)
    link = _LINK.fullmatch(data)
    if link is not None:
        return _linked(data, link["item"])
    if marked is None:
        return _unmarked(stripped, read_element)
    if symbology in _ELEMENT_STRINGS:
        return _element_string(data, elements_of(data, read_element))
    if symbology in _ITEM_ONLY:
        add_on = _ITEM_AND_ADD_ON.fullmatch(data)
        return _certain(data, data if add_on is None else add_on[1])
    return _unmarked(data, read_element)


def _unmarked(data: str, read_element: ReadElement) -> Scan:
    typed = _TYPED_ITEM.search(data)
    if typed is not None and _TYPED.match(data):
        return _typed(data, typed["value"])
    if SEPARATOR in data:
        return _element_string(data, elements_of(data, read_element))
    item = _UNMARKED_ITEM.fullmatch(data)
    if item is not None and (not item["rest"] or read_element(item["rest"]) is not None):
        if not gtin.checks(item["item"]):
            return Scan(data, wrong=item["item"])
        return replace(_element_string(data, elements_of(data, read_element)), only_barcode=False)
    if _PRINTED.fullmatch(data):
        digits = data.replace(" ", "")
        return Scan(data, item=gtin.as_fourteen(digits)) if gtin.checks(digits) else Scan(data, wrong=digits)
    return Scan(data)


def _label(data: str, read_element: ReadElement) -> Scan:
    """A label of several fields: the part number on it, and how many it is on, which is said and not taken."""
    records = data.removeprefix(ENVELOPE).replace(END, RECORD).split(RECORD)
    for form, *fields in (record.split(SEPARATOR) for record in records):
        if form == _FIELDS_OF_ELEMENTS and fields:
            elements = SEPARATOR.join(fields)
            return _element_string(elements, elements_of(elements, read_element))
        if form == _FIELDS_OF_IDENTIFIERS:
            matches = [match for field in fields if (match := _FIELD.fullmatch(field)) is not None]
            found = {match["identifier"]: match["value"].strip() for match in reversed(matches)}
            identifier = next((one for one in _PART_NUMBERS if found.get(one)), None)
            if identifier is not None:
                return Scan(found[identifier], notes=tuple(_label_notes(identifier, found)))
    raise Invalid(
        "No part number (P or 1P) can be read from this label; its separators may have been lost. Scan another code on "
        "the label, or type the part number.",
        code="scan_without_number",
    )


def _label_notes(identifier: str, found: Mapping[str, str]) -> Iterator[str]:
    yield f"Read from the label as {_PART_NUMBERS[identifier]} ({identifier})."
    if "Q" in found:
        yield f"The label says a quantity of {found['Q'][:_SHOWN]} (Q)."


def _linked(data: str, digits: str) -> Scan:
    scan = _certain(data, digits)
    return replace(scan, notes=("The item number was taken from the web address that the code holds.",))


def _typed(data: str, value: str) -> Scan:
    """The form printed for people: parentheses show where each value ends, and are not in the data."""
    digits = value.replace(" ", "")
    if len(digits) != gtin.LONGEST:
        raise Invalid(
            f"Behind (01) stand fourteen digits, and not {digits[:_SHOWN]!r}; read them off again.", code="not_a_gtin"
        )
    return _certain(data, digits)


def _element_string(data: str, elements: Elements) -> Scan:
    if elements.item is None:
        raise Invalid(
            "This barcode holds no item number (01) that can be read; scan the other one on the label, or type the "
            "part number.",
            code="scan_without_item",
        )
    scan = _certain(data, elements.item.value)
    notes = []
    if elements.item.identifier == CONTENT:
        notes.append("The item number (02) is that of what is packed inside.")
    if elements.unread:
        notes.append(
            f"Only the item number was taken: the rest, from {elements.unread[:_SHOWN]!r} on, was not read, since a "
            "separator may be missing."
        )
    return replace(scan, notes=tuple(notes))


def _certain(data: str, digits: str) -> Scan:
    if not (digits.isascii() and digits.isdigit()):
        raise Invalid(f"{digits[:_SHOWN]!r} was scanned as an item number and is none.", code="not_a_gtin")
    gtin.check_gtin(digits)
    return Scan(data, item=gtin.as_fourteen(digits), only_barcode=True)
