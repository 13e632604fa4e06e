"""Vapour from containers and how full they may be, against the tables of manuals that size them.

The D*L*K table and the chart of the 100-lb cylinder: a generating set's installation manual, the chart twice more on a
torch and heater supplier's page. Temperatures in degF as printed.
"""

from __future__ import annotations

from collections.abc import Callable
from math import ceil

import pytest

from catalog.domain.supply import mixtures
from catalog.domain.supply.container import Container, Exposure, Standing, VapourCapacity, vapour_capacity, wetted_share
from catalog.domain.supply.container_filling import (
    batch_drawn,
    cooling_per_kg,
    liquid_full_kelvin,
    overfilled,
)
from catalog.domain.supply.container_handbook import (
    BTU_PER_HOUR,
    POUND,
    cylinder_capacity,
    handbook_k,
    handbook_multiplier,
    tank_capacity,
)
from catalog.fluid_properties import ReferenceFluids
from service.errors import Invalid

pytestmark = pytest.mark.domain
FLUIDS = ReferenceFluids()
PROPANE = mixtures.PROPANE.mixture(FLUIDS)
INCH, ATMOSPHERE, PSI = 0.0254, 101_325.0, 6894.757
# Diameters and lengths of usual tanks: common practice, no source.
TANK_1000_GAL = Container(Standing.HORIZONTAL, 41 * INCH, 192 * INCH)
TANK_500_GAL = Container(Standing.HORIZONTAL, 37.5 * INCH, 119 * INCH)
CYLINDER_100_LB = Container(Standing.VERTICAL, 0.375, 0.985)


def of_fahrenheit(fahrenheit: float) -> float:
    return (fahrenheit + 459.67) / 1.8


def by_handbook(tank: Container, *, percent: float, fahrenheit: float) -> float:
    """Btu/h."""
    return tank_capacity(tank, fill=percent / 100, air_kelvin=of_fahrenheit(fahrenheit)).btu_per_hour


def by_chart(pounds: float, fahrenheit: float) -> float:
    """Btu/h."""
    return cylinder_capacity(contents_kg=pounds * POUND, air_kelvin=of_fahrenheit(fahrenheit)).btu_per_hour


def by_physics(container: Container, *, fill: float, fahrenheit: float, gauge_psi: float) -> VapourCapacity:
    hold, exposure = gauge_psi * PSI + ATMOSPHERE, Exposure(of_fahrenheit(fahrenheit))
    return vapour_capacity(container, exposure, FLUIDS, PROPANE, fill=fill, hold_pascal=hold)


def near(value: float, share: float) -> object:
    return pytest.approx(value, rel=share)


CHECKS: dict[str, list[tuple[Callable[[], object], object]]] = {
    # The rule itself, and a farm heater's tank table for 1000 gallons, 30 % full, at -10 degF.
    "FC22 1000-gal tank by D*L*K": [
        (lambda: by_handbook(TANK_1000_GAL, percent=30, fahrenheit=-10), near(275_520, 1e-6)),
        (lambda: by_handbook(TANK_1000_GAL, percent=30, fahrenheit=-10), near(276_500, 0.01)),
    ],
    "FC23 K by fill": [
        (lambda: [handbook_k(percent / 100) for percent in (60, 50, 40, 30, 20, 10)], [100, 90, 80, 70, 60, 45]),
    ],
    "FC25 100-lb cylinder with 50 lb at 0 degF": [(lambda: by_chart(50, 0), near(64_000, 1e-9))],
}


@pytest.mark.parametrize("name", CHECKS)
def test_a_check_value_is_met(name: str) -> None:
    assert [(found(), expected) for found, expected in CHECKS[name] if found() != expected] == []


@pytest.mark.parametrize(
    ("pounds", "fahrenheit", "printed"),
    [
        (100, 0, 113_000), (10, 0, 28_000), (100, 70, 300_000), (50, 70, 167_000), (10, 70, 66_000),
        (100, 20, 167_000), (100, 40, 214_000), (100, 60, 277_000),
    ],
)  # fmt: skip
def test_the_chart_of_the_100_lb_cylinder(pounds: int, fahrenheit: int, printed: int) -> None:
    assert by_chart(pounds, fahrenheit) == pytest.approx(printed, rel=1e-6)


@pytest.mark.parametrize(
    ("fahrenheit", "multiplier"),
    [(-15, 0.25), (-10, 0.5), (-5, 0.75), (0, 1), (5, 1.25), (10, 1.5), (15, 1.75), (20, 2)],
)
def test_the_multiplier_by_air_temperature(fahrenheit: int, multiplier: float) -> None:
    """From memory: LP-gas equipment handbooks; 0.5 at -10 degF follows from the farm heater's tank table."""
    assert handbook_multiplier(of_fahrenheit(fahrenheit)) == pytest.approx(multiplier)


@pytest.mark.parametrize(
    ("gauge", "expected"),
    [
        (5, [0.57, 1.07, 1.57, 2.07, 2.57, 3.57, 4.57]),
        (9, [0.16, 0.66, 1.16, 1.66, 2.16, 3.16, 4.16]),
        (12, [0, 0.39, 0.89, 1.39, 1.89, 2.89, 3.89]),
        (26, [0, 0, 0, 0.35, 0.85, 1.85, 2.85]),
    ],
)
def test_the_multiplier_where_more_pressure_must_be_held(gauge: int, expected: list[float]) -> None:
    """(air - boiling temperature) / 20 degF, that temperature by Lemmon, McLinden, Wagner 2009; printed to 0.01."""
    sag = FLUIDS.bubble_kelvin(PROPANE, gauge * PSI + ATMOSPHERE)
    found = [handbook_multiplier(of_fahrenheit(air), sag) for air in (-20, -10, 0, 10, 20, 40, 60)]
    assert found == pytest.approx(expected, abs=0.011)


@pytest.mark.parametrize(
    ("percent", "share"), [(60, 0.550), (50, 0.500), (40, 0.450), (30, 0.396), (20, 0.336), (10, 0.259)]
)
def test_the_wetted_share_of_a_lying_cylinder(percent: int, share: float) -> None:
    """Plane geometry of a segment; K of the handbook is 174 to 182 times it."""
    assert wetted_share(percent / 100) == pytest.approx(share, abs=0.0005)
    assert 173 < handbook_k(percent / 100) / wetted_share(percent / 100) < 182


@pytest.mark.parametrize("percent", [10, 20, 30, 40, 50, 60])
def test_heat_through_the_wetted_wall_comes_to_what_the_handbook_says(percent: int) -> None:
    """Its own conditions: 0 degF and a liquid that may sag to -20 degF, 10.7 psi gauge."""
    physics = by_physics(TANK_1000_GAL, fill=percent / 100, fahrenheit=0, gauge_psi=10.73)
    handbook = tank_capacity(TANK_1000_GAL, fill=percent / 100, air_kelvin=of_fahrenheit(0))
    assert physics.flow == pytest.approx(handbook.flow, rel=0.03)


@pytest.mark.parametrize(("pounds", "printed"), [(100, 113_000), (50, 64_000)])
def test_heat_through_an_upright_wall_comes_to_what_the_chart_says(pounds: int, printed: int) -> None:
    """Fills by the cylinder's 239 lb of water and 0.5075 kg/L; 21,591 Btu/lb."""
    fill = pounds / 239 / 0.5075
    found = by_physics(CYLINDER_100_LB, fill=fill, fahrenheit=0, gauge_psi=10.73)
    assert found.kg_per_hour / POUND * 21_591 == pytest.approx(printed, rel=0.06)


def test_an_upright_wall_and_a_lying_one_by_plane_geometry() -> None:
    assert CYLINDER_100_LB.wetted_m2(0.5) == pytest.approx(3.14159 * (0.375 * 0.4925 + 0.375**2 / 4), rel=1e-5)
    lying = Container.from_mm(Standing.HORIZONTAL, outside_diameter_mm=1000, length_mm=2000)
    assert lying.wetted_m2(0.5) == pytest.approx(3.14159, rel=1e-5)


@pytest.mark.parametrize(("percent", "fahrenheit", "least", "most"), [(50, 0, 150, 200), (50, -10, 60, 100)])
def test_a_500_gal_tank_gives_what_a_standby_manual_lists_it_for(
    percent: int, fahrenheit: int, least: float, most: float
) -> None:
    """A standby generating set's manual, 2,500 Btu/ft3: enough at 0 degF for 150 ft3/h, not for 200."""
    assert least < by_handbook(TANK_500_GAL, percent=percent, fahrenheit=fahrenheit) / 2500 < most


def test_a_25_kw_set_of_387000_btu_h_needs_seven_cylinders_or_a_1000_gal_tank() -> None:
    """A generating set's manual for the demand; 387/64 is 6.05."""
    demand = 387_000
    assert ceil(demand / by_chart(50, 0)) == 7
    enough = {
        (gallons, air): by_handbook(tank, percent=30, fahrenheit=air) >= demand
        for gallons, tank in ((500, TANK_500_GAL), (1000, TANK_1000_GAL))
        for air in (0, -10)
    }
    assert enough == {(500, 0): False, (500, -10): False, (1000, 0): True, (1000, -10): False}


def test_above_20_degf_the_rule_is_called_screening_and_its_least_is_what_tables_say() -> None:
    """A standby manual at 32 degF, half full: 400 gal for 200 ft3/h, 750 for 300, so that 500 give 200 to 300."""
    warm = tank_capacity(TANK_500_GAL, fill=0.5, air_kelvin=of_fahrenheit(32))
    assert warm.disputed
    assert "1.35 to 2.1 times lower" in warm.words
    assert warm.btu_per_hour / 2500 > 300
    assert warm.least_watts / BTU_PER_HOUR / 2500 <= 300
    assert not tank_capacity(TANK_500_GAL, fill=0.5, air_kelvin=of_fahrenheit(20)).disputed


def test_an_estimate_says_how_far_it_may_be_off() -> None:
    found = by_physics(TANK_500_GAL, fill=0.3, fahrenheit=20, gauge_psi=12)
    assert "+/-30 %" in found.words
    assert [found.least / found.flow, found.most / found.flow] == pytest.approx([0.7, 1.3])


def test_derating_takes_its_share() -> None:
    hold = 12 * PSI + ATMOSPHERE
    air = of_fahrenheit(20)
    plain = vapour_capacity(TANK_500_GAL, Exposure(air), FLUIDS, PROPANE, fill=0.3, hold_pascal=hold)
    derated = Exposure(air, continuous=0.25, frost=0.5)
    drawn = vapour_capacity(TANK_500_GAL, derated, FLUIDS, PROPANE, fill=0.3, hold_pascal=hold)
    assert drawn.flow == pytest.approx(plain.flow / 8)
    assert "12.5 %" in drawn.words


@pytest.mark.parametrize(("fill", "filled_at", "full_at"), [(0.80, 15.0, 67.9), (0.80, 4.4, 63.3), (0.85, 15.0, 57.4)])
def test_where_a_filled_container_has_no_vapour_left(fill: float, filled_at: float, full_at: float) -> None:
    """Computed from densities by Lemmon, McLinden, Wagner 2009, degC."""
    found = liquid_full_kelvin(FLUIDS, PROPANE, fill=fill, kelvin=filled_at + 273.15)
    assert found is not None
    assert found - 273.15 == pytest.approx(full_at, abs=0.1)


def test_a_container_little_filled_is_never_full_of_liquid() -> None:
    assert liquid_full_kelvin(FLUIDS, PROPANE, fill=0.3, kelvin=288.15) is None


@pytest.mark.parametrize(("fill", "over"), [(0.8, False), (0.81, True), (0.0, False)])
def test_the_80_percent_rule(fill: float, *, over: bool) -> None:
    assert overfilled(fill) is over


def test_a_draw_cools_15_kg_of_propane_and_10_kg_of_steel_by_8_4_k_for_each_kg() -> None:
    """Sensible against latent heat by Lemmon, McLinden, Wagner 2009; steel 0.46 kJ/(kg K), common practice."""
    assert cooling_per_kg(FLUIDS, PROPANE, kelvin=283.15, liquid_kg=15, steel_kg=10) == pytest.approx(8.4, abs=0.1)


def test_a_batch_is_what_the_warmth_in_liquid_and_steel_boils() -> None:
    """30 K at 8.4 K for each kg, a little less as liquid leaves: energy balance by hand."""
    drawn = batch_drawn(FLUIDS, PROPANE, from_kelvin=293.15, to_kelvin=263.15, liquid_kg=15, steel_kg=10)
    assert 2.9 < drawn < 30 / 8.4
    assert batch_drawn(FLUIDS, PROPANE, from_kelvin=263.15, to_kelvin=293.15, liquid_kg=15, steel_kg=10) == 0


def test_what_is_no_container_is_refused_in_words() -> None:
    for asked in (
        lambda: Container(Standing.HORIZONTAL, 0, 1),
        lambda: TANK_500_GAL.wetted_m2(1.1),
        lambda: tank_capacity(CYLINDER_100_LB, fill=0.5, air_kelvin=260),
        lambda: cylinder_capacity(contents_kg=60, air_kelvin=260),
        lambda: Exposure(260, continuous=0),
    ):
        with pytest.raises(Invalid, match=r"\w+ .+\."):
            asked()
