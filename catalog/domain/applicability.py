"""What a question is about (the application), and when a statement holds for it (its applicability)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from catalog.domain.answers import YES, Fact, Truth, all_of, no, unknown
from catalog.domain.fuels import Fuel, FuelBurned, FuelDefinition, FuelRecord, fuel_burned, fuel_words
from catalog.domain.serials import Serial, SerialRange


@dataclass(frozen=True, slots=True)
class Application:
    """An engine as it stands: specification, serial, plate, records, place of use. None is unknown, never a default.

    `serial_in_no_block` says that a serial was given whose prefix the maker's scheme does not have.
    """

    specification: str | None = None
    serial: Serial | None = None
    serial_in_no_block: bool = False
    plate_fuels: tuple[Fuel, ...] = ()
    fuel_records: tuple[FuelRecord, ...] = ()
    told_as_plate: bool = False
    place_of_use: str | None = None
    dusty: bool | None = None
    certified: bool | None = None
    ecu: bool | None = None
    on: date | None = None

    def burned(self, names: Mapping[str, FuelDefinition]) -> FuelBurned:
        return fuel_burned(self.plate_fuels, self.fuel_records, names, told_as_plate=self.told_as_plate)


@dataclass(frozen=True, slots=True)
class Applicability:
    """When a statement holds. Empty facets ask nothing.

    `any_fuel` holds where one of these is burned; `all_fuels` holds where nothing but these is burned.
    """

    specification: str | None = None
    serials: tuple[SerialRange, ...] = ()
    any_fuel: tuple[Fuel, ...] = ()
    all_fuels: tuple[Fuel, ...] = ()
    places: tuple[str, ...] = ()

    def holds(self, where: Where) -> Truth:
        """Yes, no (with the facets that refuse), or unknown with the facts that would settle it."""
        return all_of((*self._facets(where), self.serial(where)))

    def holds_but_for_serial(self, where: Where) -> Truth:
        return all_of(self._facets(where))

    def _facets(self, where: Where) -> tuple[Truth, Truth, Truth, Truth]:
        fuels = _any_fuel(self.any_fuel, where), _all_fuels(self.all_fuels, where)
        return (self._specification(where), *fuels, self._place(where))

    def names_fuel(self, fuel: Fuel, where: Where) -> Truth:
        """Whether this applicability itself names a fuel burned, grade and all."""
        return where.any_names((*self.any_fuel, *self.all_fuels), fuel)

    @property
    def fuels(self) -> tuple[Fuel, ...]:
        return (*self.any_fuel, *self.all_fuels)

    def _specification(self, where: Where) -> Truth:
        if self.specification is None or self.specification == where.application.specification:
            return YES
        if where.application.specification is None:
            return unknown(Fact("engine specification", "Which model and specification number is on the engine plate?"))
        return no("specification")

    def serial(self, where: Where) -> Truth:
        if not self.serials:
            return YES
        truths = [entry.holds_for(where.application.serial) for entry in self.serials]
        return next((truth for truth in truths if truth.holds is not False), truths[0])

    def _place(self, where: Where) -> Truth:
        if not self.places:
            return YES
        if where.application.place_of_use is None:
            return unknown(PLACE_OF_USE)
        return YES if where.application.place_of_use in self.places else no("place of use")


PLACE_OF_USE = Fact("place of use", "Where does the engine run: outdoors, indoors, in a building of its own?")


@dataclass(frozen=True, slots=True)
class Where:
    """An application with what it burns worked out once."""

    application: Application
    burned: FuelBurned
    names: Mapping[str, FuelDefinition] = field(compare=False)

    def covers(self, named: Fuel, burned: Fuel) -> bool:
        """Whether a part made for `named` suits a fuel of known grade; a bare name covers the common grades only."""
        if named.code != burned.code:
            return False
        if named.grade or not burned.grade:
            return named.grade in ("", burned.grade)
        definition = self.names.get(named.code)
        return definition is not None and burned.grade in definition.covered_by_bare_name

    def any_names(self, named: tuple[Fuel, ...], burned: Fuel) -> Truth:
        """Whether a statement that names these fuels speaks of one burned.

        A grade that only one side gives leaves it open, except that a bare name speaks of its common grades.
        """
        same = [fuel for fuel in named if fuel.code == burned.code]
        if any(fuel == burned or (not fuel.grade and self.covers(fuel, burned)) for fuel in same):
            return YES
        if not burned.grade and same:
            return unknown(self.grade_fact(burned.code))
        if any(not fuel.grade for fuel in same):
            name = fuel_words(burned, self.names)
            return unknown(
                Fact(f"maker's statement on {name}", f"Does the maker's statement include {name}? Ask them.")
            )
        return no("fuel")

    def any_speaks_of(self, named: tuple[Fuel, ...], burned: Fuel) -> Truth:
        """Whether a statement made for these fuels is about one burned; a bare name is about every grade of it.

        Being about a fuel opens no gate: that asks for `any_names`.
        """
        same = [fuel for fuel in named if fuel.code == burned.code]
        if any(fuel.grade in ("", burned.grade) for fuel in same):
            return YES
        return unknown(self.grade_fact(burned.code)) if same and not burned.grade else no("fuel")

    def grade_fact(self, code: str) -> Fact:
        definition = self.names.get(code)
        name = definition.name if definition else code
        grades = ", ".join(definition.grades) if definition else "the grade on the pump or delivery note"
        return Fact("fuel grade", f"Which grade of {name} is burned: {grades}?")


def located(application: Application, names: Mapping[str, FuelDefinition]) -> Where:
    return Where(application, application.burned(names), names)


def _any_fuel(wanted: tuple[Fuel, ...], where: Where) -> Truth:
    burned = where.burned
    if not wanted:
        return YES
    truths = [where.any_speaks_of(wanted, found) for found in burned.fuels]
    if any(truth.holds for truth in truths):
        return YES
    if not burned.complete:
        return unknown(burned.asks)
    return next((truth for truth in truths if truth.holds is None), no("fuel"))


def _all_fuels(wanted: tuple[Fuel, ...], where: Where) -> Truth:
    if not wanted:
        return YES
    truths = [where.any_speaks_of(wanted, found) for found in where.burned.fuels]
    return all_of(truths if where.burned.complete else [*truths, unknown(where.burned.asks)])
