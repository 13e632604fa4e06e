"""The plan of VRD-H40 as the acceptance fixture has it, and engines to build kits for."""

from __future__ import annotations

from typing import Any

from catalog.domain.applicability import Applicability, Where, located
from catalog.domain.fuels import Fuel
from catalog.domain.serials import Serial, SerialRange
from kits.domain.kit_lines import Choice, Engine, EngineCounts, Joint, PartNeed, Per, Task, Unit
from tests.domain.cast import burning, by_plate
from tests.domain.cast_rulebook import FUELS

LITRE = 1_000_000
FOUR = EngineCounts(cylinders=4, injectors=4, heads=1)


def only(number: str, maker: str = "VRD") -> tuple[Choice, ...]:
    return (Choice((maker, number)),)


def fuel(*codes: str) -> Applicability:
    return Applicability(any_fuel=tuple(Fuel.parse(code) for code in codes))


PLUGS = (
    Choice(("VRD", "4410-07"), fuel("gasoline")),
    Choice(("VRD", "4410-12"), fuel("lpg_liquid", "lpg_vapour")),
)
FILTERS = (
    Choice(("VRD", "0021-450"), Applicability(serials=(SerialRange(None, 119999),))),
    Choice(("VRD", "0021-460"), Applicability(serials=(SerialRange(120000, None),))),
)
DRAIN = Joint("oil_drain", (PartNeed("drain_washer", only("9120")),))
OIL_250 = Task(
    "oil_250",
    (PartNeed("oil_filter", FILTERS), PartNeed("oil", only("OIL"), 43 * LITRE // 10, unit=Unit.MICROLITRE)),
    ("oil_drain",),
)
OIL_500 = Task("oil_500", OIL_250.parts, ("oil_drain",))
PLUGS_500 = Task("plugs_500", (PartNeed("spark_plug", PLUGS, 1, Per.CYLINDER),))
REST_500 = Task(
    "gas_500",
    (
        PartNeed("air_element", only("2051")), PartNeed("lock_off_filter", only("6611")),
        PartNeed("lock_off_ring", only("6612")), PartNeed("pcv", only("3307")),
    ),
)  # fmt: skip
LEVEL_250 = (OIL_250,)
LEVEL_500 = (OIL_250, OIL_500, PLUGS_500, REST_500)


def where(*fuels: str, serial: int | None = 118402, **more: Any) -> Where:
    told = None if serial is None else Serial("", serial)
    return located(burning(*fuels, serial=told, **more), FUELS)


def not_looked_at(serial: int = 118402) -> Where:
    """An engine whose fuel nobody has looked at since the plate was written."""
    return located(by_plate("gasoline", serial=Serial("", serial)), FUELS)


def engine(at: Where | None = None, counts: EngineCounts = FOUR, joints: tuple[Joint, ...] = (DRAIN,)) -> Engine:
    return Engine(at or where("lpg_liquid"), counts, joints)
