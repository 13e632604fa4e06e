"""The pressure of the air at an altitude, Pa absolute, by the standard atmosphere (ISO 2533:1975, from memory)."""

from __future__ import annotations

from catalog.domain.supply.stages import STANDARD_ATMOSPHERE


def pressure_at(metres: float) -> float:
    """Below 11 km: the temperature falls by 6.5 K each km from 288.15 K."""
    ratio: float = (1 - 0.0065 * metres / 288.15) ** 5.25588
    return STANDARD_ATMOSPHERE * ratio
