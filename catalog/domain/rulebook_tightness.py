"""Whether a draft is as tight as the shipped rulebook wherever the gate and published codes speak.

An editor may refuse more than was shipped and never less: what opens the gate is published knowledge, not opinion.
A refusal may not even become a cannot-tell, since a maker's statement would then turn it into a yes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from catalog.domain.answers import Effect
from catalog.domain.parts import FUELS, SERVICE
from catalog.domain.rulebook_codes import code_floors_kept, ratings_kept
from catalog.domain.rules import Category, FuelRole, MayServe, Rulebook
from service.errors import FieldProblem

_PASSING = frozenset({Effect.NOTE, Effect.NONE, Effect.NOT_ASKED})
_BY_CLASS = frozenset({FuelRole.METERING, FuelRole.WETTED})
# How much the gate asks of a part of each role: what meters is never covered by another class.
_STRICTNESS = {
    FuelRole.NONE: 0,
    FuelRole.COMBUSTION: 1,
    FuelRole.CONTROL: 1,
    FuelRole.WETTED: 2,
    FuelRole.METERING: 3,
}


def noted_though_rejecting(draft: Rulebook) -> tuple[FieldProblem, ...]:
    """Rules that reject what is not met and would let the unknown pass with a note."""
    return tuple(
        FieldProblem(
            f"/categories/{category.code}/rules/{rule.code}/when_unknown",
            "noted_though_rejecting",
            f"The rule {rule.name} of the {category.noun} rejects, so what it does not know cannot pass with a note; "
            "make it undetermined, or a condition.",
        )
        for category in draft.categories.values()
        for rule in category.rules
        if rule.when_not_met is Effect.REJECT and rule.when_unknown in _PASSING
    )


def loosened(draft: Rulebook, shipped: Rulebook) -> tuple[FieldProblem, ...]:
    """A problem for everything that would let pass what the shipped rulebook refuses at the gate."""
    return tuple(
        FieldProblem(pointer, "looser_than_shipped", sentence)
        for found in (
            _covers(draft, shipped),
            _fuels(draft, shipped),
            _classes(draft, shipped),
            _attributes(draft, shipped),
            _categories(draft, shipped),
            _may_serve(draft, shipped),
            ratings_kept(draft, shipped),
            code_floors_kept(draft, shipped),
        )
        for pointer, sentence in found
    )


Found = Iterator[tuple[str, str]]


def _covers(draft: Rulebook, shipped: Rulebook) -> Found:
    for recorded, covered in draft.covers:
        if (recorded, covered) not in shipped.covers:
            yield (
                "/covers",
                f"{recorded} covers {covered} is not in the shipped table; pairs may be dropped, never added.",
            )


def _fuels(draft: Rulebook, shipped: Rulebook) -> Found:
    for code, fuel in shipped.fuels.items():
        ours, at = draft.fuels.get(code), f"/fuels/{code}"
        if ours is None:
            yield at, f"{fuel.name} was shipped and is missing; the gate could not weigh its grades."
            continue
        yield from _more(f"{at}/covered_by_bare_name", ours.covered_by_bare_name, fuel.covered_by_bare_name)
        yield from _same(f"{at}/grades", ours.grades, fuel.grades)
        if ours.usual != fuel.usual:
            yield f"{at}/usual", f"{fuel.name} was shipped with {fuel.usual or 'no usual grade'}; that stays."


def _classes(draft: Rulebook, shipped: Rulebook) -> Found:
    for code, service in shipped.classes.items():
        ours, at = draft.classes.get(code), f"/service_classes/{code}"
        if ours is None:
            yield at, f"{code} was shipped and is missing; positions are recorded by it."
            continue
        yield from _same(f"{at}/grades", ours.grades, service.grades)
        for name in ("gas", "container_pressure"):
            if getattr(service, name) and not getattr(ours, name):
                yield f"{at}/{name}", f"{code} was shipped as {name.replace('_', ' ')}; that cannot be taken back."
        if ours.fuel_family != service.fuel_family:
            yield f"{at}/fuel_family", f"{code} was shipped as {service.fuel_family}; that stays."


def _attributes(draft: Rulebook, shipped: Rulebook) -> Found:
    for code, ours in draft.attributes.items():
        theirs = shipped.attributes.get(code)
        if theirs is not None and (ours.kind, ours.dimension) != (theirs.kind, theirs.dimension):
            what = theirs.dimension or theirs.kind
            yield f"/attributes/{code}", f"{theirs.name} was shipped as {what.value}, and values are recorded as such."


def _categories(draft: Rulebook, shipped: Rulebook) -> Found:
    for code, theirs in shipped.categories.items():
        if code in draft.categories:
            yield from _category(draft.categories[code], theirs)
        elif theirs.not_made_for_fuel:
            yield f"/categories/{code}", f"A {theirs.noun} is not made for fuel; without its row nothing says so."
    for code, ours in draft.categories.items():
        if code not in shipped.categories:
            yield from _new_category(ours)


def _category(ours: Category, shipped: Category) -> Found:
    at = f"/categories/{shipped.code}"
    tighter = (shipped.fuel_role, ours.fuel_role) == (FuelRole.WETTED, FuelRole.METERING)
    if ours.fuel_role is not shipped.fuel_role and not tighter:
        yield f"{at}/fuel_role", f"Shipped as {shipped.fuel_role.value}; the gate would judge less than it does."
    yield from _same(f"{at}/ports", ours.ports, shipped.ports)
    yield from _fewer(f"{at}/never_covered", ours.never_covered, shipped.never_covered)
    yield from _fewer(f"{at}/assembly_only_classes", ours.assembly_only_classes, shipped.assembly_only_classes)
    for name in ("not_made_for_fuel", "emission_listed", "each_piece", "kit"):
        if getattr(shipped, name) and not getattr(ours, name):
            yield f"{at}/{name}", f"Shipped as {name.replace('_', ' ')}; without it more would pass."
    if ours.loose_seal is not shipped.loose_seal:
        judged = "its material" if shipped.loose_seal else "its fuel service class"
        yield f"{at}/loose_seal", f"A {shipped.noun} was shipped to be judged by {judged}; that stays."


def _new_category(ours: Category) -> Found:
    """What a kind of component that was not shipped may say of how the gate judges it."""
    at = f"/categories/{ours.code}"
    if ours.loose_seal:
        yield f"{at}/loose_seal", "What may be judged by its seal material alone is published; a new category is not."
    by_class, by_fuel = bool(ours.ports) or SERVICE in ours.attributes, FUELS in ours.attributes
    if by_class and ours.fuel_role not in _BY_CLASS:
        yield f"{at}/fuel_role", f"A {ours.noun} that fuel reaches is metering or wetted, not {ours.fuel_role.value}."
    elif by_fuel and ours.fuel_role is FuelRole.NONE:
        yield f"{at}/fuel_role", f"A {ours.noun} that is made for certain fuels has a fuel role; none is given."


def _may_serve(draft: Rulebook, shipped: Rulebook) -> Found:
    known: dict[tuple[str, str], list[MayServe]] = {}
    for row in shipped.may_serve:
        known.setdefault((row.offered, row.position), []).append(row)
    for row in draft.may_serve:
        theirs = known.get((row.offered, row.position))
        offered, asked = draft.categories.get(row.offered), draft.categories.get(row.position)
        if offered is None or asked is None:
            continue  # told as a name that stands for nothing
        if theirs is None:
            yield from _new_pair(offered, asked)
        elif asked.fuel_role is not FuelRole.NONE and not any(_no_wider(row, other) for other in theirs):
            text = f"{offered.noun} for {asked.noun} was shipped with narrower circumstances or a condition; they stay."
            yield "/may_serve", text


def _new_pair(offered: Category, asked: Category) -> Found:
    if _STRICTNESS[offered.fuel_role] < _STRICTNESS[asked.fuel_role]:
        yield (
            "/may_serve",
            (
                f"{offered.noun} for {asked.noun}: a {asked.noun} is {asked.fuel_role.value} and a {offered.noun} is "
                f"{offered.fuel_role.value}, so it cannot stand in its place."
            ),
        )
    elif offered.not_made_for_fuel and asked.fuel_role in _BY_CLASS:
        text = f"{offered.noun} for {asked.noun}: a {offered.noun} is not made for fuel, so it cannot stand there."
        yield "/may_serve", text


def _no_wider(ours: MayServe, shipped: MayServe) -> bool:
    """Whether a row holds in no more circumstances than the shipped one, and keeps a condition where it has one."""
    facts = {when.fact: set(when.one_of) for when in ours.when}
    narrower = all(when.fact in facts and facts[when.fact] <= set(when.one_of) for when in shipped.when)
    return narrower and bool(ours.condition or not shipped.condition)


def _more(pointer: str, ours: Iterable[str], shipped: Iterable[str]) -> Found:
    added = [entry for entry in ours if entry not in tuple(shipped)]
    if added:
        yield pointer, f"{', '.join(added)} is not in what was shipped; entries may be dropped, never added."


def _fewer(pointer: str, ours: Iterable[str], shipped: Iterable[str]) -> Found:
    dropped = [entry for entry in shipped if entry not in tuple(ours)]
    if dropped:
        yield pointer, f"{', '.join(dropped)} was shipped and is missing; entries may be added, never dropped."


def _same(pointer: str, ours: Iterable[str], shipped: Iterable[str]) -> Found:
    shown = ", ".join(shipped) or "none"
    if set(ours) != set(shipped):
        yield pointer, f"Shipped as {shown}, found {', '.join(ours) or 'none'}; these stay as they were shipped."
