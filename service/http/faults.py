"""From nested field errors to a flat list of faults, each with its JSON pointer (RFC 6901) or query parameter."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from rest_framework.exceptions import ErrorDetail
from rest_framework.settings import api_settings

# What RFC 3986 lets stand in a fragment besides letters and digits, less the slash that parts a pointer.
FRAGMENT_SAFE = "~!$&'()*+,;=:@?-._"


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong; ``pointer`` is a fragment such as ``#/lines/3/quantity``, or ``parameter`` a name."""

    code: str
    detail: str
    pointer: str | None = None
    parameter: str | None = None

    def document(self) -> dict[str, str]:
        place = {"pointer": self.pointer, "parameter": self.parameter}
        named = {name: value for name, value in place.items() if value is not None}
        return {**named, "code": self.code, "detail": self.detail}


def fault_at(place: str, code: str, detail: str) -> Fault:
    """A fault at a JSON pointer (``/a/0``, ``#/a/0``, empty for the whole body) or at a parameter (``?name``)."""
    if place.startswith("?"):
        return Fault(code, detail, parameter=place[1:])
    return Fault(code, detail, pointer=place if place.startswith("#") else f"#{place}")


def token(name: object) -> str:
    """One step of a pointer, escaped for a pointer and for a fragment."""
    return quote(str(name).replace("~", "~0").replace("/", "~1"), safe=FRAGMENT_SAFE, errors="replace")


def flatten(detail: Any, place: str = "#") -> Iterator[Fault]:
    """Every fault in the nested detail of a DRF ``ValidationError``, in the order of the fields."""
    if isinstance(detail, Mapping):
        for name, inner in detail.items():
            own = name == api_settings.NON_FIELD_ERRORS_KEY
            yield from flatten(inner, place if own else f"{place}/{token(name)}")
    elif isinstance(detail, Sequence) and not isinstance(detail, str):
        yield from _flatten_list(detail, place)
    else:
        code = detail.code if isinstance(detail, ErrorDetail) else "invalid"
        yield Fault(str(code), str(detail), pointer=place)


def _flatten_list(details: Sequence[Any], place: str) -> Iterator[Fault]:
    """A list holds the faults of one field, or one entry for each item, empty where an item is sound."""
    for index, inner in enumerate(details):
        nested = isinstance(inner, Mapping | list | tuple)
        yield from flatten(inner, f"{place}/{index}" if nested else place)
