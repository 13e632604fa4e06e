"""Parts made up by chance around hand-made ones, so that a demo catalogue is as large as a real one.

Each of them says in its name and in the source of every value that a generator made it, and belongs to a maker of its
own, so that nobody takes one for a part that somebody recorded. The same seed gives the same parts.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import replace

from catalog.domain.answers import Source, SourceKind
from catalog.domain.parts import FUELS, SERVICE
from catalog.domain.quantities import Interval, Quantity
from catalog.domain.rules import AttributeDefinition, Rulebook
from catalog.domain.value_documents import write_value
from catalog.domain.values import Payload, Value
from catalog.usecases.drafts import PartDraft, ValueDraft

MAKER, MAKER_NAME = "GEN", "Generated parts, made by nobody"
SOURCE = Source(SourceKind.MAKER, "made by the demo's generator, invented")
LEFT_OUT = 0.05  # of the values, so that some facts are missing as they are in life
CHANGED = 0.35  # of the values differ from the part that was taken as the model
STEPS = (-0.2, -0.1, -0.05, -0.02, 0.02, 0.05, 0.1, 0.25)  # by how much a measure differs


def generated_parts(
    models: Sequence[PartDraft], rulebook: Rulebook, count: int, seed: int = 1, *, start: int = 0
) -> tuple[PartDraft, ...]:
    """`count` parts, each a variation of a hand-made one, categories in turn. None where there is nothing to vary.

    They are numbered from `start` on, and each depends on its number and the seed alone: made in pieces they are the
    same.
    """
    by_category: dict[str, list[PartDraft]] = {}
    for draft in models:
        by_category.setdefault(draft.category, []).append(draft)
    categories = sorted(by_category)
    return tuple(
        _made(by_category[categories[number % len(categories)]], number, rulebook, seed)
        for number in range(start, start + count if categories else start)
    )


def _made(models: Sequence[PartDraft], number: int, rulebook: Rulebook, seed: int) -> PartDraft:
    chance = random.Random(f"{seed}:{number}")  # noqa: S311 - variety, no secret
    return _varied(chance.choice(models), number, rulebook, chance)


def _varied(model: PartDraft, number: int, rulebook: Rulebook, chance: random.Random) -> PartDraft:
    return replace(
        model,
        maker=MAKER,
        maker_name=MAKER_NAME,
        number=f"{model.category[:3].upper()}-{number:06d}",
        name=f"generated: {model.name or model.category.replace('_', ' ')}",
        barcodes=(),
        attributes=tuple(
            _value(value, rulebook.attributes, chance)
            for value in _one_a_place(model.attributes)
            if chance.random() >= LEFT_OUT
        ),
    )


def _one_a_place(values: Sequence[ValueDraft]) -> tuple[ValueDraft, ...]:
    """The first value of each place: what several sources said of a model, one generator cannot say."""
    return tuple({(value.attribute, value.slot): value for value in reversed(values)}.values())[::-1]


def _value(model: ValueDraft, definitions: Mapping[str, AttributeDefinition], chance: random.Random) -> ValueDraft:
    definition = definitions[model.attribute]
    gate = model.attribute in (SERVICE, FUELS)  # what a made-up part carries stays what its model carries
    value = model.value
    if not gate and value.payload is not None and chance.random() < CHANGED:
        value = Value(_changed(value.payload, definition, chance))
    as_entered = write_value(value, units="as_given", kind=definition.kind)
    return replace(model, value=value, as_entered=as_entered, source=SOURCE)


def _changed(payload: Payload, definition: AttributeDefinition, chance: random.Random) -> Payload:
    if isinstance(payload, bool):
        return not payload
    if isinstance(payload, tuple):
        return (chance.choice(definition.vocabulary),) if definition.vocabulary else payload
    factor = 1 + chance.choice(STEPS)
    if isinstance(payload, Quantity):
        return _scaled(payload, factor)
    if isinstance(payload, Interval):
        return Interval(*(None if end is None else _scaled(end, factor) for end in (payload.low, payload.high)))
    return payload


def _scaled(found: Quantity, factor: float) -> Quantity:
    return replace(found, amount=round(found.amount * factor))
