"""Fuels burned with their grades, fuel service classes of ports, and what an application burns."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import lru_cache

from catalog.domain.answers import Basis, Fact, Source, distinct
from service.errors import Invalid

FUELS_KEPT = 1024


@dataclass(frozen=True, slots=True, order=True)
class Fuel:
    """A fuel burned, e.g. `gasoline` or `diesel:B20`; `grade` is empty where none is stated."""

    code: str
    grade: str = ""

    @staticmethod
    @lru_cache(maxsize=FUELS_KEPT)
    def parse(text: str) -> Fuel:
        """The fuel that a text names; the same few are named by every part, so they are kept."""
        code, _, grade = text.partition(":")
        return Fuel(code, grade)

    @property
    def text(self) -> str:
        return f"{self.code}:{self.grade}" if self.grade else self.code


@dataclass(frozen=True, slots=True)
class FuelDefinition:
    """One fuel burned: how it is named, its grades, the usual one, and those a bare name covers."""

    code: str
    name: str
    family: str
    grades: tuple[str, ...]
    usual: str
    covered_by_bare_name: tuple[str, ...]
    source: Source

    @property
    def needs_analysis(self) -> bool:
        """Grades and no usual one among them: the name alone says too little to judge any part by."""
        return bool(self.grades) and not self.usual


class Phase(StrEnum):
    LIQUID = "liquid"
    VAPOUR = "vapour"


@dataclass(frozen=True, slots=True)
class ServiceClass:
    """A fuel service class: the fuel, phase and pressure regime at one port.

    `grades` are the fuels with grade it is meant for (`diesel:B7`); none where the grade makes no difference to it.
    `liquid` marks a class of a gas that is handled as liquid.
    """

    code: str
    name: str
    fuel_family: str
    gas: bool
    container_pressure: bool
    source: Source
    grades: tuple[str, ...] = ()
    liquid: bool = False

    @property
    def phase(self) -> Phase:
        return Phase.LIQUID if self.liquid or not self.gas else Phase.VAPOUR

    def meant_for(self, fuel: Fuel) -> bool:
        """Whether a fuel of known grade may be burned behind this class; a grade not stated is not judged here."""
        graded = [text for text in self.grades if Fuel.parse(text).code == fuel.code]
        return not fuel.grade or not graded or fuel.text in graded


class RecordMode(StrEnum):
    BURNS_TODAY = "burns_today"
    ONLY_FUEL = "only_fuel"


@dataclass(frozen=True, slots=True)
class FuelRecord:
    """What somebody found the engine burning; only `ONLY_FUEL` replaces the plate."""

    fuels: tuple[Fuel, ...]
    mode: RecordMode
    found_on: date
    conversion_paper: bool = False


@dataclass(frozen=True, slots=True)
class FuelBurned:
    """What the engine is known to burn. `complete` is False while something may be missing from it."""

    fuels: tuple[Fuel, ...]
    complete: bool
    basis: Basis
    found_on: date | None
    asks: Fact

    def burns(self, code: str) -> bool | None:
        """Whether a fuel is burned here: None where that is not known."""
        if any(fuel.code == code for fuel in self.fuels):
            return True
        return False if self.complete else None


def fuel_burned(
    plate: tuple[Fuel, ...],
    records: tuple[FuelRecord, ...],
    names: Mapping[str, FuelDefinition],
    *,
    told_as_plate: bool,
) -> FuelBurned:
    """Unite plate and records in date order; the plate alone settles nothing unless told that it still holds."""
    asks = Fact("fuel as-found", _question(plate, names))
    if not records:
        if plate and told_as_plate:
            return FuelBurned(plate, True, Basis.PLATE, None, asks)
        return FuelBurned((), False, Basis.PLATE, None, asks)
    fuels, complete = _without_bare_twins(plate, records), bool(plate)
    latest = sorted(records, key=lambda record: record.found_on)
    for record in latest:
        if record.mode is RecordMode.ONLY_FUEL:
            fuels, complete = record.fuels, True
        else:
            fuels = distinct((*fuels, *record.fuels))
    return FuelBurned(fuels, complete, Basis.FUEL_RECORD, latest[-1].found_on, asks)


def _without_bare_twins(plate: tuple[Fuel, ...], records: tuple[FuelRecord, ...]) -> tuple[Fuel, ...]:
    """A record that names the grade says more than a plate that names only the fuel."""
    graded = {fuel.code for record in records for fuel in record.fuels if fuel.grade}
    return tuple(fuel for fuel in plate if fuel.grade or fuel.code not in graded)


def _question(plate: tuple[Fuel, ...], names: Mapping[str, FuelDefinition]) -> str:
    if not plate:
        return "What does the engine burn today, and can it burn anything else? Look at the engine."
    return f"What does the engine burn today: still {listed(plate, names)}, as the plate says? Look at the engine."


def differs_from_plate(plate: tuple[Fuel, ...], records: tuple[FuelRecord, ...]) -> FuelRecord | None:
    """The latest record that says otherwise than the plate, or None."""
    differing = [record for record in records if plate and _differs(plate, record)]
    # Of one day's records the last one given holds, as in `fuel_burned`.
    return max(enumerate(differing), key=lambda entry: (entry[1].found_on, entry[0]))[1] if differing else None


def paper_for(record: FuelRecord, records: tuple[FuelRecord, ...]) -> bool:
    """Whether any record holds a conversion paper for all the fuels of this one."""
    found = {fuel.code for fuel in record.fuels}
    return any(other.conversion_paper and found <= {fuel.code for fuel in other.fuels} for other in records)


def _differs(plate: tuple[Fuel, ...], record: FuelRecord) -> bool:
    written, found = {fuel.code for fuel in plate}, {fuel.code for fuel in record.fuels}
    return found != written if record.mode is RecordMode.ONLY_FUEL else not found <= written


def listed(fuels: tuple[Fuel, ...], names: Mapping[str, FuelDefinition]) -> str:
    """Fuels in words, e.g. `natural gas and LP-gas vapour`."""
    return listed_words([fuel_words(fuel, names) for fuel in fuels])


def listed_words(words: Sequence[str]) -> str:
    """All of several in words, e.g. `oil, coolant and LP-gas`."""
    return " and ".join(words) if len(words) < 3 else f"{', '.join(words[:-1])} and {words[-1]}"


def either(words: Sequence[str]) -> str:
    """Alternatives in words, e.g. `B0, B5 or B7`."""
    return " or ".join((", ".join(words[:-1]), words[-1])) if len(words) > 1 else "".join(words)


def fuel_words(fuel: Fuel, names: Mapping[str, FuelDefinition]) -> str:
    known = names.get(fuel.code)
    name = known.name if known else fuel.code.replace("_", " ")
    return f"{name} {fuel.grade}" if fuel.grade else name


def families(fuels: tuple[Fuel, ...], names: Mapping[str, FuelDefinition]) -> tuple[str, ...]:
    return distinct(names[fuel.code].family if fuel.code in names else fuel.code for fuel in fuels)


def known_fuel(text: str, names: Mapping[str, FuelDefinition]) -> Fuel:
    """Read a fuel and its grade. Raises Invalid for a name or a grade that is not known."""
    fuel = Fuel.parse(text)
    definition = names.get(fuel.code)
    if definition is None:
        raise Invalid(f"The fuel {text[:40]!r} is not known; use one of {', '.join(names)}.", code="unknown_fuel")
    if fuel.grade and fuel.grade not in definition.grades:
        raise Invalid(
            f"{definition.name} has no grade {fuel.grade[:20]!r}; use one of {', '.join(definition.grades)}.",
            code="unknown_grade",
        )
    return fuel
