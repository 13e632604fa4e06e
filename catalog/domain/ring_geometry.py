"""Squeeze, stretch and fill of a ring in its gland, exact: lengths are whole steps of one size, shares fractions."""

from __future__ import annotations

from fractions import Fraction

_PI_OVER_4 = Fraction("0.785398163397448")


def squeeze(section: int, depth: int) -> Fraction:
    """Squeeze as a share of the cross-section; section and depth in the same steps."""
    return Fraction(section - depth, section)


def stretch(inner: int, groove: int) -> Fraction:
    """Stretch of a ring on a groove as a share of its inner diameter."""
    return Fraction(groove - inner, inner)


def fill(section: int, depth: int, width: int) -> Fraction:
    """Share of the groove's area that the ring's section takes."""
    return _PI_OVER_4 * section * section / (depth * width)


def section_on(groove: int, *, section: int, inner: int) -> int:
    """The cross-section left of a ring stretched over a groove, rounded down; one that is not stretched keeps its own.

    Rubber keeps its volume, so `left^2 (groove + left) = section^2 (inner + section)`. Of the formulas in use (volume,
    the half and the two-thirds power of the diameters, a handbook's polynomial) this is the one that is exact for a
    ring that stays round, and the one used throughout.
    """
    if groove <= inner:
        return section
    volume = section * section * (inner + section)
    least, most = 0, section
    while least < most:
        middle = (least + most + 1) // 2
        if middle * middle * (groove + middle) <= volume:
            least = middle
        else:
            most = middle - 1
    return least
