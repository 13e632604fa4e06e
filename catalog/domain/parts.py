"""Parts, positions and makers' statements as the decision sees them: frozen values loaded from rows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from catalog.domain.answers import Source
from catalog.domain.applicability import Applicability
from catalog.domain.in_the_hand import heard_together
from catalog.domain.quantities import Interval
from catalog.domain.values import Demand, Offer, Place, Slot

FUELS = "fuels"  # the attribute that lists the fuels burned a part is made for
SERVICE = "fuel_service"  # the attribute that lists the service classes of a part at a port
MATERIAL = "seal_material"  # the attribute by which a loose seal without a class is gated
SEAL_TEMPERATURE = "seal_temperature"  # the range a seal's maker states for it, beside its material's window


class SuppliedAs(StrEnum):
    PIECE = "piece"
    CUT_LENGTH = "cut_length"
    VOLUME = "volume"
    TESTED_ASSEMBLY = "tested_assembly"


class PartCondition(StrEnum):
    NEW = "new"
    REBUILT = "rebuilt"
    USED = "used"


PartKey = tuple[str, str]  # maker and number


@dataclass(frozen=True, slots=True)
class Part:
    """A part and all that is recorded of it. Several offers in one place are sources that may disagree.

    `described` marks goods known only by what somebody wrote of them. `member_of` is the matched set it belongs to.
    `withdrawn` is said of what lies inside another: it is in the catalogue no more.
    """

    maker: str
    number: str
    category: str
    offers: Mapping[Place, tuple[Offer, ...]] = field(default_factory=dict)
    name: str = ""
    supplied_as: SuppliedAs | None = None
    condition: PartCondition = PartCondition.NEW
    contains: tuple[Contained, ...] = ()
    member_of: MatchedSet | None = None
    described: bool = False
    withdrawn: bool = False
    id: int | None = None

    def at(self, place: Place) -> tuple[Offer, ...]:
        return self.offers.get(place, ())

    def with_offers(self, more: Mapping[Place, tuple[Offer, ...]]) -> Part:
        """The part with further offers beside those recorded, see `heard_together`."""
        heard = {place: heard_together(self.offers.get(place, ()), offers) for place, offers in more.items()}
        return replace(self, offers={**self.offers, **heard})

    @property
    def shown(self) -> str:
        return f"{self.maker} {self.number}".strip() or "the described part"

    @property
    def key(self) -> PartKey:
        return self.maker, self.number


@dataclass(frozen=True, slots=True)
class MatchedSet:
    """Parts that are only ever fitted together: (maker, number) and how many of each."""

    number: str
    members: tuple[tuple[tuple[str, str], int], ...]


@dataclass(frozen=True, slots=True)
class Contained:
    """A part inside a kit or set, and how many."""

    part: Part
    quantity: int = 1


@dataclass(frozen=True, slots=True)
class PortClasses:
    """The service classes at one port, for one fuel burned or (fuel None) whatever is burned."""

    port: str
    classes: tuple[str, ...]
    fuel: str | None = None


@dataclass(frozen=True, slots=True)
class Medium:
    """Something the position's seals touch, at what temperatures; `dynamic` where the seal moves.

    `slot` is the side that touches it, None where every side does.
    """

    name: str
    temperature: Interval | None = None
    dynamic: bool | None = None
    slot: Slot = None


@dataclass(frozen=True, slots=True)
class Position:
    """A place in an engine's build where one category sits. `branch` is a fuel burned, or None where common."""

    code: str
    category: str
    name: str = ""
    quantity: int | None = None
    branch: str | None = None
    ports: tuple[PortClasses, ...] = ()
    carries_fuel: bool = True
    demands: Mapping[Place, tuple[Demand, ...]] = field(default_factory=dict)
    media: tuple[Medium, ...] = ()
    adapter_forbidden: str = ""  # why no adapter may stand here: phase-keyed, fill, relief, CNG
    inside: tuple[Position, ...] = ()  # the positions a kit fills
    as_built: bool = False

    @property
    def shown(self) -> str:
        return self.name or self.code.replace("_", " ")

    def media_at(self, slot: Slot) -> tuple[Medium, ...]:
        """What a seal in this slot touches."""
        return tuple(medium for medium in self.media if medium.slot is None or medium.slot == slot)

    def with_demands(self, more: Mapping[Place, tuple[Demand, ...]]) -> Position:
        merged = dict(self.demands)
        for place, demands in more.items():
            merged[place] = (*merged.get(place, ()), *demands)
        return replace(self, demands=merged)


class StatementKind(StrEnum):
    SPECIFIED = "specified"
    REPLACEMENT = "replacement"
    EXCLUDED = "excluded"
    LISTED = "listed"
    THIRD_PARTY = "third_party"


# By the engine's maker, for this position; a third party's list is a search hint and never evidence.
SPECIFIES = frozenset({StatementKind.SPECIFIED, StatementKind.REPLACEMENT})


@dataclass(frozen=True, slots=True)
class Statement:
    """What a maker says of a part at a position, and when it holds.

    `in_place_of` names the specified number that this part stands for here by its supersession, whose applicability
    this is: it says nothing of the fuels that the part itself is for.
    """

    kind: StatementKind
    part: Part
    position: str
    applicability: Applicability
    by: str
    source: Source
    in_place_of: str = ""
