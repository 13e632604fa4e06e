"""What is said of a machine in words: what it burns, what its plate says, and where these two differ."""

from __future__ import annotations

from catalog.domain.applicability import Where
from catalog.domain.conflicts import with_the_plate
from catalog.domain.fuels import Fuel, fuel_words, listed
from catalog.domain.rules import Rulebook


def fuels_found(where: Where) -> str:
    """What the engine is known to burn, by plate and records, or that only its plate speaks of it."""
    burned, plate = where.burned, plate_words(where)
    if burned.found_on is None:
        return f"not looked at yet; the plate says {plate}" if plate else "not known"
    more = "" if burned.complete else "; whether it burns anything else is not known"
    return f"{listed(burned.fuels, where.names)}, found {burned.found_on.isoformat()}{more}"


def plate_words(where: Where) -> str:
    return listed(where.application.plate_fuels, where.names)


def conflicts(where: Where) -> tuple[str, ...]:
    """Where what was found is not what the plate says, in the words of a check."""
    return with_the_plate(where)


def fuel_in_words(text: str, rulebook: Rulebook) -> str:
    return fuel_words(Fuel.parse(text), rulebook.fuels)


def fuel_choices(rulebook: Rulebook) -> list[tuple[str, str]]:
    """Every fuel that can be recorded, with its name: each plainly, then by its grades."""
    found = []
    for fuel in rulebook.fuels.values():
        found.append((fuel.code, fuel.name))
        found += [(f"{fuel.code}:{grade}", f"{fuel.name} {grade}") for grade in fuel.grades]
    return found
