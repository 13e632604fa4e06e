"""What another resistance or supply does to a coil (current, heat), and another slope to what a sensor is read as.

Arithmetic alone: current is voltage over resistance, and power goes with the square of the voltage.
"""

from __future__ import annotations

from fractions import Fraction

from catalog.domain.quantities import RESOLUTION, Dimension, Interval, Quantity, quantity

COIL_RESISTANCE = "coil_resistance"
SUPPLY_VOLTAGE = "supply_voltage"
SENSOR_SLOPE = "sensor_slope"
CHARGING = quantity("14", "V")  # a 12 V system while its engine runs
_WORTH_A_WORD = Fraction(3, 2)
_RISE = 5  # of a pressure in bar, to say what a sensor of another slope makes of it


def coil_current(voltage: Quantity, resistance: Quantity) -> Quantity | None:
    """The steady current through a coil; None where no resistance is no coil."""
    if resistance.amount <= 0:
        return None
    exact = Fraction(voltage.amount, RESOLUTION["voltage"]) / Fraction(resistance.amount, RESOLUTION["resistance"])
    return Quantity(round(exact * RESOLUTION["current"]), Dimension.CURRENT, "A")


def power_share(applied: Quantity, rated: Quantity) -> Fraction:
    """How many times its power a coil made for one voltage draws at another. Raises ZeroDivisionError for 0 V."""
    return Fraction(applied.amount, rated.amount) ** 2


def consequence(member: str, asked: Quantity | None, offered: Interval) -> str:
    """What follows from a value that is not the one asked for, in words for a reason; nothing where nothing is known.

    `asked` is a coil's resistance as it should be, or the highest voltage that a supply reaches.
    """
    if asked is None or offered.high is None or asked.dimension is not offered.high.dimension:
        return ""
    if member == COIL_RESISTANCE and offered.low == offered.high:
        drawn, wanted = coil_current(CHARGING, offered.high), coil_current(CHARGING, asked)
        return f" ({drawn.shown()} at {CHARGING.shown()}, not {wanted.shown()})" if drawn and wanted else ""
    if member == SUPPLY_VOLTAGE and offered.high.amount > 0:
        share = power_share(asked, offered.high)
        return f" ({float(share):.1f} times the power it is made for)" if share >= _WORTH_A_WORD else ""
    if member == SENSOR_SLOPE and offered.low == offered.high and min(asked.amount, offered.high.amount) > 0:
        return _misread(Fraction(offered.high.amount, asked.amount))
    return ""


def _misread(share: Fraction) -> str:
    """What a controller takes a rise of pressure for, from a sensor that gives `share` of the signal it expects."""
    read, off = float(_RISE * share), abs(float(share) - 1)
    return f" (a rise of {_RISE} bar would be read as {read:.1f} bar, {off:.0%} too {'low' if share < 1 else 'high'})"
