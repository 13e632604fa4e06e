"""What the engine at the end of a line draws: by its maker's figures, else by power and efficiency, else asked."""

from __future__ import annotations

import pytest

from catalog.domain.supply.drawn import FULL, Drawn, Load, drawn
from catalog.domain.supply.stages import Line
from tests.domain.lines import stage

pytestmark = pytest.mark.domain
MAKER = {"rated_power": "28 kW", "full_load_flow": "8.13 kg/h", "half_load_flow": "5.51 kg/h"}
BARE = {"rated_power": "25 kW"}


def asked(values: dict[str, str] | None, load: Load = FULL, fuel: str = "lpg_vapour:HD-5") -> Drawn:
    stages = () if values is None else (stage({"kind": "engine", "values": values}),)
    return drawn(Line("Set", fuel, stages), load)


@pytest.mark.parametrize(("share", "kg_h"), [(1.0, 8.13), (0.5, 5.51)])
def test_a_stated_consumption_comes_first(share: float, kg_h: float) -> None:
    """25 kW generating set's manual: 387,000 and 262,500 Btu/h are 8.13 and 5.51 kg/h of propane."""
    found = asked(MAKER, Load(share=share)).draw
    assert found is not None
    assert found.flow * 3600 == pytest.approx(kg_h)
    assert not found.assumed


def test_power_and_the_usual_efficiency_stand_in_and_say_so() -> None:
    """25 kW of LP-gas at 27 %: 7.19 kg/h, computed from the Department of Energy's heats."""
    found = asked(BARE).draw
    assert found is not None
    assert found.flow * 3600 == pytest.approx(7.19, rel=0.005)
    assert found.assumed


def test_electrical_load_goes_through_the_generator() -> None:
    found = asked({**BARE, "generator_efficiency": "90 %"}, Load(electrical_watts=9000)).draw
    plain = asked(BARE, Load(brake_watts=10_000)).draw
    assert found is not None
    assert plain is not None
    assert found.flow == pytest.approx(plain.flow)


@pytest.mark.parametrize(
    ("values", "load", "fact"),
    [
        (None, FULL, "rated_power"),
        ({}, FULL, "rated_power"),
        (BARE, Load(electrical_watts=9000), "generator_efficiency"),
    ],
)
def test_what_is_not_recorded_is_asked_and_never_assumed(values: dict[str, str] | None, load: Load, fact: str) -> None:
    found = asked(values, load)
    assert found.draw is None
    assert [missing.name for missing in found.missing] == [f"engine: {fact}"]
    assert found.missing[0].question.endswith("?")
