"""What single rows of the page of components say a rule does; each line names its row. Common practice, no source."""

from __future__ import annotations

import pytest

from catalog.domain.answers import Aspect, Effect, TakenOver
from catalog.domain.rules import Rule
from tests.demo_world import rulebook

pytestmark = pytest.mark.domain
REJECT, CONDITION, NOTE, OPEN = Effect.REJECT, Effect.CONDITION, Effect.NOTE, Effect.UNDETERMINED


def the_rule(category: str, code: str) -> Rule:
    (found,) = [rule for rule in rulebook().categories[category].rules if rule.code == code]
    return found


@pytest.mark.parametrize(
    ("category", "code", "when_not_met", "when_unknown"),
    [
        ("spark_plug", "tip_projection", REJECT, CONDITION),  # C, piston clearance; unknown: supplier to state
        ("spark_plug", "electrode_material", NOTE, NOTE),  # A, every other A
        ("air_filter", "air_efficiency", REJECT, CONDITION),  # C; unknown: supplier to state
        ("belt", "belt_power", REJECT, CONDITION),  # C; unknown: supplier to state
        ("oil_filter", "burst_pressure", REJECT, CONDITION),  # C; unknown: supplier to state
        ("lock_off", "hold_power", REJECT, CONDITION),  # C; unknown: supplier to state
        ("gasket", "head_gasket_thickness", REJECT, OPEN),  # C; the head's is not left to the supplier
        ("gasket", "compressed_thickness", REJECT, CONDITION),  # C; another gasket's is
        ("air_filter", "air_dust_capacity", NOTE, NOTE),  # A
    ],
)
def test_a_letter_of_the_page_is_what_the_rule_does(
    category: str, code: str, when_not_met: Effect, when_unknown: Effect
) -> None:
    rule = the_rule(category, code)
    assert (rule.when_not_met, rule.when_unknown) == (when_not_met, when_unknown)


@pytest.mark.parametrize(
    ("category", "code", "taken_over"),
    [
        ("air_filter", "air_efficiency", TakenOver.PROTECTS),  # a filter protects: less than specified is not met
        ("gasket", "gasket_bore", TakenOver.PROTECTS),  # a bore binds: smaller than the specified part's is not met
        ("exhaust", "area_rating", TakenOver.NONE),  # the place asks; a part without a rating lends no "none asked"
        ("exhaust", "truck_type", TakenOver.NONE),
        ("battery", "battery_width", TakenOver.CLEARANCE),  # room
    ],
)
def test_what_is_taken_over_from_the_specified_part(category: str, code: str, taken_over: TakenOver) -> None:
    assert the_rule(category, code).taken_over is taken_over


@pytest.mark.parametrize(
    ("category", "code"),
    [
        ("gasket", "head_gasket_thickness"),  # squish and compression ratio: asked though nobody states it
        ("gasket", "compressed_thickness"),
        ("fuel_filter", "connections"),
        ("fuel_filter", "water_separation"),
        ("regulator", "coolant_joints"),
    ],
)
def test_what_rejects_is_asked_though_neither_the_position_nor_the_specified_part_states_it(
    category: str, code: str
) -> None:
    """Rule 4: without a demand from any source it is unknown; the page has no "only where stated" for these rows."""
    assert not the_rule(category, code).only_where_stated


LISTINGS = frozenset({"area_rating", "truck_type", "ignition_protected", "listed_uses"})


def test_no_word_of_a_parts_own_maker_stands_for_a_listing() -> None:
    """Rule 3: a listing by the part's own maker settles fit and performance, not what a place asks to be listed for."""
    for category in rulebook().categories.values():
        for rule in category.rules:
            if LISTINGS & set(rule.attributes):
                assert rule.aspect is Aspect.LISTING, (category.code, rule.code)


@pytest.mark.parametrize(
    "category",
    ["injector", "regulator", "lock_off", "gas_valve", "fuel_pump", "mixer_carburettor", "fuel_filter", "fuel_hose",
     "fitting", "container", "ignition_coil", "ignition_lead", "controller", "starter", "alternator", "exhaust"],
)  # fmt: skip
def test_fuel_ignition_electrical_and_exhaust_parts_are_asked_for_the_truck_they_are_listed_for(category: str) -> None:
    """29 CFR 1910.178(b), truck designations; that a plain part is refused is common practice."""
    rule = the_rule(category, "truck_type")
    assert (rule.when_not_met, rule.when_unknown, rule.aspect) == (REJECT, OPEN, Aspect.LISTING)


@pytest.mark.parametrize("category", ["oil_filter", "belt", "air_filter", "coolant", "thermostat", "washer"])
def test_oil_filters_belts_and_the_like_are_not_asked_for_a_truck(category: str) -> None:
    """As above."""
    assert "truck_type" not in {rule.code for rule in rulebook().categories[category].rules}


@pytest.mark.parametrize(
    "category",
    ["air_filter", "injector", "regulator", "diaphragm_kit", "lock_off", "fuel_pump", "mixer_carburettor",
     "injection_pump", "diesel_injector", "fuel_filter", "spark_plug", "ignition_coil", "ignition_lead", "exhaust",
     "oxygen_sensor", "sensor", "pcv_valve", "controller", "actuator"],
)  # fmt: skip
def test_critical_emission_related_parts_are_on_the_list(category: str) -> None:
    """US rules on allowable maintenance: air intake, fuel, ignition, after-treatment, crankcase valve, sensors, control
    units."""
    assert rulebook().categories[category].emission_listed
