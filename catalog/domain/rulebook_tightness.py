"""Whether a draft is as tight as the shipped rulebook wherever the gate and published codes speak.

An editor may refuse more than was shipped and never less: what opens the gate is published knowledge, not opinion.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from catalog.domain.answers import Effect
from catalog.domain.comparing_numbers import as_interval
from catalog.domain.parts import MATERIAL
from catalog.domain.rules import Category, CodeFloor, FuelRole, Rulebook
from catalog.domain.values import State, Value

_PASSING = frozenset({Effect.NOTE, Effect.NONE, Effect.NOT_ASKED})


def noted_though_rejecting(draft: Rulebook) -> tuple[str, ...]:
    """Rules that reject what is not met and would let the unknown pass with a note."""
    return tuple(
        f"/categories/{category.code}/rules/{rule.code}/when_unknown: this rule rejects, so what it does not know "
        "cannot pass with a note; make it undetermined, or a condition."
        for category in draft.categories.values()
        for rule in category.rules
        if rule.when_not_met is Effect.REJECT and rule.when_unknown in _PASSING
    )


def loosened(draft: Rulebook, shipped: Rulebook) -> tuple[str, ...]:
    """A sentence for everything that would let pass what the shipped rulebook refuses at the gate."""
    return (
        *_covers(draft, shipped),
        *_fuels(draft, shipped),
        *_classes(draft, shipped),
        *_ratings(draft, shipped),
        *(
            sentence
            for code, category in shipped.categories.items()
            if code in draft.categories
            for sentence in _category(draft.categories[code], category)
        ),
        *(sentence for floor in shipped.code_floors for sentence in _floor(draft, floor)),
    )


def _covers(draft: Rulebook, shipped: Rulebook) -> Iterator[str]:
    for recorded, covered in draft.covers:
        if (recorded, covered) not in shipped.covers:
            yield f"/covers: {recorded} covers {covered} is not in the shipped table; rows may be dropped, never added."


def _fuels(draft: Rulebook, shipped: Rulebook) -> Iterator[str]:
    for code, fuel in shipped.fuels.items():
        ours = draft.fuels.get(code)
        if ours is None:
            continue
        yield from _more(f"/fuels/{code}/covered_by_bare_name", ours.covered_by_bare_name, fuel.covered_by_bare_name)
        yield from _fewer(f"/fuels/{code}/grades", ours.grades, fuel.grades)


def _classes(draft: Rulebook, shipped: Rulebook) -> Iterator[str]:
    for code, service in shipped.classes.items():
        ours = draft.classes.get(code)
        if ours is not None and (service.gas, service.container_pressure) > (ours.gas, ours.container_pressure):
            yield f"/service_classes/{code}: shipped as gas or at container pressure; that cannot be taken back."
        if ours is not None and service.grades:
            more = ours.grades or ("every grade",)
            yield from _more(f"/service_classes/{code}/grades", more, service.grades)


def _ratings(draft: Rulebook, shipped: Rulebook) -> Iterator[str]:
    """Loose seals pass the gate by material, so a published grade may get worse and never better."""
    ours, theirs = draft.tables.ratings.get(MATERIAL), shipped.tables.ratings.get(MATERIAL)
    if ours is None or theirs is None:
        return
    for pair, grade in theirs.grades.items():
        if ours.grades.get(pair, "X") < grade:
            yield f"/rating_tables/{MATERIAL}/grades: {pair[0]} in {pair[1]} is published as {grade}, not better."


def _category(ours: Category, shipped: Category) -> Iterator[str]:
    at = f"/categories/{shipped.code}"
    tighter = (shipped.fuel_role, ours.fuel_role) == (FuelRole.WETTED, FuelRole.METERING)
    if ours.fuel_role is not shipped.fuel_role and not tighter:
        yield f"{at}/fuel_role: shipped as {shipped.fuel_role.value}; the gate would judge less than it does."
    yield from _fewer(f"{at}/ports", ours.ports, shipped.ports)
    yield from _fewer(f"{at}/never_covered", ours.never_covered, shipped.never_covered)
    yield from _fewer(f"{at}/assembly_only_classes", ours.assembly_only_classes, shipped.assembly_only_classes)
    for name, was, is_now in (
        ("not_made_for_fuel", shipped.not_made_for_fuel, ours.not_made_for_fuel),
        ("emission_listed", shipped.emission_listed, ours.emission_listed),
        ("loose_seal", not shipped.loose_seal, not ours.loose_seal),
        ("each_piece", bool(shipped.each_piece), bool(ours.each_piece)),
    ):
        if was and not is_now:
            yield f"{at}/{name}: differs from what was shipped, and would let more pass."


def _floor(draft: Rulebook, shipped: CodeFloor) -> Iterator[str]:
    for code in shipped.classes:
        kept = any(
            floor.category == shipped.category
            and floor.attribute == shipped.attribute
            and code in floor.classes
            and floor.unless_stated <= shipped.unless_stated
            and _no_lower(floor.demand.value, shipped.demand.value)
            for floor in draft.code_floors
        )
        if not kept:
            yield (
                f"/code_floors: published codes ask {shipped.attribute} of at least {shipped.demand.value.shown()} at "
                f"{code}; a floor may be raised, never lowered or dropped."
            )


def _no_lower(ours: Value, shipped: Value) -> bool:
    if ours.state is not State.VALUE:
        return False
    low, floor = as_interval(ours).low, as_interval(shipped).low
    return floor is None or (low is not None and low.amount >= floor.amount)


def _more(pointer: str, ours: Iterable[str], shipped: Iterable[str]) -> Iterator[str]:
    added = [entry for entry in ours if entry not in tuple(shipped)]
    if added:
        yield f"{pointer}: {', '.join(added)} is not in what was shipped; entries may be dropped, never added."


def _fewer(pointer: str, ours: Iterable[str], shipped: Iterable[str]) -> Iterator[str]:
    dropped = [entry for entry in shipped if entry not in tuple(ours)]
    if dropped:
        yield f"{pointer}: {', '.join(dropped)} was shipped and is missing; entries may be added, never dropped."
