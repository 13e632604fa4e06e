"""Which composition a fuel is weighed with, and how one is stated."""

from __future__ import annotations

import pytest

from catalog.domain.fuels import Fuel
from catalog.domain.supply import mixtures
from catalog.domain.supply.fluids import Species
from catalog.domain.supply.mixtures import COMPOSITIONS, Share, compositions_of, stated_composition
from catalog.fluid_properties import ReferenceFluids
from service.errors import Invalid
from tests.demo_world import rulebook

pytestmark = pytest.mark.domain
FLUIDS = ReferenceFluids()
GASES = ("lpg_vapour", "lpg_liquid", "natural_gas")
GRADED = [Fuel(code, grade) for code in GASES for grade in ("", *(rulebook().fuels[code].grades))]


@pytest.mark.parametrize("fuel", GRADED, ids=lambda fuel: fuel.text)
def test_every_grade_of_a_gas_has_a_composition_for_hot_and_for_cold(fuel: Fuel) -> None:
    found = compositions_of(fuel)
    assert found is not None
    assert found.assumed is not bool(fuel.grade)
    if fuel.code != "natural_gas":
        hot, cold = found.hottest.mixture(FLUIDS), found.coldest.mixture(FLUIDS)
        assert FLUIDS.bubble_pressure(hot, 325) > FLUIDS.bubble_pressure(cold, 325)
        assert FLUIDS.bubble_pressure(hot, 245) > FLUIDS.bubble_pressure(cold, 245)


@pytest.mark.parametrize("text", ["gasoline:E10", "diesel", "other_gas:landfill", "other_gas", "lpg_vapour:B7"])
def test_what_is_no_gas_or_says_nothing_of_its_parts_has_none(text: str) -> None:
    assert compositions_of(Fuel.parse(text)) is None


@pytest.mark.parametrize("text", ["lpg_vapour:HD-5", "lpg_vapour", "other_gas:landfill"])
def test_a_stated_composition_stands_for_both(text: str) -> None:
    stated = stated_composition({"propane": 70, "n-butane": 30}, Share.LIQUID_VOLUME)
    found = compositions_of(Fuel.parse(text), stated)
    assert found is not None
    assert (found.hottest, found.coldest, found.assumed) == (stated, stated, False)


def test_shares_of_molecules_are_taken_as_they_are_and_of_volume_by_density() -> None:
    """Moles of volume: 506.7 and 583.6 kg/m3 at 60 degF (Lemmon and others 2009, Buecker and Wagner 2006)."""
    by_mole = stated_composition({"propane": 60, "n-butane": 40}, Share.MOLE).mixture(FLUIDS)
    by_volume = stated_composition({"propane": 60, "n-butane": 40}, Share.LIQUID_VOLUME).mixture(FLUIDS)
    moles = (60 * 506.7 / 44.0956, 40 * 583.6 / 58.1222)
    assert dict(by_mole.shares) == pytest.approx({Species.PROPANE: 0.6, Species.BUTANE: 0.4})
    assert dict(by_volume.shares)[Species.PROPANE] == pytest.approx(moles[0] / sum(moles), abs=2e-4)


def test_a_rounded_composition_is_made_whole_and_a_share_of_zero_left_out() -> None:
    stated = stated_composition({"propane": 66.7, "n-butane": 33.4, "ethane": 0}, Share.MOLE)
    assert stated.shown == "66.7 % propane, 33.4 % n-butane (mol %)"
    assert sum(share for _, share in stated.mixture(FLUIDS).shares) == pytest.approx(1, abs=1e-12)


@pytest.mark.parametrize(
    ("parts", "says"),
    [
        ({"propane": 70, "n-butane": 20}, "add up to 90 %"),
        ({"propane": 0.7, "n-butane": 0.3}, "add up to 1 %"),
        ({}, "add up to 0 %"),
        ({"propane": 120, "n-butane": -20}, "n-butane must be above zero"),
        ({"propane": float("nan")}, "propane must be above zero"),
        ({"petrol": 100}, "'petrol' is not known"),
    ],
)
def test_what_is_no_composition_is_refused_in_words(parts: dict[str, float], says: str) -> None:
    with pytest.raises(Invalid, match=says):
        stated_composition(parts, Share.MOLE)


@pytest.mark.parametrize("composition", COMPOSITIONS, ids=lambda found: found.name)
def test_every_composition_is_whole_and_has_a_source(composition: mixtures.Composition) -> None:
    assert sum(share for _, share in composition.parts) == pytest.approx(100)
    assert composition.source.citation
    assert composition.mixture(FLUIDS).shares
