"""Rules, attribute definitions, categories and the published rulebook that holds them."""

from __future__ import annotations

from collections.abc import Collection, Hashable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property
from typing import Any

from catalog.domain.answers import Answer, Aspect, Effect, Fact, Source, TakenOver
from catalog.domain.fuels import FuelDefinition, ServiceClass
from catalog.domain.joints import JointTable
from catalog.domain.quantities import Dimension, Interval
from catalog.domain.reference_tables import ReferenceTables
from catalog.domain.values import Demand, Kind, Slot


class FuelRole(StrEnum):
    """How the gate judges a category."""

    METERING = "metering"
    WETTED = "wetted"
    COMBUSTION = "combustion"
    CONTROL = "control"
    NONE = "none"


class ComparisonKind(StrEnum):
    EQUALS = "equals"
    ONE_OF = "one_of"
    AT_LEAST = "at_least"
    AT_MOST = "at_most"
    WITHIN = "within"
    COVERS = "covers"
    INSIDE = "inside"
    INCLUDES = "includes"
    MATES_WITH = "mates_with"
    CLASS_AT_LEAST = "class_at_least"
    RATED_FOR = "rated_for"
    SIZE_SEALS = "size_seals"
    DESIGNATION_MATCHES = "designation_matches"


# Comparisons that ask for no less (or no more) than the position needs; the others ask for the thing itself.
RATINGS = frozenset(
    {
        ComparisonKind.AT_LEAST,
        ComparisonKind.AT_MOST,
        ComparisonKind.COVERS,
        ComparisonKind.INSIDE,
        ComparisonKind.INCLUDES,
        ComparisonKind.CLASS_AT_LEAST,
        ComparisonKind.RATED_FOR,
    }
)
# Comparisons that read which media a position touches, and how hot they get there.
AMONG_MEDIA = frozenset({ComparisonKind.RATED_FOR, ComparisonKind.SIZE_SEALS})


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far below and above a demand an offer may lie, in steps of the dimension or in parts per million of it.

    Counts from a demand of `starts_at` steps upwards: below, an earlier region holds. A demand below zero, a suction,
    is in the region that starts at zero.
    """

    minus: int = 0
    plus: int = 0
    minus_ppm: int = 0
    plus_ppm: int = 0
    starts_at: int = 0


@dataclass(frozen=True, slots=True)
class Comparison:
    """How demand and offer are set against each other; `outer` is the band met only on `condition`.

    `same` are members that must be equal before the leading one can be compared at all: the pressure that a flow is
    stated at, the basis of a fineness; a `table` beside them may rank what is not equal. `where_stated` are members
    that must agree where the position states them: the calibration of a particle size. `not_below` is a member that
    the position may have of its own: where it has one, the part may do without the leading one and must not lie below
    it.
    """

    kind: ComparisonKind
    inner: tuple[Tolerance, ...] = ()
    outer: tuple[Tolerance, ...] = ()
    condition: str = ""
    table: str = ""
    liquids: tuple[str, ...] = ()
    same: tuple[str, ...] = ()
    not_below: str = ""
    where_stated: tuple[str, ...] = ()


class WhenFact(StrEnum):
    """The closed list of facts a rule may depend on."""

    PLACE_OF_USE = "place_of_use"
    DUSTY = "dusty"
    CERTIFIED = "certified"
    ECU = "ecu"
    FUEL_BURNED = "fuel_burned"
    SERVICE_CLASS = "service_class"


@dataclass(frozen=True, slots=True)
class When:
    """One condition of a rule: the fact is one of these. Flags read `yes` and `no`."""

    fact: WhenFact
    one_of: tuple[str, ...]


class Approver(StrEnum):
    """The lowest role that may approve a condition."""

    SERVICE_MANAGER = "service_manager"
    GAS_TECHNICIAN = "gas_technician"


@dataclass(frozen=True)
class Rule:
    """One thing that is weighed. `attributes` has several members where they are read together.

    `inside_assembly` is what lies inside a part that its maker, or the engine's, names as a whole for the engine:
    that is not judged a second time. `asks` is whom to ask where the rule alone cannot refuse what is not met.
    `unrecorded` says why nothing else that is recorded can stand for what is missing.
    Without slots, unlike the other values: a rule is weighed for every part, so what only depends on it is worked out
    once and kept beside the fields.
    """

    code: str
    name: str
    attributes: tuple[str, ...]
    comparison: Comparison
    when_not_met: Effect
    when_unknown: Effect
    source: Source
    slots: tuple[Slot, ...] = (None,)
    taken_over: TakenOver = TakenOver.NONE
    aspect: Aspect = Aspect.FIT
    when: tuple[When, ...] = ()
    condition: str = ""
    rank: int = 100
    only_where_stated: bool = False
    inside_assembly: bool = False
    asks: Fact | None = None
    approvable_by: Approver | None = Approver.SERVICE_MANAGER
    unrecorded: str = ""

    @cached_property
    def rating(self) -> bool:
        """Whether it asks for no less (or no more) than the position needs, and not for the thing itself."""
        return self.comparison.kind in RATINGS

    @cached_property
    def by_itself(self) -> bool:
        """Whether its one attribute is all that the comparison reads of a part and a position."""
        composite = self.comparison.kind in _COMPOSITE or self.comparison.same or self.comparison.not_below
        return len(self.attributes) == 1 and not composite

    @cached_property
    def critical(self) -> bool:
        return self.when_not_met is Effect.REJECT

    @cached_property
    def worst(self) -> Effect:
        """The most that it can still do to the verdict; the effects are written down weakest first."""
        return max(self.when_not_met, self.when_unknown, key=list(Effect).index)

    def shown(self, slot: Slot) -> str:
        """Its name with the slot, as it is said inside a sentence."""
        return self._shown.get(slot) or in_slot(self.name, slot)

    def subject(self, slot: Slot) -> str:
        """Its name with the slot, as a sentence begins with it."""
        return self._subjects.get(slot) or _capital(self.shown(slot))

    @cached_property
    def _shown(self) -> Mapping[Slot, str]:
        return {slot: in_slot(self.name, slot) for slot in self.slots}

    @cached_property
    def _subjects(self) -> Mapping[Slot, str]:
        return {slot: _capital(name) for slot, name in self._shown.items()}


# Comparisons that read several members together, or more of the position than its demand.
_COMPOSITE = frozenset({ComparisonKind.MATES_WITH, ComparisonKind.SIZE_SEALS, ComparisonKind.RATED_FOR})


def in_slot(name: str, slot: Slot) -> str:
    return f"{name} ({slot.replace('_', ' ')})" if slot else name


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


@dataclass(frozen=True, slots=True)
class AttributeDefinition:
    """What an attribute is.

    `geometry` may be lent by the part found on the engine; `fuel_dependent` values lend
    nothing to an engine on another fuel; `of_piece` ones have no meaning for goods sold by length or volume. `signed`
    ones are counted from somewhere, so that they may be zero or below it: a projection, an offset.
    """

    code: str
    name: str
    kind: Kind
    dimension: Dimension | None = None
    unit: str = ""
    vocabulary: tuple[str, ...] = ()
    slots: tuple[Slot, ...] = (None,)
    geometry: bool = False
    fuel_dependent: bool = False
    of_piece: bool = False
    signed: bool = False
    source: Source | None = None


@dataclass(frozen=True, slots=True)
class Caution:
    """A hazard to state with an answer; `families` and `places` are where it holds, empty ones hold everywhere."""

    code: str
    text: str
    source: Source
    families: tuple[str, ...] = ()
    places: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Category:
    """A kind of component: how the gate judges it, at which ports, and the rules of a position that asks for it.

    `each_piece` is what has to be looked at on the very piece in hand, since no catalogue can state it.
    """

    code: str
    name: str
    noun: str
    fuel_role: FuelRole
    attributes: tuple[str, ...]
    rules: tuple[Rule, ...] = ()
    ports: tuple[str, ...] = ()
    never_covered: tuple[str, ...] = ()
    not_made_for_fuel: bool = False
    loose_seal: bool = False
    kit: bool = False  # judged by what it holds, place by place
    emission_listed: bool = False
    replace_together: bool = False
    assembly_only_classes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    each_piece: str = ""


@dataclass(frozen=True, slots=True)
class MayServe:
    """A category that may stand at a position of another: where `when` holds, and on a condition if there is one."""

    offered: str
    position: str
    condition: str
    source: Source
    when: tuple[When, ...] = ()


@dataclass(frozen=True, slots=True)
class NeverServes:
    """Made for one class, must not serve another: the reason to show beside a gate that has already refused."""

    made_for: tuple[str, ...]
    must_not_serve: tuple[str, ...]
    roles: tuple[FuelRole, ...]
    reason: str
    source: Source


@dataclass(frozen=True, slots=True)
class CodeFloor:
    """The least that published codes ask of a category's attribute at ports of these classes.

    `unless_stated` is what is asked only where the position's need is neither stated nor computed.
    """

    classes: tuple[str, ...]
    category: str
    attribute: str
    demand: Demand
    unless_stated: bool = False


@dataclass(frozen=True, slots=True)
class MateTable:
    """What mates: members that must be equal, and pairs (demanded, offered) of one member with their answer.

    `joints` says what is known of forms, sizes and threads, where the table is one of joints.
    """

    code: str
    equal: tuple[str, ...]
    paired: str = ""
    pairs: Mapping[tuple[str, str], tuple[Answer, str]] = field(default_factory=dict)
    joints: JointTable | None = None


@dataclass(frozen=True, slots=True)
class OrderTable:
    """Which class serves where another is asked: pairs (offered, demanded). Not listed: no within one family.

    `conditions` holds the words of pairs that are met only on a condition, `reasons` why a pair is answered so.
    """

    code: str
    families: Mapping[str, str]
    pairs: Mapping[tuple[str, str], Answer]
    conditions: Mapping[tuple[str, str], str] = field(default_factory=dict)
    reasons: Mapping[tuple[str, str], str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class RatingTable:
    """How materials stand media, on a scale of 1 to 4 with X for no data, and the temperatures they stand.

    `windows` is what every source grants; `special` is what a special grade may reach.
    """

    code: str
    grades: Mapping[tuple[str, str], str]
    windows: Mapping[str, Interval]
    special: Mapping[str, Interval]
    media: Mapping[str, str] = field(default_factory=dict)

    @property
    def materials(self) -> Collection[str]:
        """Those of which a window or a grade is published."""
        return self.windows.keys() | {material for material, _ in self.grades}

    def medium_name(self, medium: str) -> str:
        """As it is said at a counter."""
        return self.media.get(medium, medium.replace("_", " "))


@dataclass(frozen=True, slots=True)
class Tables:
    mates: Mapping[str, MateTable] = field(default_factory=dict)
    orders: Mapping[str, OrderTable] = field(default_factory=dict)
    ratings: Mapping[str, RatingTable] = field(default_factory=dict)
    reference: ReferenceTables = field(default_factory=ReferenceTables)


@dataclass(frozen=True)
class Rulebook:
    """One published, numbered, immutable document, compiled. Without slots, as a rule is, and for the same reason."""

    number: int = 0
    attributes: Mapping[str, AttributeDefinition] = field(default_factory=dict)
    categories: Mapping[str, Category] = field(default_factory=dict)
    fuels: Mapping[str, FuelDefinition] = field(default_factory=dict)
    classes: Mapping[str, ServiceClass] = field(default_factory=dict)
    covers: Mapping[tuple[str, str], Source] = field(default_factory=dict)
    never_serves: tuple[NeverServes, ...] = ()
    may_serve: tuple[MayServe, ...] = ()
    code_floors: tuple[CodeFloor, ...] = ()
    cautions: Mapping[str, Caution] = field(default_factory=dict)
    tables: Tables = field(default_factory=Tables)
    digest: str = ""

    @cached_property
    def floors(self) -> Mapping[tuple[str, str], tuple[CodeFloor, ...]]:
        """The code floors by the category and attribute that they are asked of."""
        found: dict[tuple[str, str], tuple[CodeFloor, ...]] = {}
        for floor in self.code_floors:
            place = floor.category, floor.attribute
            found[place] = (*found.get(place, ()), floor)
        return found

    @cached_property
    def kept(self) -> dict[Hashable, Any]:
        """What was found under this rulebook; whoever keeps something here bounds it, see `kept_findings`."""
        return {}

    @cached_property
    def rule_names(self) -> Mapping[str, str]:
        """What a rule is called, by its code: the category that comes first with it says it, as all do alike."""
        rules = (rule for category in self.categories.values() for rule in category.rules)
        return {rule.code: rule.name for rule in reversed(tuple(rules))}

    def attribute_name(self, code: str) -> str:
        known = self.attributes.get(code)
        return known.name if known else code.replace("_", " ")
