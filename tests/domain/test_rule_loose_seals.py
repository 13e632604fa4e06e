"""Rule 2, a loose seal without a class: gated by how its material stands each medium it touches.

The grades are those of handbook tables, 1 the best; what they come to is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from catalog.domain.answers import Answer, Verdict
from catalog.domain.parts import Medium, Part
from catalog.domain.questions import Decision
from catalog.domain.values import How
from tests.domain.cast import (
    ON_GASOLINE,
    ON_VAPOUR,
    RING,
    RING_SEAT,
    ask,
    asked,
    by_plate,
    finding,
    says,
    with_value,
    without,
)
from tests.domain.cast_rulebook import codes, degrees

pytestmark = pytest.mark.domain
IN_GASOLINE, IN_COOLANT = Medium("gasoline", degrees("-10", "80")), Medium("coolant", degrees("-10", "80"))


def ring(material: str) -> Part:
    return with_value(without(RING, "seal_material"), {"seal_material": codes(material)})


def at_gate(decision: Decision) -> Answer:
    return finding(decision, "fuel_service").outcome


@pytest.mark.parametrize(
    ("material", "media", "answer"),
    [
        ("FKM", (IN_GASOLINE,), Answer.MET), ("NBR", (IN_GASOLINE,), Answer.MET_IF),
        ("EPDM", (IN_GASOLINE,), Answer.NOT_MET), ("VMQ", (IN_GASOLINE,), Answer.UNKNOWN),
        ("FKM", (IN_GASOLINE, IN_COOLANT), Answer.NOT_MET), ("NBR", (IN_GASOLINE, IN_COOLANT), Answer.MET_IF),
        ("EPDM", (IN_COOLANT,), Answer.NOT_MET), ("FKM", (Medium("gasoline", degrees("-30", "80")),), Answer.UNKNOWN),
        ("FKM", (Medium("gasoline", degrees("-60", "80")),), Answer.NOT_MET),
    ],
)  # fmt: skip
def test_a_loose_seal_is_gated_by_its_material_in_each_medium_there(
    material: str, media: tuple[Medium, ...], answer: Answer
) -> None:
    """Rule 2: not met is rejected, unknown undetermined, and the worst medium decides."""
    decision = ask(ring(material), replace(RING_SEAT, media=media), ON_GASOLINE)
    assert at_gate(decision) is answer
    assert decision.verdict is {
        Answer.MET: Verdict.ACCEPTED, Answer.MET_IF: Verdict.CONDITIONAL,
        Answer.NOT_MET: Verdict.REJECTED, Answer.UNKNOWN: Verdict.UNDETERMINED,
    }[answer]  # fmt: skip


def test_a_refused_seal_names_its_material_and_the_medium() -> None:
    """Rule 2."""
    headline = ask(ring("EPDM"), RING_SEAT, ON_GASOLINE).headline
    assert headline == "EPDM is graded 4 of 4 in gasoline, and this seal touches gasoline here."


def test_a_fair_material_is_a_condition_that_names_the_compound() -> None:
    """Rule 2."""
    assert ask(ring("NBR"), RING_SEAT, ON_GASOLINE).conditions == ("this NBR compound is confirmed for gasoline",)


def test_a_seal_of_unrecorded_material_is_undetermined_and_asks_for_it() -> None:
    """Rule 2: missing never opens the gate."""
    decision = ask(without(RING, "seal_material"), RING_SEAT, ON_GASOLINE)
    assert asked(decision) == ["candidate: seal material"]


def test_a_material_that_was_only_told_settles_nothing() -> None:
    """Rules 2 and 6."""
    bare = without(RING, "seal_material")
    assert (
        at_gate(ask(with_value(bare, {"seal_material": codes("FKM")}, How.TOLD), RING_SEAT, ON_GASOLINE))
        is Answer.UNKNOWN
    )
    assert (
        at_gate(ask(with_value(bare, {"seal_material": codes("FKM")}, How.LABEL), RING_SEAT, ON_GASOLINE)) is Answer.MET
    )


def test_a_place_whose_media_are_not_recorded_is_undetermined_and_asks_for_them() -> None:
    """Rule 2."""
    decision = ask(RING, replace(RING_SEAT, media=()), ON_GASOLINE)
    assert (decision.verdict, asked(decision)) == (Verdict.UNDETERMINED, ["position: media"])


def test_a_seal_that_the_media_refuse_is_refused_also_where_no_class_is_recorded_there() -> None:
    """Rule 2: what stands the medium still leaves the class to be asked for."""
    unclassed = replace(RING_SEAT, ports=())
    assert ask(ring("EPDM"), unclassed, ON_GASOLINE).verdict is Verdict.REJECTED
    assert ask(RING, unclassed, ON_GASOLINE).verdict is Verdict.UNDETERMINED


def test_media_of_another_fuel_than_the_one_burned_refuse_nothing() -> None:
    """Rules 1 and 2: nothing is recorded of what stands there for the fuel now burned."""
    only_gasoline = replace(RING_SEAT, ports=(replace(RING_SEAT.ports[0], fuel="gasoline"),))
    assert ask(ring("EPDM"), only_gasoline, ON_VAPOUR).verdict is Verdict.UNDETERMINED


def test_a_seal_is_not_refused_on_the_plate_alone() -> None:
    """Rule 1."""
    assert asked(ask(ring("EPDM"), RING_SEAT, by_plate("gasoline"))) == ["fuel as-found"]


def test_a_seal_with_a_class_is_gated_by_the_class() -> None:
    """Rule 2."""
    classed = with_value(ring("EPDM"), {("fuel_service", "seat"): codes("GAS-PI")})
    assert at_gate(ask(classed, RING_SEAT, ON_GASOLINE)) is Answer.MET


def test_a_seal_of_unrecorded_material_is_met_where_the_maker_specifies_it_for_the_fuel() -> None:
    """Rules 2 and 3a."""
    bare = without(RING, "seal_material")
    decision = ask(bare, RING_SEAT, ON_GASOLINE, says(bare, any_fuel=("gasoline",)))
    assert at_gate(decision) is Answer.MET
    refused = ring("EPDM")
    decision = ask(refused, RING_SEAT, ON_GASOLINE, says(refused, any_fuel=("gasoline",)))
    assert (at_gate(decision), len(decision.catalogue_errors)) == (Answer.UNKNOWN, 1)
