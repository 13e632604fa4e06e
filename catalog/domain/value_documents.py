"""Values as they travel in JSON, and the compact form they are kept in.

Travelling: a quantity is `{"value": "26", "unit": "psi", "reference": "gauge"}`, a range `{"min", "max", "unit",
"reference"}` with null for an end that is not stated, a flag true or false, a date `"2026-03-09"`, a code or a
designation text (or a list of texts), and the two states that are no value `{"state": ...}` with
`known_none` or `not_applicable`. Numbers are decimal text. Kept: integers with their dimension and unit, so that
nothing is parsed or rounded a second time.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Literal

from catalog.domain.comparing_codes import known_none_as_code
from catalog.domain.quantities import (
    RESOLUTION,
    UNITS,
    Dimension,
    Interval,
    Quantity,
    family_of,
    quantity,
    reference_of,
    same_dimension,
)
from catalog.domain.rules import AttributeDefinition
from catalog.domain.values import Kind, Payload, State, Value
from service.errors import Invalid

Units = Literal["as_given", "si", "us"]
LONGEST_TEXT = 200
# How hot a medium gets where it touches a part.
MEDIUM_TEMPERATURE = AttributeDefinition("temperature", "temperature", Kind.RANGE, Dimension.TEMPERATURE, "degC")
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
_QUANTITY_KEYS = ("value", "unit", "reference")
_RANGE_KEYS = ("min", "max", "unit", "reference")
_MOST_DECIMALS = 12  # what a number may be read with
_SI_FOR = {
    "psi": "kPa", "inH2O": "kPa", "degF": "degC", "in": "mm", "lb": "kg", "gal_us": "L", "qt_us": "L", "gal_imp": "L",
    "lb/h": "kg/h", "gpm_us": "L/min", "lbf.ft": "N.m",
}  # fmt: skip
_US_FOR = {
    "Pa": "inH2O", "mbar": "inH2O", "kPa": "psi", "bar": "psi", "MPa": "psi", "K": "degF", "degC": "degF",
    "mm": "in", "cm": "in", "m": "in", "mg": "lb", "g": "lb", "kg": "lb", "mL": "gal_us", "L": "gal_us",
    "gal_imp": "gal_us", "g/min": "lb/h", "g/s": "lb/h", "kg/h": "lb/h", "L/min": "gpm_us",
    "N.m": "lbf.ft",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Field:
    """The attribute a raw value is read for, and where in the body it stands."""

    definition: AttributeDefinition
    pointer: str

    def refusal(self, found: object, expected: str, code: str, below: str = "") -> Invalid:
        shown = repr(found)
        shown = shown if len(shown) <= 60 else f"{shown[:57]}..."
        shown = shown.encode("ascii", "backslashreplace").decode()
        message = f"{self.definition.name}: {shown} was given; {expected}."
        return Invalid(message, pointer=f"{self.pointer}{below}", code=code)

    def rephrased(self, error: Invalid, below: str = "") -> Invalid:
        return Invalid(f"{self.definition.name}: {error.message}", pointer=f"{self.pointer}{below}", code=error.code)


def read_value(raw: object, definition: AttributeDefinition, *, pointer: str) -> Value:
    """The value a JSON document states for one attribute.

    Raises Invalid, with the pointer of what is at fault, for a wrong type, a key that is not known, a number that
    is no plain decimal, a unit or reference of another dimension, or a code that the vocabulary does not have.
    """
    field = _Field(definition, pointer)
    if isinstance(raw, Mapping) and "state" in raw:
        return known_none_as_code(_state(raw, field), definition.vocabulary)
    return Value(_READERS[definition.kind](raw, field))


def refuse_impossible(value: Value, definition: AttributeDefinition, *, pointer: str) -> None:
    """Raise Invalid for a measure that nothing has, such as a fineness of 0 or less, which would pass as the finest.

    Exports write 0 where nothing is known; what is not known is left out, and what a part has not is `known_none`.
    Attributes that are counted from somewhere (`signed`) may be zero and below it. (common practice, no source)
    """
    payload, dimension = value.payload, definition.dimension
    ends = (payload.low, payload.high) if isinstance(payload, Interval) else (payload,)
    measured = [end for end in ends if isinstance(end, Quantity)]
    if definition.signed or not measured or dimension not in _NEVER_BELOW_NOTHING:
        return
    field, least, most = _Field(definition, pointer), measured[0], measured[-1]
    if least.amount < 0:
        raise field.refusal(least.shown(), "it is never below zero", "below_zero")
    if most.amount == 0 and dimension is Dimension.LENGTH:
        expected = 'it is more than zero: leave out what is not known, or write {"state": "known_none"} for none'
        raise field.refusal(most.shown(), expected, "zero_length")


_NEVER_BELOW_NOTHING = frozenset(
    {
        Dimension.LENGTH, Dimension.ANGLE, Dimension.MASS, Dimension.VOLUME, Dimension.MASS_FLOW, Dimension.VOLUME_FLOW,
        Dimension.RESISTANCE, Dimension.VOLTAGE, Dimension.CURRENT, Dimension.POWER, Dimension.TIME, Dimension.COUNT,
        Dimension.RATIO, Dimension.TORQUE, Dimension.ENERGY, Dimension.ROTATION, Dimension.CHARGE,
        Dimension.PRESSURE_DIFFERENCE,
    }
)  # fmt: skip


def _state(raw: Mapping[str, object], field: _Field) -> Value:
    _only_keys(raw, ("state",), field)
    for state in (State.KNOWN_NONE, State.NOT_APPLICABLE):
        if raw["state"] == state.value:
            return Value(None, state)
    raise field.refusal(raw["state"], 'the states are "known_none" and "not_applicable"', "unknown_state", "/state")


def _only_keys(raw: Mapping[str, object], known: tuple[str, ...], field: _Field) -> None:
    for key in raw:
        if key not in known:
            below = f"/{str(key).replace('~', '~0').replace('/', '~1')}"
            raise field.refusal(key, f"the keys here are {', '.join(known)}", "unknown_key", below)


def _measure(raw: object, field: _Field) -> Quantity | Interval:
    """A quantity, or the range it is known to lie in."""
    if isinstance(raw, Mapping) and ("min" in raw or "max" in raw):
        return _range(raw, field)
    if not isinstance(raw, Mapping):
        raise field.refusal(raw, f"write it like {_example(field.definition)}", "wrong_type")
    _only_keys(raw, _QUANTITY_KEYS, field)
    return _number(raw.get("value"), raw, field, "/value")


def _range(raw: object, field: _Field) -> Interval:
    if not isinstance(raw, Mapping):
        raise field.refusal(raw, f"write it like {_example(field.definition)}", "wrong_type")
    _only_keys(raw, _RANGE_KEYS, field)
    low, high = (None if raw.get(end) is None else _number(raw[end], raw, field, f"/{end}") for end in ("min", "max"))
    if low is None and high is None:
        raise field.refusal(dict(raw), "a range needs min or max, or both", "empty_range")
    try:
        return Interval(low, high)
    except Invalid as error:
        raise field.rephrased(error) from None


def _number(value: object, raw: Mapping[str, object], field: _Field, below: str) -> Quantity:
    unit, reference = raw.get("unit"), raw.get("reference")
    if not isinstance(value, str):
        raise field.refusal(value, 'write the number as text, like "26" or "0.7"', "wrong_type", below)
    if not isinstance(unit, str):
        raise field.refusal(unit, f"give the unit, like {field.definition.unit!r}", "unit_missing", "/unit")
    if not (reference is None or isinstance(reference, str)):
        raise field.refusal(reference, "a reference is gauge, absolute or difference", "wrong_type", "/reference")
    try:
        found = quantity(value, unit, reference)
        if field.definition.dimension is not None:
            same_dimension(found, field.definition.dimension)
    except Invalid as error:
        raise field.rephrased(error, _AT.get(error.code, below)) from None
    return found


_AT = {
    "unknown_unit": "/unit",
    "wrong_dimension": "/unit",
    "reference_missing": "/reference",
    "unknown_reference": "/reference",
    "wrong_reference": "/reference",
}


def _example(definition: AttributeDefinition) -> str:
    keys = '"min": "20", "max": "30"' if definition.kind is Kind.RANGE else '"value": "26"'
    reference = reference_of(definition.dimension) if definition.dimension else None
    words = f', "reference": "{reference}"' if reference else ""
    return f'{{{keys}, "unit": "{definition.unit}"{words}}}'


def _flag(raw: object, field: _Field) -> bool:
    if isinstance(raw, bool):
        return raw
    raise field.refusal(raw, "write true or false", "wrong_type")


def _date(raw: object, field: _Field) -> date:
    try:
        if isinstance(raw, str) and _DATE.fullmatch(raw):
            return date.fromisoformat(raw)
    except ValueError:
        pass
    raise field.refusal(raw, "write a date of the calendar, like 2026-03-09", "not_a_date")


def _one_or_more(raw: object, field: _Field) -> tuple[str, ...]:
    return (_code(raw, field, ""),) if isinstance(raw, str) else _several(raw, field)


def _several(raw: object, field: _Field) -> tuple[str, ...]:
    if not isinstance(raw, (list, tuple)):
        raise field.refusal(raw, 'write a list of texts, like ["one", "two"]', "wrong_type")
    if not raw:
        raise field.refusal([], 'leave it out where it is not known, or state {"state": "known_none"}', "empty_list")
    return tuple(dict.fromkeys(_code(entry, field, f"/{place}") for place, entry in enumerate(raw)))


def _code(raw: object, field: _Field, below: str) -> str:
    if not isinstance(raw, str) or not raw.strip():
        raise field.refusal(raw, "a text is expected", "wrong_type", below)
    if len(raw) > LONGEST_TEXT:
        raise field.refusal(raw, f"at most {LONGEST_TEXT} characters are kept", "text_too_long", below)
    if any(unicodedata.category(character) in ("Cc", "Cs") for character in raw):
        raise field.refusal(raw, "take out the characters that cannot be printed", "unprintable_text", below)
    text, vocabulary = unicodedata.normalize("NFC", raw), field.definition.vocabulary
    if vocabulary and text not in vocabulary:
        raise field.refusal(raw, f"use one of {', '.join(vocabulary)}", "unknown_code", below)
    return text


_READERS: Mapping[Kind, Callable[[object, _Field], Payload]] = {
    Kind.QUANTITY: _measure,
    Kind.RANGE: _range,
    Kind.CHOICE: _one_or_more,
    Kind.CHOICES: _several,
    Kind.ORDERED_CLASS: _one_or_more,
    Kind.DESIGNATION: _one_or_more,
    Kind.DATE: _date,
    Kind.FLAG: _flag,
    Kind.CODE_LIST: _several,
}
_SINGULAR = frozenset({Kind.CHOICE, Kind.ORDERED_CLASS, Kind.DESIGNATION})


def write_value(value: Value, *, units: Units, kind: Kind | None = None) -> object:
    """The JSON form of a value, which `read_value` reads back to the same value where `units` is `as_given`.

    `si` and `us` show measures in that system, to seven significant figures where they had to be converted. Codes are
    a list, except that a single one is text where `kind` says that the attribute holds one.
    """
    if value.state is not State.VALUE:
        return {"state": value.state.value}
    payload = value.payload
    if isinstance(payload, Quantity):
        text, unit = _shown(payload, units)
        return {"value": text, **_unit(payload.dimension, unit)}
    if isinstance(payload, Interval):
        return _written_range(payload, units)
    if isinstance(payload, tuple):
        return payload[0] if kind in _SINGULAR and len(payload) == 1 else list(payload)
    return payload.isoformat() if isinstance(payload, date) else payload


def _written_range(interval: Interval, units: Units) -> dict[str, object]:
    leading = interval.low or interval.high
    if leading is None:
        return {"min": None, "max": None}
    _, unit = _shown(leading, units)
    ends = {
        key: None if end is None else _shown(Quantity(end.amount, end.dimension, leading.unit), units)[0]
        for key, end in (("min", interval.low), ("max", interval.high))
    }
    return {**ends, **_unit(leading.dimension, unit)}


def _unit(dimension: Dimension, unit: str) -> dict[str, str]:
    reference = reference_of(dimension)
    return {"unit": unit, "reference": reference} if reference else {"unit": unit}


def _shown(found: Quantity, units: Units) -> tuple[str, str]:
    """A measure's decimal text and its unit: exact in the unit it was given in, rounded in another."""
    value, given = found.in_unit()
    wanted = {"as_given": {}, "si": _SI_FOR, "us": _US_FOR}[units].get(given, given)
    if wanted != given:
        value, _ = found.in_unit(wanted)
        text = format(value, "f")
        return (text.rstrip("0").rstrip(".") if "." in text else text), wanted
    return _shortest(found, given), given


def _shortest(found: Quantity, unit: str) -> str:
    """The shortest decimal that is read back to exactly these steps."""
    definition, resolution = UNITS[unit], RESOLUTION[family_of(found.dimension)]
    offset = Fraction(0) if found.dimension is Dimension.TEMPERATURE_DIFFERENCE else definition.offset
    exact = (Fraction(found.amount, resolution) - offset) / definition.factor
    for places in range(_MOST_DECIMALS):
        digits = round(exact * 10**places)
        if round((Fraction(digits, 10**places) * definition.factor + offset) * resolution) == found.amount:
            return _decimal(digits, places)
    return _decimal(round(exact * 10**_MOST_DECIMALS), _MOST_DECIMALS)


def _decimal(digits: int, places: int) -> str:
    sign, text = ("-" if digits < 0 else ""), str(abs(digits)).rjust(places + 1, "0")
    return f"{sign}{text[:-places]}.{text[-places:]}" if places else f"{sign}{text}"


def pack_value(value: Value) -> object:
    """The compact JSON form for derived storage: a list whose first entry says what follows, or true or false."""
    payload = value.payload
    if payload is None:
        return ["s", value.state.value]
    if isinstance(payload, bool):
        return payload
    if isinstance(payload, Quantity):
        return ["q", payload.amount, payload.dimension.value, payload.unit]
    if isinstance(payload, Interval):
        ends = payload.low, payload.high
        return ["r", *(None if end is None else [end.amount, end.dimension.value, end.unit] for end in ends)]
    if isinstance(payload, date):
        return ["d", payload.isoformat()]
    return ["c", *payload]


def unpack_value(packed: object) -> Value:
    """The value `pack_value` packed, unit and all. Raises TypeError for anything else."""
    if isinstance(packed, bool):
        return Value(packed)
    match packed:
        case ["s", str(state)]:
            return Value(None, State(state))
        case ["q", int(amount), str(dimension), str(unit)]:
            return Value(Quantity(amount, Dimension(dimension), unit))
        case ["r", low, high]:
            return Value(Interval(_end(low), _end(high)))
        case ["d", str(day)]:
            return Value(date.fromisoformat(day))
        case ["c", *codes]:
            return Value(tuple(str(code) for code in codes))
        case _:
            raise TypeError(f"{packed!r} is not a packed value")


def _end(packed: object) -> Quantity | None:
    match packed:
        case None:
            return None
        case [int(amount), str(dimension), str(unit)]:
            return Quantity(amount, Dimension(dimension), unit)
        case _:
            raise TypeError(f"{packed!r} is not a packed end of a range")
