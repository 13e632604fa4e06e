"""A kit is judged by its own recorded classes too: seals that stand a fuel do not make a set made for it.

Rule 2: a seal and diaphragm kit is covered by class or refused; an unrecorded class is undetermined.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from catalog.domain.answers import Verdict
from catalog.domain.checking import decide
from catalog.domain.parts import SERVICE
from catalog.domain.questions import Item, Question
from catalog.domain.values import Offer, Place, Value
from tests.demo_world import question

pytestmark = pytest.mark.domain
PLACE: Place = (SERVICE, "inside")
ASKED = {
    "candidate": {"maker": "VRD", "number": "6510-C"},
    "position": "injector_seals",
    "application": {
        "spec": {"model": "VRD-H40", "spec": "S-118"},
        "serial": "1001",
        "plate_fuels": ["lpg_liquid"],
        "told_as_plate": True,
        "certified": False,
    },
}


def of_class(*classes: str) -> Question:
    """The question with the set made for these classes; for none of them, its class is not recorded."""
    asked = question(ASKED)
    kit = asked.candidate[0].part
    (offer,) = kit.offers[PLACE]
    offers: dict[Place, tuple[Offer, ...]] = {place: said for place, said in kit.offers.items() if place != PLACE}
    if classes:
        offers[PLACE] = (replace(offer, value=Value(classes)),)
    return replace(asked, candidate=(Item(replace(kit, offers=offers)),))


@pytest.mark.parametrize(
    ("classes", "verdict"),
    [
        (("GAS-PI", "LPG-VI"), Verdict.ACCEPTED),
        (("LPG-CL",), Verdict.ACCEPTED),  # covers a vapour rail
        (("BIO-100",), Verdict.REJECTED),
        ((), Verdict.UNDETERMINED),
    ],
)
def test_a_seal_set_is_gated_by_the_classes_it_is_made_for(classes: tuple[str, ...], verdict: Verdict) -> None:
    assert decide(of_class(*classes)).verdict is verdict
