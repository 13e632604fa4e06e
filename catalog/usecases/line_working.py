"""The supply lines of one specification, or of one machine as it stands, worked out for what they ask of positions.

The parts that stand on a line are those its engine's maker specifies, or those found on the machine, with the line's
own fuel burned and no other.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from catalog import loading
from catalog.domain.answers import Source, SourceKind, distinct
from catalog.domain.fuels import Fuel
from catalog.domain.rules import Rulebook
from catalog.domain.supply.fluids import OutOfRange
from catalog.domain.supply.line_demands import LineDemand, line_demands
from catalog.domain.supply.line_questions import weighed
from catalog.loading import LoadedMachine, LoadedSpecification
from catalog.usecases.applications import read_application
from catalog.usecases.facts_used import FactsUsed, application_of, digest_of
from catalog.usecases.supply_asked import SupplyAsked
from catalog.usecases.supply_checking import FLUIDS, facts_of_line
from catalog.usecases.supply_facts import supply_question_of

# The air that engines of this trade work in, thousandths of a kelvin: -30 to 40 degC (common practice, no source). At
# 40 degC HD-5 comes to 219 psi, so that the 250 psi that published codes ask at container pressure stay what counts.
_AIR = ["r", [243_150, "temperature", "degC"], [313_150, "temperature", "degC"]]
_FULL_LOAD = {"air": _AIR, "fill": None, "altitude": None, "air_pressure": None, "load": None, "composition": None}
_ANY_DAY = date(2000, 1, 1)  # nothing is decided by it, and the same facts have to be the same text


@dataclass(frozen=True, slots=True)
class Asked:
    """A demand of a line, with the fuel of that line."""

    fuel: str
    demand: LineDemand

    @property
    def source(self) -> Source:
        return Source(SourceKind.COMMON_PRACTICE, f"computed for the supply line on {self.fuel.replace('_', ' ')}")


@dataclass(frozen=True, slots=True)
class Lines:
    """All that is read to work out the lines of one specification or machine; equal digests ask the same."""

    facts: tuple[tuple[str, FactsUsed], ...]
    rulebook: Rulebook

    @property
    def digest(self) -> str:
        texts = (digest_of(facts.text, self.rulebook) for _, facts in self.facts)
        return hashlib.sha256("".join(texts).encode()).hexdigest()

    def asked(self) -> Iterator[Asked]:
        """What they ask; a line whose fuel is beyond the equations of state asks nothing."""
        for fuel, facts in self.facts:
            try:
                weighing = weighed(supply_question_of(facts, self.rulebook), FLUIDS)
                demands = line_demands(weighing) if weighing else ()
            except OutOfRange:
                continue
            yield from (Asked(fuel, demand) for demand in demands)


def lines_of(
    specification: LoadedSpecification,
    pair: tuple[str, str],
    rulebook: Rulebook,
    stamp: str,
    machine: LoadedMachine | None = None,
) -> Lines:
    """The lines of a specification; those a machine burns the fuel of, with what was found on it.

    Raises what a supply check raises where what is on record cannot be understood any more.
    """
    standing = specification if machine is None else loading.as_it_stands(specification, machine)
    rows: list[dict[str, Any]] = [json.loads(text) for text in specification.stages]
    asked = SupplyAsked({}, {}, machine.id if machine else None, (), machine)
    body: dict[str, Any] = {} if machine is None else dict(machine.application)
    found = []
    for fuel in _burned(distinct(row["fuel"] for row in rows), body, specification, rulebook):
        record = {"fuels": [fuel], "mode": "only_fuel", "found_on": _ANY_DAY, "conversion_paper": None}
        alone = {**body, "spec": {"model": pair[0], "spec": pair[1]}, "plate_fuels": [fuel], "fuel_records": [record]}
        application = read_application(alone, standing, rulebook, today=date.max)
        own = [row for row in rows if Fuel.parse(row["fuel"]).code == Fuel.parse(fuel).code]
        line = {"fuel": fuel, "stages": own, "told": [], "circumstances": _FULL_LOAD}
        found.append((fuel, facts_of_line(asked, standing, application, line, stamp)))
    return Lines(tuple(found), rulebook)


def _burned(
    lines: tuple[str, ...], body: dict[str, Any], specification: LoadedSpecification, rulebook: Rulebook
) -> tuple[str, ...]:
    """The fuels of the lines that may be burned: all where it is not known, with the grade that was found."""
    if not body:
        return lines
    application = read_application(body, specification, rulebook, today=date.max)
    burned = application_of({**application, "told_as_plate": False}).burned(rulebook.fuels)
    if not burned.complete:
        return lines
    graded = {fuel.code: fuel.text for fuel in burned.fuels}
    return tuple(graded[code] for code in (Fuel.parse(line).code for line in lines) if code in graded)
