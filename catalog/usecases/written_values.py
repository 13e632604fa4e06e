"""Values as an answer shows them. The same few measures are written again and again, so they are kept."""

from __future__ import annotations

from functools import lru_cache

from catalog.domain.quantities import Dimension, Interval, Quantity
from catalog.domain.value_documents import Units, write_value
from catalog.domain.values import Kind, Value

MEASURES_KEPT = 8_192
End = tuple[int, Dimension, str] | None  # amount, dimension and unit of one end; None where it is open


def written(value: Value, *, kind: Kind | None, units: Units) -> object:
    """The JSON form; what is handed out is shared, and not to be changed."""
    payload = value.payload
    if isinstance(payload, Quantity):
        return _measure(_end(payload), units)
    if isinstance(payload, Interval):
        return _range(_end(payload.low), _end(payload.high), units)
    return write_value(value, units=units, kind=kind)


# Writing a measure exactly is a search among fractions. The key has its unit, which equality leaves aside.
@lru_cache(maxsize=MEASURES_KEPT)
def _measure(only: End, units: Units) -> object:
    return write_value(Value(_quantity(only)), units=units)


@lru_cache(maxsize=MEASURES_KEPT)
def _range(low: End, high: End, units: Units) -> object:
    return write_value(Value(Interval(_quantity(low), _quantity(high))), units=units)


def _end(stated: Quantity | None) -> End:
    return None if stated is None else (stated.amount, stated.dimension, stated.unit)


def _quantity(end: End) -> Quantity | None:
    return None if end is None else Quantity(*end)
