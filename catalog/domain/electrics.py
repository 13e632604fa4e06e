"""What another resistance or another supply does to a coil: the current it draws, the power it turns into heat.

Arithmetic alone: current is voltage over resistance, and power goes with the square of the voltage.
"""

from __future__ import annotations

from fractions import Fraction

from catalog.domain.quantities import RESOLUTION, Dimension, Interval, Quantity, quantity

COIL_RESISTANCE = "coil_resistance"
SUPPLY_VOLTAGE = "supply_voltage"
CHARGING = quantity("14", "V")  # a 12 V system while its engine runs
_WORTH_A_WORD = Fraction(3, 2)


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
    return ""
