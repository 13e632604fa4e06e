"""A question about a supply line as it was sent, read against the published words; nothing is looked up yet."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from catalog.domain.fuels import known_fuel
from catalog.domain.quantities import Dimension, Interval, Quantity
from catalog.domain.rules import AttributeDefinition, Rulebook
from catalog.domain.supply.mixtures import Share, stated_composition
from catalog.domain.supply.stages import si
from catalog.domain.value_documents import pack_value, read_value
from catalog.domain.values import How, Kind, Value
from catalog.loading import LoadedMachine
from catalog.usecases.asked import NamedPart, ToldFact, named_part
from catalog.usecases.refusals import Gathered, below
from service.errors import Invalid

LOADS = ("brake", "electrical", "share")
SHARES = {"liquid_volume": Share.LIQUID_VOLUME, "mole": Share.MOLE}
_AIR = AttributeDefinition("air", "temperature of the air", Kind.RANGE, Dimension.TEMPERATURE, "degC")
_FILL = AttributeDefinition("fill", "liquid's share of the container", Kind.QUANTITY, Dimension.RATIO, "%")
_ALTITUDE = AttributeDefinition("altitude", "altitude", Kind.QUANTITY, Dimension.LENGTH, "m")
_AIR_PRESSURE = AttributeDefinition(
    "air_pressure", "pressure of the air", Kind.QUANTITY, Dimension.PRESSURE_ABSOLUTE, "kPa"
)
_POWER = AttributeDefinition("load", "power asked of the engine", Kind.QUANTITY, Dimension.POWER, "kW")
_SHARE = AttributeDefinition("load", "share of full load", Kind.QUANTITY, Dimension.RATIO, "%")
_COLDEST, _HOTTEST = 193.15, 343.15  # K: no engine of this trade is asked to start outside of it
_HIGHEST = 6_000.0  # m


@dataclass(frozen=True, slots=True)
class SupplyAsked:
    """`body` is the question as sent. `candidates` are parts by the position they are tried at."""

    body: Mapping[str, Any]
    application: Mapping[str, Any] | None
    machine_id: UUID | None
    candidates: tuple[tuple[str, NamedPart], ...]
    machine: LoadedMachine | None = None

    def names(self) -> Iterator[NamedPart]:
        """Every part named: the candidates, and what stands on the machine by its record."""
        yield from (part for _, part in self.standing())

    def standing(self) -> tuple[tuple[str, NamedPart], ...]:
        """What stands at each position in place of the part specified there: a candidate before the part found."""
        built = self.machine.as_built if self.machine else ()
        found = {row["position"]: NamedPart("/machine", id=row["part"]) for row in built if row["part"] is not None}
        return tuple({**found, **dict(self.candidates)}.items())

    @property
    def specification(self) -> tuple[str, str] | None:
        spec = (self.application or {}).get("spec")
        return None if spec is None else (spec["model"], spec["spec"])


def read_supply_asked(body: Mapping[str, Any]) -> SupplyAsked:
    """Read a body whose shape has been checked."""
    candidates = tuple(
        (entry["position"], named_part(entry["part"], f"/candidates/{index}/part"))
        for index, entry in enumerate(body.get("candidates") or ())
    )
    return SupplyAsked(body, body.get("application"), body.get("machine"), candidates)


def told_of_stages(body: Mapping[str, Any]) -> tuple[tuple[str, ToldFact], ...]:
    """The facts given with the question, each with the stage it is of."""
    return tuple(
        (entry["stage"], ToldFact(f"/facts/{index}", "stage", entry["attribute"], entry.get("slot"), entry["value"],
                                  How(entry["how"])))
        for index, entry in enumerate(body.get("facts") or ())
    )  # fmt: skip


def read_circumstances(body: Mapping[str, Any]) -> dict[str, Any]:
    """The circumstances as a document of packed values. Raises what `Gathered.tell` raises."""
    problems = Gathered()
    found: dict[str, Any] = {"composition": None, "load": None}
    readers: Mapping[str, tuple[AttributeDefinition, Callable[[Value], None]]] = {
        "air": (_AIR, _within_air),
        "fill": (_FILL, _part_of_a_whole),
        "altitude": (_ALTITUDE, _within_altitude),
        "air_pressure": (_AIR_PRESSURE, _some),
    }
    for name, (definition, proves) in readers.items():
        with problems.each():
            found[name] = _packed(body.get(name), definition, proves, f"/{name}")
    with problems.each():
        found["load"] = _load(body.get("load"))
    with problems.each():
        found["composition"] = _composition(body.get("composition"))
    problems.tell()
    return found


def fuel_asked(body: Mapping[str, Any], rulebook: Rulebook) -> str | None:
    """The fuel whose line is meant, in the published words; none where the question does not say."""
    if body.get("fuel") is None:
        return None
    with below("/fuel"):
        return known_fuel(body["fuel"], rulebook.fuels).text


def _packed(raw: object, definition: AttributeDefinition, proves: Callable[[Value], None], pointer: str) -> object:
    if raw is None:
        return None
    value = read_value(raw, definition, pointer=pointer)
    with below(pointer):
        proves(value)
    return pack_value(value)


def _load(body: Mapping[str, Any] | None) -> dict[str, object] | None:
    if body is None:
        return None
    given = {name: raw for name, raw in body.items() if raw is not None}
    if len(given) != 1:
        words = f"load: give one of {', '.join(LOADS)}; {len(given)} were given."
        raise Invalid(words, pointer="/load", code="one_load")
    ((name, raw),) = given.items()
    definition, proves = (_SHARE, _part_of_a_whole) if name == "share" else (_POWER, _some)
    return {name: _packed(raw, definition, proves, f"/load/{name}")}


def _composition(body: Mapping[str, Any] | None) -> dict[str, Any] | None:
    if body is None:
        return None
    with below("/composition"):
        parts = {species: float(share) for species, share in body["parts"].items()}
        stated_composition(parts, SHARES[body["counted"]])
    return {"parts": parts, "counted": SHARES[body["counted"]].value}


def _within_air(value: Value) -> None:
    ends = value.payload
    low, high = (ends.low, ends.high) if isinstance(ends, Interval) else (None, None)
    if low is None or high is None:
        raise Invalid("air: give both ends, the coldest and the hottest.", code="open_range")
    if si(low) < _COLDEST or si(high) > _HOTTEST:
        raise Invalid("air: give temperatures between -80 and 70 degC.", code="out_of_range")


def _part_of_a_whole(value: Value) -> None:
    if not 0 < _amount(value) <= 1:
        raise Invalid("Give a share above 0 and up to 100 %.", code="out_of_range")


def _within_altitude(value: Value) -> None:
    if not -500 <= _amount(value) <= _HIGHEST:
        raise Invalid("altitude: give metres or feet above the sea, up to 6,000 m.", code="out_of_range")


def _some(value: Value) -> None:
    if _amount(value) <= 0:
        raise Invalid("Give a number above 0.", code="out_of_range")


def _amount(value: Value) -> float:
    if not isinstance(value.payload, Quantity):
        raise Invalid("Give a number with its unit.", code="invalid")
    return si(value.payload)
