"""The hazards to state with an answer, whatever the answer is: by category, by the fuels present, and by place."""

from __future__ import annotations

from catalog.domain.case import Case
from catalog.domain.fuels import families
from catalog.domain.rules import Caution


def cautions_for(case: Case) -> tuple[Caution, ...]:
    """The category's cautions that hold for the fuels and the place; where either is unknown, for any of them."""
    codes = case.category.cautions if case.category else ()
    if not codes:
        return ()
    known = (case.rulebook.cautions[code] for code in codes if code in case.rulebook.cautions)
    burned, place = case.where.burned, case.where.application.place_of_use
    present = {*families(burned.fuels, case.where.names), *(service.fuel_family for service in case.services)}
    return tuple(
        caution
        for caution in known
        if (not caution.families or not burned.complete or present & set(caution.families))
        and (not caution.places or place is None or place in caution.places)
    )
