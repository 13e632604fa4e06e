"""Quantities as exact integers, with gauge, absolute and difference kept apart.

Every stored number is one 64-bit integer at the resolution of its dimension, converted once and exactly
(rational factors, rounded half to even). All comparisons are of these integers; the unit a number was given in
is kept for showing it and takes no part in equality.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal, localcontext
from enum import StrEnum
from fractions import Fraction
from functools import cache, lru_cache
from math import lcm

from service.errors import Invalid


class Dimension(StrEnum):
    """What is measured. The three pressures and the two temperatures never mix."""

    PRESSURE_GAUGE = "pressure_gauge"
    PRESSURE_ABSOLUTE = "pressure_absolute"
    PRESSURE_DIFFERENCE = "pressure_difference"
    TEMPERATURE = "temperature"
    TEMPERATURE_DIFFERENCE = "temperature_difference"
    LENGTH = "length"
    ANGLE = "angle"
    MASS = "mass"
    VOLUME = "volume"
    MASS_FLOW = "mass_flow"
    VOLUME_FLOW = "volume_flow"
    RESISTANCE = "resistance"
    VOLTAGE = "voltage"
    CURRENT = "current"
    POWER = "power"
    TIME = "time"
    COUNT = "count"
    RATIO = "ratio"
    TORQUE = "torque"
    ENERGY = "energy"
    ROTATION = "rotation"
    CHARGE = "charge"
    SENSITIVITY = "sensitivity"


@dataclass(frozen=True, slots=True)
class UnitDefinition:
    """One unit: `base = value * factor + offset`, the base being the SI unit named in `RESOLUTION`."""

    symbol: str
    family: str
    factor: Fraction
    offset: Fraction = Fraction(0)


# The pound-force per square inch, exact by definition: 0.45359237 kg x 9.80665 m/s2 / (0.0254 m)^2.
_PSI = Fraction("0.45359237") * Fraction("9.80665") / Fraction("0.0254") ** 2
# Conventional inch of water, 1000 kg/m3 under standard gravity.
_INCH_OF_WATER = Fraction("0.0254") * 1000 * Fraction("9.80665")
_POUND = Fraction("0.45359237")


def _unit(symbol: str, family: str, factor: Fraction | int | str, offset: Fraction | int | str = 0) -> UnitDefinition:
    return UnitDefinition(symbol, family, Fraction(factor), Fraction(offset))


UNITS: Mapping[str, UnitDefinition] = {
    unit.symbol: unit
    for unit in (
        _unit("Pa", "pressure", 1),
        _unit("mbar", "pressure", 100),
        _unit("kPa", "pressure", 1000),
        _unit("bar", "pressure", 100_000),
        _unit("MPa", "pressure", 1_000_000),
        _unit("psi", "pressure", _PSI),
        _unit("inH2O", "pressure", _INCH_OF_WATER),
        _unit("K", "temperature", 1),
        _unit("degC", "temperature", 1, "273.15"),
        _unit("degF", "temperature", Fraction(5, 9), Fraction("459.67") * Fraction(5, 9)),
        _unit("um", "length", Fraction(1, 1_000_000)),
        _unit("mm", "length", Fraction(1, 1000)),
        _unit("cm", "length", Fraction(1, 100)),
        _unit("m", "length", 1),
        _unit("in", "length", "0.0254"),
        _unit("deg", "angle", 1),
        _unit("mg", "mass", Fraction(1, 1_000_000)),
        _unit("g", "mass", Fraction(1, 1000)),
        _unit("kg", "mass", 1),
        _unit("lb", "mass", _POUND),
        _unit("mL", "volume", Fraction(1, 1_000_000)),
        _unit("L", "volume", Fraction(1, 1000)),
        _unit("gal_us", "volume", Fraction("0.0254") ** 3 * 231),
        _unit("qt_us", "volume", Fraction("0.0254") ** 3 * 231 / 4),
        _unit("gal_imp", "volume", "0.00454609"),
        _unit("g/min", "mass_flow", Fraction(1, 60_000)),
        _unit("g/s", "mass_flow", Fraction(1, 1000)),
        _unit("kg/h", "mass_flow", Fraction(1, 3600)),
        _unit("lb/h", "mass_flow", _POUND / 3600),
        _unit("mL/min", "volume_flow", Fraction(1, 60_000_000)),
        _unit("L/min", "volume_flow", Fraction(1, 60_000)),
        _unit("L/h", "volume_flow", Fraction(1, 3_600_000)),
        _unit("m3/h", "volume_flow", Fraction(1, 3600)),
        _unit("m3/min", "volume_flow", Fraction(1, 60)),
        _unit("gpm_us", "volume_flow", Fraction("0.0254") ** 3 * 231 / 60),
        _unit("ohm", "resistance", 1),
        _unit("kohm", "resistance", 1000),
        _unit("V", "voltage", 1),
        _unit("kV", "voltage", 1000),
        _unit("mA", "current", Fraction(1, 1000)),
        _unit("A", "current", 1),
        _unit("W", "power", 1),
        _unit("kW", "power", 1000),
        _unit("ms", "time", Fraction(1, 1000)),
        _unit("s", "time", 1),
        _unit("h", "time", 3600),
        _unit("each", "count", 1),
        _unit("%", "ratio", Fraction(1, 100)),
        _unit("ppm", "ratio", Fraction(1, 1_000_000)),
        _unit("mg/g", "ratio", Fraction(1, 1000)),
        _unit("N.m", "torque", 1),
        _unit("lbf.ft", "torque", _POUND * Fraction("9.80665") * Fraction("0.3048")),
        _unit("mJ", "energy", Fraction(1, 1000)),
        _unit("J", "energy", 1),
        _unit("rpm", "rotation", Fraction(1, 60)),
        _unit("Ah", "charge", 3600),
        _unit("mV/kPa", "sensitivity", Fraction(1, 1_000_000)),
    )
}

# Integer steps per SI base unit: the resolution a number is kept at.
RESOLUTION: Mapping[str, int] = {
    "pressure": 100,  # 0.01 Pa
    "temperature": 1000,  # 1 mK
    "length": 10_000_000,  # 0.1 um: a thousandth of an inch is whole
    "angle": 1000,  # 0.001 degree
    "mass": 1_000_000,  # 1 mg
    "volume": 1_000_000_000,  # 1 microlitre
    "mass_flow": 3_600_000_000,  # 1 mg/h: g/min and kg/h are whole
    "volume_flow": 3_600_000_000_000,  # 1 microlitre an hour
    "resistance": 10_000,  # 0.1 milliohm
    "voltage": 1000,  # 1 mV
    "current": 1000,  # 1 mA
    "power": 1000,  # 1 mW
    "time": 1_000_000,  # 1 microsecond
    "count": 1,
    "ratio": 1_000_000,  # 1 part per million
    "torque": 1000,  # 1 mN.m
    "energy": 1_000_000,  # 1 microjoule
    "rotation": 60_000,  # 0.001 rpm
    "charge": 1000,  # 1 millicoulomb
    "sensitivity": 1_000_000_000,  # 1 microvolt per kPa
}

_REFERENCES: Mapping[tuple[str, str], Dimension] = {
    ("pressure", "gauge"): Dimension.PRESSURE_GAUGE,
    ("pressure", "absolute"): Dimension.PRESSURE_ABSOLUTE,
    ("pressure", "difference"): Dimension.PRESSURE_DIFFERENCE,
    ("temperature", "absolute"): Dimension.TEMPERATURE,
    ("temperature", "difference"): Dimension.TEMPERATURE_DIFFERENCE,
}
_DEFAULT_UNIT: Mapping[str, str] = {
    "pressure": "kPa", "temperature": "degC", "length": "mm", "angle": "deg", "mass": "g", "volume": "L",
    "mass_flow": "g/min", "volume_flow": "L/h", "resistance": "ohm", "voltage": "V", "current": "A", "power": "W",
    "time": "ms", "count": "each", "ratio": "%", "torque": "N.m", "energy": "mJ", "rotation": "rpm", "charge": "Ah",
    "sensitivity": "mV/kPa",
}  # fmt: skip
# A scale's zero is part of a temperature, never of a difference between two.
_DIFFERENCES = frozenset({Dimension.TEMPERATURE_DIFFERENCE})
_DECIMAL = re.compile(r"[+-]?\d{1,15}(\.\d{1,12})?")
INT64 = 2**63 - 1
SHOWN_KEPT = 8192
_SHOWN_FIGURES = 7


def family_of(dimension: Dimension) -> str:
    """`pressure` for the three pressures, `temperature` for the two temperatures, else the dimension itself."""
    return dimension.value.split("_")[0] if dimension.value.startswith(("pressure", "temperature")) else dimension.value


def reference_of(dimension: Dimension) -> str | None:
    """The word that goes with a pressure (gauge, absolute, difference) or a temperature difference."""
    for (_, reference), known in _REFERENCES.items():
        if known is dimension:
            return None if dimension is Dimension.TEMPERATURE else reference
    return None


@dataclass(frozen=True, slots=True, order=False)
class Quantity:
    """`amount` steps of the resolution of `dimension`; `unit` is only how it is shown."""

    amount: int
    dimension: Dimension
    unit: str = field(default="", compare=False)

    def shown(self, unit: str | None = None) -> str:
        """The number and its unit in words, e.g. `26 psi gauge`; `unit` asks for another unit of the family."""
        return _shown(self.amount, self.dimension, unit or self.unit)

    def in_unit(self, unit: str | None = None) -> tuple[Decimal, str]:
        """Value in `unit` (or the unit it was given in), rounded to seven significant figures."""
        return _in_unit(self.amount, self.dimension, unit or self.unit)


_SPOKEN = {"um": "micron"}  # what a counter says where it differs from the symbol


# The same few sizes and ratings are shown again and again.
@lru_cache(maxsize=SHOWN_KEPT)
def _shown(amount: int, dimension: Dimension, unit: str) -> str:
    value, symbol = _in_unit(amount, dimension, unit)
    words = [_plain(value)] if symbol == "each" else [_plain(value), _SPOKEN.get(symbol, symbol)]
    reference = reference_of(dimension)
    return " ".join([*words, reference] if reference else words)


@lru_cache(maxsize=SHOWN_KEPT)
def _in_unit(amount: int, dimension: Dimension, unit: str) -> tuple[Decimal, str]:
    family = family_of(dimension)
    symbol = unit or _DEFAULT_UNIT[family]
    steps, zero, parts = _scale(symbol, counted_from_zero=dimension not in _DIFFERENCES)
    above, below = Decimal(amount * parts - zero), Decimal(steps)
    with localcontext() as context:
        for figures in range(1, _SHOWN_FIGURES):
            context.prec = figures
            fewer = above / below
            # The fewest figures that are read back to these very steps: 5 psi, not 5.000001.
            number, ones = fewer.as_integer_ratio()
            if _rounded(number * steps + zero * ones, parts * ones) == amount:
                return fewer, symbol
        context.prec = _SHOWN_FIGURES
        return above / below, symbol


@cache
def _scale(symbol: str, *, counted_from_zero: bool) -> tuple[int, int, int]:
    """The steps of one unit and those at its zero, both times `parts`, which makes them whole; then `parts`."""
    definition = UNITS[symbol]
    resolution = RESOLUTION[definition.family]
    steps = definition.factor * resolution
    zero = definition.offset * resolution if counted_from_zero else Fraction(0)
    parts = lcm(steps.denominator, zero.denominator)
    return int(steps * parts), int(zero * parts), parts


def _rounded(number: int, ones: int) -> int:
    """The nearest whole, of two as near the even one, as `round` has it of a fraction; in a tenth of its time."""
    whole, rest = divmod(number, ones)
    return whole + (2 * rest > ones or (2 * rest == ones and whole % 2 == 1))


@dataclass(frozen=True, slots=True)
class Interval:
    """A stretch of one dimension, both ends included. An end that is None is open: nothing is stated on that side.

    Numbers are whole steps, so an end that is left out is written as the last step before it.
    """

    low: Quantity | None
    high: Quantity | None

    def __post_init__(self) -> None:
        if self.low is None or self.high is None:
            return
        if self.low.dimension is not self.high.dimension:
            raise Invalid("The two ends of a range must be of the same dimension.", code="mixed_dimensions")
        if self.low.amount > self.high.amount:
            raise Invalid(
                f"The range starts at {self.low.shown()} and ends below it, at {self.high.shown()}; "
                "give the smaller end as min.",
                code="range_reversed",
            )

    @property
    def dimension(self) -> Dimension | None:
        end = self.low or self.high
        return end.dimension if end else None

    def shown(self, unit: str | None = None) -> str:
        if self.low and self.high:
            if self.low == self.high:
                return self.low.shown(unit)
            return f"{self.low.shown(unit)} to {self.high.shown(unit)}"
        if self.low:
            return f"from {self.low.shown(unit)}, no upper end stated"
        return f"to {self.high.shown(unit)}, no lower end stated" if self.high else "no ends stated"


def quantity(value: str, unit: str, reference: str | None = None) -> Quantity:
    """Read a decimal string with its unit into an exact quantity.

    Raises Invalid for a number that is not a plain decimal, an unknown unit, a pressure without its reference,
    or a number too large to keep.
    """
    if not _DECIMAL.fullmatch(value):
        raise Invalid(f"{value[:40]!r} is not a plain decimal number; write it like 26 or 0.7.", code="not_a_decimal")
    definition = UNITS.get(unit)
    if definition is None:
        raise Invalid(f"The unit {unit[:20]!r} is not known; use one of {', '.join(UNITS)}.", code="unknown_unit")
    dimension = _dimension(definition, reference)
    exact = Fraction(value) * definition.factor
    if dimension not in _DIFFERENCES:
        exact += definition.offset
    amount = round(exact * RESOLUTION[definition.family])
    if abs(amount) > INT64:
        raise Invalid(f"{value} {unit} is too large to be a real measure.", code="number_too_large")
    return Quantity(amount, dimension, unit)


def _dimension(definition: UnitDefinition, reference: str | None) -> Dimension:
    if definition.family == "pressure":
        found = _REFERENCES.get(("pressure", reference or ""))
        if found is None:
            raise Invalid(
                f"A pressure in {definition.symbol} needs its reference: gauge, absolute or difference.",
                code="reference_missing" if reference is None else "unknown_reference",
            )
        return found
    if definition.family == "temperature":
        found = _REFERENCES.get(("temperature", reference or "absolute"))
        if found is None:
            raise Invalid("A temperature is a point or a difference; leave the reference out or say difference.",
                          code="unknown_reference")  # fmt: skip
        return found
    if reference is not None:
        raise Invalid(f"{definition.symbol} takes no reference; leave it out.", code="unknown_reference")
    return Dimension(definition.family)


def same_dimension(found: Quantity | Interval, expected: Dimension) -> None:
    """Raise Invalid, naming both, where a value is not of the dimension an attribute is kept in."""
    dimension = found.dimension
    if dimension is None or dimension is expected:
        return
    if family_of(dimension) == family_of(expected):
        raise Invalid(
            f"This is {_words(dimension)} and {_words(expected)} is asked for; the two are never converted "
            "into each other here.",
            code="wrong_reference",
        )
    raise Invalid(
        f"This is {_words(dimension)} and {_words(expected)} is asked for; give it in "
        f"{', '.join(u.symbol for u in UNITS.values() if u.family == family_of(expected))}.",
        code="wrong_dimension",
    )


def _words(dimension: Dimension) -> str:
    reference = reference_of(dimension)
    words = f"{reference} {family_of(dimension)}" if reference else dimension.value.replace("_", " ")
    return f"an {words}" if words[0] in "aeiou" else f"a {words}"


def _plain(value: Decimal) -> str:
    text = format(value, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text
