"""Whether fuel gas passes at a position, and what has to be known before it is sure which fuel services reach it."""

from __future__ import annotations

from catalog.domain.answers import Fact
from catalog.domain.case import Case
from catalog.domain.fuels import Fuel
from catalog.domain.rules import in_slot
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
    return Fact(f"position: {in_slot('media', slot)}", f"What touches the {touched}, and how hot does it get?")
