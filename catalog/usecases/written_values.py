"""Values as an answer shows them. The same few measures are written again and again, so they are kept."""

from __future__ import annotations

from functools import lru_cache

from catalog.domain.quantities import Interval, Quantity
from catalog.domain.value_documents import Units, pack_value, unpack_value, write_value
from catalog.domain.values import Kind, Value

MEASURES_KEPT = 8_192


def written(value: Value, *, kind: Kind | None, units: Units) -> object:
    """The JSON form; what is handed out is shared, and not to be changed."""
    if isinstance(value.payload, (Quantity, Interval)):
        return _measure(_frozen(pack_value(value)), units)
    return write_value(value, units=units, kind=kind)


# Writing a measure exactly is a search among fractions. The key is its packed form: equality leaves the unit aside.
@lru_cache(maxsize=MEASURES_KEPT)
def _measure(packed: object, units: Units) -> object:
    return write_value(unpack_value(packed), units=units)


def _frozen(packed: object) -> object:
    return tuple(_frozen(entry) for entry in packed) if isinstance(packed, list) else packed
