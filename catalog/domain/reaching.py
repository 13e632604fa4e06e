"""What reaches a position: fuel gas, what its seals touch, and what has to be known before all of it is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from catalog.domain.answers import Fact, distinct
from catalog.domain.case import Case
from catalog.domain.comparing_codes import Wetting
from catalog.domain.fuels import Fuel
from catalog.domain.parts import Medium
from catalog.domain.rules import RatingTable, in_slot
from catalog.domain.values import Slot


def gas_passes(case: Case, slot: Slot) -> bool | None:
    """Whether fuel gas passes here, whatever is burned now: at the port of this name, else at any. None: not known."""
    ports = [entry for entry in case.position.ports if entry.port == slot] or case.position.ports
    known = case.rulebook.classes
    classes = {code for entry in ports for code in entry.classes}
    gases = {service.fuel_family for service in known.values() if service.gas}
    fuels = case.rulebook.fuels
    media = {fuels[medium.name].family for medium in case.position.media_at(slot) if medium.name in fuels}
    if media & gases or any(code in known and known[code].gas for code in classes):
        return True
    fuelled = case.position.carries_fuel and case.category is not None and bool(case.category.ports)
    return None if fuelled and not (classes and classes <= set(known)) else False


def touched(
    case: Case, slot: Slot, table: RatingTable | None, fuels: Sequence[Fuel] | None = None
) -> tuple[Medium, ...]:
    """The media recorded for a slot and, where a part has no sides, the fuels burned that reach it without being named.

    `fuels` are taken to be those burned where they are given.

    Whatever else is recorded of a place that a fuel reaches, the fuel is there; of a grade that is published apart it
    is that grade, as warm as the medium recorded. Where nothing at all is recorded, nothing is put in its place.
    """
    recorded = case.position.media_at(slot)
    if not recorded or slot is not None or table is None or not case.fuels_known or not case.position.carries_fuel:
        return recorded
    burned = case.fuels if fuels is None else fuels
    unnamed = (medium for fuel in burned for medium in _unnamed(case, fuel, recorded, table))
    return (*recorded, *distinct(unnamed))


def wetting(case: Case, medium: Medium) -> Wetting:
    """The medium as a seal meets it."""
    return Wetting(medium.name, medium.temperature, medium.dynamic, _fuel_of(case, medium) in case.where.names)


def _unnamed(case: Case, fuel: Fuel, recorded: tuple[Medium, ...], table: RatingTable) -> Iterator[Medium]:
    names, ports = case.where.names, case.category.ports if case.category else ()
    phases = distinct(
        case.rulebook.classes[code].phase
        for port in ports
        for code in case.answering(port, fuel)
        if code in case.rulebook.classes
    )
    if not phases or fuel.code not in names:
        return
    family = names[fuel.code].family
    graded = f"{fuel.code}_{fuel.grade}"
    own = [medium for medium in recorded if (of := _fuel_of(case, medium)) in names and names[of].family == family]
    if graded in table.media:
        if not any(medium.name == graded for medium in own):
            yield replace(own[0], name=graded) if own else Medium(graded)
    elif not own:
        alike = [code for code, definition in names.items() if definition.family == family]
        for phase in phases:
            yield Medium(next((code for code in alike if code.endswith(f"_{phase}")), fuel.code))


def _fuel_of(case: Case, medium: Medium) -> str:
    """The code of the fuel that a medium is, `gasoline` for `gasoline_E10`; its own name where it is none."""
    names = case.where.names
    of = (code for code, fuel in names.items() for grade in fuel.grades if medium.name == f"{code}_{grade}")
    return next(of, medium.name)


def missing_of_services(case: Case) -> tuple[Fact, ...]:
    """What has to be known before `services` is all that reaches the position; nothing where it already is."""
    if case.category is None or not case.position.carries_fuel:
        return ()
    if not case.fuels_known:
        return (case.where.burned.asks,)
    if any(not classes or unanswered for classes, unanswered in _at_ports(case)):
        return (Fact("position: fuel service class", f"Which fuel service reaches the {case.position.shown}?"),)
    return ()


def _at_ports(case: Case) -> tuple[tuple[tuple[str, ...], tuple[Fuel, ...]], ...]:
    ports = case.category.ports if case.category else ()
    return tuple(case.required_classes(port) for port in ports) or (((), ()),)


def media_asked(case: Case, slot: Slot = None) -> Fact:
    """What a material is judged by, where nobody recorded it."""
    touched = in_slot(case.position.shown, slot)
    return Fact(
        f"position: {in_slot('media', slot)}", f"What touches the {touched}, and how cold and how hot does it get?"
    )
