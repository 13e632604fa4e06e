"""What holds of every fuel and container, whatever their figures; and what is refused rather than guessed."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from catalog.domain.supply import mixtures
from catalog.domain.supply.container import Container, Exposure, Standing, vapour_capacity
from catalog.domain.supply.container_filling import liquid_full_kelvin
from catalog.domain.supply.container_handbook import cylinder_capacity, tank_capacity
from catalog.domain.supply.drift import left_after
from catalog.domain.supply.fluids import Mixture, OutOfRange, Species
from catalog.domain.supply.mixtures import Composition
from catalog.fluid_properties import ReferenceFluids

pytestmark = pytest.mark.domain
FLUIDS = ReferenceFluids()
LIQUEFIED = {Species.PROPANE, Species.PROPENE, Species.BUTANE, Species.ETHANE}
LP_GASES = tuple(
    composition for composition in mixtures.COMPOSITIONS if {species for species, _ in composition.parts} <= LIQUEFIED
)
NO_DEADLINE = settings(deadline=None, max_examples=60)  # the first question of a mixture takes its curve's time
kelvins = st.floats(225, 340)
fills = st.floats(0.01, 1)
lp_gases = st.sampled_from(LP_GASES).map(lambda composition: composition.mixture(FLUIDS))
containers = st.builds(Container, st.sampled_from(Standing), st.floats(0.2, 2), st.floats(0.3, 6))
pressures = st.floats(60e3, 1e6)
airs = st.floats(235, 320)


@NO_DEADLINE
@given(lp_gases, kelvins, kelvins)
def test_colder_never_raises_the_pressure(mixture: Mixture, one: float, other: float) -> None:
    cold, warm = sorted((one, other))
    assert FLUIDS.bubble_pressure(mixture, cold) <= FLUIDS.bubble_pressure(mixture, warm)
    assert FLUIDS.dew_pressure(mixture, cold) <= FLUIDS.dew_pressure(mixture, warm)


@NO_DEADLINE
@given(lp_gases, pressures)
def test_the_dew_temperature_is_never_below_the_bubble_temperature(mixture: Mixture, pascal: float) -> None:
    assert FLUIDS.dew_kelvin(mixture, pascal) >= FLUIDS.bubble_kelvin(mixture, pascal) - 1e-3


@NO_DEADLINE
@given(lp_gases, kelvins)
def test_a_pressure_leads_back_to_its_temperature(mixture: Mixture, kelvin: float) -> None:
    assert FLUIDS.bubble_kelvin(mixture, FLUIDS.bubble_pressure(mixture, kelvin)) == pytest.approx(kelvin, abs=2e-3)
    assert FLUIDS.dew_kelvin(mixture, FLUIDS.dew_pressure(mixture, kelvin)) == pytest.approx(kelvin, abs=2e-3)


@NO_DEADLINE
@given(lp_gases, st.floats(230, 330))
def test_the_vapour_over_a_liquid_begins_to_condense_at_the_liquid_s_own_pressure(
    mixture: Mixture, kelvin: float
) -> None:
    """Equilibrium: the bubble point of the liquid is the dew point of its vapour."""
    vapour = FLUIDS.vapour_over(mixture, kelvin)
    assert FLUIDS.dew_pressure(vapour, kelvin) == pytest.approx(FLUIDS.bubble_pressure(mixture, kelvin), rel=1e-3)


@NO_DEADLINE
@given(st.sampled_from([mixtures.AUTOGAS_60_40, mixtures.HD5_LEAN]), st.floats(0.05, 1), st.floats(0.05, 1))
def test_drawing_more_vapour_never_raises_the_pressure(composition: Composition, one: float, other: float) -> None:
    mixture = composition.mixture(FLUIDS)
    less, more = sorted((one, other))
    pressures = [_raoult(left_after(FLUIDS, mixture, kelvin=270, left=left), 270) for left in (less, more)]
    assert pressures[0] <= pressures[1] + 1e-6


def _raoult(mixture: Mixture, kelvin: float) -> float:
    """Without a curve of its own for every liquid on the way."""
    return sum(share * FLUIDS.bubble_pressure(Mixture(((species, 1.0),)), kelvin) for species, share in mixture.shares)


class Ideal(ReferenceFluids):
    """A liquid whose first part boils `alpha` times as readily as its second."""

    def __init__(self, alpha: float) -> None:
        self.alpha = alpha

    def vapour_over(self, mixture: Mixture, kelvin: float) -> Mixture:
        (light, share), (heavy, other) = mixture.shares
        part = self.alpha * share / (self.alpha * share + other)
        return Mixture(((light, part), (heavy, 1 - part)))


@given(st.floats(1.5, 6), st.floats(0.2, 0.98), st.floats(0.1, 0.95))
def test_open_evaporation_follows_rayleigh_s_equation(alpha: float, share: float, left: float) -> None:
    """Rayleigh 1902, integrated for a constant relative volatility, as chemical engineers' handbooks print it."""
    found = left_after(
        Ideal(alpha), Mixture(((Species.PROPANE, share), (Species.BUTANE, 1 - share))), kelvin=270, left=left
    )
    end = dict(found.shares)[Species.PROPANE]
    assume(end > 1e-3)
    of_logarithms = ((end / share) * ((1 - share) / (1 - end)) ** alpha) ** (1 / (alpha - 1))
    assert of_logarithms == pytest.approx(left, rel=0.01)


@NO_DEADLINE
@given(containers, fills, fills)
def test_more_fill_never_wets_less(container: Container, one: float, other: float) -> None:
    less, more = sorted((one, other))
    assert container.wetted_m2(less) <= container.wetted_m2(more)


@NO_DEADLINE
@given(containers, lp_gases, st.tuples(fills, fills), airs, pressures)
def test_more_fill_never_gives_less_vapour(
    container: Container, mixture: Mixture, both: tuple[float, float], air: float, hold: float
) -> None:
    less, more = sorted(both)

    def given_at(fill: float) -> float:
        return vapour_capacity(container, Exposure(air), FLUIDS, mixture, fill=fill, hold_pascal=hold).flow

    assert given_at(less) <= given_at(more)
    if container.standing is Standing.HORIZONTAL:
        handbook = [tank_capacity(container, fill=fill, air_kelvin=air).flow for fill in (less, more)]
        assert handbook[0] <= handbook[1]


@NO_DEADLINE
@given(containers, lp_gases, fills, airs, st.tuples(pressures, pressures))
def test_holding_more_pressure_never_gives_more_vapour(
    container: Container, mixture: Mixture, fill: float, air: float, both: tuple[float, float]
) -> None:
    """The warmer liquid also needs less heat to boil, but never by so much."""
    flows = [
        vapour_capacity(container, Exposure(air), FLUIDS, mixture, fill=fill, hold_pascal=hold).flow
        for hold in sorted(both)
    ]
    assert flows[1] <= flows[0] * (1 + 1e-9)


@given(st.floats(0, 45), st.floats(0, 45), st.floats(240, 300), st.floats(230, 250))
def test_the_chart_never_gives_less_for_more_in_the_cylinder(one: float, other: float, air: float, sag: float) -> None:
    less, more = sorted((one, other))
    low, high = (cylinder_capacity(contents_kg=kg, air_kelvin=air, sag_kelvin=sag).flow for kg in (less, more))
    assert low <= high


@pytest.mark.parametrize("quality", [0, 1])
@pytest.mark.parametrize("celsius", [-43.7, -21.3, 3.1, 27.9, 51.3])
def test_a_curve_read_between_its_points_is_the_library_s_own_answer(quality: int, celsius: float) -> None:
    """CoolProp's own front door for the same mixture, which the adapter does not use."""
    mixture = mixtures.AUTOGAS_60_40.mixture(FLUIDS)
    names = {Species.PROPANE: "n-Propane", Species.BUTANE: "n-Butane"}
    fluid = "HEOS::" + "&".join(f"{names[species]}[{share!r}]" for species, share in mixture.shares)
    kelvin = celsius + 273.15
    asked = FLUIDS.dew_pressure if quality else FLUIDS.bubble_pressure
    assert asked(mixture, kelvin) == pytest.approx(PropsSI("P", "T", kelvin, "Q", quality, fluid), rel=1e-5)


PROPANE = Mixture(((Species.PROPANE, 1.0),))
PIPELINE_GAS = mixtures.PIPELINE_GAS.mixture(FLUIDS)
AUTOGAS = mixtures.AUTOGAS_50_50.mixture(FLUIDS)


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        (lambda: FLUIDS.bubble_pressure(PROPANE, 400), "no boiling propane at 126.9 degC"),
        (lambda: FLUIDS.bubble_pressure(PROPANE, 50), "no boiling propane at -223.1 degC"),
        (lambda: FLUIDS.dew_kelvin(PROPANE, 5e6), "5000 kPa absolute propane does not boil"),
        (lambda: FLUIDS.dew_kelvin(PIPELINE_GAS, 20e6), "95 % methane, .* is known from"),
        (lambda: FLUIDS.bubble_pressure(PIPELINE_GAS, 300), "bubble line"),
        (lambda: FLUIDS.bubble_pressure(AUTOGAS, 430), "bubble line"),
        (lambda: FLUIDS.vapour_density(PROPANE, 250, 1e6), "propane is liquid, not gas"),
        (lambda: FLUIDS.by_liquid_volume({Species.METHANE: 100.0}), "no boiling methane"),
        (lambda: FLUIDS.by_liquid_volume({}), "at least one liquid"),
        (lambda: FLUIDS.by_liquid_volume({Species.PROPANE: 2.0, Species.BUTANE: -1.0}), "negative"),
        (lambda: FLUIDS.liquid_density(PROPANE, float("nan")), "numbers above zero"),
        (lambda: FLUIDS.dew_kelvin(PROPANE, 0), "numbers above zero"),
        (lambda: FLUIDS.isentropic_exponent(PROPANE, -1), "numbers above zero"),
    ],
)
def test_what_the_equations_do_not_reach_is_refused_in_words(asked: Callable[[], object], says: str) -> None:
    with pytest.raises(OutOfRange, match=says):
        asked()


def test_nitrogen_in_cold_propane_is_refused_since_two_equations_disagree_on_it() -> None:
    """What nitrogen does to the pressure of cold liquid differs by a third between equations of state."""
    stale = Mixture(((Species.PROPANE, 0.99), (Species.NITROGEN, 0.01)))
    with pytest.raises(OutOfRange):
        FLUIDS.bubble_pressure(stale, 240)
    # Its dew point is sound: there the propane alone condenses, at its share of the pressure (Dalton's law).
    assert FLUIDS.dew_pressure(stale, 240) * 0.99 == pytest.approx(FLUIDS.bubble_pressure(PROPANE, 240), rel=0.002)


def test_propene_may_be_mixed_with_butane() -> None:
    """The library has no parameters fitted for this pair; Raoult's law is within 3 % of it."""
    mixture = Mixture(((Species.PROPENE, 0.6), (Species.BUTANE, 0.4)))
    assert FLUIDS.bubble_pressure(mixture, 288.15) == pytest.approx(_raoult(mixture, 288.15), rel=0.03)


def test_a_gas_that_has_begun_to_condense_is_taken_as_if_it_had_not() -> None:
    kelvin = 263.15
    dew, bubble = FLUIDS.dew_pressure(AUTOGAS, kelvin), FLUIDS.bubble_pressure(AUTOGAS, kelvin)
    densities = [FLUIDS.vapour_density(AUTOGAS, kelvin, pascal) for pascal in (dew, (dew + bubble) / 2, bubble)]
    assert densities == sorted(densities)
    assert densities[2] / densities[0] == pytest.approx(bubble / dew, rel=0.1)


def test_a_liquid_under_its_own_pressure_or_more_does_not_flash() -> None:
    kelvin = 293.15
    for pascal in (FLUIDS.bubble_pressure(AUTOGAS, kelvin) * 1.001, 3e6):
        assert FLUIDS.flashed(AUTOGAS, kelvin, pascal).vapour == 0


def test_a_mixture_that_flashes_ends_between_its_bubble_and_dew_temperatures() -> None:
    pascal = 150e3
    after = FLUIDS.flashed(AUTOGAS, 293.15, pascal)
    assert 0 < after.vapour < 1
    assert FLUIDS.bubble_kelvin(AUTOGAS, pascal) < after.kelvin < FLUIDS.dew_kelvin(AUTOGAS, pascal)


def test_threads_get_the_answers_that_one_asker_gets() -> None:
    """The library's states are not to be shared; answers not asked before are asked from many threads here."""
    asked = [(composition.mixture(FLUIDS), 251.003 + number) for number in range(40) for composition in LP_GASES[:4]]

    def answer(question: tuple[Mixture, float]) -> tuple[float, float]:
        return FLUIDS.liquid_density(*question), FLUIDS.latent_heat(*question)

    with ThreadPoolExecutor(8) as pool:
        found = list(pool.map(answer, asked))
    for (mixture, kelvin), (density, _) in list(zip(asked, found, strict=True))[::4]:
        if len(mixture.shares) == 1:
            assert density == pytest.approx(PropsSI("D", "T", kelvin, "Q", 0, _pure_name(mixture)), rel=1e-6)
    assert found == [answer(question) for question in asked]


def _pure_name(mixture: Mixture) -> str:
    return {Species.PROPANE: "n-Propane", Species.PROPENE: "Propylene", Species.BUTANE: "n-Butane"}[
        mixture.shares[0][0]
    ]


def test_the_library_is_not_loaded_before_it_is_asked() -> None:
    program = "import sys, catalog.fluid_properties as f; f.ReferenceFluids(); sys.exit('CoolProp' in sys.modules)"
    subprocess.run([sys.executable, "-c", program], check=True)


def test_a_container_of_a_mixture_is_full_of_liquid_at_a_temperature_of_its_own() -> None:
    found = {
        name: liquid_full_kelvin(FLUIDS, composition.mixture(FLUIDS), fill=0.8, kelvin=288.15)
        for name, composition in (("propane", mixtures.PROPANE), ("50/50", mixtures.AUTOGAS_50_50))
    }
    assert found["propane"] is not None
    assert found["50/50"] is not None
    # Butane swells less.
    assert found["50/50"] > found["propane"]
