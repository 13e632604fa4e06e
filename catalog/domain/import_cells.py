"""Cells that hold more than one thing: packages, contents, ports, media, demands, ranges of serials."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from catalog.domain.gtin import check_gtin
from catalog.domain.value_documents import MEDIUM_TEMPERATURE
from catalog.domain.value_text import POINT, value_document
from service.errors import Invalid

Document = dict[str, Any]
_COUNT = re.compile(r"\s+x\s*([1-9]\d{0,5})$", re.ASCII)
_PORT = re.compile(r"([^\s:]+)\s*:\s*([^@]+?)(?:\s*@\s*(\S+))?")
_SERIALS = re.compile(r"(?:([A-Za-z]+)\s*)?(\d{1,18})?\s*\.\.\s*(\d{1,18})?", re.ASCII)
LONGEST_BARCODE = 40
_MOTION = {"static": False, "dynamic": True}


def _counted(text: str) -> tuple[str, int]:
    """What stands before ` x12`, and the number; one where it is left out."""
    found = _COUNT.search(text)
    return (text[: found.start()].strip(), int(found[1])) if found else (text, 1)


def barcode(text: str) -> Document:
    """`9520000021467` or, for a package of twelve, `19520000021464 x12`. Raises Invalid for a wrong check digit."""
    code, count = _counted(text)
    if len(code) > LONGEST_BARCODE:
        raise Invalid(f"A barcode of {len(code)} characters was given; at most {LONGEST_BARCODE} are kept.",
                      code="text_too_long")  # fmt: skip
    check_gtin(code)
    return {"code": code, "pack_quantity": count}


def barcode_text(entry: Mapping[str, Any]) -> str:
    count = entry.get("pack_quantity", 1)
    return str(entry["code"]) if count == 1 else f"{entry['code']} x{count}"


def counted_part(text: str) -> Document:
    """`OLM 8812-1 x2`: maker, a space, number, and how many."""
    named, count = _counted(text)
    maker, _, number = named.partition(" ")
    if not number.strip():
        raise Invalid(
            f"{text[:60]!r} names no part; write maker, a space and number, like OLM 8812-1 x2.", code="not_a_part"
        )
    return {"part": {"maker": maker, "number": number.strip()}, "quantity": count}


def counted_part_text(entry: Mapping[str, Any]) -> str:
    part, count = entry["part"], entry.get("quantity", 1)
    named = f"{part['maker']} {part['number']}"
    return named if count == 1 else f"{named} x{count}"


def port(text: str) -> Document:
    """`inlet: LPG-VI + LPG-CL @ lpg_liquid`; without the fuel the classes hold whatever is burned."""
    found = _PORT.fullmatch(text)
    classes = [code.strip() for code in found[2].split("+")] if found else []
    if found is None or not all(classes):
        raise Invalid(
            f"{text[:60]!r} is no port with its fuel service; write it like inlet: LPG-VI @ lpg_liquid.",
            code="not_a_port",
        )
    return {"port": found[1], "fuel": found[3], "classes": classes}


def port_text(entry: Mapping[str, Any]) -> str:
    text = f"{entry['port']}: {' + '.join(entry['classes'])}"
    return f"{text} @ {entry['fuel']}" if entry.get("fuel") else text


def medium(text: str, *, decimal: str = POINT) -> Document:
    """`coolant@coolant_side 0..105 degC dynamic`; side, temperatures and motion may be left out."""
    named, *words = text.split()
    name, _, slot = named.partition("@")
    moves = _MOTION.get(words[-1]) if words else None
    window = " ".join(words if moves is None else words[:-1])
    stated = value_document(window, MEDIUM_TEMPERATURE, decimal=decimal) if window else None
    return {"name": name, "slot": slot or None, "temperature": stated, "dynamic": moves}


def medium_text(entry: Mapping[str, Any]) -> str:
    stated = entry.get("temperature")
    named = f"{entry['name']}@{entry['slot']}" if entry.get("slot") else str(entry["name"])
    window = ""
    if stated:
        low, high = ("" if stated.get(end) is None else stated[end] for end in ("min", "max"))
        window = f"{low}..{high} {stated['unit']}"
    moves = {True: "dynamic", False: "static"}.get(entry.get("dynamic"), "")  # type: ignore[arg-type]
    return " ".join(word for word in (named, window, moves) if word)


def serial_range(text: str) -> Document:
    """`..204999`, `205000..`, `100..200`, in a block with its prefix `A 100..200`; both ends are included."""
    found = _SERIALS.fullmatch(text)
    if found is None or (found[2] is None and found[3] is None):
        raise Invalid(
            f"{text[:60]!r} is no range of serial numbers; write ..204999, 205000.., 100..200 or A 100..200.",
            code="not_serials",
        )
    first, last = (None if end is None else int(end) for end in (found[2], found[3]))
    if first is not None and last is not None and first > last:
        raise Invalid(f"{text[:60]!r} ends before it starts; put the smaller serial number first.", code="not_serials")
    return {"first": first, "last": last, "prefix": (found[1] or "").upper()}


def serial_text(entry: Mapping[str, Any]) -> str:
    ends = "..".join("" if entry.get(end) is None else str(entry[end]) for end in ("first", "last"))
    return f"{entry['prefix']} {ends}" if entry.get("prefix") else ends
