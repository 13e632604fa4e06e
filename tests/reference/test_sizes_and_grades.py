"""Published check values of rings, glands, fits and oil grades, each beside its source."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from catalog.domain.electrics import CHARGING, coil_current
from catalog.domain.quantities import quantity
from catalog.domain.ring_geometry import section_on, squeeze, stretch
from service.errors import Invalid
from tests.demo_world import rulebook

pytestmark = pytest.mark.domain
TABLES = rulebook().tables.reference
RINGS, FITS, OILS = (
    TABLES.ring_sizes["ring_sizes"], TABLES.tolerance_grades["iso_286"], TABLES.viscosity_grades["sae_j300"],
)  # fmt: skip


def steps(millimetres: str) -> int:
    return quantity(millimetres, "mm").amount


def extremes(section: str, off: str, least: str, most: str) -> tuple[float, float]:
    low, high = steps(section) - steps(off), steps(section) + steps(off)
    return float(squeeze(low, steps(most))) * 100, float(squeeze(high, steps(least))) * 100


def is_no_size(code: str) -> bool:
    try:
        RINGS.code_of(code)
    except Invalid:
        return True
    return False


def ring_012() -> bool:
    size = RINGS.sizes["012"]
    found = size.inner.nominal, size.inner.plus_minus, size.section.nominal, size.section.plus_minus
    return found == tuple(map(steps, ("9.25", "0.13", "1.78", "0.08")))


def counted() -> bool:
    general = sum(len(series.codes) for series in RINGS.series if not series.boss)
    return (general, len(RINGS.valid)) == (349, 369)


def stretches() -> bool:
    found = [float(stretch(steps("9.25"), steps(groove))) * 100 for groove in ("9.40", "9.70", "9.80")]
    return found == pytest.approx([1.62, 4.86, 5.95], abs=0.01)


def left_on_groove() -> bool:
    left = section_on(steps("9.50"), section=steps("1.78"), inner=steps("9.25"))
    return abs(left - steps("1.762")) <= steps("0.001")


def currents() -> bool:
    found = [coil_current(CHARGING, quantity(ohms, "ohm")) for ohms in ("14.5", "2.4")]
    return [one.amount for one in found if one] == pytest.approx([966, 5833], rel=0.005)


def upper(size: str) -> int:
    return FITS.deviation(quantity(size, "mm"), "H7").upper


CASES: list[tuple[str, str, Callable[[], object], object]] = [
    ("CV1", "SAE AS568; ISO 3601-1 class A", ring_012, True),
    ("CV3", "SAE AS568", lambda: [is_no_size(c) for c in ("051", "101", "179", "285", "308", "396")], [True] * 6),
    ("CV4", "SAE AS568", counted, True),
    ("CV5", "gland tables", lambda: extremes("1.78", "0.08", "1.27", "1.40"), pytest.approx((17.6, 31.7), abs=0.1)),
    ("CV6", "gland tables", lambda: extremes("2.62", "0.08", "2.03", "2.18"), pytest.approx((14.2, 24.8), abs=0.1)),
    ("CV7", "gland tables", lambda: extremes("3.53", "0.10", "2.79", "2.95"), pytest.approx((14.0, 23.1), abs=0.1)),
    ("CV9", "gland tables", lambda: extremes("1.78", "0.08", "1.40", "1.45"), pytest.approx((14.7, 24.7), abs=0.1)),
    ("CV15", "public seal design guide", stretches, True),
    ("CV17", "computed, exact volume", left_on_groove, True),
    ("CV36", "arithmetic", currents, True),
    ("CV65", "SAE J300", lambda: (OILS.grades_of("12.5"), OILS.grades_of("9.29")), (("40",), ("20",))),
    ("CV75", "ISO 286", lambda: [e.amount for e in (FITS.fit(quantity("25", "mm"), "H7", "g6").least,
                                                    FITS.fit(quantity("25", "mm"), "H7", "g6").greatest)], [70, 410]),
    ("CV77", "ISO 286", lambda: [upper(size) for size in ("18.000", "18.001", "30")], [180, 210, 210]),
]  # fmt: skip


@pytest.mark.parametrize(("source", "found", "expected"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_a_check_value_comes_out_as_published(source: str, found: Callable[[], object], expected: object) -> None:
    assert found() == expected, source


def test_the_squeeze_of_a_ring_two_series_too_thick_is_a_half() -> None:
    assert squeeze(steps("2.62"), steps("1.335")) > Fraction(49, 100)
