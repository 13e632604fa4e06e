"""Unit factors against an outside library of units that reckons in exact fractions."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pint
import pytest

from catalog.domain.quantities import UNITS, quantity

pytestmark = pytest.mark.domain
REGISTRY: Any = pint.UnitRegistry(non_int_type=Fraction)
OUTSIDE = {
    "psi": ("psi", "pascal"), "inH2O": ("inch*kilogram/liter*standard_gravity", "pascal"), "bar": ("bar", "pascal"),
    "in": ("inch", "meter"), "lb": ("pound", "kilogram"), "gal_us": ("gallon", "meter**3"),
    "qt_us": ("quart", "meter**3"), "gal_imp": ("imperial_gallon", "meter**3"),
    "lb/h": ("pound/hour", "kilogram/second"), "gpm_us": ("gallon/minute", "meter**3/second"),
    "lbf.ft": ("force_pound*foot", "newton*meter"), "degF": ("delta_degF", "kelvin"),
    "Ah": ("ampere_hour", "coulomb"), "kg/h": ("kilogram/hour", "kilogram/second"),
}  # fmt: skip


@pytest.mark.parametrize("symbol", OUTSIDE)
def test_a_factor_is_exactly_that_of_the_outside_library(symbol: str) -> None:
    unit, base = OUTSIDE[symbol]
    assert UNITS[symbol].factor == REGISTRY.Quantity(Fraction(1), unit).to(base).magnitude


def test_a_difference_of_20_degf_is_11_1_k() -> None:
    assert quantity("20", "degF", "difference").amount == 11_111
