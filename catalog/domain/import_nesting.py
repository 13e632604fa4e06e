"""Positions inside of others: rows name them by `inside_of`, documents hold them inside."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from catalog.domain.import_rows import Cell
from service.errors import Invalid

Document = Mapping[str, Any]


def nested(document: Document, cells: Mapping[str, Cell]) -> tuple[dict[str, Any], dict[str, Cell]]:
    """The document with its positions put in their places, and its cells by the pointers they have now.

    Raises Invalid, with the pointer in the flat document, for a position inside of one that is not there or of itself.
    """
    flat = document.get("positions")
    if not isinstance(flat, list):
        return dict(document), dict(cells)
    _refuse_lost(flat)
    moved: dict[str, str] = {}
    positions = _inside(flat, None, "/positions", moved)
    return {**document, "positions": positions}, {_moved(pointer, moved): cell for pointer, cell in cells.items()}


def flattened(positions: list[Document], inside_of: str | None = None) -> list[dict[str, Any]]:
    """The opposite: every position in one list, those inside of others naming them."""
    flat: list[dict[str, Any]] = []
    for position in positions:
        own = {name: value for name, value in position.items() if name != "inside"}
        flat.append({**own, "inside_of": inside_of} if inside_of else own)
        flat += flattened(position.get("inside", []), position["code"])
    return flat


def _inside(flat: list[Document], code: str | None, pointer: str, moved: dict[str, str]) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = []
    for place, entry in enumerate(flat):
        if entry.get("inside_of") == code:
            here = f"{pointer}/{len(found)}"
            moved[f"/positions/{place}"] = here
            own = {name: value for name, value in entry.items() if name != "inside_of"}
            found.append({**own, "inside": _inside(flat, entry["code"], f"{here}/inside", moved)})
    return found


def _refuse_lost(flat: list[Document]) -> None:
    outer = {entry["code"]: entry.get("inside_of") for entry in flat}
    for place, entry in enumerate(flat):
        code, seen = entry.get("inside_of"), {entry["code"]}
        while code is not None:
            if code not in outer or code in seen:
                wrong = "is not a position here" if code not in outer else "is inside of this one"
                words = f"{entry['code']} is to be inside of {code[:60]!r}, which {wrong}."
                raise Invalid(words, pointer=f"/positions/{place}/inside_of", code="unknown_position")
            seen.add(code)
            code = outer[code]


def _moved(pointer: str, moved: Mapping[str, str]) -> str:
    for before, after in moved.items():
        if pointer == before or pointer.startswith(f"{before}/"):
            return f"{after}{pointer[len(before) :]}"
    return pointer
