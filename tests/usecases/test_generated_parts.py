"""Parts made up by the generator, so that a demo catalogue is as large as a real one."""

from __future__ import annotations

from collections import Counter

import pytest

from catalog.usecases.drafts import PartDraft
from catalog.usecases.generating_parts import MAKER, SOURCE, generated_parts
from catalog.usecases.reading_drafts import read_parts
from tests.demo_world import rulebook

pytestmark = pytest.mark.domain


def models() -> tuple[PartDraft, ...]:
    source = {"kind": "maker", "citation": "data sheet, invented"}
    other = {"kind": "maker", "citation": "another sheet, invented"}
    reach = {"attribute": "reach", "value": {"value": "19.0", "unit": "mm"}}
    plug = [
        {**reach, "source": source},
        {**reach, "value": {"value": "12.7", "unit": "mm"}, "source": other},
        {"attribute": "fuels", "value": ["gasoline"], "source": source},
        {"attribute": "resistor", "value": True, "source": source},
        {"attribute": "plug_seat", "value": {"state": "known_none"}, "source": source},
    ]
    hose = [{"attribute": "hose_temperature", "value": {"min": "-30", "max": "100", "unit": "degC"}, "source": source}]
    return read_parts(
        (
            {"maker": "VRD", "number": "1", "name": "plug", "category": "spark_plug", "attributes": plug},
            {"maker": "TSK", "number": "2", "category": "fuel_hose", "attributes": hose,
             "barcodes": [{"code": "9520000021467"}]},
        ),
        rulebook(),
    )  # fmt: skip


MADE = generated_parts(models(), rulebook(), 400)


def test_as_many_are_made_as_are_asked_for_with_the_categories_in_turn() -> None:
    assert Counter(part.category for part in MADE) == {"spark_plug": 200, "fuel_hose": 200}
    assert len({part.number for part in MADE}) == len(MADE)
    assert generated_parts((), rulebook(), 10) == ()


def test_every_one_of_them_says_that_a_generator_made_it() -> None:
    assert all(part.maker == MAKER and part.name.startswith("generated: ") for part in MADE)
    assert {value.source for part in MADE for value in part.attributes} == {SOURCE}
    assert not any(part.barcodes for part in MADE)


def test_the_same_seed_makes_the_same_parts_and_another_one_others() -> None:
    assert generated_parts(models(), rulebook(), 400) == MADE
    assert generated_parts(models(), rulebook(), 400, seed=2) != MADE
    pieces = [generated_parts(models(), rulebook(), 100, start=start) for start in range(0, 400, 100)]
    assert tuple(part for piece in pieces for part in piece) == MADE


def test_what_a_part_is_made_to_carry_is_never_made_up() -> None:
    fuels = {value.value.codes for part in MADE for value in part.attributes if value.attribute == "fuels"}
    assert fuels == {("gasoline",)}


def test_they_vary_and_lack_values_and_each_place_is_stated_once() -> None:
    plugs = [part for part in MADE if part.category == "spark_plug"]
    reaches = {value.value for part in plugs for value in part.attributes if value.attribute == "reach"}
    assert len(reaches) > 3
    assert any(len(part.attributes) < 4 for part in plugs)
    assert all(len({(v.attribute, v.slot) for v in part.attributes}) == len(part.attributes) for part in MADE)
